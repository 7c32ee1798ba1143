"""Print job: one print of an order as a job by itself."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.job.records.job import Job
from rules.facts.print_place import PlaceSpot, PrintPlace

__all__ = ["PrintJob"]


@dataclass(frozen=True, slots=True)
class PrintJob:
    """One print of an order as a job.

    Attributes:
        lines: which lines of the order bear it, one for each garment of the job; ``spots`` where
            it may lie there.
        column: what is lettered; ``None`` for an artwork.
    """

    id: str
    place: PrintPlace
    job: Job
    lines: tuple[int, ...]
    spots: tuple[PlaceSpot, ...]
    column: str | None
