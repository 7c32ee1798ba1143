"""Customer order: a job with its artwork and its names, and the jobs that ship."""

from __future__ import annotations

import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache, cached_property
from pathlib import Path

from advisor.job.demo import DEMO_FOLDER, DEMO_JOBS, demo_job
from advisor.job.records.job import Job
from advisor.shop.pressed import job_key

__all__ = [
    "NAMES_FILE", "CustomerOrder", "demo_order", "folder_of", "own_order", "shipped_artwork",
]  # fmt: skip

NAMES_FILE = "names.csv"
"""The only file of names that a page's job ever refers to, wherever the job came from."""


@dataclass(frozen=True)
class CustomerOrder:
    """A job with all that it needs, so that nothing is looked up in the file system.

    Attributes:
        svg: the artwork.
        names: the list of names as CSV text; empty where the garments bear none.
    """

    job: Job
    svg: bytes
    names: str = ""

    def __hash__(self) -> int:
        return hash(self.key)

    @cached_property
    def key(self) -> str:
        """A word that stands for the content: the same for equal orders only, and in the store."""
        return job_key(self.job, self.svg, self.names.encode())

    @cached_property
    def is_ready_made(self) -> bool:
        """Whether nothing in it is anyone's own: a demo's title and artwork, and no names."""
        return not self.names and any(
            self.job.job == demo.job.job and self.svg == demo.svg
            for demo in map(demo_order, DEMO_JOBS)
        )

    @property
    def most_width_mm(self) -> float:
        """Width of the artwork on the garment where it is largest."""
        return max(line.artwork_width_mm for line in self.job.garments)

    def with_job(self, job: Job) -> CustomerOrder:
        """The same artwork and names with another job."""
        return replace(self, job=job)

    def changed(self, **fields: object) -> CustomerOrder:
        """The order with other values in some fields of its job."""
        return self.with_job(self.job.model_copy(update=fields))


@cache
def demo_order(name: str = DEMO_JOBS[0]) -> CustomerOrder:
    """A job of the festival with its artwork.

    >>> demo_order("bags").is_ready_made
    True
    """
    job = demo_job(name)
    return CustomerOrder(job, (DEMO_FOLDER / job.artwork).read_bytes())


def shipped_artwork(name: str) -> bytes | None:
    """The artwork of a job of the festival by its file's name; ``None`` where none is called so."""
    jobs = map(demo_order, DEMO_JOBS)
    return next((demo.svg for demo in jobs if demo.job.artwork == name), None)


@contextmanager
def folder_of(order: CustomerOrder) -> Iterator[Path]:
    """A folder of its own with the list of names in it, gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="presslore-") as folder:
        if order.names:
            (Path(folder) / NAMES_FILE).write_text(order.names, encoding="utf-8")
        yield Path(folder)


def own_order(job: Job, svg: bytes, names: str = "") -> CustomerOrder:
    """The order, with its job referring to no file of this machine but the list it carries.

    >>> from advisor.job.records.job import Names, Wish
    >>> nosy = Names(file="/etc/passwd", box_mm=(0, 0, 50, 9), look=Wish(finish="matte"))
    >>> job = demo_job().model_copy(update={"names": nosy})
    >>> own_order(job, b"").job.names, own_order(job, b"", "name\\nAna").job.names.file
    (None, 'names.csv')
    """
    if job.names is None:
        return CustomerOrder(job, svg, names)
    if not names:
        return CustomerOrder(job.model_copy(update={"names": None}), svg)
    kept = job.names.model_copy(update={"file": NAMES_FILE, "font": None})
    return CustomerOrder(job.model_copy(update={"names": kept}), svg, names)
