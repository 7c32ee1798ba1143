"""Plain plan: any plan at all, soon found, from which the search for the best begins."""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from typing import Any, Literal

from advisor.job.records.print import Pair
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Option, Problem
from advisor.solver.cpsat import OutOfTimeError, solved
from advisor.solver.draft import chosen, stack_cuts
from advisor.solver.model import PlanModel
from advisor.solver.records import Cut
from advisor.solver.variables import most_stages
from rules.errors import ProgramError
from rules.facts.step import Meets

__all__ = ["FEW", "first_plan"]

FEW = 6
"""Films of each piece among which a plain plan is sought."""

FLAT_PLAN_S = 2.0
"""Seconds in which a flatter plan is bettered, s."""


def first_plan(
    problem: Problem,
    *,
    cuts: list[Cut] | None = None,
    most_layers: int | None = None,
    flattest: bool = False,
    deadline: float,
) -> Assessment | Literal["none", "unknown"]:
    """Any plan at all: laps, in order, one setting and the first films, or else whatever will do.

    Args:
        cuts: what was found against drafted plans; what is found on the way is added.
        flattest: one with as little film over one another as may be, in few presses, instead.

    Returns:
        The plan; ``none`` where it is proved that there is none, ``unknown`` out of time.
    """
    if not all(piece.options for piece in problem.pieces):
        return "none"
    few: Mapping[str, Sequence[Option]] = {p.id: p.options[:FEW] for p in problem.pieces}
    laps: Mapping[Pair, Sequence[Meets]] = {
        m.pair: ("lap",) if "lap" in m.ways else m.ways for m in problem.meetings
    }
    tries: tuple[tuple[Any, Any, int], ...] = (
        (few, laps, 1), (few, None, 1), (None, None, 0), (None, None, most_stages(problem)),
    )  # fmt: skip
    if flattest:
        tries = tries[1:]
    known = cuts if cuts is not None else []
    for options, ways, stages in tries:
        while True:
            try:
                model = PlanModel(
                    problem,
                    stages=stages,
                    sample_free=not problem.samples_allowed,
                    cuts=known,
                    options=options,
                    ways=ways,
                    most_layers=most_layers,
                    deadline=deadline,
                )
            except OutOfTimeError:
                return "unknown"
            solution = solved(model.cp, deadline=deadline)
            if not solution.found or not stages:
                break
            if flattest:
                # What is pressed in fewer presses leaves heat more of the seconds that films bear.
                model.begin_from(solution)
                model.cp.minimize(len(model.used) * model.thickest() + model.presses)
                until = min(deadline, time.monotonic() + FLAT_PLAN_S)
                flatter = solved(model.cp, deadline=until)
                solution = flatter if flatter.found else solution
            found = chosen(model, solution)
            if found.possible:
                return found
            own = stack_cuts(problem, found)
            if not own:
                raise ProgramError("the solver found a plan that cannot be pressed")
            known += own
        if options is None and solution.status == "none":
            return "none"
    return "unknown"
