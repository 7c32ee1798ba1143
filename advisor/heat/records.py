"""Records of the heat wing: bond lines over a schedule, refusals, reports."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NamedTuple

from advisor.heat.curve import Curve
from advisor.heat.layers import Layer
from advisor.heat.walk import Leg
from rules.facts.fact import Record
from rules.facts.film import Film
from rules.facts.finding import Finding, Verdict
from rules.facts.schedule import ScheduledStep
from rules.facts.step import Purpose
from rules.facts.subjects import BondLine
from rules.facts.text import Text
from rules.facts.units import show_c

__all__ = [
    "LIMITS", "BondLineCourse", "Column", "Estimate", "FitReport", "Fitted", "Followed",
    "HeatRefusal", "HeatReport", "Moment", "ReportedCourse", "ReportedLine", "ReportedPhase",
    "ReportedShrink", "ReportedWater", "StepTime", "Unknowns",
]  # fmt: skip

Column = tuple[str, ...]
"""The pieces that lie at one place, bottom first."""

LIMITS = (
    "Heat is followed straight down through the layers, one place at a time. Left out: heat "
    "along the layers (within a millimetre or so of an edge, and the platen's own rim), melting "
    "heat, adhesive that flows, foam that rises, the platen's dip as it closes, and the warmth a "
    "bed keeps from the garment before. The garment comes with the water that its fibres hold in "
    "ordinary air and takes none up again while it is pressed; a damp one wants a longer preheat. "
    "Contact and "
    "fabric are uncertain by a factor of about two until the press is calibrated."
)


class Moment(NamedTuple):
    """A stretch of time at one column in which nothing changes.

    Attributes:
        step: number of the step that it belongs to.
        label: what happens, in a word or two.
        layers: what lies there, platen side first.
        platen_c: the platen's temperature while it is closed, °C; ``None`` while it is open.
        seconds: how long it lasts, s.
    """

    step: int
    label: str
    layers: tuple[Layer, ...]
    platen_c: float | None
    seconds: float

    @property
    def closed(self) -> bool:
        """Whether the platen is closed: only then is an adhesive pressed into what is below."""
        return self.platen_c is not None


class StepTime(NamedTuple):
    """When a step is done, on the clock of one garment.

    Attributes:
        at: the step with the state before and after it.
        begins_s: when hands begin on it, s.
        closes_s: when the platen comes down, s; ``None`` where the press stays open.
        ends_s: when it is over, s.
    """

    at: ScheduledStep
    begins_s: float
    closes_s: float | None
    ends_s: float


@dataclass(frozen=True, slots=True)
class Followed:
    """One adhesive at one column, as it was followed through a schedule.

    Attributes:
        piece: whose adhesive it is.
        column: the pieces there, bottom first; ``number`` is its own place among them.
        line: what the rule ``bond-line-heat`` judges.
        legs: all that the column has been through.
    """

    piece: str
    column: Column
    number: int
    line: BondLine
    legs: tuple[Leg, ...] = field(repr=False, compare=False)

    @property
    def margin_s(self) -> float:
        """Seconds bonding beyond what the adhesive wants, s; negative where they fall short."""
        return self.line.seconds_bonding - self.line.film.bonds_s


@dataclass(frozen=True, slots=True)
class BondLineCourse(Followed):
    """The same with its course, for people.

    Attributes:
        softened_at_s: when it first softens, s from the first closing; ``None`` if never.
        bonded_at_s: when it has been hot enough for long enough under the platen; likewise.
        face_hottest_c: hottest that the film's face gets here, °C.
        above_onset_s: seconds that its face is above its shrink onset, s.
        shrink_pct: expected shrink over the whole schedule, percent.
        before_next_mm: how far its edge draws in before all that lies on it is down, mm.
        trap_mm: the overlap that hides it, mm.
        curve: the bond line's temperature against time, from when it is laid.
        face: the same of the film's face.
        moments: all that happens at this column.
        water_gsm: by the number of each step that presses, the water left in the fabric, g/m².
    """

    softened_at_s: float | None
    bonded_at_s: float | None
    face_hottest_c: float
    above_onset_s: float
    shrink_pct: float
    before_next_mm: float
    trap_mm: float
    curve: Curve = field(repr=False, compare=False)
    face: Curve = field(repr=False, compare=False)
    moments: tuple[Moment, ...] = field(repr=False, compare=False)
    water_gsm: tuple[tuple[int, float], ...] = field(repr=False, compare=False)

    @property
    def film(self) -> Film:
        """The film whose adhesive it is."""
        return self.line.film


@dataclass(frozen=True, slots=True)
class HeatRefusal:
    """Heat does not reach an adhesive within what the films allow.

    Attributes:
        stage: which finishing stage, from 0; a tack belongs to the stage that finishes it.
        purpose: whether a tack does not grab or a full press does not bond.
        piece: whose adhesive it is; ``film`` is its film, ``below`` what it lies on, by id.
        column: the place where it is slowest, by piece, bottom first.
        peak_c: the hottest that the bond line gets within ``longest_s``, °C.
        seconds: at or above what it wants to reach, within ``longest_s``, s.
        needed_s: least whole seconds that would do, s; ``None`` if none would.
        longest_s: longest that is allowed, s.
        settles_c: where it would settle if the press stayed closed, °C.
    """

    stage: int
    purpose: Purpose
    piece: str
    film: Film
    below: str
    column: Column
    setpoint_c: float
    peak_c: float
    seconds: float
    needed_s: float | None
    longest_s: float
    settles_c: float

    @property
    def rule(self) -> Literal["bond-line-heat"]:
        """The rule that such a schedule would break."""
        return "bond-line-heat"

    @property
    def message(self) -> Text:
        """What is refused, in one sentence with the numbers."""
        film = self.film
        if self.purpose == "tack":
            wants = f"softens at {show_c(film.softens_c)}"
            does = f"a tack of {self.longest_s:g} s"
        else:
            wants = f"wants {film.bonds_s:.3g} s at {show_c(film.bonds_c)}"
            does = f"{self.longest_s:g} s, the longest that is allowed,"
        sentence = (
            f"the adhesive of {film.id} on {self.below} {wants}; {does} at "
            f"{show_c(self.setpoint_c)} heats it to {show_c(self.peak_c)}"
        )
        if self.purpose == "full":
            sentence += f" and gives it {self.seconds:.3g} s"
        if self.needed_s is None:
            sentence += f"; no dwell would do, for it settles at {show_c(self.settles_c)}"
        else:
            sentence += f"; it would take {self.needed_s:.0f} s"
        return Text(sentence)


class ReportedLine(Record):
    """One bond line at its worst place.

    Attributes:
        place: the pieces there, bottom first.
        softened_at_s: when it first softens, s from the first closing; ``None`` if never.
        bonded_at_s: when it is bonded; likewise.
        low_seconds_bonding: seconds bonding on an unlucky press, s.
        needed_s: least whole seconds of the press that finishes it, s; ``None`` if none would do.
        margin_s: seconds bonding beyond what the film wants, s.
    """

    piece: str
    film: str
    below: str
    place: tuple[str, ...]
    softens_c: float
    bonds_c: float
    bonds_s: float
    softened_at_s: float | None
    bonded_at_s: float | None
    peak_c: float
    seconds_bonding: float
    low_seconds_bonding: float
    needed_s: float | None
    longest_s: float
    margin_s: float


class ReportedPhase(Record):
    """A stretch of the schedule; ``platen_c`` is ``None`` while the press is open."""

    step: int
    label: str
    from_s: float
    to_s: float
    platen_c: float | None


class ReportedCourse(Record):
    """The temperature between two things against time; ``celsius`` at each of ``seconds``."""

    between: tuple[str, str]
    seconds: tuple[float, ...]
    celsius: tuple[float, ...]
    softens_c: float | None = None
    bonds_c: float | None = None


class ReportedWater(Record):
    """The fabric's water when a press is over, and what of it that press drove out, g/m²."""

    step: int
    leaves_gsm: float
    left_gsm: float


