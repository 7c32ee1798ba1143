"""Print jobs: each print of an order as a job by itself, on the garments that bear it."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from advisor.answers.prepared_job import fills_in, set_size_mm, shape_of
from advisor.job.records.job import DEFAULT_LOOK, GarmentLine, GivenNames, Job, NameRow, Wishes
from advisor.job.records.order import AskedPrint, Order, OrderedGarment, SpotAt
from advisor.job.records.people import People
from advisor.job.records.print_job import PrintJob
from rules.catalogue import Catalogue
from rules.catalogue.places import place_named, spot_at
from rules.errors import BadInputError, told_together
from rules.facts.garment import Garment
from rules.facts.print_place import PlaceSpot, PrintPlace, lies_inside
from rules.facts.text import Text
from rules.facts.units import show_mm, show_size
from rules.knowledge import Knowledge

__all__ = ["naming_print", "print_jobs"]

LEAST_HIGH_MM = 10.0
"""The least that a place by its measures leaves for a print, mm."""


@dataclass(frozen=True, slots=True)
class _AskedAt:
    """A print that a line asks for, with its place looked up."""

    line: int
    nth: int
    garment: OrderedGarment
    print: AskedPrint
    place: PrintPlace
    spot: PlaceSpot

    @property
    def field(self) -> str:
        return f"garments.{self.line}.prints.{self.nth}"


def print_jobs(
    order: Order, people: People, *, folder: Path, knowledge: Knowledge
) -> tuple[PrintJob, ...]:
    """The prints of an order: what several lines bear alike is one, at the size of each line.

    Lettering of one column and one height is one block, narrow enough for every garment that
    bears it, so that the letters of a crew match.

    Raises:
        BadInputError: a place by its measures lies off the garment, or nobody gets a lettering.
        UnknownNameError: a garment has no such place; the message tells what it has.
    """
    alike: dict[str, list[_AskedAt]] = {}
    for asked in _asked(order, knowledge.catalogue):
        what = asked.print.model_dump(exclude={"at"}) | {"place": asked.place.id}
        if isinstance(asked.print.at, SpotAt):
            what["place"] = repr(asked.print.at)
        if asked.print.lettering is None:
            del what["width_mm"], what["height_mm"]
        key = repr(what)
        for one in (one for one in alike.get(key, ()) if one.line == asked.line):
            if one.print == asked.print:
                raise BadInputError("is the same print as one before it", field=asked.field)
            key = repr(asked.print)
        alike.setdefault(key, []).append(asked)
    jobs: list[PrintJob] = []
    wrong: list[BadInputError] = []
    for bear in alike.values():
        first = bear[0]
        column = None
        try:
            if first.print.lettering is not None:
                column = first.print.lettering.column.strip().lower()
                job = _lettering(order, people, bear, column, folder=folder)
            else:
                job = _artwork(order, bear, folder=folder)
        except BadInputError as error:
            wrong.append(error)
            continue
        jobs.append(
            PrintJob(
                id=_id(first.place.id, column, [one.id for one in jobs]),
                place=first.place,
                job=job,
                lines=tuple(one.line for one in bear),
                spots=tuple(one.spot for one in bear),
                column=column,
            )
        )
    _refuse_all(wrong)
    return tuple(jobs)


@contextmanager
def naming_print(one: PrintJob) -> Iterator[None]:
    """Name the print in a complaint about what is asked of it."""
    try:
        yield
    except BadInputError as error:
        what = f"lettering of {one.column}" if one.column else one.job.artwork
        field = f"print {one.id} ({what})"
        raise error.at(field=f"{field}: {error.field}" if error.field else field) from None


def _id(place: str, column: str | None, taken: Sequence[str]) -> str:
    """A name for a print that no other has."""
    plain = "".join(c if c.isascii() and c.isalnum() else "-" for c in column or "")
    plain = "-".join(part for part in plain.split("-") if part)
    name = f"{place}-{plain}" if plain else place
    names = (name, *(f"{name}-{number}" for number in range(2, len(taken) + 2)))
    return next(one for one in names if one not in taken)


def _asked(order: Order, known: Catalogue) -> list[_AskedAt]:
    found: list[_AskedAt] = []
    wrong: list[BadInputError] = []
    for number, line in enumerate(order.garments):
        garment = known.garment(line.garment)
        for nth, asked in enumerate(line.prints):
            field = f"garments.{number}.prints.{nth}"
            try:
                place, spot = _spot(asked, garment)
            except BadInputError as error:
                wrong.append(error.at(field=f"{field}.at"))
                continue
            of = f"{place.id} of {garment.id}"
            for key, said_mm, there_mm, how in (
                ("width_mm", asked.width_mm, spot.width_mm, "wide"),
                ("height_mm", asked.height_mm, spot.height_mm, "high"),
            ):
                if said_mm is not None and said_mm > there_mm + 0.1:
                    told = f"is {show_mm(said_mm):g}; {of} is {show_mm(there_mm):.0f} {how}"
                    wrong.append(BadInputError(Text(told), field=f"{field}.{key}"))
            found.append(_AskedAt(number, nth, line, asked, place, spot))
    _refuse_all(wrong)
    return found


def _refuse_all(wrong: Sequence[BadInputError]) -> None:
    """Refuse all that is wrong with the prints of an order at once."""
    if len(wrong) == 1:
        raise wrong[0]
    if wrong:
        raise told_together(
            Text(": ".join(part for part in (one.source, one.field, f"{one.reason}") if part))
            for one in wrong
        )


def _spot(asked: AskedPrint, garment: Garment) -> tuple[PrintPlace, PlaceSpot]:
    """The place of a print on a garment, and the box that it has there."""
    if isinstance(asked.at, str):
        place = place_named(asked.at, garment)
        return place, spot_at(place, garment)
    area = garment.print_area(asked.at.area)
    place = place_named(area.name, garment)
    spot = PlaceSpot(
        area,
        asked.at.below_mm,
        asked.at.across_mm,
        area.width_mm - 2 * abs(asked.at.across_mm),
        area.height_mm - asked.at.below_mm,
    )
    if min(spot.width_mm, spot.height_mm) < LEAST_HIGH_MM or not lies_inside(spot):
        raise BadInputError(
            Text(
                f"{show_mm(asked.at.below_mm):g} below the edge and "
                f"{show_mm(asked.at.across_mm):g} beside the middle lies off the {area.name} of "
                f"{garment.id}, which is {show_size(area.width_mm, area.height_mm)}"
            )
        )
    if asked.width_mm is not None:
        spot = replace(spot, width_mm=min(spot.width_mm, area.width_mm))
    return place, spot


def _shared(order: Order) -> dict[str, Any]:
    return {name: getattr(order, name) for name in Wishes.model_fields}


def _line(one: _AskedAt, width_mm: float) -> GarmentLine:
    garment = one.garment
    return GarmentLine(
        garment=garment.garment,
        colour=garment.colour,
        quantity=garment.quantity,
        artwork_width_mm=width_mm,
        area=one.spot.area.name,
        fabric=garment.fabric,
    )


def _artwork(order: Order, bear: Sequence[_AskedAt], *, folder: Path) -> Job:
    """The job of an artwork, at the width of each line or at that which gives the height."""
    first = bear[0].print
    looks = first.looks or order.looks or {}
    widths = [one.print.width_mm or one.spot.width_mm for one in bear]
    job = Job.model_construct(
        **_shared(order),
        artwork=first.artwork or "",
        looks=looks,
        garments=tuple(map(_line, bear, widths)),
        leave_out=first.leave_out,
        joints=first.joints,
    )
    if first.looks is None or order.called:
        # Looks and names of the whole order are of all its artworks' fills.
        here = {DEFAULT_LOOK, *fills_in(job, folder=folder)}
        own = {fill: look for fill, look in looks.items() if fill in here}
        called = {fill: name for fill, name in order.called.items() if fill in here}
        wished = looks if first.looks is not None else own or looks
        job = job.model_copy(update={"looks": wished, "called": called})
    wide, high = shape_of(job, folder=folder)
    widths = [
        width if one.print.height_mm is None else one.print.height_mm * wide / high
        for one, width in zip(bear, widths, strict=True)
    ]
    for one, width in zip(bear, widths, strict=True):
        if width > one.spot.width_mm + 0.1 or width * high / wide > one.spot.height_mm + 0.1:
            raise BadInputError(
                Text(
                    f"the artwork would be {show_size(width, width * high / wide)}; {one.place.id} "
                    f"of {one.garment.garment} is "
                    f"{show_size(one.spot.width_mm, one.spot.height_mm)}: print it "
                    f"{show_mm(min(one.spot.width_mm, one.spot.height_mm * wide / high)):.0f} wide "
                    "at most"
                ),
                field=one.field,
            )
    return job.model_copy(update={"garments": tuple(map(_line, bear, widths))})


def _lettering(
    order: Order, people: People, bear: Sequence[_AskedAt], column: str, *, folder: Path
) -> Job:
    """The job of a lettering: nothing is drawn, and everyone's letters are set in one box.

    The height asked is that of the capitals. The box is as wide as the widest of them and as high
    as all of them, accents and tails too, so that a print is no larger than it is.
    """
    first = bear[0].print
    height_mm = min(one.spot.height_mm for one in bear)
    width_mm = first.width_mm or min(one.spot.width_mm for one in bear)
    lines = [one.line for one in bear]
    rows = tuple(
        NameRow(
            person.lettered(column),
            person.quantity,
            order.garments[person.line].garment,
            person.row,
        )
        for person in people.rows
        if person.line in lines and person.lettered(column)
    )
    if not rows:
        raise BadInputError(
            f"nobody on the list gets a {column} there: its column holds only dashes for these "
            "garments",
            field=bear[0].field,
        )
    names = GivenNames(
        file=order.people or "",
        font=first.lettering.font if first.lettering else None,
        box_mm=(0.0, 0.0, width_mm, height_mm),
        look=first.wish,
        rows=rows,
        capital_mm=first.height_mm or 0.0,
    )

    def set_in(width_mm: float, height_mm: float) -> Job:
        return Job.model_construct(
            **_shared(order),
            artwork="",
            looks={DEFAULT_LOOK: first.wish},
            garments=tuple(_line(one, width_mm) for one in bear),
            names=names.model_copy(update={"box_mm": (0.0, 0.0, width_mm, height_mm)}),
        )

    wide_mm, high_mm = set_size_mm(set_in(width_mm, height_mm), folder=folder)
    return set_in(min(width_mm, math.ceil(wide_mm)), min(height_mm, math.ceil(high_mm)))
