"""Optimise: the best plan under the stated preference, proved, with OR-Tools through CPMpy."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import cpmpy as cp
from cpmpy.solvers.solver_interface import ExitStatus

from advisor.arrange import Arrangement
from advisor.assess import (
    MEASURES,
    MS_PER_HOUR,
    Assessment,
    assess,
    halves_up,
    hour_cents,
    objective,
    option_cents,
    sample_millicents,
)
from advisor.optimise_model import Cut, PlanModel, Rules, stops, worries
from advisor.optimise_press import PressModel
from advisor.optimise_samples import sample_count
from advisor.problem import Choice, Problem
from advisor.stages import MOST_STAGES
from rules.errors import BadInputError

__all__ = ["Cut", "Optimum", "optimise"]

FOREVER = 10**12
"""A bound for the solver on money and seconds: more than any job."""

Refute = Callable[[Assessment], tuple[Cut, ...]]


@dataclass(frozen=True, slots=True)
class Optimum:
    """The best plan, or that there is none, or that time ran out.

    Attributes:
        status: ``impossible`` is proved; ``unknown`` means that time ran out before any plan.
        optimal: whether the plan is proved best (or that there is none is proved).
        bound: no plan has a smaller objective; the objective itself when ``optimal``.
        objective: of the plan, in the order of ``advisor.assess.MEASURES``.
        seconds: that solving took, s.
        cuts: what ``refute`` had to say on the way.
    """

    status: Literal["planned", "impossible", "unknown"]
    assessment: Assessment | None
    optimal: bool
    bound: tuple[int, ...] | None
    objective: tuple[int, ...] | None
    seconds: float
    cuts: tuple[Cut, ...]


def optimise(
    problem: Problem,
    *,
    refute: Refute | None = None,
    time_limit_s: float = 20.0,
    warm_start: Assessment | None = None,
) -> Optimum:
    """The plan with the least objective: films, ways of meeting, presses and stages together.

    Args:
        refute: asked about each best plan; what it returns may not occur again, and the search
            goes on until it returns nothing (so a plan is proved best among those it lets stand).
        time_limit_s: after so many seconds the best plan so far is given with its bound.
        warm_start: a plan to begin from.

    Raises:
        BadInputError: the problem has no pieces.

    Text on sparkle cannot lap, so the text goes down first and the sparkle's rim over it:

    >>> from advisor.candidates import MeasuredPiece, piece_with_options
    >>> from advisor.job import Rates, Wish
    >>> from advisor.meeting import EVERY_WAY, Meeting, Place
    >>> from advisor.problem import PieceSize
    >>> from advisor.stages import heat_limits
    >>> from rules.catalogue import load_catalogue
    >>> from rules.rulebook import rulebook
    >>> known, rules = load_catalogue(), rulebook()
    >>> tee = known.fabric("cotton-jersey-tee")
    >>> def piece(name, wish):
    ...     measured = MeasuredPiece(name, None, (PieceSize(200, 80, 6),))
    ...     return piece_with_options(measured, wish, fabrics=[tee], catalogue=known,
    ...                               rules=rules, rates=Rates())
    >>> text_on_sparkle = Problem(
    ...     pieces=(piece("star", Wish(finish="sparkle")), piece("text", Wish(finish="matte"))),
    ...     meetings=(Meeting("text", "star", 900.0, False, False, EVERY_WAY),),
    ...     places=(Place(("star", "text"), 900.0), Place(("star",), 5000.0)),
    ...     close=frozenset({frozenset({"star", "text"})}),
    ...     fabrics=(tee,),
    ...     limits=heat_limits([tee], known.press("clamshell-38x38")),
    ...     rules=rules,
    ... )
    >>> best = optimise(text_on_sparkle)
    >>> best.status, best.optimal, list(best.assessment.choice.meets.values())
    ('planned', True, ['inset-under'])
    """
    if not problem.pieces:
        raise BadInputError("there is nothing to press", field="pieces")
    started = time.monotonic()
    cuts: tuple[Cut, ...] = ()
    while True:
        left_s = time_limit_s - (time.monotonic() - started)
        search = _Search(problem, cuts, left_s, warm_start)
        found = search.run()
        taken_s = time.monotonic() - started
        if found is None:
            status: Literal["impossible", "unknown"] = "impossible" if search.proved else "unknown"
            bound = None if search.proved else search.bound()
            return Optimum(status, None, search.proved, bound, None, taken_s, cuts)
        new = refute(found) if refute is not None else ()
        if new:
            cuts += new
            continue
        if found.measures is None:
            raise ValueError("the model and the assessment disagree on what can be pressed")
        reached = objective(found.measures, problem.prefer)
        return Optimum(
            "planned",
            found,
            search.proved,
            reached if search.proved else search.bound(),
            reached,
            taken_s,
            cuts,
        )


class _Search:
    """One proof: the levels of the objective in turn, the earlier ones held."""

    def __init__(
        self,
        problem: Problem,
        cuts: Sequence[Cut],
        time_limit_s: float,
        warm_start: Assessment | None,
    ) -> None:
        self.problem, self.cuts, self.warm_start = problem, cuts, warm_start
        self.deadline = time.monotonic() + time_limit_s
        self.proved = False
        self.levels = MEASURES[problem.prefer]
        self.known: dict[str, int] = {}

    def bound(self) -> tuple[int, ...]:
        """A bound on every level: proved ones first, then what the solver knew."""
        return tuple(self.known.get(level, 0) for level in self.levels)

    def run(self) -> Assessment | None:
        problem = self.problem
        if any(not piece.options for piece in problem.pieces):
            self.proved = True
            return None
        found, proved = self._lexicographic(sample_free=True)
        if found is None and proved and problem.samples_allowed:
            self.known = {"samples": 1}
            found, proved = self._lexicographic(sample_free=False)
        self.proved = proved
        return found

    def _lexicographic(self, *, sample_free: bool) -> tuple[Assessment | None, bool]:
        problem = self.problem
        model = PlanModel(
            problem,
            {piece.id: piece.options for piece in problem.pieces},
            Rules((("", worries if sample_free else stops),)),
        )
        for cut in self.cuts:
            model.forbid(cut)
        pieces = len(model.pieces)
        press = PressModel(model, presses=pieces, stages=min(MOST_STAGES, pieces))
        measures = _measures(model, press, sample_free=sample_free)
        solver = cp.SolverLookup.get("ortools")
        for _, constraint in model.constraints:
            solver += constraint
        found: tuple[Choice, Arrangement] | None = None
        proved = True
        for level in self.levels:
            measure = measures[level]
            if isinstance(measure, int):
                self.known[level] = measure
                if found is not None or level != self.levels[-1]:
                    continue
            solver.minimize(measure)
            status = self._solve(solver)
            if status == ExitStatus.UNSATISFIABLE:
                return None, True
            if status not in {ExitStatus.OPTIMAL, ExitStatus.FEASIBLE}:
                proved = False
                break
            found = (model.choice(), press.arrangement(fewest=True))
            if status != ExitStatus.OPTIMAL:
                self.known[level] = int(solver.ort_solver.best_objective_bound)
                proved = False
                break
            reached = int(solver.objective_value())
            self.known[level] = reached
            solver += measure <= reached
            _hint(solver, model)
        if found is None:
            return None, False
        return assess(problem, found[0], arrangement=found[1]), proved

    def _solve(self, solver: Any) -> ExitStatus:
        left_s = self.deadline - time.monotonic()
        if left_s <= 0:
            return ExitStatus.UNKNOWN
        solver.solve(time_limit=left_s, num_workers=1, random_seed=1)
        status: ExitStatus = solver.status().exitstatus
        return status


def _measures(model: PlanModel, press: PressModel, *, sample_free: bool) -> dict[str, Any]:
    problem = model.problem
    samples: Any = 0
    if sample_free:
        for unsuited in press.unsuited:
            model.post(("pressure-window",), ~unsuited)
    else:
        samples = sample_count(model, press.unsuited)
    seconds = _halves_up(model, press.milliseconds, 1000)
    time_cents = _halves_up(model, hour_cents(problem.rates) * press.milliseconds, MS_PER_HOUR)
    film_cents = cp.sum([model.number(piece, option_cents) for piece in model.pieces])
    spoiled = sample_millicents(problem)
    spoilage = 0 if sample_free else _halves_up(model, spoiled * samples, 1000)
    thickness = cp.intvar(0, 1_000_000)
    for place in problem.places:
        model.post(("thick",), model.thickness_there(place) <= 10 * thickness + 4)
    return {
        "samples": samples,
        "weak": model.weak(),
        "cents": film_cents + time_cents + spoilage,
        "thickness_um": thickness,
        "seconds": seconds,
    }


def _halves_up(model: PlanModel, amount: Any, unit: int) -> Any:
    """``advisor.assess.halves_up`` as constraints."""
    whole = cp.intvar(0, halves_up(FOREVER, unit))
    model.post(("halves",), 2 * amount + unit >= 2 * unit * whole)
    model.post(("halves",), 2 * amount + unit <= 2 * unit * whole + 2 * unit - 1)
    return whole


def _hint(solver: Any, model: PlanModel) -> None:
    """Begin the next level from the plan just found."""
    literals = [film for films in model.film.values() for film in films]
    literals += [way for ways in model.way.values() for way in ways.values()]
    solver.solution_hint(literals, [bool(literal.value()) for literal in literals])
