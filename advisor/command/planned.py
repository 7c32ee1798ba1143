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

__all__ = ["PlannedJob", "planned_job"]


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
    artwork = as_planned(job_artwork(job, folder / job.artwork), made.print)
    names = letter_names(job.names, artwork, folder=folder) if job.names else ()
    return PlannedJob(job, made, artwork, names, knowledge.catalogue)
