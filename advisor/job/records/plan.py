"""Plan: the answer to a job, as one document that can be printed, saved, edited and checked."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import Any, Literal

from pydantic import (
    Field,
    ModelWrapValidatorHandler,
    SerializationInfo,
    SerializerFunctionWrapHandler,
    model_serializer,
    model_validator,
)

from advisor.job.records.job import Prefer
from advisor.job.records.print import NOTHING_PRINTED, Pair, PieceSize, Print, PrintLine
from advisor.job.records.print_shown import hide_print, refuse_contradiction, show_print
from rules.facts.fact import Hex, Record, Slug
from rules.facts.finding import Finding, Verdict
from rules.facts.step import Meets, Step
from rules.facts.text import Text, typed_sentences, with_typed_sentences
from rules.facts.trial import SeenHere

__all__ = [
    "BondLineResult", "Change", "Clash", "DialSetting", "Plan", "PlannedJoint", "PlannedPiece",
    "Proof", "RefusedFilm", "Run", "RunGarment",
]  # fmt: skip

DIAL = "dial"
"""The key of a plan's JSON that shows what its steps say of the dial; never read back."""

SHOWN = {DIAL, "care", "sample_first"}
"""Keys that only show what follows from the plan; never read back."""

QUANTITIES = "quantities"
"""The key of a plan's JSON under which sentences with quantities stand once more, in parts."""


