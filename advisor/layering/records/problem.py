"""Problem: what can be chosen and what must hold, in terms that any solver can take up."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType

from advisor.job.records.job import Prefer, Rates
from advisor.job.records.print import (
    NAMES_PIECE,
    Meeting,
    Pair,
    PieceSize,
    Place,
    Print,
    PrintPiece,
)
from advisor.layering.average_garment import AverageGarment, average_garment
from advisor.layering.records.asked import AskedRules, RuleAnswers
from advisor.layering.records.pressing import HeatLimits
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import Finding
from rules.facts.step import Meets
from rules.knowledge import Knowledge

__all__ = ["NEAR_ENOUGH_DELTA_E", "Choice", "Option", "Problem", "ProblemPiece", "Refusal"]


NEAR_ENOUGH_DELTA_E = 5.0
"""A shelf colour this much farther (CIEDE2000) than the nearest one is still a candidate: about
the difference that is seen at a glance. Value from memory."""

NO_WAYS: Mapping[Pair, Meets] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Option:
    """One film and colour that a piece may be cut from.

    Attributes:
        delta_e: how far the colour is from the one wanted, CIEDE2000.
        findings: what the rules say of it wherever it lies.
        fabric_findings: what they add where it lies straight on a fabric.
        film_cost: film for one garment of the largest size, in the shop's currency.
    """

    film: Film
    colour: Colour
    delta_e: float
    findings: tuple[Finding, ...]
    fabric_findings: tuple[Finding, ...]
    film_cost: float

    @property
    def name(self) -> str:
        """What tells it from the other options of its piece: film and colour."""
        return f"{self.roll} {self.colour.srgb}" if self.film.printed else self.roll

    @property
    def roll(self) -> str:
        """The roll that it is cut from, whatever is printed on it."""
        return f"{self.film.id}:{self.colour.name}"


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

    @property
    def colours(self) -> dict[str, Colour]:
        """The colour that each piece is cut in."""
        return {piece: option.colour for piece, option in self.options.items()}


@dataclass(frozen=True)
class Problem(AskedRules):
    """A print with what may be chosen for it, neutral between solvers.

    Attributes:
        pieces: those of the print with their domains, bottom first.
        fabrics: every fabric of the print; a choice must suit them all.
        garment_price: what one spoiled garment costs on average, in the shop's currency.
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
    rule_answers: RuleAnswers = field(default_factory=RuleAnswers, compare=False, repr=False)

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

    def cut_with_others(self, piece: str) -> bool:
        """Whether a piece lies on one carrier with others of its film, colour and press.

        Names are cut by themselves, garment by garment, and so is each film of a typed stack.
        """
        return piece != NAMES_PIECE and bool(self.piece(piece).fill)

    def carriers(self, options: Mapping[str, Option]) -> dict[str, str]:
        """By piece, what tells its carrier from others that are laid in the same press."""
        return {
            piece: option.roll if self.cut_with_others(piece) else piece
            for piece, option in options.items()
        }

    def carriers_clash(self, carriers: Mapping[str, str]) -> frozenset[frozenset[str]]:
        """Of the pairs that lie close, those that lie on two carriers."""
        return frozenset(two for two in self.close if len({carriers[piece] for piece in two}) > 1)

    def narrowed(
        self, options: Mapping[str, tuple[Option, ...]], ways: Mapping[Pair, Meets] = NO_WAYS
    ) -> Problem:
        """The same problem with these alone open to some pieces, and to some pairs."""
        return replace(
            self,
            print=self.print.with_ways(ways),
            pieces=tuple(
                replace(piece, options=options[piece.id]) if piece.id in options else piece
                for piece in self.pieces
            ),
        )

    @property
    def registration_mm(self) -> float:
        """How far hands are expected to miss, mm."""
        return self.print.registration_mm

    @property
    def quantity(self) -> int:
        """Garments of the order."""
        return sum(line.quantity for line in self.print.lines)

    @cached_property
    def average(self) -> AverageGarment:
        """What of a garment's time and film depends on the lines of the order."""
        return average_garment(self.print, self.fabrics, self.knowledge.catalogue)

    def piece(self, piece_id: str) -> ProblemPiece:
        """The piece of that id; ``KeyError`` if there is none."""
        return self._by_id[piece_id]

    @cached_property
    def _by_id(self) -> dict[str, ProblemPiece]:
        return {piece.id: piece for piece in self.pieces}

    def meeting(self, pair: Pair) -> Meeting:
        """The meeting of that pair; ``KeyError`` if they do not meet."""
        return self.print.meeting(pair)
