"""Feasible: whether a problem has any plan at all, judging no more than it must."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import combinations, product
from typing import Any

import cpmpy as cp

from advisor.job.records.print import Meeting, Pair
from advisor.layering.meeting import contacts
from advisor.layering.records.problem import Choice, Option, Problem
from advisor.layering.stages import MOST_STAGES
from advisor.solver.model import Cut, PlanModel, Rules, Table, stops, worries
from advisor.solver.order import Order
from advisor.solver.stages import Stages
from rules.facts.film import Film
from rules.facts.finding import Finding
from rules.facts.step import Meets

__all__ = ["STEADY", "Feasibility", "feasible", "first_films", "objecting", "post", "solve"]

STEADY = {
    "num_workers": 1,
    "random_seed": 1,
    "cp_model_probing_level": 0,
    "max_presolve_iterations": 1,
    "symmetry_level": 0,
    "inprocessing_minimization_dtime": 0.0,
    "inprocessing_probing_dtime": 0.0,
    "catch_sigint_signal": False,
}
"""One worker and a fixed seed, so that the answer is the same every time; without probing, repeated
simplifying and the search for symmetries, which cost more than they save on these models; and
Ctrl-C left to the program, which the solver would otherwise go on catching after it is done."""

FEW = 6
"""Films of each piece among which a first plan is sought."""

Domains = Mapping[str, Sequence[Option]]


@dataclass(frozen=True, slots=True)
class Feasibility:
    """Whether there is a plan.

    Attributes:
        possible: ``None`` where time ran out.
        tables: the contacts and joints that had to be judged; enough of them for a proof.
        choice: a choice that can be pressed, if any.
    """

    possible: bool | None
    tables: frozenset[Table]
    choice: Choice | None


def feasible(
    problem: Problem, *, cuts: Sequence[Cut] = (), time_limit_s: float = 20.0
) -> Feasibility:
    """Whether films, ways, presses and stages exist that no rule stops.

    Tries one stage with the first films of each piece, then any number of stages with all;
    contacts are judged as choices need them.
    """
    every = {piece.id: piece.options for piece in problem.pieces}
    if not all(every.values()):
        return Feasibility(False, frozenset(), None)
    found = Feasibility(None, frozenset(), None)
    most = min(MOST_STAGES, len(problem.pieces))
    for domains, stages in ((first_films(every), 1), (every, most)):
        found = _feasible(problem, domains, found.tables, cuts, stages, time_limit_s)
        if found.possible:
            return found
    return found


def _feasible(
    problem: Problem,
    domains: Domains,
    tables: frozenset[Table],
    cuts: Sequence[Cut],
    most_stages: int,
    time_limit_s: float,
) -> Feasibility:
    judge = stops if problem.samples_allowed else worries
    model = PlanModel(problem, domains, Rules((("", judge),)), tables=tables)
    for cut in cuts:
        model.forbid(cut)
    stages = Stages(Order(model, presses=len(model.pieces)), count=most_stages)
    if not problem.samples_allowed:
        for literal in stages.unsuited:
            model.post(("pressure-window",), ~literal)
    solver = cp.SolverLookup.get("ortools")
    posted = 0
    while True:
        posted = post(solver, model, posted)
        said = solve(solver, time_limit_s)
        if said is not True:
            return Feasibility(said, tables, None)
        choice = model.choice()
        films = {piece: (option,) for piece, option in choice.options.items()}
        missing = frozenset(
            table
            for table in objecting(problem, films, choice.meets, judge=judge)
            if table not in tables
        )
        if not missing:
            return Feasibility(True, tables, choice)
        tables |= missing
        model.judge_more(tables)


def post(solver: Any, model: PlanModel, posted: int = 0) -> int:
    """Give the solver the constraints that it does not have yet; how many it then has."""
    # All at once: each addition by itself pays anew for every transformation.
    solver += [constraint for _, constraint in model.constraints[posted:]]
    return len(model.constraints)


def solve(solver: Any, time_limit_s: float) -> bool | None:
    """Whether there is a solution; ``None`` if time ran out."""
    if time_limit_s <= 0:
        return None
    solved = solver.solve(time_limit=time_limit_s, **STEADY)
    if solved:
        return True
    return False if solver.status().exitstatus.name == "UNSATISFIABLE" else None


def first_films(domains: Domains) -> Domains:
    """The first films of each piece, and the first that take the commonest setpoint."""
    first = {piece: options[:FEW] for piece, options in domains.items()}
    lows = {option.film.setpoint_c.low for options in first.values() for option in options}
    common_c = max(
        sorted(lows),
        key=lambda c: sum(any(_takes(o, c) for o in options) for options in first.values()),
    )
    return {
        piece: tuple(
            option
            for option in options
            if option in first[piece]
            or option in [other for other in options if _takes(other, common_c)][: FEW // 2]
        )
        for piece, options in domains.items()
    }


def _takes(option: Option, setpoint_c: float) -> bool:
    return option.film.setpoint_c.low <= setpoint_c <= option.film.setpoint_c.high


def objecting(
    problem: Problem,
    domains: Domains,
    meets: Mapping[Pair, Meets] | None = None,
    *,
    judge: Callable[[Sequence[Finding]], bool] = worries,
) -> list[Table]:
    """The contacts and joints at which the rules object to some of these films.

    Args:
        meets: the ways that are taken; all that are open where not given.
        judge: which findings count as an objection.
    """
    found: list[Table] = []

    def ask(table: Table, rules: Callable[[Film, Film], tuple[Finding, ...]]) -> None:
        pairs = product(domains[table[1]], domains[table[2]])
        if any(judge(rules(above.film, below.film)) for above, below in pairs):
            found.append(table)

    for meeting in problem.meetings:
        upper, lower = meeting.pair
        for way in meeting.ways if meets is None else (meets[meeting.pair],):
            if not meeting.hidden:
                ask(("joint", upper, lower, way), partial(_at_joint, problem, meeting, way))
            if way == "inset-over":
                ask(("film", upper, lower, "True"), partial(problem.on_film, rim=True))
            elif way == "inset-under":
                ask(("film", lower, upper, "True"), partial(problem.on_film, rim=True))
    if meets is None:
        touching = {
            (upper, lower)
            for place in problem.places
            for lower, upper in combinations(place.stack, 2)
        }
    else:
        laid, _ = contacts(problem.places, meets)
        touching = {(contact.upper, contact.lower) for contact in laid if not contact.rim}
    for upper, lower in sorted(touching):
        ask(("film", upper, lower, "False"), partial(problem.on_film, rim=False))
    return found


def _at_joint(
    problem: Problem, meeting: Meeting, way: Meets, above: Film, below: Film
) -> tuple[Finding, ...]:
    return problem.at_joint(meeting, above, below, way)
