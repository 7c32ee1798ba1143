"""Cut: writes a planned job's cut files, its pictures and its lists, whole or not at all."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import shapely

from advisor.artwork.records import Artwork
from advisor.cutting.cut_list import (
    fine_details,
    list_csv,
    notes_on,
    roll_csv,
    roll_need,
    rolls_note,
)
from advisor.cutting.detail import films_of, fine_places, simplified_artwork, smallest_width_mm
from advisor.cutting.dxf import cut_dxf
from advisor.cutting.layout import lay_out
from advisor.cutting.preview import DrawnPiece, preview_png, preview_svg
from advisor.cutting.records.cut import Carrier, Lettering, SizedCut
from advisor.cutting.records.report import CutFile, CutReport, FinePlace, SmallestPrint
from advisor.cutting.records.rolls import OrderTaken, RollNeed, RollTaken, Watch, whole_cm
from advisor.cutting.roll.order import NestedRoll, nest_order
from advisor.cutting.roll.picture import roll_picture
from advisor.cutting.sheet import roll_sheet
from advisor.cutting.svg import cut_svg
from advisor.cutting.taken import cut_length_mm, taken_in_all
from advisor.job.records.job import Rates
from advisor.job.records.plan import Plan
from advisor.job.saving import refuse_unwritable, safe_name, save_file
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError
from rules.facts.text import Text

__all__ = ["LIST_CSV", "LIST_JSON", "ROLLS_CSV", "cut_job", "taken_of_cut"]

LIST_CSV, LIST_JSON, ROLLS_CSV = "cut-list.csv", "cut-list.json", "roll-list.csv"

MOST_FILES = 4000


def cut_job(
    plan: Plan,
    artwork: Artwork,
    *,
    out: Path,
    names: Sequence[Lettering] = (),
    catalogue: Catalogue | None = None,
    gang: bool = False,
    simplify: bool = False,
    smallest: bool = True,
    rates: Rates | None = None,
    nest_seconds: float | None = None,
    on_nesting: Watch | None = None,
    on_stopped: Callable[[], None] | None = None,
) -> CutReport:
    """Write everything that is needed to cut a planned job.

    For each film and colour and each size: a cut file as SVG and as DXF, mirrored, at true size.
    For each size: a picture of the assembled print as SVG and as PNG, with what is too fine marked
    in it. For the whole job: a list as CSV and as JSON; it is written last, so that a folder with
    a list is complete. Where time is given for nesting, also the whole order on each film's roll,
    as cut files and as a picture, and a list of the metres.

    Args:
        plan: a job planned.
        artwork: the artwork that it was planned with, at any width.
        out: the folder to write to; it is made if it does not exist.
        names: set on this artwork (`letter_names`), if the plan has names.
        gang: all names of a size on one sheet.
        simplify: cut the simpler shapes that are proposed for pieces which are too fine.
        smallest: work out the smallest width at which the artwork can still be cut.
        rates: what time costs in this shop; the usual where not given.
        nest_seconds: nest the whole order on its rolls for so long, all films together; 0 lays
            bounding rectangles. Ctrl-C ends it with the best so far.
        on_nesting: is told film, colour and how far the nesting is.
        on_stopped: is called as soon as Ctrl-C has ended it: the files take a while yet.

    Returns:
        What was written, and what is too fine.

    Raises:
        BadInputError: there is nothing to cut, plan and artwork do not belong together, or a file
            cannot be written. Nothing is written then.
        UnknownNameError: a film or garment is not in the catalogue.

    >>> cut_job(Plan.model_construct(job="kites", status="impossible", runs=()), None, out=Path())
    Traceback (most recent call last):
    rules.errors.BadInputError: the job 'kites' is impossible: there is nothing to cut
    """
    known = catalogue or load_catalogue()
    films = films_of(plan, known)
    sizes = lay_out(plan, artwork, catalogue=known, names=names, gang=gang, rates=rates)
    proposals = {size.width_mm: simplified_artwork(size.artwork, films)[1] for size in sizes}
    if simplify and any(proposals.values()):
        sizes = lay_out(
            plan,
            artwork,
            catalogue=known,
            names=names,
            gang=gang,
            rates=rates,
            prepare=lambda sized: simplified_artwork(sized, films)[0],
        )
    files: dict[str, str | bytes] = {}
    fine = {
        size.width_mm: fine_places(size.separation, films, width_mm=size.width_mm) for size in sizes
    }
    limit = smallest_width_mm(plan, artwork, catalogue=known) if smallest else None
    stems = _stems(plan, sizes)
    listed = [
        _add_files(stems[size.width_mm], size, carrier, files)
        for size in sizes
        for carrier in size.carriers
    ]
    names_of = {piece.id: f"{piece.colour} {piece.film}" for piece in plan.pieces}
    made = "made" if simplify else "if made"
    previews = []
    for size in sizes:
        stem = f"{stems[size.width_mm]}_preview"
        remarks = _on_smallest(limit, names_of) if limit else []
        remarks += [
            f"{names_of[one.piece]} {made} simpler for its film: area {one.change_pct:+.1f} %"
            + (f"; {one.lost}" if one.lost else "")
            for one in proposals[size.width_mm]
        ]
        picture = _picture(plan, size, fine[size.width_mm], remarks, known)
        files[f"{stem}.svg"], files[f"{stem}.png"] = picture, preview_png(picture)
        previews += [f"{stem}.svg", f"{stem}.png"]
    # Last, so that whoever stops it waits for the rolls' files alone.
    rolls: tuple[RollNeed, ...] = ()
    if nest_seconds is not None:
        nested = nest_order(sizes, seconds=nest_seconds, on_progress=on_nesting)
        if on_stopped is not None and any(roll.layout.interrupted for roll in nested):
            on_stopped()
        rolls = tuple(_add_roll(plan, roll, files) for roll in nested)
        files[ROLLS_CSV] = roll_csv(rolls)
    report = CutReport(
        job=plan.job,
        artwork=plan.artwork,
        folder=str(out),
        files=tuple(listed),
        previews=tuple(previews),
        fine=tuple(
            detail for size in sizes for detail in fine_details(size, fine[size.width_mm], films)
        ),
        simpler=tuple(
            one.model_copy(update={"used": simplify}) for each in proposals.values() for one in each
        ),
        smallest=limit,
        notes=(
            *map(Text, dict.fromkeys((*plan.notes, *artwork.notes))),
            *notes_on(plan, sizes),
            *rolls_note(rolls),
        ),
        rolls=rolls,
    )
    files[LIST_CSV] = list_csv(report)
    files[LIST_JSON] = report.model_dump_json(indent=2) + "\n"
    _write(files, out)
    return report


def taken_of_cut(
    reports: Sequence[CutReport], names: int, *, catalogue: Catalogue
) -> OrderTaken | None:
    """What an order takes as it was cut, all its prints; nothing where no roll was nested.

    Args:
        names: people whose names are set.
        catalogue: where its films are.
    """
    rolls = [
        RollTaken(
            film=roll.film,
            colour=roll.colour,
            metres=whole_cm(roll.length_m),
            price_per_m=catalogue.film(roll.film).price_per_m,
        )
        for report in reports
        for roll in report.rolls
    ]
    if not rolls:
        return None
    files = [file for report in reports for file in report.files]
    whole = OrderTaken(
        rolls=tuple(rolls),
        cut_m=round(sum(file.cut_mm * file.count for file in files) / 1000, 3),
        carriers=sum(file.count for file in files),
        names=names,
        laid="cut",
    )
    return taken_in_all([whole])


def _stems(plan: Plan, sizes: Sequence[SizedCut]) -> dict[float, str]:
    """By width, what the names of its files begin with: in whole mm where that tells all apart."""
    widths = [size.width_mm for size in sizes]
    exact = "g" if len(set(map(round, widths))) < len(widths) else ".0f"
    job = safe_name(plan.job)
    return {width: f"{job}_{format(width, exact)}mm".replace(".", "-") for width in widths}


def _add_files(
    stem: str, size: SizedCut, carrier: Carrier, files: dict[str, str | bytes]
) -> CutFile:
    parts = [stem, carrier.film.id, safe_name(carrier.colour)]
    if carrier.presses > 1:
        parts.append(f"press-{carrier.press}")
    if carrier.of > 1:
        parts.append(f"part-{carrier.nth}")
    if carrier.row:
        parts.append(f"{carrier.row:03d}-{safe_name(carrier.names[0], otherwise='name')}")
    elif carrier.names:
        parts.append("names")
    stem = "_".join(parts)
    if f"{stem}.svg" in files:
        raise _two_alike(stem, carrier.film.id)
    sheet = carrier.sheet
    files[f"{stem}.svg"], files[f"{stem}.dxf"] = cut_svg(sheet), cut_dxf(sheet)
    left, top, right, bottom = shapely.total_bounds(list(sheet.borders))
    return CutFile(
        film=carrier.film.id,
        colour=carrier.colour,
        srgb=carrier.srgb,
        press=carrier.press,
        width_mm=size.width_mm,
        garments=tuple(f"{garment} × {quantity}" for garment, quantity in size.garments),
        count=carrier.count,
        name=carrier.names[0] if carrier.row else "",
        nth=carrier.nth,
        of=carrier.of,
        marks=len(sheet.marks),
        pieces=tuple(piece.id for piece in sheet.pieces),
        mirrored=sheet.mirrored,
        svg=f"{stem}.svg",
        dxf=f"{stem}.dxf",
        page_mm=(round(sheet.width_mm, 2), round(sheet.height_mm, 2)),
        carrier_mm=(round(float(right - left), 2), round(float(bottom - top), 2)),
        area_mm2=round(sum(piece.shape.area for piece in sheet.pieces), 1),
        cut_mm=round(cut_length_mm(sheet), 1),
    )


def _add_roll(plan: Plan, roll: NestedRoll, files: dict[str, str | bytes]) -> RollNeed:
    stem = f"roll_{roll.film.id}_{safe_name(roll.colour, otherwise='colour')}"
    if f"{stem}.svg" in files:
        raise _two_alike(stem, roll.film.id)
    picture = roll_picture(roll)
    need = roll_need(roll, stem=stem)
    files[need.svg], files[need.png] = picture, preview_png(picture)
    sheet = roll_sheet(roll, job=plan.job)
    files[need.cut_svg], files[need.cut_dxf] = cut_svg(sheet), cut_dxf(sheet)
    return need


def _two_alike(stem: str, film: str) -> BadInputError:
    return BadInputError(
        f"two files would be called {stem}; give the colours of {film} names that differ in "
        "letters or digits"
    )


def _picture(
    plan: Plan,
    size: SizedCut,
    fine: Sequence[FinePlace],
    remarks: Sequence[str],
    catalogue: Catalogue,
) -> str:
    shapes = {piece.id: piece.shape for piece in size.separation.pieces}
    layers = [
        DrawnPiece(shapes[piece.id], piece.srgb, f"{piece.rank}  {piece.colour} {piece.film}")
        for piece in sorted(plan.pieces, key=lambda piece: piece.rank)
        if piece.id in shapes and not shapes[piece.id].is_empty
    ]
    line = next(line for line in plan.print.lines if line.width_mm == size.width_mm)
    worn = ", ".join(f"{name} × {quantity}" for name, quantity in size.garments)
    return preview_svg(
        layers,
        title=f"{plan.job}, {round(size.width_mm, 1):g} mm wide: {worn}",
        fabric_srgb=catalogue.fabric(line.fabric).colour.srgb,
        fine=fine,
        remarks=remarks,
    )


def _on_smallest(limit: SmallestPrint, names_of: Mapping[str, str]) -> list[str]:
    what = {"stroke": "thinnest part", "gap": "narrowest gap", "island": "smallest bit"}[limit.kind]
    return [f"{limit.told!s} (the {what} of {names_of[limit.piece]} sets that as drawn)"]


def _write(files: Mapping[str, str | bytes], out: Path) -> None:
    if len(files) > MOST_FILES:
        raise BadInputError(
            f"{len(files):,} files would be written, more than {MOST_FILES:,}; put the names of a "
            "size on one sheet, or split the list"
        )
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = "it is a file" if out.is_file() else (error.strerror or str(error)).lower()
        raise BadInputError(f"cannot be written to: {reason}", source=str(out)) from None
    for name in files:
        refuse_unwritable(out / name)
    for name, content in files.items():
        save_file(out / name, content)
