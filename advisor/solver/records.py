"""Records of the solver: cuts, the best plan, or why there is none and what would help."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from advisor.job.records.print import Pair
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.pressing import HeatLimits
from advisor.layering.records.problem import Option, Problem
from rules.facts.film import Film
from rules.facts.step import Meets
from rules.facts.text import Text

__all__ = [
    "HOW_MUCH", "ChangeKind", "Cut", "Examine", "ExamineOf", "FactKind", "Impossible", "Optimum",
    "Otherwise", "Repair", "RepairChange", "RuleInstance", "SwapKind", "Swaps",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Cut:
    """Films, ways of meeting and presses that together come to what no table foresaw.

    Attributes:
        films: (piece, film id) pairs.
        alike: (piece, film ids) pairs: the piece is of one of these.
        meets: (pair, way) pairs.
        apart: pairs of which one is knocked out of the other, in whatever way.
        sentence: what was found, for the person.
        severity: a ``stop`` may not occur again; a ``sample`` adds itself to the objective;
            ``late`` takes longer, once heat is followed through its steps.
        rule: the rule that was broken.
        stages: (piece, stage), where it rests on which of them finish together: numbered among
            these alone, from 0; the last of them is the plan's last stage, unless ``followed``.
        presses: (piece, stage, press of the stage), both from 0, where it rests on the order too.
        cause: findings with the same cause count once.
        ms: of what is late, how much longer the average garment takes at least, milliseconds.
        certain: whether every plan that it forbids is known to be like that; a guess leads the
            search to a good plan, and nothing is proved by it.
    """

    films: tuple[tuple[str, str], ...]
    meets: tuple[tuple[Pair, Meets], ...]
    sentence: Text
    severity: Literal["stop", "sample", "late"] = "stop"
    rule: str = "bond-line-heat"
    alike: tuple[tuple[str, tuple[str, ...]], ...] = ()
    apart: tuple[Pair, ...] = ()
    stages: tuple[tuple[str, int], ...] = ()
    followed: bool = False
    presses: tuple[tuple[str, int, int], ...] = ()
    cause: tuple[str, ...] = ()
    ms: int = 0
    certain: bool = True

    @property
    def pieces(self) -> tuple[str, ...]:
        """The pieces whose films it names."""
        return tuple(piece for piece, _ in (*self.films, *self.alike))

    @property
    def always(self) -> bool:
        """Whether every plan is as it says."""
        named = (self.pieces, self.meets, self.apart, self.stages, self.presses)
        return self.certain and not any(named)

    def forbids(self, problem: Problem) -> bool:
        """Whether no plan of the problem may be as it says."""
        return self.severity == "stop" or (
            self.severity == "sample" and not problem.samples_allowed
        )


Examine = Callable[[Assessment], tuple[Cut, ...]]
"""Looks at a drafted plan with all that the model left out, and says what was found against it."""

ExamineOf = Callable[[Problem], Examine]
"""What looks at the drafted plans of a problem that was changed to be repaired."""


@dataclass(frozen=True, slots=True)
class Optimum:
    """The best plan, or that there is none, or that time ran out.

    Attributes:
        status: ``impossible`` is proved; ``unknown`` means that time ran out before any plan.
        optimal: whether the plan is proved best (or that there is none is proved).
        bound: no plan has a smaller objective; the objective itself when ``optimal``.
        objective: of the plan, in the order of ``advisor.layering.assessment.MEASURES``.
        seconds: that solving took, s.
        cuts: what examining drafts had to say on the way.
    """

    status: Literal["planned", "impossible", "unknown"]
    assessment: Assessment | None
    optimal: bool
    bound: tuple[int, ...] | None
    objective: tuple[int, ...] | None
    seconds: float
    cuts: tuple[Cut, ...]


FactKind = Literal["wish", "film", "fabric", "lies", "press"]
"""What is wished, what films bear, what the fabric bears, what lies on what, what heat found."""


NOTHING = Text()


@dataclass(frozen=True, slots=True)
class RuleInstance:
    """A rule, a fact or a wish at one place: a member of a conflict.

    Attributes:
        rule: the rule's id; ``wish`` for a look, ``wish-meets`` and ``wish-samples`` for the
            other wishes.
        where: the pieces it is about.
        pieces: the same by id, bottom first.
        said: what a finding says, or a look that is wished for.
        pair: two pieces that lie on one another, the upper first.
        films: those that the piece may be cut from; ``ways`` those in which two may meet.
        drawn: how many films, or pairings of films, draw the finding, of so many ``asked``.
        shelf: whether these are all films on the shelf, whatever is wished.
        limits: of the press and the garment, where they are what limits.
    """

    rule: str
    kind: FactKind
    where: Text
    pieces: tuple[str, ...] = ()
    said: Text = NOTHING
    pair: Pair | None = None
    films: tuple[Film, ...] = ()
    ways: tuple[Meets, ...] = ()
    drawn: int = 0
    asked: int = 0
    shelf: bool = False
    limits: HeatLimits | None = None


ChangeKind = Literal["sample", "meets", "press", "setpoint", "film", "buy", "size", "line", "drop"]

HOW_MUCH: Mapping[str, int] = MappingProxyType(
    {
        "sample": 1,
        "setpoint": 1,
        "meets": 2,
        "press": 2,
        "film": 2,
        "buy": 3,
        "size": 5,
        "look": 6,
        "line": 7,
        "drop": 8,
    }
)
"""How much each change takes from the wish: a sample nothing but time, a setpoint above the one
wished some degrees, another way of meeting an edge, another press a walk, another film of the
finish its feel, a film to buy its price and the wait, another size the proportion, a film of
another finish (``look``) the look, a line some of the garments, a dropped piece a part of the
design. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class RepairChange:
    """One change to what was wished.

    Attributes:
        pieces: those of the look that it changes, the one left out, or the two of a joint, the
            upper first.
        to: what it becomes: a way of meeting, a film, a press, a width in mm, °C; empty for what is
            left out.
        colour: the colour of a film.
        line: the line of the print whose size is changed or that is left out, from 0.
        look: whether a film is of another finish than was wished.
    """

    kind: ChangeKind
    pieces: tuple[str, ...] = ()
    to: str = ""
    colour: str = ""
    line: int | None = None
    look: bool = False

    @property
    def much(self) -> int:
        """How much it takes from the wish."""
        return HOW_MUCH["look" if self.look else self.kind]


