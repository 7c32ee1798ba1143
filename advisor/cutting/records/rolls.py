"""Rolls: what an order takes of each film, and how the nesting of it is coming on."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from rules.catalogue import Catalogue
from rules.facts.fact import Record
from rules.facts.text import Text, and_list

__all__ = ["LAID", "OrderTaken", "Progress", "RollNeed", "RollTaken", "Watch", "whole_cm"]

LAID = {
    "cut": "as it was cut",
    "nested": "as nested for this quote",
    "rectangles": "an estimate, its carriers laid as rectangles; nested it may be less",
}
"""How the metres of an order are known, in words."""


def whole_cm(metres: float) -> float:
    """Metres up to the next whole centimetre; what floating point adds does not count.

    >>> whole_cm(0.4501), whole_cm(0.1 + 0.2)
    (0.46, 0.3)
    """
    return math.ceil(round(100 * metres, 6)) / 100


class RollNeed(Record):
    """What a whole order takes of one film in one colour, nested on its roll.

    Attributes:
        parts: carriers that are cut from it, each as often as it is wanted.
        length_m: metres of roll; ``short_m`` of them are not on the shelf.
        used_m2: area that ends up on garments.
        waste_pct: share of the metres, over the whole width of the roll, that does not.
        cost: the metres at the film's price, in the shop's currency.
        on_shelf_m: metres on the shelf that are left for this colour.
        method, note: how the layout came about, and what is not sure about it.
        interrupted: nesting was stopped early; the layout is the best so far, and whole.
        sentence: metres needed, on the shelf and to buy, in words.
        svg, png: names of the pictures of the roll.
        cut_svg, cut_dxf: names of the cut files with all carriers as they lie.
    """

    film: str
    colour: str
    parts: int
    roll_width_mm: float
    length_m: float
    used_m2: float
    waste_pct: float
    cost: float
    on_shelf_m: float
    short_m: float
    method: Literal["true-shape", "rectangles"]
    note: Text
    interrupted: bool = False
    sentence: str
    svg: str
    png: str
    cut_svg: str
    cut_dxf: str


class RollTaken(Record):
    """Metres of one film in one colour that an order takes, as they nest, whole centimetres.

    Attributes:
        note: how the layout came about; ``interrupted`` whether nesting was stopped early.
    """

    film: str
    colour: str
    metres: float
    price_per_m: float
    note: Text = Field(default_factory=Text)
    interrupted: bool = False


class OrderTaken(Record):
    """What an order takes in all of film, cutting and weeding.

    Attributes:
        cut_m: metres of cut line: outlines, weeding borders and marks.
        carriers: how many are cut, weeded and laid.
        names: people whose names are set.
        laid: how the metres are known: as the order was cut, or else as true shapes nest, or as
            an estimate by rectangles; in words in `LAID`.
    """

    rolls: tuple[RollTaken, ...]
    cut_m: float
    carriers: int
    names: int = 0
    laid: Literal["cut", "nested", "rectangles"] = "rectangles"

    @property
    def films(self) -> str:
        """Its films with their colours, in a row."""
        return and_list(f"{roll.colour} {roll.film}" for roll in self.rolls)

    def to_buy(self, known: Catalogue) -> tuple[Text, ...]:
        """A sentence for each film that runs short; the shelf counts its colours together.

        >>> from rules.catalogue import load_catalogue
        >>> navy, white = (
        ...     RollTaken(film="matte-smooth", colour=colour, metres=15.5, price_per_m=7.4)
        ...     for colour in ("navy", "white")
        ... )
        >>> taken = OrderTaken(rolls=(navy, white), cut_m=1, carriers=2)
        >>> print(*taken.to_buy(load_catalogue()))
        matte-smooth: 31.00 m needed, laid as rectangles, 22.00 m on the shelf: 9.00 m to buy
        >>> OrderTaken(rolls=(navy,), cut_m=1, carriers=1).to_buy(load_catalogue())
        ()
        """
        short = {"cut": "as cut", "nested": "nested", "rectangles": "laid as rectangles"}
        needed: dict[str, float] = {}
        for roll in self.rolls:
            needed[roll.film] = needed.get(roll.film, 0.0) + roll.metres
        return tuple(
            Text(
                f"{film}: {metres:.2f} m needed, {short[self.laid]}, {there_m:.2f} m on the shelf: "
                f"{metres - there_m:.2f} m to buy"
            )
            for film, metres in needed.items()
            if metres > (there_m := known.film(film).on_shelf_m) + 0.005
        )


@dataclass(frozen=True, slots=True)
class Progress:
    """How a nesting is coming on, for a progress bar.

    Attributes:
        elapsed_s, seconds: time used and time allowed, s.
        length_mm: the shortest length known so far, mm.
        phase: ``rectangles``, ``exploring``, ``compressing``, ``final`` or ``done``.
    """

    elapsed_s: float
    seconds: float
    length_mm: float
    phase: str

    @property
    def share(self) -> float:
        """The share of the time that is used, 0 to 1; 1 when done.

        >>> Progress(2.0, 8.0, 431.0, "exploring").share
        0.25
        """
        if self.phase == "done" or self.seconds <= 0:
            return 1.0
        return min(1.0, self.elapsed_s / self.seconds)


Watch = Callable[[str, str, Progress], None]
"""Is told film, colour and how far the nesting is; what it raises ends it."""
