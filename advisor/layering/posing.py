"""Posing: turns a job and its artwork into the problem that solvers take up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from advisor.artwork.fineness import Fineness, fineness
from advisor.artwork.job_artwork import job_artwork
from advisor.artwork.overlay import artwork_pairs, artwork_places, close_pairs
from advisor.artwork.reader import Artwork, Piece
from advisor.artwork.records import ArtworkError
from advisor.cutting.lettering import letter_names, lettered_piece, names_fineness
from advisor.job.records.job import DEFAULT_LOOK, GarmentLine, Job, Wish
from advisor.job.records.print import NAMES_PIECE, Meeting, Place
from advisor.layering.candidates import MeasuredPiece, piece_with_options
from advisor.layering.meeting import lapping_what_is_covered
from advisor.layering.problem import PieceSize, Problem
from advisor.layering.stages import heat_limits
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.facts.garment import Garment, PrintArea
from rules.rulebook import rulebook

__all__ = ["CARRIER_MARGIN_MM", "Line", "Posed", "pose", "wish_of"]

CARRIER_MARGIN_MM = 3.0
"""How far outside a piece its carrier is trimmed, mm. Common practice, no source."""

MOST_NAMES_TOLD = 5
"""So many files are named that lie where the artwork was looked for."""


@dataclass(frozen=True, slots=True)
class Line:
    """A line of the job with what it names."""

    asked: GarmentLine
    garment: Garment
    area: PrintArea
    fabric: Fabric


@dataclass(frozen=True, slots=True)
class Posed:
    """A job with its artwork read, its garments looked up, and the problem that it poses.

    Attributes:
        artwork: at the width of the largest garment line, with the names as its last piece.
        measured: each piece at the size of every line, by id.
    """

    job: Job
    artwork: Artwork
    lines: tuple[Line, ...]
    measured: dict[str, MeasuredPiece]
    problem: Problem


def pose(job: Job, *, folder: Path, catalogue: Catalogue, svg: bytes | None = None) -> Posed:
    """Read the artwork, measure its pieces and ask the rulebook about every candidate film.

    Args:
        folder: where the artwork is looked for.
        svg: the artwork itself, where it does not lie in a file.

    Raises:
        BadInputError: the artwork cannot be used, a fill has no look, or no film gives a look.
        UnknownNameError: a garment, fabric, film or press is not known.
    """
    lines = _lines(job, catalogue)
    artwork = _artwork(job, folder, svg)
    of_names: Fineness | None = None
    if job.names is not None:
        # Every name is cut by itself: where two of them cross in the piece is no detail of any.
        of_names = names_fineness(letter_names(job.names, artwork, folder=folder))
        lettered = lettered_piece(job.names, artwork, folder=folder)
        artwork = replace(artwork, pieces=(*artwork.pieces, lettered))
    problem, measured = _problem(job, artwork, lines, catalogue, of_names)
    return Posed(job, artwork, tuple(lines), measured, problem)


def _lines(job: Job, known: Catalogue) -> list[Line]:
    lines = []
    for asked in job.garments:
        garment = known.garment(asked.garment)
        fabric = known.fabric(asked.fabric) if asked.fabric else garment.fabric
        lines.append(Line(asked, garment, garment.print_area(asked.area), fabric))
    known.press(job.press)
    return lines


def _artwork(job: Job, folder: Path, svg: bytes | None) -> Artwork:
    path = folder / job.artwork
    if svg is None:
        _refuse_missing(path)
    told = str(path) if svg is None else job.artwork
    try:
        artwork = job_artwork(job, path if svg is None else svg)
    except ArtworkError as error:
        raise error.at(source=told) from None
    if not artwork.pieces:
        raise BadInputError("has nothing to press", source=told)
    return artwork


def _refuse_missing(path: Path) -> None:
    """Say where the artwork was looked for, and what lies there instead."""
    try:
        if path.is_file():
            return
        beside = sorted(p.name for p in path.parent.glob("*.svg"))[:MOST_NAMES_TOLD]
    except OSError as error:
        raise BadInputError(
            f"cannot be read: {error.strerror}", source=path.name, field="artwork"
        ) from None
    there = f"there are: {', '.join(beside)}" if beside else "there is no SVG file there"
    raise BadInputError(
        f"no file {path.name!r} in the folder {path.parent.resolve()}; {there}", field="artwork"
    )


def wish_of(job: Job, piece_id: str, fill: str) -> Wish | None:
    """The look wished for a piece: that of its fill, or of the names; ``None`` where none is."""
    if piece_id == NAMES_PIECE and job.names is not None:
        return job.names.look
    return job.wish_for(fill)


def _problem(
    job: Job,
    artwork: Artwork,
    lines: Sequence[Line],
    known: Catalogue,
    of_names: Fineness | None,
) -> tuple[Problem, dict[str, MeasuredPiece]]:
    fabrics = tuple({line.fabric.id: line.fabric for line in lines}.values())
    rules = rulebook()
    measured: dict[str, MeasuredPiece] = {}
    pieces = []
    for piece in artwork.pieces:
        wish = wish_of(job, piece.id, piece.fill)
        if wish is None:
            raise BadInputError(
                f"the artwork has the fill {piece.fill}, for which the job wishes no look; add it "
                "or a look called default",
                field="looks",
            )
        whole = of_names if piece.id == NAMES_PIECE else None
        measured[piece.id] = _measured(piece, artwork, lines, whole or fineness(piece.shape))
        try:
            pieces.append(
                piece_with_options(
                    measured[piece.id],
                    wish,
                    fabrics=fabrics,
                    catalogue=known,
                    rules=rules,
                    rates=job.rates,
                    on_shelf_only=job.on_shelf_only,
                )
            )
        except BadInputError as error:
            look = piece.fill if piece.fill in job.looks else DEFAULT_LOOK
            raise error.at(field=f"looks.{look}") from None
    smallest = min(line.asked.artwork_width_mm for line in lines)
    places = artwork_places(artwork)
    problem = Problem(
        pieces=tuple(pieces),
        meetings=_as_wished(job, artwork, places),
        places=places,
        close=close_pairs(artwork.scaled(width_mm=smallest), margin_mm=CARRIER_MARGIN_MM),
        fabrics=fabrics,
        limits=heat_limits(fabrics, known.press(job.press)),
        rules=rules,
        prefer=job.prefer,
        rates=job.rates,
        quantity=sum(line.asked.quantity for line in lines),
        garment_price=max(line.garment.price_each for line in lines),
        registration_mm=job.registration_mm,
        samples_allowed=job.samples_allowed,
    )
    return problem, measured


def _measured(
    piece: Piece, artwork: Artwork, lines: Sequence[Line], whole: Fineness
) -> MeasuredPiece:
    left, top, right, bottom = piece.shape.bounds
    sizes, fine = [], []
    for line in lines:
        factor = line.asked.artwork_width_mm / artwork.width_mm
        scaled = whole.scaled(factor)
        narrowest = scaled.least_stroke_mm
        sizes.append(
            PieceSize(
                width_mm=(right - left) * factor,
                height_mm=(bottom - top) * factor,
                narrowest_mm=1000.0 if narrowest is None else narrowest,
            )
        )
        fine.append(scaled)
    return MeasuredPiece(piece.id, piece.fill, tuple(sizes), tuple(fine))


def _is_left_out(name: str, leave_out: Sequence[str]) -> bool:
    """Whether a fill, or a piece by its id, is among what is left out by fill or by id."""
    fills = {f"#{one.removeprefix('fill-')[:6]}" for one in leave_out if one.startswith("fill-")}
    return name in {*leave_out, *fills} or f"#{name.removeprefix('fill-')[:6]}" in leave_out


def _as_wished(job: Job, artwork: Artwork, places: Sequence[Place]) -> tuple[Meeting, ...]:
    """The meetings of the artwork, with the ways narrowed where the job says how to meet."""
    fills = {piece.id: piece.fill for piece in artwork.pieces}
    meetings = list(lapping_what_is_covered(artwork_pairs(artwork), places))
    for number, wished in enumerate(job.joints):
        names = (wished.upper.lower(), wished.lower.lower())
        alike = {
            at: {(fills[meeting.upper], fills[meeting.lower]), meeting.pair}
            for at, meeting in enumerate(meetings)
        }
        met = [at for at, named in alike.items() if names in named]
        if not met and any(_is_left_out(name, job.leave_out) for name in names):
            continue
        if not met:
            turned = any(names[::-1] in named for named in alike.values())
            raise BadInputError(
                f"{wished.upper} does not lie in front of {wished.lower} in this artwork"
                + ("; it is the other way round" if turned else "; they do not meet at all"),
                field=f"joints.{number}",
            )
        for at in met:
            meeting = meetings[at]
            if wished.meets not in meeting.ways:
                raise BadInputError(
                    f"{wished.upper} and {wished.lower} cannot meet as {wished.meets}; "
                    f"open to them: {', '.join(meeting.ways)}",
                    field=f"joints.{number}",
                )
            meetings[at] = replace(meeting, ways=(wished.meets,))
    return tuple(meetings)
