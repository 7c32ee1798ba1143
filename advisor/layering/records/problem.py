"""Problem: what can be chosen and what must hold, in terms that any solver can take up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property

from advisor.job.records.job import Prefer, Rates
from advisor.job.records.print import Meeting, Pair, PieceSize, Place, Print, PrintPiece
from advisor.layering.joint_width import joint_width, joints_to_judge
from advisor.layering.records.pressing import HeatLimits
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import Finding, Severity, distinct
from rules.facts.step import Meets
from rules.facts.subjects import FilmOnFilm, Joint, Stack
from rules.knowledge import Knowledge

__all__ = [
    "Choice",
    "Option",
    "Problem",
    "ProblemPiece",
    "Refusal",
    "RuleAnswers",
]  # fmt: skip


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
    """A piece of the print with its candidate films, cheapest worry first, and those refused.

    Attributes:
        wish: the look wanted for it, in words; empty where none was given.
    """

    piece: PrintPiece
    options: tuple[Option, ...]
    refused: tuple[Refusal, ...]
    wish: str = ""

    @property
    def id(self) -> str:
        """The id of the piece."""
        return self.piece.id

    @property
    def fill(self) -> str:
        """Its colour in the artwork; empty where no artwork gives one."""
        return self.piece.fill or ""

    @property
    def sizes(self) -> tuple[PieceSize, ...]:
        """Its size on every line of the print."""
        return self.piece.sizes


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
    """A print with what may be chosen for it, neutral between solvers.

    Attributes:
        pieces: those of the print with their domains, bottom first.
        fabrics: every fabric of the print; a choice must suit them all.
        garment_price: what one spoiled garment costs, in the shop's currency.
    """

    print: Print
    pieces: tuple[ProblemPiece, ...]
    fabrics: tuple[Fabric, ...]
    limits: HeatLimits
    knowledge: Knowledge
    prefer: Prefer = "durable"
    rates: Rates = field(default_factory=Rates)
    garment_price: float = 0.0
    samples_allowed: bool = True
    rule_answers: RuleAnswers = field(
        default_factory=lambda: RuleAnswers(), compare=False, repr=False
    )

    @property
    def meetings(self) -> tuple[Meeting, ...]:
        """The pairs of the print, with the ways open to them."""
        return self.print.meetings

    @property
    def places(self) -> tuple[Place, ...]:
        """The distinct stacks of the print."""
        return self.print.places

    @cached_property
    def close(self) -> frozenset[frozenset[str]]:
        """Pairs whose carriers cannot be trimmed apart."""
        return frozenset(frozenset(pair) for pair in self.print.close)

    @property
    def registration_mm(self) -> float:
        """How far hands are expected to miss, mm."""
        return self.print.registration_mm

    @property
    def quantity(self) -> int:
        """Garments that share a change of setpoint."""
        return sum(line.quantity for line in self.print.lines)

    def piece(self, piece_id: str) -> ProblemPiece:
        """The piece of that id; ``KeyError`` if there is none."""
        return {piece.id: piece for piece in self.pieces}[piece_id]

    def meeting(self, pair: Pair) -> Meeting:
        """The meeting of that pair; ``KeyError`` if they do not meet."""
        return self.print.meeting(pair)

    def on_film(self, upper: Film, lower: Film, *, rim: bool) -> tuple[Finding, ...]:
        """What the rules say of one film pressed onto another."""
        key = (upper.id, lower.id, rim)
        if key not in self.rule_answers.on_film:
            self.rule_answers.on_film[key] = self.knowledge.judge(FilmOnFilm(upper, lower, rim))
        return self.rule_answers.on_film[key]

    def on_film_severities(self, upper: Film, lower: Film, *, rim: bool) -> Severities:
        """What `on_film` finds, without its words."""
        key = (upper.id, lower.id, rim)
        if key not in self.rule_answers.severities:
            found = self.knowledge.severities(FilmOnFilm(upper, lower, rim))
            self.rule_answers.severities[key] = found
        return self.rule_answers.severities[key]

    def at_joint(
        self, meeting: Meeting, upper: Film, lower: Film, way: Meets
    ) -> tuple[Finding, ...]:
        """What the rules say of two pieces meeting in that way, at every size of the job."""
        key = (meeting.pair, upper.id, lower.id, way)
        if key not in self.rule_answers.at_joint:
            joints = self._joints(meeting, upper, lower, way)
            self.rule_answers.at_joint[key] = self.knowledge.judge(*joints)
        return self.rule_answers.at_joint[key]

    def at_joint_severities(
        self, meeting: Meeting, upper: Film, lower: Film, way: Meets
    ) -> Severities:
        """What `at_joint` finds, without its words."""
        key = (meeting.pair, upper.id, lower.id, way)
        if key not in self.rule_answers.severities:
            joints = self._joints(meeting, upper, lower, way)
            self.rule_answers.severities[key] = self.knowledge.severities(*joints)
        return self.rule_answers.severities[key]

    def _joints(self, meeting: Meeting, upper: Film, lower: Film, way: Meets) -> tuple[Joint, ...]:
        above, below = self.piece(meeting.upper).sizes, self.piece(meeting.lower).sizes
        width = joint_width(
            upper, lower, way, sizes=(*above, *below), registration_mm=self.registration_mm
        )
        return joints_to_judge(
            upper, lower, way, width, upper_sizes=above, registration_mm=self.registration_mm
        )

    def in_stack(self, films: tuple[Film, ...]) -> tuple[Finding, ...]:
        """What the rules say of these films over one another, bottom first."""
        key = tuple(film.id for film in films)
        if key not in self.rule_answers.in_stack:
            stacks = [Stack(fabric, films) for fabric in self.fabrics]
            self.rule_answers.in_stack[key] = distinct(self.knowledge.judge(*stacks))
        return self.rule_answers.in_stack[key]


Severities = tuple[tuple[str, Severity], ...]
"""The rule and the severity of each finding."""


@dataclass(slots=True)
class RuleAnswers:
    """What the rulebook has said so far on this problem, so that it is asked once."""

    on_film: dict[tuple[str, str, bool], tuple[Finding, ...]] = field(default_factory=dict)
    at_joint: dict[tuple[Pair, str, str, str], tuple[Finding, ...]] = field(default_factory=dict)
    in_stack: dict[tuple[str, ...], tuple[Finding, ...]] = field(default_factory=dict)
    severities: dict[tuple[object, ...], Severities] = field(default_factory=dict)
