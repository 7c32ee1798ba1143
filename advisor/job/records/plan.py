"""Plan: the answer to a job, as one document that can be printed, saved, edited and checked."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from advisor.job.records.job import Prefer
from rules.facts.fact import Record
from rules.facts.finding import Finding, Verdict
from rules.facts.step import Meets, Step

__all__ = [
    "BondLineResult", "Change", "Clash", "Joint", "PieceMeasures", "Plan", "PlannedPiece", "Proof",
    "RefusedFilm", "Run", "RunGarment",
]  # fmt: skip


class PieceMeasures(Record):
    """A piece at one size: extent, thinnest stroke and gap in mm, and what weeding may lose."""

    width_mm: float = Field(ge=0)
    height_mm: float = Field(ge=0)
    least_stroke_mm: float | None = None
    least_gap_mm: float | None = None
    small_islands: int = 0
    smallest_island_mm2: float | None = None


class PlannedPiece(Record):
    """A piece, the film and colour it is cut from, and the press in which it goes down.

    Attributes:
        rank: 1 for the pieces that go down first; pieces of one rank share a press.
        delta_e: how far the film's colour is from the one wanted, CIEDE2000.
        sizes: its measures, one for each garment of the job, in their order.
    """

    id: str
    fill: str
    film: str
    colour: str
    srgb: str
    rank: int
    delta_e: float
    on_fabric: bool
    sizes: tuple[PieceMeasures, ...]


class Joint(Record):
    """How two pieces meet: ``upper`` is the one in front in the artwork.

    Attributes:
        trap_mm: overlap of an inset's rim, mm.
        gap_mm: gap at a butt, mm.
        shrink_mm: how far an edge is expected to draw in before the other is laid, mm.
        hidden: they overlap only under a third piece, so both stay whole.
    """

    upper: str
    lower: str
    meets: Meets
    trap_mm: float = Field(default=0.0, ge=0, le=100)
    gap_mm: float = Field(default=0.0, ge=0, le=100)
    shrink_mm: float = Field(default=0.0, ge=0)
    hidden: bool = False


class RunGarment(Record):
    """One line of the order: so many of a garment, with the print at this size."""

    garment: str
    area: str
    quantity: int = Field(ge=1)
    width_mm: float = Field(gt=0, le=5000)
    height_mm: float = Field(gt=0, le=5000)
    minutes_each: float = Field(ge=0)
    cost_each: float = Field(ge=0)


class Run(Record):
    """Garments that are pressed alike, one after another; its steps carry its number.

    Attributes:
        fabrics: the fabrics of its garments, by id.
    """

    run: int = Field(ge=1)
    fabrics: tuple[str, ...] = Field(min_length=1)
    garments: tuple[RunGarment, ...] = Field(min_length=1)


class Proof(Record):
    """How sure it is that no better plan exists.

    Attributes:
        optimal: proved to be the best under the stated preference.
        objective: the measures in the order that counts for the preference (``measures`` names
            them); ``bound`` is the best that could still exist.
        listed: choices listed, where the proof is by listing.
    """

    optimal: bool
    bound: tuple[int, ...] | None
    objective: tuple[int, ...] | None
    measures: tuple[str, ...]
    listed: int | None = None


class RefusedFilm(Record):
    """A film that shows the wished finish but was refused for a piece, and the rule that did."""

    piece: str
    film: str
    rule: str
    message: str
    instead: str


class BondLineResult(Record):
    """One adhesive over the whole schedule.

    Attributes:
        piece: whose adhesive it is; ``film`` is its film.
        below: what it lies on: a film, or the fabric.
        seconds_bonding: seconds at or above its bonding temperature, of ``needed_s``.
        low_seconds_bonding: the same at the unlucky end of what is uncertain; ``None`` where there
            is so much to spare that it was not weighed.
    """

    piece: str
    film: str
    below: str
    peak_c: float
    seconds_bonding: float
    needed_s: float
    low_seconds_bonding: float | None
    fabric: str


class Clash(Record):
    """One member of a minimal conflict: a rule at one place; without it there would be a plan."""

    rule: str
    where: str
    message: str


class Change(Record):
    """One change of a repair.

    Attributes:
        kind: what is changed: ``film``, ``meets``, ``fabric``, ``drop``, ``sample`` and so on.
        where: the piece, joint or garment that it changes.
        to: what it becomes.
    """

    kind: str
    where: str
    to: str
    message: str


class Plan(Record):
    """A job planned, or why it cannot be.

    ``steps`` holds the steps of every run, numbered through; edit them and have the file checked
    again.

    Attributes:
        stacks: the distinct stacks of pieces in the artwork, bottom first.
        minutes: for the whole order, at the press.
        cost: for the whole order: time, film and expected spoilage, in ``currency``.
        notes: what was changed or left out on the way, in sentences.
    """

    job: str
    artwork: str
    status: Literal["planned", "impossible", "unknown"]
    verdict: Verdict
    prefer: Prefer
    press: str
    proof: Proof
    pieces: tuple[PlannedPiece, ...] = ()
    joints: tuple[Joint, ...] = ()
    stacks: tuple[tuple[str, ...], ...] = ()
    steps: tuple[Step, ...] = ()
    runs: tuple[Run, ...] = ()
    minutes: float = 0.0
    cost: float = 0.0
    currency: str = "€"
    findings: tuple[Finding, ...] = ()
    bond_lines: tuple[BondLineResult, ...] = ()
    refused: tuple[RefusedFilm, ...] = ()
    conflict: tuple[Clash, ...] = ()
    repairs: tuple[tuple[Change, ...], ...] = ()
    notes: tuple[str, ...] = ()
    registration_mm: float = Field(default=0.5, ge=0, le=5)
