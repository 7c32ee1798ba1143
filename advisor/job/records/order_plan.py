"""Order plan: the plan of each print of an order, and how a garment's prints follow one another."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any, Self

from pydantic import Field

from advisor.job.records.plan import QUANTITIES, Plan
from rules.facts.fact import Record, Slug
from rules.facts.print_place import GarmentPart, Side
from rules.facts.text import Text, typed_sentences, with_typed_sentences
from rules.facts.units import show_mm

__all__ = [
    "Gets",
    "LaidRun",
    "LiesOn",
    "OrderPlan",
    "PlannedPrint",
    "PressRow",
]


class LiesOn(Record):
    """Where a print lies on the garments of one line of the order, and how large it is there.

    Attributes:
        line: of the order, from 0.
        top_mm: from the upper edge of the print area; ``across_mm``: of its middle from that of
            the area, to the wearer's left positive.
        told: where a person measures from.
    """

    line: int = Field(ge=0)
    area: Slug
    top_mm: float
    across_mm: float
    width_mm: float
    height_mm: float
    told: Text = Field(default_factory=Text)

    @property
    def where(self) -> Text:
        """Where it lies, from what a person measures it."""
        below = f"{show_mm(self.top_mm):g} below the upper edge of the {self.area}"
        return self.told or Text(below)


class PlannedPrint(Record):
    """One print of an order with its plan, proved like that of any job.

    Attributes:
        id: its place, with what is lettered there; ``at`` is the place.
        lettering: the column whose words are set; ``None`` for an artwork.
        lies: one for each line of its plan's print, in their order.
    """

    id: Slug
    at: Slug
    part: GarmentPart
    side: Side
    lettering: str | None = None
    lies: tuple[LiesOn, ...]
    plan: Plan


class LaidRun(Record):
    """The order of places in one run of garments.

    Attributes:
        prints: in the order in which they are pressed; ``first_n``: the first step of each.
        seconds_each: at the press for one garment, s.
        orders: in how many orders they could be pressed; ``refused`` of which harm a print.
        why: why this one.
    """

    run: int = Field(ge=1)
    prints: tuple[Slug, ...]
    first_n: tuple[int, ...]
    seconds_each: float
    orders: int = Field(ge=1)
    refused: int = Field(ge=0)
    why: Text


class Gets(Record):
    """What one person gets: ``lettered`` by print, where ``row`` is their line in the list."""

    row: int
    line: int = Field(ge=0)
    quantity: int = Field(ge=1)
    says: Mapping[str, str]
    lettered: Mapping[str, str]


class PressRow(Record):
    """A row of the press list: so many garments alike, and who gets them.

    Attributes:
        row: the person's line in the list; ``None`` for garments that are for nobody on it.
        gets: what is lettered, by place and column; nothing where it stays bare.
    """

    run: int
    row: int | None
    quantity: int
    worn: str
    gets: Mapping[str, str]
    says: Mapping[str, str] = {}


class OrderPlan(Record):
    """An order planned: the whole as one plan, whose pieces are called ``print/piece``.

    As JSON it is that plan with ``prints``, ``laid`` and ``people`` beside its own keys.
    """

    whole: Plan
    prints: tuple[PlannedPrint, ...]
    laid: tuple[LaidRun, ...] = ()
    people: tuple[Gets, ...] = ()

    def print(self, print_id: str) -> PlannedPrint:
        """The print of that id; ``KeyError`` if there is none."""
        return {one.id: one for one in self.prints}[print_id]

    @property
    def lettered(self) -> tuple[str, ...]:
        """What is lettered, each place with its column once."""
        return tuple(dict.fromkeys(_place_and_column(o) for o in self.prints if o.lettering))

    @property
    def told_apart(self) -> tuple[str, ...]:
        """Columns that tell one garment of a pile from the next, where they are not lettered."""
        return tuple(
            column
            for column in ("size", "name")
            if any(person.says.get(column) for person in self.people)
            and not any(lettered.endswith(f": {column}") for lettered in self.lettered)
        )

    def press_list(self) -> tuple[PressRow, ...]:
        """Who gets which, in the order in which the garments are pressed."""
        rows: list[PressRow] = []
        for run in self.whole.runs:
            for number in (garment.line for garment in run.garments):
                line = self.whole.print.lines[number]
                own = sorted((p for p in self.people if p.line == number), key=lambda p: p.row)
                for person in own:
                    gets = {
                        _place_and_column(self.print(name)): said
                        for name, said in person.lettered.items()
                    }
                    rows.append(
                        PressRow(
                            run=run.run, row=person.row, quantity=person.quantity,
                            worn=line.worn, gets=gets, says=person.says,
                        )
                    )  # fmt: skip
                left = line.quantity - sum(person.quantity for person in own)
                if left > 0:
                    rows.append(
                        PressRow(run=run.run, row=None, quantity=left, worn=line.worn, gets={})
                    )
        return tuple(rows)

    def document(self) -> dict[str, Any]:
        """The order plan as plain data, with the keys of a plan and its own."""
        more = self.model_dump(mode="json", exclude={"whole"})
        document = self.whole.model_dump(mode="json") | more
        # Sentences are plain there, as those of a plan are.
        typed = typed_sentences([*self.laid, *(one.lies for one in self.prints)])
        document[QUANTITIES] += json.loads(json.dumps(typed))
        return document

    def text(self) -> str:
        """The same as JSON text that `read_order_plan` takes back."""
        return json.dumps(self.document(), ensure_ascii=False, indent=2) + "\n"

    @classmethod
    def from_document(cls, document: Mapping[str, Any]) -> Self:
        """An order plan from its plain data; pydantic's complaints are the caller's to word."""
        own = {name: document[name] for name in cls.model_fields if name in document}
        own = with_typed_sentences(own, document.get(QUANTITIES, ()))
        rest = {name: value for name, value in document.items() if name not in cls.model_fields}
        return cls.model_validate({**own, "whole": rest})


def _place_and_column(one: PlannedPrint) -> str:
    return f"{one.at.replace('-', ' ')}: {one.lettering}"
