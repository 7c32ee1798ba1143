"""Plan: the answer to a job, as one document that can be printed, saved, edited and checked."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, SerializerFunctionWrapHandler, model_serializer, model_validator

from advisor.job.records.job import Prefer
from advisor.job.records.print import NOTHING_PRINTED, Pair, Print, PrintLine
from rules.facts.fact import Record
from rules.facts.finding import Finding, Verdict
from rules.facts.step import Meets, Step

__all__ = [
    "BondLineResult", "Change", "Clash", "Plan", "PlannedJoint", "PlannedPiece", "Proof",
    "RefusedFilm", "Run", "RunGarment",
]  # fmt: skip


class PlannedPiece(Record):
    """A piece, the film and colour it is cut from, and the press in which it goes down.

    Attributes:
        rank: 1 for the pieces that go down first; pieces of one rank share a press.
        delta_e: how far the film's colour is from the one wanted, CIEDE2000.
        on_fabric: it lies straight on the fabric somewhere.
        small_islands: at each size, its separate parts that are too small for its film.
    """

    id: str
    film: str
    colour: str
    srgb: str
    rank: int
    delta_e: float
    on_fabric: bool
    small_islands: tuple[int, ...] = ()


class PlannedJoint(Record):
    """How two pieces meet: ``upper`` is the one in front in the artwork.

    Attributes:
        trap_mm: overlap of an inset's rim, mm.
        gap_mm: gap at a butt, mm.
        shrink_mm: how far an edge is expected to draw in before the other is laid, mm.
    """

    upper: str
    lower: str
    meets: Meets
    trap_mm: float = Field(default=0.0, ge=0, le=100)
    gap_mm: float = Field(default=0.0, ge=0, le=100)
    shrink_mm: float = Field(default=0.0, ge=0)


class RunGarment(Record):
    """What one line of the print takes in a run.

    Attributes:
        line: which line of the print it is, from 0.
    """

    line: int = Field(ge=0)
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
    """

    optimal: bool
    bound: tuple[int, ...] | None
    objective: tuple[int, ...] | None
    measures: tuple[str, ...]


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
    again. Written as JSON, pieces, joints and runs also show what ``print`` says of them.

    Attributes:
        print: what is printed where.
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
    print: Print = NOTHING_PRINTED
    pieces: tuple[PlannedPiece, ...] = ()
    joints: tuple[PlannedJoint, ...] = ()
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

    @property
    def meets(self) -> dict[Pair, Meets]:
        """How each pair meets."""
        return {(joint.upper, joint.lower): joint.meets for joint in self.joints}

    def lines_of(self, run: Run) -> tuple[PrintLine, ...]:
        """The lines of the print that a run presses."""
        return tuple(self.print.lines[garment.line] for garment in run.garments)

    def is_hidden(self, joint: PlannedJoint) -> bool:
        """Whether the two overlap only under a third piece, so that both stay whole."""
        return self.print.meeting((joint.upper, joint.lower)).hidden

    @property
    def open_joints(self) -> tuple[PlannedJoint, ...]:
        """The joints that are not hidden under a third piece."""
        return tuple(joint for joint in self.joints if not self.is_hidden(joint))

    @property
    def stacks(self) -> tuple[tuple[str, ...], ...]:
        """The distinct stacks of pieces in the artwork, bottom first."""
        return tuple(place.stack for place in self.print.places)

    @property
    def quantity(self) -> int:
        """Garments of the whole order."""
        return sum(line.quantity for run in self.runs for line in self.lines_of(run))

    @model_serializer(mode="wrap")
    def _with_the_print_shown(self, write: SerializerFunctionWrapHandler) -> dict[str, Any]:
        document: dict[str, Any] = write(self)
        if set(_SHOWN_OF_PRINT) <= set(document):
            _show_print(document, self.print)
        return document

    @model_validator(mode="before")
    @classmethod
    def _without_the_print_shown(cls, document: Any) -> Any:
        return _hide_print(document) if isinstance(document, dict) else document


_SHOWN_OF_PRINT = {
    "pieces": ("fill", "sizes"),
    "joints": ("hidden",),
    "runs": ("garment", "area", "quantity", "width_mm", "height_mm"),
}
"""What a document shows of the print beside each part of the plan: for those who read it, never
read back."""


def _show_print(document: dict[str, Any], print_: Print) -> None:
    pieces = {piece.id: piece for piece in print_.pieces}
    for entry in document["pieces"]:
        piece = pieces[entry["id"]]
        entry["fill"] = piece.fill
        entry["sizes"] = [
            {
                "width_mm": size.width_mm,
                "height_mm": size.height_mm,
                "least_stroke_mm": size.least_stroke_mm,
                "least_gap_mm": size.least_gap_mm,
                "small_islands": small,
                "smallest_island_mm2": min(size.island_areas_mm2, default=None),
            }
            for size, small in zip(piece.sizes, entry["small_islands"], strict=False)
        ]
    for entry in document["joints"]:
        entry["hidden"] = print_.meeting((entry["upper"], entry["lower"])).hidden
    for run in document["runs"]:
        for entry in run["garments"]:
            line = print_.lines[entry["line"]]
            entry |= {key: getattr(line, key) for key in _SHOWN_OF_PRINT["runs"]}
    document["stacks"] = [list(place.stack) for place in print_.places]
    document["registration_mm"] = print_.registration_mm


def _hide_print(document: dict[str, Any]) -> dict[str, Any]:
    """The document without what it shows of the print; what is no part of a plan stays."""
    hidden = {k: v for k, v in document.items() if k not in {"stacks", "registration_mm"}}
    for part, keys in _SHOWN_OF_PRINT.items():
        if isinstance(hidden.get(part), list | tuple):
            hidden[part] = [_without(entry, keys) for entry in hidden[part]]
    return hidden


def _without(entry: Any, keys: tuple[str, ...]) -> Any:
    if not isinstance(entry, dict):
        return entry
    left = {key: value for key, value in entry.items() if key not in keys}
    if isinstance(left.get("garments"), list | tuple):
        left["garments"] = [_without(garment, keys) for garment in left["garments"]]
    return left
