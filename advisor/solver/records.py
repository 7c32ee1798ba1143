"""Records of the solver: what an examined draft cuts off, and the best plan that is proved."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from advisor.job.records.print import Pair
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from rules.facts.step import Meets
from rules.facts.text import Text

__all__ = ["Cut", "Examine", "ExamineOf", "Optimum"]


@dataclass(frozen=True, slots=True)
class Cut:
    """Films, ways of meeting and presses that together draw a finding that no table foresaw.

    Attributes:
        films: (piece, film id) pairs.
        meets: (pair, way) pairs.
        sentence: what was found, for the person.
        severity: a ``stop`` may not occur again; a ``sample`` adds itself to the objective.
        rule: the rule that was broken.
        stages: (piece, stage), where it rests on which of them finish together: numbered among
            these alone, from 0; the last of them is the plan's last stage.
        presses: (piece, stage, press of the stage), both from 0, where it rests on the order too.
        cause: findings with the same cause count once.
    """

    films: tuple[tuple[str, str], ...]
    meets: tuple[tuple[Pair, Meets], ...]
    sentence: Text
    severity: Literal["stop", "sample"] = "stop"
    rule: str = "bond-line-heat"
    stages: tuple[tuple[str, int], ...] = ()
    presses: tuple[tuple[str, int, int], ...] = ()
    cause: tuple[str, ...] = ()


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
