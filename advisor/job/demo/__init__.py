"""Demo: the crew of the Harbour Kite Festival, its artwork and its jobs, ready to plan."""

from __future__ import annotations

from pathlib import Path

from advisor.job.records.job import Job, read_job
from rules.errors import UnknownNameError

__all__ = ["DEMO_FOLDER", "DEMO_JOBS", "demo_job"]

DEMO_FOLDER = Path(__file__).parent

DEMO_JOBS = ("crew-tees", "wind-jackets", "bags")
"""The jobs that ship, the one that opens first at the front."""


def demo_job(name: str = "crew-tees") -> Job:
    """A job of the festival crew by name; its artwork lies in ``DEMO_FOLDER``.

    Raises:
        UnknownNameError: there is no such job; the nearest names are offered.

    >>> demo_job("crew-tees").press
    'clamshell-38x38'
    """
    if name not in DEMO_JOBS:
        raise UnknownNameError("demo job", name, DEMO_JOBS)
    return read_job(DEMO_FOLDER / f"{name}.yaml")