class PlannedPiece(Record):
    """A piece, the film and colour it is cut from, and the press in which it goes down.

    Attributes:
        rank: 1 for the pieces that go down first; pieces of one rank share a press.
        wanted: the colour wanted, sRGB.
        delta_e: how far the film's colour is from the one wanted, CIEDE2000.
        on_fabric: it lies straight on the fabric somewhere.
        colour_assumed: nobody said the colour; left out of a file where somebody did.
        finish: the finish wished for it, or the first of the film wished for; empty in an older
            plan.
        small_islands: at each size, its separate parts that are too small for its film.
        as_cut: at each size, what windows and gaps leave of it too fine for its film; empty where
            they leave nothing so.
        called: what the job calls the pieces of its fill; left out of a file where it does not.
        capitals_mm: at each size, how high the capitals of lettering are, or its digits; left out
            of a file where nothing is lettered.
    """

    id: str
    film: str
    colour: Slug
    srgb: Hex
    rank: int = Field(ge=1)
    wanted: Hex | None = None
    delta_e: float
    on_fabric: bool
    colour_assumed: bool = Field(default=False, exclude_if=lambda assumed: not assumed)
    finish: str = ""
    small_islands: tuple[int, ...] = ()
    as_cut: tuple[PieceSize, ...] = ()
    called: str = Field(default="", exclude_if=lambda called: not called)
    capitals_mm: tuple[float, ...] = Field(default=(), exclude_if=lambda high: not high)


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
        samples: how many findings on these garments want a sample pressed first; ``None`` where
            nobody asked. No file holds it: steps may be edited, and it follows from them.
    """

    line: int = Field(ge=0)
    minutes_each: float = Field(ge=0)
    cost_each: float = Field(ge=0)
    samples: int | None = Field(default=None, ge=0, exclude=True)


class Run(Record):
    """Garments that are pressed alike, one after another; its steps carry its number.

    Attributes:
        fabrics: the fabrics of its garments, by id.
        cools_s: how long each garment cools off the press in all, s.
        cooling: about how many garments lie there at a time.
        batched: whether all are done at one setting or place before the first goes on to the next.
    """

    run: int = Field(ge=1)
    fabrics: tuple[str, ...] = Field(min_length=1)
    garments: tuple[RunGarment, ...] = Field(min_length=1)
    cools_s: float = Field(default=0.0, ge=0)
    cooling: int = Field(default=0, ge=0)
    batched: bool = False


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
    message: Text
    instead: Text


class BondLineResult(Record):
    """One adhesive over the whole schedule.

    Attributes:
        piece: whose adhesive it is; ``film`` is its film.
        below: what it lies on: a film, or the fabric.
        seconds_bonding: seconds at or above its bonding temperature, of ``needed_s``.
        low_seconds_bonding: the same at the unlucky end of what is uncertain; ``None`` where there
            is so much to spare that it was not weighed.
        tried: what the shop's own trials say of it; ``None`` where there are none.
    """

    piece: str
    film: str
    below: str
    peak_c: float
    seconds_bonding: float
    needed_s: float
    low_seconds_bonding: float | None
    fabric: str
    tried: SeenHere | None = None


class Clash(Record):
    """One member of a minimal conflict: a rule at one place; all of them are needed for it.

    Attributes:
        fact: what it says as values, for whoever puts them into a sentence; no file holds them.
    """

    rule: str
    where: Text
    message: Text = Text()
    fact: object | None = Field(default=None, exclude=True, repr=False)

    def named(self, names: Mapping[str, str]) -> Clash:
        """The same with pieces called by ``names``."""
        return self.model_copy(
            update={"where": self.where.named(names), "message": self.message.named(names)}
        )


class Change(Record):
    """One change of a repair.

    Attributes:
        kind: what is changed: ``sample``, ``meets``, ``press``, ``setpoint`` (the most that is
            wished), ``film``, ``buy`` (a film that is not on the shelf), ``size``, ``line``
            (garments left out) or ``drop`` (a piece).
        where: the piece, joint or garments that it changes, in words.
        to: what it becomes: a way of meeting, a press, °C, a film, a width in mm.
        pieces: those of the look that it changes, or the one left out; two for a joint, the upper
            first.
        colour: of the film.
        recoloured: it is another colour than the job wishes.
        line: the line of the job that it changes, from 1.
    """

    kind: str
    where: Text
    to: str
    message: Text = Text()
    pieces: tuple[str, ...] = ()
    colour: str = ""
    recoloured: bool = Field(default=False, exclude_if=lambda recoloured: not recoloured)
    line: int | None = None

    def named(self, names: Mapping[str, str]) -> Change:
        """The same with pieces called by ``names``."""
        return self.model_copy(
            update={"where": self.where.named(names), "message": self.message.named(names)}
        )


class DialSetting(Record):
    """What dial and pressure are set to for the presses that follow."""

    run: int
    setpoint_c: float
    pressure_kpa: float


class Plan(Record):
    """A job planned, or why it cannot be.

    ``steps`` holds the steps of every run, numbered through; edit them and have the file checked
    again. Written as JSON, pieces, joints and runs also show what ``print`` says of them.

    Attributes:
        print: what is printed where.
        minutes: for the whole order, at the press.
        cost: for the whole order: time, film and expected spoilage, in ``currency``.
        notes: what was changed or left out on the way, in sentences.
        ruled_out: of the notes of a plan that was not found, those on films and ways ruled out.
        card: the press card in lines, as the plan was made.
        told_of: the press, pieces and steps that its sentences were made for, as a fingerprint.
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
    notes: tuple[Text, ...] = ()
    ruled_out: tuple[Text, ...] = ()
    card: tuple[Text, ...] = ()
    told_of: str = ""

    @property
    def meets(self) -> dict[Pair, Meets]:
        """How each pair meets."""
        return {(joint.upper, joint.lower): joint.meets for joint in self.joints}

    def lines_of(self, run: Run) -> tuple[PrintLine, ...]:
        """The lines of the print that a run presses."""
        return tuple(self.print.lines[garment.line] for garment in run.garments)

    @property
    def hidden_pairs(self) -> frozenset[Pair]:
        """The pairs that overlap only under a third piece, so that both stay whole."""
        return frozenset(meeting.pair for meeting in self.print.meetings if meeting.hidden)

    @property
    def open_joints(self) -> tuple[PlannedJoint, ...]:
        """The joints that are not hidden under a third piece."""
        hidden = self.hidden_pairs
        return tuple(joint for joint in self.joints if (joint.upper, joint.lower) not in hidden)

    @property
    def seen_joints(self) -> tuple[PlannedJoint, ...]:
        """The joints that there are: none of two that a third piece keeps from meeting.

        What lies between two keeps them apart, and so does what is in front of both and knocks
        the lower one out; where what lies between is itself knocked out, they do meet.
        """
        meets = self.meets
        return tuple(joint for joint in self.joints if self._is_seen(joint, meets))

    def _is_seen(self, joint: PlannedJoint, meets: Mapping[Pair, Meets]) -> bool:
        pair, lapped = (joint.upper, joint.lower), joint.meets == "lap"
        meeting = self.print.meeting(pair)
        if meeting.touching:
            return True
        if meeting.hidden and not lapped:
            return False
        others = meets if lapped else {**meets, pair: "lap"}
        laid = (place.laid(others) for place in self.print.places if {*pair} <= {*place.stack})
        return any(
            pair in {(above, below) for below, above in pairwise(pile)}
            if lapped
            else set(pair) <= set(pile)
            for pile in laid
        )

    @property
    def stacks(self) -> tuple[tuple[str, ...], ...]:
        """The distinct stacks of pieces in the artwork, bottom first."""
        return tuple(place.stack for place in self.print.places)

    @property
    def dial(self) -> tuple[DialSetting, ...]:
        """What dial and pressure are set to, in the order in which they are."""
        settings: list[DialSetting] = []
        for step in self.steps:
            if step.setpoint_c is None or step.pressure_kpa is None:
                continue
            setting = DialSetting(
                run=step.run, setpoint_c=step.setpoint_c, pressure_kpa=step.pressure_kpa
            )
            if setting not in settings[-1:]:
                settings.append(setting)
        return tuple(settings)

    def text(self) -> str:
        """The plan as JSON text that ``read_plan`` takes back, ending with a line feed."""
        return self.model_dump_json(indent=2) + "\n"

    @property
    def quantity(self) -> int:
        """Garments of the whole order."""
        return sum(line.quantity for run in self.runs for line in self.lines_of(run))

    @property
    def wants_sample(self) -> bool:
        """Whether a sample is to be pressed before the order."""
        return self.status == "planned" and self.verdict == "sample"

    @model_serializer(mode="wrap")
    def _with_the_print_shown(
        self, write: SerializerFunctionWrapHandler, info: SerializationInfo
    ) -> dict[str, Any]:
        document: dict[str, Any] = write(self)
        if info.mode_is_json():
            # Sentences are plain there; in parts, they can be shown in anyone's units again.
            document[QUANTITIES] = typed_sentences(dict(self))
        if {"pieces", "joints", "runs"} <= set(document):
            show_print(document, self.print)
        if "steps" in document:
            document[DIAL] = [setting.model_dump() for setting in self.dial]
        return document

    @model_validator(mode="wrap")
    @classmethod
    def _reads_the_print_alone(cls, document: Any, read: ModelWrapValidatorHandler[Plan]) -> Plan:
        if not isinstance(document, dict):
            return read(document)
        if QUANTITIES in document:
            written = document[QUANTITIES]
            plain = {key: value for key, value in document.items() if key != QUANTITIES}
            try:
                document = with_typed_sentences(plain, written)
            except ValueError as error:
                raise ValueError(f"{QUANTITIES}: {error}") from None
        shown = {key: value for key, value in document.items() if key not in SHOWN}
        plan = read(hide_print(shown))
        if "print" in document:
            refuse_contradiction(document, plan.model_dump(mode="json"))
        return plan
