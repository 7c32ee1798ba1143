"""Order of a look: films that were found for a look, as a job that a person can go on from."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from advisor.answers.typed_stack import named_film
from advisor.job.records.job import GarmentLine, Job, Prefer, Wish, WishedJoint
from advisor.layering.typed_print import stack_print
from rules.catalogue import Catalogue
from rules.facts.step import Meets
from ui.drawing.texture import Coloured
from ui.order.record import CustomerOrder

__all__ = ["USUAL_GARMENT", "order_of_look", "usual_line"]

USUAL_GARMENT = "adult-tee"
PATCH = "patch.svg"


def usual_line(on: str, *, press: str, shelf: Catalogue) -> GarmentLine:
    """One garment with a print that fits it and the press.

    Args:
        on: a garment or a fabric, with its colour after a colon where one is said.
    """
    name, _, colour = on.partition(":")
    garment = shelf.garment_of(name)
    laid = stack_print(
        ["print"], fabric=shelf.fabric(on), garment=garment, press=shelf.press(press)
    )
    return GarmentLine(
        garment=garment.id if garment else USUAL_GARMENT,
        fabric=None if garment else shelf.fabric(name).id,
        colour=colour or None,
        artwork_width_mm=laid.lines[0].width_mm,
    )


def order_of_look(
    films: Sequence[str],
    meets: Sequence[Meets],
    *,
    on: str,
    press: str,
    prefer: Prefer,
    shelf: Catalogue,
) -> CustomerOrder:
    """The films, bottom first, as a patch on one garment: each within the one that it lies on.

    Raises:
        PressloreError: a film, a colour, a garment or a press is not known.
    """
    looks = [Coloured(*named_film(film, shelf)) for film in films]
    fills: list[str] = []
    for look in looks:
        fills.append(_unlike(look.srgb, fills))
    job = Job(
        job=" under ".join(look.film.id for look in looks)[:80],
        artwork=PATCH,
        looks={
            fill: Wish(film=look.film.id, colour=look.colour)
            for fill, look in zip(fills, looks, strict=True)
        },
        garments=(usual_line(on, press=press, shelf=shelf),),
        joints=tuple(
            WishedJoint(upper=upper, lower=lower, meets=way)
            for (lower, upper), way in zip(pairwise(fills), meets, strict=True)
        ),
        press=shelf.press(press).id,
        prefer=prefer,
    )
    return CustomerOrder(job, _patch(fills))


def _unlike(srgb: str, taken: Sequence[str]) -> str:
    """The colour, or the next that no other film of the patch has: a fill tells which film."""
    value = int(srgb[1:], 16)
    while f"#{value:06x}" in taken:
        value = (value + 0x101010) % 0x1000000
    return f"#{value:06x}"


def _patch(fills: Sequence[str]) -> bytes:
    edge = 100 / (2 * len(fills) + 1)
    squares = "".join(
        f'<rect x="{at * edge:g}" y="{at * edge:g}" width="{100 - 2 * at * edge:g}" '
        f'height="{100 - 2 * at * edge:g}" fill="{fill}"/>'
        for at, fill in enumerate(fills)
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{squares}</svg>'
    ).encode()
