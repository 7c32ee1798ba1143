"""Problem: what can be chosen and what must hold, in terms that any solver can take up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from advisor.job.records.job import Prefer, Rates
from advisor.job.records.print import Meeting, Pair, Place
from advisor.layering.stages import HeatLimits
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import Finding
from rules.facts.practice import TACK_S
from rules.facts.step import Meets
from rules.facts.subjects import FilmOnFilm, Joint, Stack
from rules.rulebook import Rulebook

__all__ = [
    "Choice", "Judged", "Option", "PieceSize", "Problem", "ProblemPiece", "Refusal", "gap_mm",
    "trap_mm", "window_mm",
]  # fmt: skip

EDGE_MM = 0.5
"""Overlap kept beyond what registration and shrink may eat, mm. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class PieceSize:
    """A piece at one size: extent and thinnest part, mm."""

    width_mm: float
    height_mm: float
    narrowest_mm: float = 1000.0

    @property
    def extent_mm(self) -> float:
        """The larger of width and height, mm."""
        return max(self.width_mm, self.height_mm)


@dataclass(frozen=True, slots=True)
class Option:
    """One film and colour that a piece may be cut from.

    Attributes:
        delta_e: how far the colour is from the one wanted, CIEDE2000.
        findings: what the rules say of it wherever it lies.
        fabric_findings: what they add where it lies straight on a fabric.
        film_cost: film for one garment, in the shop's currency.
    """

    film: Film
    colour: Colour
    delta_e: float
    findings: tuple[Finding, ...]
    fabric_findings: tuple[Finding, ...]
    film_cost: float


@dataclass(frozen=True, slots=True)
class Refusal:
    """A film that would give the look but may not be used for a piece, and why.

    Attributes:
        option: the film with its colour and cost, as it would have been used.
    """

    piece: str
    film: str
    findings: tuple[Finding, ...]
    option: Option | None = None


@dataclass(frozen=True, slots=True)
class ProblemPiece:
    """A piece with its candidate films, cheapest worry first, and those refused at once.

    Attributes:
        wish: the look wanted for it, in words; empty where none was said.
    """

    id: str
    fill: str
    sizes: tuple[PieceSize, ...]
    options: tuple[Option, ...]
    refused: tuple[Refusal, ...]
    wish: str = ""


@dataclass(frozen=True, slots=True)
class Choice:
    """A film for every piece and a way for every pair."""

    options: Mapping[str, Option]
    meets: Mapping[Pair, Meets]

    @property
    def films(self) -> dict[str, Film]:
        """The film of each piece."""
        return {piece: option.film for piece, option in self.options.items()}


