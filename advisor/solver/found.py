"""Optimise found: reads a plan from the solver's values, and says what the solver said."""

from __future__ import annotations

from typing import Any, Literal

import cpmpy as cp
from cpmpy.solvers.solver_interface import ExitStatus

from advisor.layering.records.assessment import Assessment
from advisor.layering.records.pressing import Arrangement
from advisor.solver.feasible import post
from advisor.solver.model import Cut, PlanModel
from advisor.solver.order import Order
from advisor.solver.stages import Stages

__all__ = ["Verdict", "arrangement_of", "begin_from", "posted", "refuses", "verdict_of"]

Verdict = Literal["found", "none", "unknown"]
"""There is a plan, there is proved to be none, or time ran out."""


def verdict_of(status: ExitStatus) -> Verdict:
    """What a solver's status means."""
    if status == ExitStatus.UNSATISFIABLE:
        return "none"
    return "found" if status in {ExitStatus.OPTIMAL, ExitStatus.FEASIBLE} else "unknown"


def refuses(cut: Cut, found: Assessment) -> bool:
    """Whether a plan is one that a cut refuses."""
    choice = found.choice
    return all(choice.options[piece].film.id == film for piece, film in cut.films) and all(
        choice.meets[pair] == way for pair, way in cut.meets
    )


def posted(model: PlanModel) -> Any:
    """A solver with all constraints of a model."""
    solver = cp.SolverLookup.get("ortools")
    post(solver, model)
    return solver


def arrangement_of(order: Order, stages: Stages) -> Arrangement:
    """The presses and stages that the solver has found."""
    ranks = {piece: _value(rank) for piece, rank in order.rank.items()}
    groups = tuple(
        tuple(piece for piece in ranks if ranks[piece] == rank)
        for rank in range(max(ranks.values()) + 1)
    )
    ends = [_value(stage.last_rank) + 1 for stage in stages.stages]
    return Arrangement(groups, (0, *dict.fromkeys(ends)), fewest=False)


def _value(expression: Any) -> int:
    return int(expression if isinstance(expression, int) else expression.value())


def begin_from(solver: Any, model: PlanModel) -> None:
    """Begin the next level from the plan just found."""
    literals = [film for films in model.film.values() for film in films]
    literals += [way for ways in model.way.values() for way in ways.values()]
    solver.solution_hint(literals, [bool(literal.value()) for literal in literals])
