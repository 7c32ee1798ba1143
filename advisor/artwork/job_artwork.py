"""Job artwork: the drawing as a job wants it, at its largest width."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path

from advisor.artwork.closing import CLOSED_UP_TO_MM, closed, hardly_apart
from advisor.artwork.contacts import meetings_told
from advisor.artwork.piecing import visible_parts
from advisor.artwork.reader import Artwork, read_artwork
from advisor.artwork.records import ArtworkError, Piece
from advisor.artwork.translucent import mixed, without_overlays
from advisor.artwork.unseen import without_unseen
from advisor.artwork.windows import WINDOW_FROM_MM, Alike, Join, joined
from advisor.job.records.job import DEFAULT_LOOK, Job
from advisor.job.records.print import Merged, Print
from rules.book.colour_difference import ALIKE_BELOW_DELTA_E, colour_difference
from rules.errors import BadInputError

__all__ = ["artwork_in", "as_planned", "job_artwork", "merging"]

MOST_NAMES_OFFERED = 5
"""So many files are named that lie where the artwork was looked for."""


def artwork_in(folder: Path, job: Job, *, svg: bytes | None = None) -> Artwork:
    """The artwork of a job, from its folder or from the SVG itself; it has something to press.

    Raises:
        BadInputError: there is no such file, or it cannot be used; the message names it.
    """
    if not job.artwork:
        return job_artwork(job, b"")
    path = folder / job.artwork
    if svg is None:
        _refuse_missing(path)
    source = str(path) if svg is None else job.artwork
    try:
        artwork = job_artwork(job, path if svg is None else svg)
    except ArtworkError as error:
        raise error.at(source=source) from None
    if not artwork.pieces:
        raise BadInputError("has nothing to press", source=source)
    return artwork


def job_artwork(job: Job, source: Path | bytes) -> Artwork:
    """The artwork of a job as it is to be cut: as few pieces as show what is drawn.

    It is flattened where the job says so, and without what the job leaves out, what nobody sees
    and what lets others shine through; pieces of one look that meet are one piece.

    Args:
        source: the file, or the SVG itself.

    Raises:
        ArtworkError: it cannot be cut as it is, or lacks what the job leaves out.

    >>> from advisor.job.demo import DEMO_FOLDER, demo_job
    >>> job = demo_job("crew-tees")
    >>> round(job_artwork(job, DEMO_FOLDER / job.artwork).width_mm)
    240
    """
    if not job.artwork and job.names is not None:
        # Nothing is drawn: the box that the names are set in is all there is.
        _, _, width_mm, height_mm = job.names.box_mm
        return Artwork("lettering", width_mm, height_mm, ())
    return read_artwork(
        source,
        width_mm=max(line.artwork_width_mm for line in job.garments),
        flatten=job.flatten,
        leave_out=job.leave_out,
        width_of=job.width_of,
        name=Path(job.artwork).stem,
        as_pressed=partial(_as_pressed, job),
    )


def _as_pressed(job: Job, drawn: Artwork) -> Artwork:
    """The drawing as films can show it, with what is said of the rest."""
    flat, faint = (mixed(drawn.pieces), ()) if job.flatten else without_overlays(drawn.pieces)
    seen, unseen = without_unseen(_laid(flat), wanted=lambda fill: fill in job.looks)
    shut, said = closed(seen, up_to_mm=_closed_up_to_mm(job))
    whole, joins = joined(
        _laid(shut) if said else shut,
        alike=partial(_alike, job),
        kept_apart=partial(_kept_apart, job),
        least_mm=_least_window_mm(job),
    )
    widths = [line.artwork_width_mm for line in job.garments]
    apart = hardly_apart(
        _laid(whole),
        alike=partial(_alike, job),
        registration_mm=job.registration_mm,
        scale=max(widths) / min(widths),
    )
    points = meetings_told(whole)
    return replace(
        drawn,
        pieces=_laid(whole),
        notes=(
            *drawn.notes,
            *_looks_of_nothing(job, drawn),
            *said,
            *apart,
            *points,
            *(_said(join) for join in joins),
        ),
        set_aside=(*faint, *unseen),
    )


def _looks_of_nothing(job: Job, drawn: Artwork) -> Iterator[str]:
    """A note on each look or name that is given to a fill which the drawing has not."""
    fills = dict.fromkeys(piece.fill for piece in drawn.pieces)
    for what, given in (("look", job.looks), ("name", job.called)):
        for fill in given:
            if fill not in {DEFAULT_LOOK, *fills}:
                has = ", ".join(fills)
                yield f"the artwork has no fill {fill}, so its {what} is unused; it has {has}"


def _least_window_mm(job: Job) -> float:
    """The narrowest window, and rim beside one, where the artwork is widest, mm."""
    widths = [line.artwork_width_mm for line in job.garments]
    return WINDOW_FROM_MM * max(widths) / min(widths)


def _closed_up_to_mm(job: Job) -> float:
    """The widest gap that is shut, mm, where the artwork is widest: no wider than hands miss."""
    widths = [line.artwork_width_mm for line in job.garments]
    return min(
        CLOSED_UP_TO_MM * max(widths) / min(widths), max(job.registration_mm, CLOSED_UP_TO_MM)
    )


def _said(join: Join) -> str:
    if join.windows:
        return join.sentence
    alike = "are of one colour" if join.upper.fill == join.lower.fill else "hardly differ"
    return f"{join.sentence}: they meet, and {alike} in the artwork"


def merging(
    artwork: Artwork, alike: Collection[frozenset[str]], *, job: Job
) -> tuple[Artwork, tuple[Merged, ...]]:
    """The artwork with pieces that would come out alike as one, and which these are.

    Args:
        alike: pieces, two by two; what is like the same third is alike too.
    """
    kind = {piece.id: piece.id for piece in artwork.pieces}
    for one, other in map(sorted, alike):
        kind = {piece: kind[one] if of == kind[other] else of for piece, of in kind.items()}
    pieces, joins = _joined(artwork, job, lambda upper, lower: kind[upper.id] == kind[lower.id])
    merged = tuple(
        Merged(
            join.upper.id,
            join.lower.id,
            join.upper.fill,
            wished_alike=job.wishes_alike(join.upper.fill, join.lower.fill),
        )
        for join in joins
    )
    notes = (
        f"{join.sentence}: "
        + (
            "the job wishes both in one look and colour"
            if one.wished_alike
            else "in the film colours nearest to theirs both come out alike"
        )
        for join, one in zip(joins, merged, strict=True)
    )
    return replace(artwork, pieces=_laid(pieces), notes=(*artwork.notes, *notes)), merged


def as_planned(artwork: Artwork, print_: Print, *, job: Job) -> Artwork:
    """The artwork with those pieces as one that a plan cuts as one."""
    pairs = {(one.piece, one.into) for one in print_.merged}
    pieces, _ = _joined(artwork, job, lambda upper, lower: (upper.id, lower.id) in pairs)
    return replace(artwork, pieces=_laid(pieces)) if pairs else artwork


def _joined(artwork: Artwork, job: Job, alike: Alike) -> tuple[tuple[Piece, ...], tuple[Join, ...]]:
    return joined(
        artwork.pieces,
        alike=alike,
        kept_apart=partial(_kept_apart, job),
        least_mm=_least_window_mm(job),
    )


def _laid(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """The pieces as opaque films over one another, with what then shows of each."""
    shows = visible_parts([piece.shape for piece in pieces], [True] * len(pieces))
    return tuple(
        replace(piece, visible=visible, order=order)
        for order, (piece, visible) in enumerate(zip(pieces, shows, strict=True))
    )


def _alike(job: Job, upper: Piece, lower: Piece) -> bool:
    """Whether two pieces share a look: one wish, and colours that the eye hardly tells apart."""
    return (
        job.wish_for(upper.fill) == job.wish_for(lower.fill)
        and colour_difference(upper.fill, lower.fill) < ALIKE_BELOW_DELTA_E
    )


def _kept_apart(job: Job, upper: Piece, lower: Piece) -> bool:
    """Whether the job says how two pieces are to meet, so that they stay two."""
    return any(
        wished.upper.lower() in {upper.id, upper.fill}
        and wished.lower.lower() in {lower.id, lower.fill}
        for wished in job.joints
    )


def _refuse_missing(path: Path) -> None:
    """Say where the artwork was looked for, and what lies there instead."""
    try:
        if path.is_file():
            return
        beside = sorted(p.name for p in path.parent.glob("*.svg"))[:MOST_NAMES_OFFERED]
    except OSError as error:
        raise BadInputError(
            f"cannot be read: {error.strerror}", source=path.name, field="artwork"
        ) from None
    there = f"there are: {', '.join(beside)}" if beside else "there is no SVG file there"
    raise BadInputError(
        f"no file {path.name!r} in the folder {path.parent.resolve()}; {there}", field="artwork"
    )
