"""A job planned, with its artwork and its names: what several commands begin with."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from advisor.artwork.job_artwork import as_planned, job_artwork
from advisor.artwork.records import Artwork
from advisor.command import options
from advisor.cutting.lettering import letter_names
from advisor.cutting.records import Lettering, OrderTaken
from advisor.cutting.taken import order_taken
from advisor.job.plan_file import plan_json, read_plan
from advisor.job.records.job import Job, read_job
from advisor.job.records.plan import Plan
from rules.catalogue import Catalogue
from rules.errors import BadInputError

__all__ = [
    "PlannedJob", "artwork_of", "files_of", "plan_json", "planned_job", "read_plan", "taken_by",
]  # fmt: skip


class PlannedJob(NamedTuple):
    """A job with its plan, the artwork as planned, and the names set on it."""

    job: Job
    plan: Plan
    artwork: Artwork
    names: tuple[Lettering, ...]
    catalogue: Catalogue


def planned_job(
    job_file: Path, plan_file: Path | None, *, prefer: str | None, kept: Plan | None = None
) -> PlannedJob:
    """The job of a file, planned now or read from a plan of it.

    Args:
        kept: its plan where one is kept of it; a plan that is named comes before that.

    Raises:
        BadInputError: a file cannot be read, or the plan is of another job.
    """
    # Only here, since a plan that is read needs nothing of what makes one.
    from advisor import plan

    knowledge, folder = options.shop_knowledge(), job_file.parent
    job = read_job(job_file, knowledge.catalogue)
    if prefer is not None:
        job = job.model_copy(update={"prefer": prefer})
    if plan_file is not None:
        made = read_plan(plan_file)
    else:
        made = kept or plan(job, folder=folder, knowledge=knowledge)
    if made.job != job.job:
        raise BadInputError(
            f"is the plan of {made.job!r}, not of {job.job!r}; plan this job with --out",
            source=str(plan_file),
            field="job",
        )
    artwork = artwork_of(job, made, folder)
    names = letter_names(job.names, artwork, folder=folder) if job.names else ()
    return PlannedJob(job, made, artwork, names, knowledge.catalogue)


def artwork_of(job: Job, made: Plan, folder: Path) -> Artwork:
    """The artwork of a job, as its plan has it.

    Raises:
        BadInputError: it cannot be read.
    """
    return as_planned(job_artwork(job, folder / job.artwork), made.print)


def taken_by(made: PlannedJob, *, seconds: float = 0.0) -> OrderTaken:
    """What a planned job takes of film, cutting and weeding; see `order_taken`."""
    return order_taken(
        made.plan, made.artwork, catalogue=made.catalogue, names=made.names,
        rates=made.job.rates, seconds=seconds,
    )  # fmt: skip


def files_of(job: Job, folder: Path) -> tuple[bytes, bytes]:
    """The artwork and the list of names that a job refers to, as they lie in its folder.

    Raises:
        BadInputError: a file cannot be read.
    """
    asked = [folder / job.artwork] + ([folder / job.names.file] if job.names else [])
    try:
        read = [path.read_bytes() for path in asked]
    except OSError as error:
        raise BadInputError(
            f"cannot be read: {error.strerror}", source=str(error.filename)
        ) from None
    return read[0], read[1] if job.names else b""
