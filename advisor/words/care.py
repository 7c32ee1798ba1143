"""Care in words: the customer's care card, its symbols told as the standard draws them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from advisor.job.records.plan import Plan
from rules.book.care import FIRST_WASH_H, TUMBLE_LOW_C, Care, care_for
from rules.catalogue import Catalogue
from rules.facts.text import Text
from rules.facts.units import show_c

__all__ = ["CareCard", "CareLine", "care_cards", "care_data", "care_page", "set_by"]

TEMPLATES = Path(__file__).parent / "ticket" / "templates"
DOTS = {110: "one dot", 150: "two dots"}
BARS = {1: "one bar beneath", 2: "two bars beneath"}


@dataclass(frozen=True, slots=True)
class CareLine:
    """One thing that a customer is asked.

    Attributes:
        symbol: the symbol of the care label, in words.
        said: what it asks.
    """

    what: str
    symbol: Text
    said: Text


@dataclass(frozen=True, slots=True)
class CareCard:
    """How some garments of an order are cared for, all alike."""

    garments: tuple[str, ...]
    care: Care
    lines: tuple[CareLine, ...]


def care_cards(plan: Plan, known: Catalogue) -> tuple[CareCard, ...]:
    """The care cards of an order: garments that are cared for alike share one.

    A garment that bears no print of a film is still judged with all films of the job.
    """
    films = [known.film(name) for name in dict.fromkeys(piece.film for piece in plan.pieces)]
    alike: dict[tuple[object, ...], tuple[Care, list[str]]] = {}
    for run in plan.runs if films else ():
        for line in plan.lines_of(run):
            care = care_for(films, known.fabric(line.fabric))
            asked = (care.wash_c, care.bars, care.tumbled, care.iron_c)
            garments = alike.setdefault(asked, (care, []))[1]
            if line.worn not in garments:
                garments.append(line.worn)
    return tuple(CareCard(tuple(garments), care, _lines(care)) for care, garments in alike.values())


def care_data(cards: tuple[CareCard, ...]) -> list[dict[str, Any]]:
    """Care cards as plain data, for a document."""
    return [
        {**asdict(card), "lines": [_plain(asdict(line)) for line in card.lines]} for card in cards
    ]


def _plain(line: Mapping[str, Any]) -> dict[str, str]:
    return {key: str(value) for key, value in line.items()}


def care_page(cards: tuple[CareCard, ...], *, job: str) -> str:
    """The care cards as one HTML document to print and hand over; a page holds no other names.

    Temperatures are in °C, as care labels have them.
    """
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("care.html.j2").render(job=job, cards=cards)


def set_by(care: Care) -> Text:
    """Which film or fabric sets each limit: for the shop, not for its customer."""
    dried = "" if care.tumbled else f", the drying by {care.tumble_by}"
    return Text(f"The wash is set by {care.wash_by}, the iron by {care.iron_by}{dried}.")


def _lines(care: Care) -> tuple[CareLine, ...]:
    bars = BARS[care.bars]
    if care.wash_c is None:
        wash = ("washtub with a hand", "by hand, lukewarm, without rubbing the print")
    else:
        wash = (
            f"washtub, {care.wash_c}, {bars}",
            f"inside out at {show_c(care.wash_c)} at most, a "
            f"{'very ' if care.bars == 2 else ''}mild programme, no softener",
        )
    if care.tumbled:
        dry = (
            "square with a circle, one dot",
            f"hang it up; in a tumble drier at low heat ({show_c(TUMBLE_LOW_C)}) at most",
        )
    else:
        dry = ("square with a circle, crossed out", "hang it up; never in a tumble drier")
    if care.iron_c is None:
        iron = ("iron, crossed out", "not at all")
    else:
        iron = (
            f"iron, {DOTS[care.iron_c]}",
            f"from inside at {show_c(care.iron_c)} at most, never on the print itself",
        )
    rows = (
        ("First wash", "", f"not before {FIRST_WASH_H} hours after it was pressed"),
        ("Wash", *wash),
        ("Bleach", "triangle, crossed out", "not at all"),
        ("Dry", *dry),
        ("Iron", *iron),
        ("Dry-clean", "circle, crossed out", "not at all: solvents loosen the print"),
    )
    return tuple(CareLine(what, Text(symbol), Text(said)) for what, symbol, said in rows)
