"""Prepared: a job with its artwork read and its garments looked up, ready to be solved."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.artwork.records import Artwork, Fineness
from advisor.job.records.job import GarmentLine, Job, Wish
from advisor.job.records.print import NAMES_PIECE, Print, PrintPiece
from advisor.layering.records.problem import Problem
from rules.facts.fabric import Fabric
from rules.facts.garment import Garment, PrintArea

__all__ = ["ANYWHERE", "OrderLine", "PreparedJob", "PrintedAt", "wish_of"]


@dataclass(frozen=True, slots=True)
class PrintedAt:
    """Where on its garment a print of no artwork lies, and how large it is, as far as is said.

    Attributes:
        area: of the garment, by name; its usual one by default.
        size_mm: width and height; assumed by default.
    """

    area: str | None = None
    size_mm: tuple[float, float] | None = None


ANYWHERE = PrintedAt()
"""On a garment's usual place, at a size that fits it."""


@dataclass(frozen=True, slots=True)
class OrderLine:
    """A line of the job with what it names.

    Attributes:
        number: its place in the print, from 0.
        garment: ``None`` where only a fabric was named.
    """

    number: int
    asked: GarmentLine
    garment: Garment | None
    area: PrintArea
    fabric: Fabric

    @property
    def price_each(self) -> float:
        """What a spoiled one costs; nothing where only a fabric was named."""
        return 0.0 if self.garment is None else self.garment.price_each


@dataclass(frozen=True, slots=True)
class PreparedJob:
    """A job with its artwork read, its garments looked up, and the problem that it makes.

    Attributes:
        artwork: at the width of the largest garment line, with the names as its last piece.
        of_names: the finest details of the single names, where there are any.
    """

    job: Job
    artwork: Artwork
    lines: tuple[OrderLine, ...]
    problem: Problem
    of_names: Fineness | None = None

    @property
    def print(self) -> Print:
        """What is printed where."""
        return self.problem.print

    def wish(self, piece_id: str) -> Wish | None:
        """The look wished for a piece."""
        return wish_of(self.job, self.print.piece(piece_id))


def wish_of(job: Job, piece: PrintPiece) -> Wish | None:
    """The look wished for a piece: that of its fill, or of the names; ``None`` where none is."""
    if piece.id == NAMES_PIECE and job.names is not None:
        return job.names.look
    return job.wish_for(piece.fill or "")