@dataclass(frozen=True, slots=True)
class Repair:
    """Changes that make a plan possible, none of them to spare, with the plan that proves it."""

    changes: tuple[RepairChange, ...]
    assessment: Assessment

    @property
    def size(self) -> int:
        """How much it takes from the wish."""
        return sum(change.much for change in self.changes)


@dataclass(frozen=True, slots=True)
class Impossible:
    """Facts, rules and wishes that cannot hold together, and what would clear them.

    Attributes:
        conflict: none of them to spare; wishes first, then from the bottom layer to the top.
        repairs: the least change of the wish first; each was solved again.
        fewest: whether it is known that no member is to spare; otherwise time ran out before, and
            where it has no members, before any were found.
    """

    conflict: tuple[RuleInstance, ...]
    repairs: tuple[Repair, ...]
    fewest: bool = True


SwapKind = Literal["setpoint", "film", "buy", "look"]

Swaps = Callable[[str], Mapping[SwapKind, Sequence[Option]]]
"""Other films that would do for a piece: what is as wished but pressed the least hotter than that,
what is of the wished look, what was wished but is to buy, or of
another look."""


@dataclass(frozen=True, slots=True)
class Otherwise:
    """The job on another press, at another size or without some of its garments.

    Attributes:
        made: gives the problem that it comes to and what examines its plans, if there is one.
    """

    changes: tuple[RepairChange, ...]
    made: Callable[[], tuple[Problem, Examine] | None]
