"""A job planned, with its artwork and its names: what several commands begin with."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from advisor import plan
from advisor.artwork.job_artwork import as_planned, job_artwork
from advisor.artwork.records import Artwork
from advisor.command import options
from advisor.cutting.lettering import letter_names
from advisor.cutting.records import Lettering
from advisor.job.plan_file import read_plan
from advisor.job.records.job import Job, read_job
from advisor.job.records.plan import Plan
from rules.catalogue import Catalogue
from rules.errors import BadInputError

__all__ = ["PlannedJob", "artwork_of", "planned_job", "read_plan"]


class PlannedJob(NamedTuple):
    """A job with its plan, the artwork as planned, and the names set on it."""

    job: Job
    plan: Plan
    artwork: Artwork
    names: tuple[Lettering, ...]
    catalogue: Catalogue


def planned_job(job_file: Path, plan_file: Path | None, *, prefer: str | None) -> PlannedJob:
    """The job of a file, planned now or read from a plan of it.

    Raises:
        BadInputError: a file cannot be read, or the plan is of another job.
    """
    knowledge, folder = options.shop_knowledge(), job_file.parent
    job = read_job(job_file, knowledge.catalogue)
    if prefer is not None:
        job = job.model_copy(update={"prefer": prefer})
    made = read_plan(plan_file) if plan_file else plan(job, folder=folder, knowledge=knowledge)
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
