"""Cut list: what a cut says in rows and sentences: carriers, fine details, notes."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from advisor.cutting.detail import ROUNDING_MM, finest_spot, measures
from advisor.cutting.lettering import fitted_notes, nameless_notes, names_fineness
from advisor.cutting.records.cut import SizedCut
from advisor.cutting.records.report import CutReport, FineDetail, FinePlace
from advisor.cutting.records.rolls import RollNeed
from advisor.cutting.roll.order import NestedRoll
from advisor.cutting.separation import BULK_LAYERS
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from rules.facts.film import Film
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = ["fine_details", "list_csv", "notes_on", "roll_csv", "roll_need", "rolls_note"]

LEAST_LAP_MM2 = 1.0


def fine_details(
    size: SizedCut, fine: Sequence[FinePlace], films: Mapping[str, Film]
) -> list[FineDetail]:
    """The fine places of a size; for its names the finest stroke, gap and bit of each."""
    drawn = [place.detail for place in fine if place.detail.piece != NAMES_PIECE]
    return drawn + [
        FineDetail(
            piece=NAMES_PIECE,
            film=films[NAMES_PIECE].id,
            width_mm=size.width_mm,
            kind=kind,
            measure_mm=round(measure_mm, 2),
            least_mm=least_mm,
            x_mm=round(spot.x, 2),
            y_mm=round(spot.y, 2),
            name=one.name,
            inside={"stroke": one.fineness.stroke_in, "gap": one.fineness.gap_in}.get(kind, ""),
        )
        for one in size.named
        for kind, measure_mm, least_mm in measures(one.fineness, films[NAMES_PIECE])
        if measure_mm < least_mm - ROUNDING_MM
        for spot in [finest_spot(one.shape, kind, least_mm)]
    ]


def notes_on(plan: Plan, sizes: Sequence[SizedCut]) -> tuple[Text, ...]:
    """What to know before cutting: traps and film left out, names that do not fit the order."""
    notes: dict[str, None] = {}
    for size in sizes:
        wide = f"{show_mm(size.width_mm):g} wide"
        for note in size.separation.notes:
            notes[f"{wide}: {note}"] = None
        for piece in size.separation.pieces:
            if piece.bulk_mm2 > 0:
                notes[
                    f"{wide}: {piece.bulk_mm2 / 100:.1f} cm² of {piece.id} that would lie under "
                    f"{BULK_LAYERS} or more layers are left out"
                ] = None
            if piece.shape.is_empty:
                notes[f"{wide}: nothing of {piece.id} is left to cut; it is all knocked out"] = None
        of_names = (note for note in _notes_on_names(plan, size) if note not in plan.notes)
        notes |= dict.fromkeys(f"{wide}: {note}" for note in of_names)
    return tuple(map(Text, notes))


def _notes_on_names(plan: Plan, size: SizedCut) -> list[str]:
    """Names that do not match the order, were made smaller, or lie where no plan foresaw them."""
    notes = []
    met = {
        joint.lower if joint.upper == NAMES_PIECE else joint.upper
        for joint in plan.joints
        if NAMES_PIECE in (joint.upper, joint.lower)
    }
    if size.named:
        named = Counter[str]()
        for one in size.named:
            named[one.size] += one.quantity
        notes += nameless_notes(dict(size.garments), named)
    if (high_mm := names_fineness(size.named).capital_mm) is not None:
        notes.append(Text(f"capitals or digits are cut {show_mm(high_mm):.0f} high"))
    notes += fitted_notes(size.named)
    for one in size.named:
        under = [
            piece.id
            for piece in size.artwork.pieces
            if piece.id not in met and piece.shape.intersection(one.shape).area > LEAST_LAP_MM2
        ]
        if under:
            notes.append(f"{one.name!r} lies over {', '.join(under)}, which was not planned")
    return notes


def rolls_note(rolls: Sequence[RollNeed]) -> tuple[Text, ...]:
    """What to know about the metres of all rolls together.

    >>> rolls_note([])
    ()
    """
    if not rolls:
        return ()
    notes = [
        f"metres of roll are for carriers {show_mm(3)} apart as in the rolls' own cut files; "
        "cutting the files one by one takes more"
    ]
    films = Counter(roll.film for roll in rolls)
    notes += [
        f"{film}: the shelf counts its colours together; each is offered what those before it leave"
        for film, colours in sorted(films.items())
        if colours > 1
    ]
    if any(roll.interrupted for roll in rolls):
        notes.append("nesting was stopped early: the metres are the best found so far")
    return tuple(map(Text, notes))


def roll_need(roll: NestedRoll, *, stem: str) -> RollNeed:
    """What the cut report says of a roll.

    Args:
        stem: what its files are called, before ``.svg`` and the like.
    """
    layout = roll.layout
    return RollNeed(
        film=roll.film.id,
        colour=roll.colour,
        parts=len(layout.placements),
        roll_width_mm=roll.film.roll_width_mm,
        length_m=round(roll.length_m, 4),
        used_m2=round(roll.used_m2, 6),
        waste_pct=round(roll.waste_pct, 1),
        cost=round(roll.cost, 2),
        on_shelf_m=round(roll.on_shelf_m, 4),
        short_m=round(roll.short_m, 4),
        method=layout.method,
        note=Text(layout.note),
        interrupted=layout.interrupted,
        sentence=roll.sentence,
        svg=f"{stem}.svg",
        png=f"{stem}.png",
        cut_svg=f"{stem}_cut.svg",
        cut_dxf=f"{stem}_cut.dxf",
    )


def list_csv(report: CutReport) -> str:
    """A row for every carrier, as a spreadsheet reads it."""
    columns = (
        "film", "colour", "press", "artwork_width_mm", "garments", "count", "name", "pieces",
        "mirrored", "carrier_width_mm", "carrier_height_mm", "area_cm2", "cut_m", "svg", "dxf",
    )  # fmt: skip
    rows = [
        (
            file.film, file.colour, file.press, file.width_mm, " + ".join(file.garments),
            file.count, file.name, " ".join(file.pieces), "yes" if file.mirrored else "no",
            *file.carrier_mm, round(file.area_mm2 / 100, 1), round(file.cut_mm / 1000, 2),
            file.svg, file.dxf,
        )
        for file in report.files
    ]  # fmt: skip
    return _csv(columns, rows)


def roll_csv(rolls: Sequence[RollNeed]) -> str:
    """A row for every film and colour, as a spreadsheet reads it.

    >>> roll_csv([]).split(",")[:3]
    ['film', 'colour', 'parts']
    """
    columns = (
        "film", "colour", "parts", "roll_width_mm", "length_m", "waste_pct", "cost", "on_shelf_m",
        "short_m", "method", "note", "svg", "png", "cut_svg", "cut_dxf",
    )  # fmt: skip
    return _csv(columns, [[getattr(roll, column) for column in columns] for roll in rolls])


def _csv(columns: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(columns)
    table.writerows([_inert(cell) for cell in row] for row in rows)
    return text.getvalue()


def _inert(cell: object) -> object:
    """A text that no spreadsheet takes for a formula."""
    if isinstance(cell, str) and cell.startswith(("=", "+", "-", "@")):
        return f"'{cell}"
    return cell
