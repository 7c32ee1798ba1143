"""Order: garments with several prints each, and the people who get them, as they are written."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any, Self

from pydantic import (
    Discriminator,
    Field,
    StringConstraints,
    Tag,
    model_validator,
)

from advisor.job.meant import line_in_ids, looks_in_ids, wish_in_ids
from advisor.job.misspelt import read_whole
from advisor.job.records.job import (
    FileName,
    GarmentColour,
    LeftOut,
    Looks,
    Said,
    SaidFamily,
    SaidFinish,
    Wish,
    WishedJoints,
    Wishes,
    job_document,
)
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError
from rules.facts.fact import Hex, PlainText, Record

__all__ = ["AskedLettering", "AskedPrint", "Order", "OrderedGarment", "SpotAt", "read_order"]

MOST_PRINTS = 6
"""So many prints a garment may have: every order of them is weighed."""


class SpotAt(Record):
    """A place by its measures: how far below the upper edge of a print area, mm, and how far its
    middle lies beside that of the area, mm, to the wearer's left positive."""

    area: Said
    below_mm: float = Field(default=0.0, ge=0, le=1500)
    across_mm: float = Field(default=0.0, ge=-750, le=750)


SizeLabel = Annotated[PlainText, StringConstraints(min_length=1, max_length=12)]


class AskedLettering(Record):
    """What is lettered: a column of the list of people, each with their own."""

    column: Annotated[PlainText, StringConstraints(min_length=1, max_length=60)]
    font: FileName | None = None


def _said_how(at: Any) -> str:
    """Only one kind of place is then complained of, the one that was meant."""
    return "place-by-measures" if isinstance(at, dict | SpotAt) else "place-by-name"


class AskedPrint(Record):
    """One print: where it lies, and an artwork with its looks or the lettering of a column.

    An artwork is given by its width or its height; lettering by the height of its capitals (accents
    and tails lie beyond it), and if wanted by the most that it may be wide (``width_mm``).
    """

    at: Annotated[
        Annotated[Said, Tag("place-by-name")] | Annotated[SpotAt, Tag("place-by-measures")],
        Discriminator(_said_how),
    ]
    artwork: FileName | None = None
    lettering: AskedLettering | None = None
    width_mm: float | None = Field(default=None, ge=10, le=1500)
    height_mm: float | None = Field(default=None, ge=5, le=1500)
    looks: Looks | None = Field(default=None, min_length=1)
    leave_out: LeftOut = ()
    joints: WishedJoints = ()
    finish: SaidFinish | None = None
    film: Said | None = None
    colour: Said | Hex | None = None
    family: SaidFamily | None = None

    @model_validator(mode="after")
    def _is_one_of_the_two(self) -> Self:
        if (self.artwork is None) == (self.lettering is None):
            raise ValueError("a print names an artwork, or the lettering of a column: one of them")
        if self.artwork is not None:
            if (self.width_mm is None) == (self.height_mm is None):
                raise ValueError("an artwork is given its width_mm or its height_mm: one of them")
            if (self.finish, self.film, self.colour, self.family) != (None,) * 4:
                raise ValueError("the films of an artwork are wished in its looks, a fill each")
            return self
        if self.height_mm is None:
            raise ValueError("lettering needs its height_mm, one height for all letters")
        if self.looks is not None:
            raise ValueError("lettering has a finish, a film or a family, and no looks")
        if (self.finish, self.film, self.family) == (None,) * 3:
            raise ValueError("lettering names a finish, a film or a family")
        return self

    @property
    def wish(self) -> Wish:
        """The look of lettering."""
        return Wish(finish=self.finish, film=self.film, colour=self.colour, family=self.family)