class ReportedShrink(Record):
    """What the face's heat does to a film's size.

    Attributes:
        percent: over the whole schedule.
        mm: how far its edge draws in before all that lies on it is down, mm.
        trap_mm: the overlap that hides it, mm.
    """

    piece: str
    film: str
    face_hottest_c: float
    above_onset_s: float
    percent: float
    mm: float
    trap_mm: float


class HeatReport(Record):
    """Heat over one schedule.

    Attributes:
        place: the pieces, bottom first, at the place that phases and courses are told for: the
            one where a bond line has least to spare.
        bond_lines: every piece's adhesive, each at its own worst place.
        courses: the bond lines of ``place`` and the face of its topmost film.
        water: what leaves the fabric at ``place``, press by press.
        findings: what the rule ``bond-line-heat`` says.
        limits: what the computation leaves out.
    """

    fabric: str
    press: str
    place: tuple[str, ...]
    verdict: Verdict
    bond_lines: tuple[ReportedLine, ...]
    phases: tuple[ReportedPhase, ...]
    courses: tuple[ReportedCourse, ...]
    shrink: tuple[ReportedShrink, ...]
    findings: tuple[Finding, ...]
    water: tuple[ReportedWater, ...] = ()
    limits: str = LIMITS


Unknowns = Literal["contact", "fabric", "pad", "bed"]
"""What can be found: the platen's contact, or the conductivity of what lies under the films."""


class Estimate(Record):
    """A fitted number with its 95 % interval."""

    value: float
    low: float
    high: float

    @property
    def factor(self) -> float:
        """How far the interval reaches, as a factor: 1.2 means from value/1.2 to value·1.2."""
        return self.high / self.value


class Fitted(Estimate):
    """One number that the readings tell.

    Attributes:
        of: what it belongs to, by id: the press, or a material.
        before: what the catalogue gave.
    """

    unknown: Unknowns
    of: str
    unit: str
    before: float


class FitReport(Record):
    """What the readings say about a press.

    Attributes:
        carrier_on: whether the topmost film was read with its carrier on; all others were off.
        typical_error_k: what is left between readings and fit, K.
    """

    press: str
    carrier_on: bool = False
    readings: int
    typical_error_k: float
    fitted: tuple[Fitted, ...]
