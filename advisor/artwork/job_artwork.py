"""Job artwork: the drawing as a job wants it, at its largest width."""

from __future__ import annotations

from pathlib import Path

from advisor.artwork.reader import Artwork, read_artwork
from advisor.job.records.job import Job

__all__ = ["job_artwork"]


def job_artwork(job: Job, source: Path | bytes) -> Artwork:
    """The artwork of a job, flattened where the job says so, without what it leaves out.

    Args:
        source: the file, or the SVG itself.

    Raises:
        ArtworkError: it cannot be cut as it is, or lacks what the job leaves out.

    >>> from advisor.job.demo import DEMO_FOLDER
    >>> from advisor.job.records.job import read_job
    >>> job = read_job(DEMO_FOLDER / "crew-tees.yaml")
    >>> round(job_artwork(job, DEMO_FOLDER / job.artwork).width_mm)
    240
    """
    return read_artwork(
        source,
        width_mm=max(line.artwork_width_mm for line in job.garments),
        flatten=job.flatten,
        leave_out=job.leave_out,
        name=Path(job.artwork).stem,
    )
