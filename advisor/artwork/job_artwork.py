"""Job artwork: the drawing as a job wants it, at its largest width."""

from __future__ import annotations

from pathlib import Path

from advisor.artwork.reader import Artwork, read_artwork
from advisor.artwork.records import ArtworkError
from advisor.job.records.job import Job
from rules.errors import BadInputError

__all__ = ["artwork_in", "job_artwork"]

MOST_NAMES_OFFERED = 5
"""So many files are named that lie where the artwork was looked for."""


def artwork_in(folder: Path, job: Job, *, svg: bytes | None = None) -> Artwork:
    """The artwork of a job, from its folder or from the SVG itself; it has something to press.

    Raises:
        BadInputError: there is no such file, or it cannot be used; the message names it.
    """
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
    """The artwork of a job, flattened where the job says so, without what it leaves out.

    Args:
        source: the file, or the SVG itself.

    Raises:
        ArtworkError: it cannot be cut as it is, or lacks what the job leaves out.

    >>> from advisor.job.demo import DEMO_FOLDER, demo_job
    >>> job = demo_job("crew-tees")
    >>> round(job_artwork(job, DEMO_FOLDER / job.artwork).width_mm)
    240
    """
    return read_artwork(
        source,
        width_mm=max(line.artwork_width_mm for line in job.garments),
        flatten=job.flatten,
        leave_out=job.leave_out,
        width_of=job.width_of,
        name=Path(job.artwork).stem,
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
