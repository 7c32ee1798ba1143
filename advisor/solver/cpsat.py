"""CP-SAT: one search with a fixed seed, which a deadline ends and Ctrl-C ends at once."""

from __future__ import annotations

import math
import threading
import time
from dataclasses import dataclass
from typing import Any, Literal

from ortools.sat.python import cp_model

from rules.errors import PressloreError

__all__ = ["OutOfTimeError", "Solution", "solved"]

LOOKS_UP_S = 0.2
"""How often the program looks up from a search, so that Ctrl-C is heard, s."""

STOPS_WITHIN_S = 1.0
"""How long a search that is told to stop is waited for; it ends by itself soon after, and before
the program does, s."""


By = Literal["descent", "count", "relaxation"]
"""How a least is found: down from one plan to the next; up from nothing, by literals of which some
must hold, for what counts a few of many; or against what a linear relaxation cannot go below, for
what adds up from all that is chosen."""


class OutOfTimeError(PressloreError):
    """Time ran out before an answer was known."""


@dataclass(frozen=True, slots=True)
class Solution:
    """What a search came to.

    Attributes:
        status: ``best`` is proved (of a search without objective, any plan is); ``found`` is not;
            ``none`` is proved; ``unknown`` means that time ran out.
        values: of the variables, to be read by `Solution.of`.
        core: of a search under assumptions that has none, some that cannot hold together, by
            their index.
    """

    status: Literal["best", "found", "none", "unknown"]
    values: Any = None
    core: tuple[int, ...] = ()

    @property
    def found(self) -> bool:
        """Whether there are values to be read."""
        return self.status in {"best", "found"}

    def of(self, expression: Any) -> int:
        """The value of a literal, a number or a sum."""
        if isinstance(expression, int):
            return int(expression)
        return int(self.values.value(expression))

    def holds(self, literal: Any) -> bool:
        """Whether a literal holds."""
        return bool(self.of(literal))


def solved(
    model: cp_model.CpModel,
    *,
    deadline: float,
    presolve: bool = True,
    by: By = "descent",
    effort: float = math.inf,
) -> Solution:
    """Search a model until it is done or the deadline (of ``time.monotonic``) has come.

    Args:
        effort: most of the solver's own measure of work, the same on every machine.
    """
    if by == "count":
        left_s = deadline - time.monotonic()
        counted = _searched(model, left_s / 2, presolve=presolve, by="count", effort=effort)
        if counted.status in {"best", "none"}:
            return counted
        # It finds no plan on its way: half of the time is left for what does.
        by = "descent"
    left_s = deadline - time.monotonic()
    return _searched(model, left_s, presolve=presolve, by=by, effort=effort)


def _searched(
    model: cp_model.CpModel, left_s: float, *, presolve: bool, by: By, effort: float
) -> Solution:
    if left_s <= 0:
        return Solution("unknown")
    solver = cp_model.CpSolver()
    # One worker and a fixed seed give the same answer every time. Probing, repeated simplifying
    # and the search for symmetries cost more than they save on these models.
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.max_presolve_iterations = 2 if by == "relaxation" else 1
    solver.parameters.symmetry_level = 0
    solver.parameters.cp_model_presolve = presolve
    solver.parameters.linearization_level = {"relaxation": 2, "descent": 1, "count": 0}[by]
    # Groups of which one holds are given whole, so that cutting planes find little more: with them
    # real designs of 14 to 22 pieces take three to five times as long.
    solver.parameters.cut_level = 0
    solver.parameters.optimize_with_core = by == "count"
    solver.parameters.catch_sigint_signal = False
    solver.parameters.max_time_in_seconds = left_s
    solver.parameters.max_deterministic_time = effort
    status = _interruptibly(solver, model)
    if status == cp_model.OPTIMAL:
        return Solution("best", solver)
    if status == cp_model.FEASIBLE:
        return Solution("found", solver)
    if status == cp_model.INFEASIBLE:
        return Solution("none", core=tuple(solver.sufficient_assumptions_for_infeasibility()))
    if status == cp_model.MODEL_INVALID:
        raise ValueError(f"the model is no model: {model.validate()}")
    return Solution("unknown")


def _interruptibly(solver: cp_model.CpSolver, model: cp_model.CpModel) -> Any:
    """Solve beside the program, so that it hears Ctrl-C meanwhile and can end the search."""
    said: list[Any] = []
    # Not by joining the thread: one whose joining is interrupted counts as ended while it runs.
    ended = threading.Event()

    def search() -> None:
        try:
            said.append(solver.solve(model))
        finally:
            ended.set()

    threading.Thread(target=search).start()
    try:
        while not ended.wait(LOOKS_UP_S):
            pass
    finally:
        if not ended.is_set():
            solver.stop_search()
            ended.wait(STOPS_WITHIN_S)
    if not said:
        raise RuntimeError("the search ended without an answer")
    return said[0]