class OrderedGarment(Record):
    """So many of one garment in one colour, all with the same prints.

    ``sizes`` says how many of each size they are, by what is on the label; the list of people is
    then held to them.
    """

    garment: Said
    colour: GarmentColour | None = None
    fabric: Said | None = None
    quantity: int = Field(default=1, ge=1, le=10_000, strict=True)
    sizes: dict[SizeLabel, Annotated[int, Field(ge=1, le=10_000)]] | None = None
    prints: tuple[AskedPrint, ...] = Field(min_length=1, max_length=MOST_PRINTS)

    @model_validator(mode="before")
    @classmethod
    def _is_as_many_as_its_sizes(cls, line: object) -> object:
        if not isinstance(line, dict) or not isinstance(line.get("sizes"), dict):
            return line
        counts = list(line["sizes"].values())
        if not counts or not all(isinstance(count, int) for count in counts):
            return line
        if line.get("quantity", sum(counts)) != sum(counts):
            raise ValueError(
                f"the sizes come to {sum(counts)} garments, and quantity says {line['quantity']}"
            )
        # A size that is a number, such as 38, is read as one.
        sizes = {str(size): count for size, count in line["sizes"].items()}
        return {**line, "sizes": sizes, "quantity": sum(counts)}

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that are lettered on it, each once."""
        named = (asked.lettering.column for asked in self.prints if asked.lettering is not None)
        return tuple(dict.fromkeys(column.strip().lower() for column in named))

    @property
    def worn(self) -> str:
        """The garment with its colour, if one is named."""
        return f"{self.garment}:{self.colour}" if self.colour else self.garment


class Order(Wishes):
    """An order: garments with their prints, the people who get them, press and preference.

    Attributes:
        looks: those of every artwork that brings none of its own.
        people: a CSV file or an XLSX spreadsheet with a row for each person and any columns;
            ``garment``, ``size``, ``colour`` and ``quantity`` are known.
    """

    garments: tuple[OrderedGarment, ...] = Field(min_length=1, max_length=100)
    looks: Looks | None = Field(default=None, min_length=1)
    people: FileName | None = None

    @model_validator(mode="after")
    def _says_what_is_needed(self) -> Self:
        for number, line in enumerate(self.garments):
            for nth, asked in enumerate(line.prints):
                where = f"garments.{number}.prints.{nth}"
                if asked.lettering is not None and self.people is None:
                    raise ValueError(
                        f"{where} letters the column {asked.lettering.column!r}; name the list "
                        "of people under people"
                    )
                if asked.artwork is not None and asked.looks is None and self.looks is None:
                    raise ValueError(f"{where} has no looks, and the order has none for all")
        if self.people is not None and not self.columns:
            raise ValueError("people are named, and no print letters a column of theirs")
        return self

    @property
    def columns(self) -> tuple[str, ...]:
        """The columns that are lettered, each once."""
        return tuple(dict.fromkeys(column for line in self.garments for column in line.columns))


def read_order(path: Path, known: Catalogue | None = None) -> Order:
    """The order in a YAML (or JSON) file, its garments and colours read as ids.

    Args:
        known: the shelf that the ids are of; the one that ships by default.

    Raises:
        BadInputError: one line naming file, and each field with its value and limit.
    """
    shelf = known or load_catalogue()
    order = read_whole(Order, job_document(path), shelf, path)
    try:
        lines = (_line(line, shelf, f"garments.{n}") for n, line in enumerate(order.garments))
        update: dict[str, object] = {"garments": tuple(lines)}
        if order.looks is not None:
            update["looks"] = looks_in_ids(order.looks, shelf, "looks")
        return order.model_copy(update=update)
    except BadInputError as error:
        raise error.at(source=str(path)) from None


def _line(line: OrderedGarment, shelf: Catalogue, field: str) -> OrderedGarment:
    """A line with its garment, colours and films by their ids."""
    prints = tuple(
        _print(asked, shelf, f"{field}.prints.{nth}") for nth, asked in enumerate(line.prints)
    )
    return line.model_copy(update=line_in_ids(line, shelf, field) | {"prints": prints})


def _print(asked: AskedPrint, shelf: Catalogue, field: str) -> AskedPrint:
    if asked.looks is not None:
        looks = looks_in_ids(asked.looks, shelf, f"{field}.looks")
        return asked.model_copy(update={"looks": looks})
    if asked.lettering is None:
        return asked
    wish = wish_in_ids(asked.wish, shelf, field)
    return asked.model_copy(update={"film": wish.film, "colour": wish.colour})
