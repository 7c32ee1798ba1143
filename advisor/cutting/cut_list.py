"""Cut list: what a cut says in rows and sentences: carriers, fine details, notes."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence

from advisor.cutting.detail import ROUNDING_MM, FinePlace, Kind
from advisor.cutting.layout import SizedCut
from advisor.cutting.records import CutReport, FineDetail
from advisor.cutting.separation import BULK_LAYERS
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from rules.facts.film import Film

__all__ = ["fine_details", "fine_names", "list_csv", "notes_on"]

SMALL_NAME = 0.6
LEAST_LAP_MM2 = 1.0


def fine_details(size: SizedCut, fine: Sequence[FinePlace]) -> list[FineDetail]:
    """The fine places of a size but for its names, which are looked at one by one."""
    return [
        FineDetail(
            piece=place.piece,
            film=place.film,
            width_mm=size.width_mm,
            kind=place.kind,
            measure_mm=place.measure_mm,
            least_mm=place.least_mm,
            x_mm=place.x_mm,
            y_mm=place.y_mm,
            by_separation=place.by_separation,
        )
        for place in fine
        if place.piece != NAMES_PIECE
    ]


def fine_names(size: SizedCut, films: Mapping[str, Film]) -> list[FineDetail]:
    """What is too fine in each name: the finest stroke, gap and bit of it."""
    found = []
    for one in size.named:
        film = films[NAMES_PIECE]
        fine = one.fineness
        measures: tuple[tuple[Kind, float | None, float], ...] = (
            ("stroke", fine.least_stroke_mm, film.least_stroke_mm),
            ("gap", fine.least_gap_mm, film.least_gap_mm),
            ("island", math.sqrt(fine.island_areas_mm2[0]), film.least_stroke_mm),
        )
        middle = one.shape.centroid
        found += [
            FineDetail(
                piece=NAMES_PIECE,
                film=film.id,
                width_mm=size.width_mm,
                kind=kind,
                measure_mm=round(measure_mm, 2),
                least_mm=least_mm,
                x_mm=round(middle.x, 2),
                y_mm=round(middle.y, 2),
                name=one.name,
            )
            for kind, measure_mm, least_mm in measures
            if measure_mm is not None and measure_mm < least_mm - ROUNDING_MM
        ]
    return found


def notes_on(plan: Plan, sizes: Sequence[SizedCut]) -> tuple[str, ...]:
    """What to know before cutting: traps and film left out, names that do not fit the order."""
    notes: dict[str, None] = {}
    for size in sizes:
        wide = f"{size.width_mm:g} mm wide"
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
        notes |= dict.fromkeys(f"{wide}: {note}" for note in _notes_on_names(plan, size))
    return (*notes,)


def _notes_on_names(plan: Plan, size: SizedCut) -> list[str]:
    """Names that do not match the order, were made smaller, or lie where no plan foresaw them."""
    notes = []
    met = {
        joint.lower if joint.upper == NAMES_PIECE else joint.upper
        for joint in plan.joints
        if NAMES_PIECE in (joint.upper, joint.lower)
    }
    for garment, quantity in size.garments:
        named = sum(one.quantity for one in size.named if one.size == garment)
        if size.named and named != quantity:
            notes.append(f"{named} names for {quantity} {garment}")
    for one in size.named:
        if one.drawn_in < SMALL_NAME:
            notes.append(
                f"{one.name!r} is too long for its box and set at {one.drawn_in:.0%} of the others"
            )
        under = [
            piece.id
            for piece in size.artwork.pieces
            if piece.id not in met and piece.shape.intersection(one.shape).area > LEAST_LAP_MM2
        ]
        if under:
            notes.append(f"{one.name!r} lies over {', '.join(under)}, which was not planned")
    return notes


def list_csv(report: CutReport) -> str:
    """A row for every carrier, as a spreadsheet reads it."""
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(
        ["film", "colour", "press", "artwork_width_mm", "garments", "count", "name", "pieces",
         "mirrored", "carrier_width_mm", "carrier_height_mm", "area_cm2", "cut_m", "svg", "dxf"]
    )  # fmt: skip
    for file in report.files:
        cells = [
            file.film, file.colour, file.press, file.width_mm, " + ".join(file.garments),
            file.count, file.name, " ".join(file.pieces), "yes" if file.mirrored else "no",
            *file.carrier_mm, round(file.area_mm2 / 100, 1), round(file.cut_mm / 1000, 2),
            file.svg, file.dxf,
        ]  # fmt: skip
        table.writerow([_inert(cell) for cell in cells])
    return text.getvalue()


def _inert(cell: object) -> object:
    """A text that no spreadsheet takes for a formula."""
    if isinstance(cell, str) and cell.startswith(("=", "+", "-", "@")):
        return f"'{cell}"
    return cell
