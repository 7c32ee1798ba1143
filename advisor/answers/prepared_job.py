"""Prepared job: a job's artwork is read, its names set, and its problem made."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from advisor.artwork.job_artwork import artwork_in, merging
from advisor.artwork.records import Fineness
from advisor.cutting.lettering import (
    assigned,
    doubled_notes,
    letter_names,
    lettered_piece,
    nameless_notes,
    names_fineness,
    why_not_set,
)
from advisor.job.records.job import GivenNames, Job
from advisor.job.records.order import Order
from advisor.job.records.print import fill_of
from advisor.layering.preparation import never_told_apart, prepare
from advisor.layering.records.prepared import PreparedJob
from rules.knowledge import Knowledge

__all__ = ["fills_in", "prepared_job", "set_size_mm", "shape_of", "unsettable_in"]


def prepared_job(
    job: Job, *, folder: Path, knowledge: Knowledge, svg: bytes | None = None
) -> PreparedJob:
    """A job with its artwork read and its names set, and what may be chosen for each piece.

    Args:
        folder: where the artwork, the names and their font are looked for.
        svg: the artwork itself, where it does not lie in a file.

    Raises:
        BadInputError: the artwork cannot be used, a fill has no look, no film gives a look, or a
            name has no garment.
        UnknownNameError: a garment, fabric, film or press is not known.
    """
    artwork = artwork_in(folder, job, svg=svg)
    of_names: Fineness | None = None
    if job.names is not None:
        # Every name is cut by itself: where two of them cross in the piece is no detail of any.
        lettered_names = letter_names(job.names, artwork, folder=folder)
        given = Counter[str]()
        named = assigned(lettered_names, job.ordered)
        for lettering in named:
            given[lettering.size] += lettering.quantity
        # Of an order's people it is told once, not again for every place that bears their names.
        doubled = () if isinstance(job.names, GivenNames) else doubled_notes(named)
        told = (*nameless_notes(job.ordered, given), *doubled)
        artwork = replace(artwork, notes=(*artwork.notes, *told))
        of_names = names_fineness(lettered_names)
        lettered = lettered_piece(job.names, artwork, folder=folder)
        artwork = replace(artwork, pieces=(*artwork.pieces, lettered))
    made = prepare(job, artwork, knowledge, of_names=of_names)
    one, merged = merging(artwork, never_told_apart(made.problem), job=job)
    if not merged:
        return made
    return prepare(job, one, knowledge, of_names=of_names, merged=merged, known=made.problem)


def unsettable_in(order: Order, folder: Path) -> Callable[[str, str], str | None]:
    """Why a column of an order's people cannot be lettered with a text, in any font that it asks.

    Args:
        folder: where the fonts are looked for.
    """
    fonts = defaultdict[str, dict[str | None, None]](dict)
    for line in order.garments:
        for asked in line.prints:
            if asked.lettering is not None:
                fonts[asked.lettering.column.strip().lower()][asked.lettering.font] = None

    def unsettable(column: str, said: str) -> str | None:
        told = (why_not_set(said, folder / font if font else None) for font in fonts[column])
        return next(filter(None, told), None)

    return unsettable


def shape_of(job: Job, *, folder: Path) -> tuple[float, float]:
    """Width and height of a job's artwork at its largest, mm."""
    artwork = artwork_in(folder, job)
    return artwork.width_mm, artwork.height_mm


def fills_in(job: Job, *, folder: Path) -> frozenset[str]:
    """The fills that a job's artwork has, pressed or not."""
    artwork = artwork_in(folder, job)
    named = (*(piece.id for piece in artwork.pieces), *(one.piece for one in artwork.set_aside))
    return frozenset(map(fill_of, named))


def set_size_mm(job: Job, *, folder: Path) -> tuple[float, float]:
    """Width of the widest name of a job as it is set, and height of them all, mm; else 0."""
    if job.names is None:
        return 0.0, 0.0
    lettered = letter_names(job.names, artwork_in(folder, job), folder=folder)
    lefts, tops, rights, bottoms = zip(*(one.shape.bounds for one in lettered), strict=True)
    widest_mm = max(right - left for left, right in zip(lefts, rights, strict=True))
    return widest_mm, max(bottoms) - min(tops)
