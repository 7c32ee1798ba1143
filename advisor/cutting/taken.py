"""Taken: what an order takes of film, cutting and weeding, without a file being written."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from advisor.cutting.layout import lay_out
from advisor.cutting.records.cut import CutSheet, Lettering, SizedCut
from advisor.cutting.records.rolls import LAID, OrderTaken, RollTaken, whole_cm
from advisor.cutting.roll.order import nest_order
from rules.facts.text import Text

if TYPE_CHECKING:
    from advisor.artwork.records import Artwork
    from advisor.job.records.job import Rates
    from advisor.job.records.plan import Plan
    from rules.catalogue import Catalogue

__all__ = ["cut_length_mm", "order_taken", "taken_in_all"]


def order_taken(
    plan: Plan,
    artwork: Artwork,
    *,
    catalogue: Catalogue,
    names: Sequence[Lettering] = (),
    rates: Rates | None = None,
    seconds: float = 0.0,
    sheets: Sequence[SizedCut] = (),
) -> OrderTaken:
    """The metres of each film as they nest, the cut lines, and how many carriers there are.

    Args:
        plan: a job planned.
        artwork: the artwork that it was planned with, at any width.
        catalogue: where its films are.
        names: set on this artwork, if the plan has names.
        rates: what time costs, for which films are cut on one carrier.
        seconds: of nesting, all films together; 0 lays bounding rectangles.
        sheets: the plan as it is cut, where that is laid out already.

    Raises:
        BadInputError: there is nothing to cut, or plan and artwork do not belong together.
    """
    sizes = sheets or lay_out(plan, artwork, catalogue=catalogue, names=names, rates=rates)
    carriers = [carrier for size in sizes for carrier in size.carriers]
    return OrderTaken(
        rolls=tuple(
            RollTaken(
                film=roll.film.id,
                colour=roll.colour,
                metres=whole_cm(roll.length_m),
                price_per_m=roll.film.price_per_m,
                note=Text(roll.layout.note),
                interrupted=roll.layout.interrupted,
            )
            for roll in nest_order(sizes, seconds=seconds)
        ),
        cut_m=round(sum(cut_length_mm(c.sheet) * c.count for c in carriers) / 1000, 3),
        carriers=sum(carrier.count for carrier in carriers),
        names=len(names),
        laid="nested" if seconds > 0 else "rectangles",
    )


def taken_in_all(prints: Sequence[OrderTaken]) -> OrderTaken:
    """What several prints take together, the metres of a film in one colour added up.

    >>> one = RollTaken(film="matte-smooth", colour="navy", metres=0.4, price_per_m=8)
    >>> twice = [OrderTaken(rolls=(one,), cut_m=2, carriers=3)] * 2
    >>> taken_in_all(twice).rolls[0].metres, taken_in_all(twice).carriers
    (0.8, 6)
    """
    rolls: dict[tuple[str, str], RollTaken] = {}
    for roll in (roll for taken in prints for roll in taken.rolls):
        same = rolls.get((roll.film, roll.colour))
        metres = roll.metres + (same.metres if same else 0.0)
        stopped = roll.interrupted or (same is not None and same.interrupted)
        rolls[roll.film, roll.colour] = roll.model_copy(
            update={"metres": round(metres, 2), "interrupted": stopped}
        )
    return OrderTaken(
        rolls=tuple(rolls.values()),
        cut_m=round(sum(taken.cut_m for taken in prints), 3),
        carriers=sum(taken.carriers for taken in prints),
        names=sum(taken.names for taken in prints),
        laid=min((taken.laid for taken in prints), key=[*LAID].index, default="rectangles"),
    )


def cut_length_mm(sheet: CutSheet) -> float:
    """The length of all cut lines of a sheet: pieces, borders and marks, mm."""
    lines = (*(piece.shape for piece in sheet.pieces), *sheet.borders, *sheet.marks)
    return sum(line.length for line in lines)