@dataclass(frozen=True)
class Problem:
    """A whole problem, neutral between solvers.

    Attributes:
        pieces: with their domains, bottom first.
        meetings: the pairs, with the ways open to them.
        places: the distinct stacks in the artwork.
        close: pairs whose carriers cannot be trimmed apart.
        fabrics: every fabric of the job; a choice must suit them all.
        quantity: garments that share a change of setpoint.
        garment_price: what one spoiled garment costs, in the shop's currency.
    """

    pieces: tuple[ProblemPiece, ...]
    meetings: tuple[Meeting, ...]
    places: tuple[Place, ...]
    close: frozenset[frozenset[str]]
    fabrics: tuple[Fabric, ...]
    limits: HeatLimits
    rules: Rulebook
    prefer: Prefer = "durable"
    rates: Rates = field(default_factory=Rates)
    quantity: int = 1
    garment_price: float = 0.0
    registration_mm: float = 0.5
    samples_allowed: bool = True
    judged: Judged = field(default_factory=lambda: Judged(), compare=False, repr=False)

    def piece(self, piece_id: str) -> ProblemPiece:
        """The piece of that id; ``KeyError`` if there is none."""
        return {piece.id: piece for piece in self.pieces}[piece_id]

    def meeting(self, pair: Pair) -> Meeting:
        """The meeting of that pair; ``KeyError`` if they do not meet."""
        return {meeting.pair: meeting for meeting in self.meetings}[pair]

    def on_film(self, upper: Film, lower: Film, *, rim: bool) -> tuple[Finding, ...]:
        """What the rules say of one film pressed onto another."""
        key = (upper.id, lower.id, rim)
        if key not in self.judged.on_film:
            self.judged.on_film[key] = self.rules.judge(FilmOnFilm(upper, lower, rim))
        return self.judged.on_film[key]

    def at_joint(
        self, meeting: Meeting, upper: Film, lower: Film, way: Meets
    ) -> tuple[Finding, ...]:
        """What the rules say of two pieces meeting in that way, at every size of the job."""
        key = (meeting.pair, upper.id, lower.id, way)
        if key not in self.judged.at_joint:
            self.judged.at_joint[key] = self.rules.judge(*self._joints(meeting, upper, lower, way))
        return self.judged.at_joint[key]

    def in_stack(self, films: tuple[Film, ...]) -> tuple[Finding, ...]:
        """What the rules say of these films over one another, bottom first."""
        key = tuple(film.id for film in films)
        if key not in self.judged.in_stack:
            self.judged.in_stack[key] = self.rules.judge(Stack(self.fabrics[0], films))
        return self.judged.in_stack[key]

    def _joints(self, meeting: Meeting, upper: Film, lower: Film, way: Meets) -> list[Joint]:
        joints = []
        uppers, lowers = self.piece(meeting.upper).sizes, self.piece(meeting.lower).sizes
        for above, below in dict.fromkeys(zip(uppers, lowers, strict=True)):
            shrink = max(shrink_mm(upper, above.extent_mm), shrink_mm(lower, below.extent_mm))
            trap = trap_mm(self.registration_mm, shrink) if "inset" in way else 0.0
            joints.append(
                Joint(
                    upper=upper,
                    lower=lower,
                    meets=way,
                    trap_mm=trap,
                    gap_mm=gap_mm(self.registration_mm, shrink) if way == "butt" else 0.0,
                    shift_mm=self.registration_mm,
                    shrink_mm=shrink,
                    narrowest_mm=window_mm(above.narrowest_mm, way, trap),
                )
            )
        return joints


@dataclass(slots=True)
class Judged:
    """What the rulebook has said so far on this problem, so that it is asked once."""

    on_film: dict[tuple[str, str, bool], tuple[Finding, ...]] = field(default_factory=dict)
    at_joint: dict[tuple[Pair, str, str, str], tuple[Finding, ...]] = field(default_factory=dict)
    in_stack: dict[tuple[str, ...], tuple[Finding, ...]] = field(default_factory=dict)


def shrink_mm(film: Film, extent_mm: float) -> float:
    """How far an edge draws in, mm, over the tack that lays the piece and the one after it."""
    beyond_grace_s = max(0.0, 2 * TACK_S - film.shrink.grace_s)
    hot = film.setpoint_c.best > film.shrink.onset_c
    return film.shrink.percent_per_s / 100 * beyond_grace_s * extent_mm / 2 if hot else 0.0


def trap_mm(registration_mm: float, shrink_mm: float) -> float:
    """The overlap that hides what hands miss and films shrink, mm, in tenths.

    >>> trap_mm(0.5, 0.0), trap_mm(0.5, 0.32)
    (1.0, 1.4)
    """
    return _tenths_up(registration_mm + shrink_mm + EDGE_MM)


def window_mm(narrowest_mm: float | None, way: Meets, trap_mm: float) -> float:
    """Narrowest width of an inset piece as the rules look at it, mm; 1000 where not measured.

    A rim that goes under is grown out beneath its neighbour, so that the window stays as drawn; a
    rim that goes over is part of the drawing, and the window is narrower by a trap on each side.

    >>> window_mm(3.0, "inset-under", 1.0), window_mm(3.0, "inset-over", 1.0)
    (5.0, 3.0)
    """
    if narrowest_mm is None:
        return 1000.0
    return narrowest_mm + 2 * trap_mm if way == "inset-under" else narrowest_mm


def gap_mm(registration_mm: float, shrink_mm: float) -> float:
    """The gap that keeps butted pieces from overlapping by accident, mm, in tenths.

    >>> gap_mm(0.5, 0.0)
    0.5
    """
    return _tenths_up(registration_mm + shrink_mm)


def _tenths_up(millimetres: float) -> float:
    tenths = round(millimetres * 10, 6)
    whole = int(tenths)
    return (whole if tenths == whole else whole + 1) / 10
