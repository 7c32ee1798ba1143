"""Optimise search: finds a good plan among few films, then proves or betters it among all."""

from __future__ import annotations

import math
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import cpmpy as cp
from cpmpy.solvers.solver_interface import ExitStatus

from advisor.layering.assessment import (
    MEASURES,
    MS_PER_HOUR,
    assess,
    halves_up,
    hour_cents,
    objective,
    option_cents,
    sample_millicents,
    tenths_um,
)
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Choice, Option, Problem
from advisor.layering.stages import MOST_STAGES
from advisor.solver.bound import (
    Bounds,
    longest_pile,
    most_presses,
    still_useful,
    thin_enough,
    union_of,
)
from advisor.solver.feasible import STEADY, first_films, objecting, post
from advisor.solver.found import (
    Verdict,
    arrangement_of,
    begin_from,
    posted,
    refuses,
    verdict_of,
)
from advisor.solver.measures import better_than, measures_of
from advisor.solver.model import Cut, PlanModel, Rules, Table, stops, worries
from advisor.solver.order import Order
from advisor.solver.stages import Stages
from advisor.solver.time import fixed_ms, least_milliseconds, milliseconds
from rules.errors import ProgramError

__all__ = ["Search"]

FEW_OPTIONS = 60
"""Up to so many films for all pieces together, all are weighed at once."""

SPARE_PRESSES = 3
"""Presses beyond the most pieces that lie over one another, for a first plan."""

FEW_PIECES = 4
"""Up to so many pieces any number of stages is weighed at once."""

GUESSING = {"linearization_level": 1, "max_deterministic_time": 0.3}
"""How most questions are settled at once. The limit counts steps, about so many seconds, so that
the answer is the same on every machine."""

WEIGHING = {"linearization_level": 2, "max_deterministic_time": math.inf}
"""How the others are: where pieces lie deep, linear relaxations of all constraints prove a bound
many times sooner; where many films are open they cost more than they tell."""

Domains = Mapping[str, Sequence[Option]]


@dataclass(frozen=True, slots=True)
class _Found:
    assessment: Assessment
    objective: tuple[int, ...]


class Search:
    """One search for the best plan under given cuts.

    Attributes:
        best: the best plan found so far, if any.
        proved: whether it is proved best, or that there is none is proved.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        cuts: Sequence[Cut] = (),
        deadline: float,
        warm_start: Assessment | None = None,
        most_layers: int | None = None,
    ) -> None:
        self.problem, self.cuts, self.deadline = problem, cuts, deadline
        self.most_layers = most_layers
        self.levels = MEASURES[problem.prefer]
        self.all: Domains = {piece.id: piece.options for piece in problem.pieces}
        self.best: _Found | None = None
        self.proved = False
        self.least_samples = 0
        self._tables: set[Table] | None = None
        self._presses, self._least_ms = len(problem.pieces), 0
        refused = warm_start is not None and any(refuses(cut, warm_start) for cut in cuts)
        if warm_start is not None and most_layers is None and not refused:
            self._take(assess(problem, warm_start.choice))

    def run(self) -> Assessment | None:
        """The best plan, or ``None`` where none is possible or time ran out first."""
        if all(self.all.values()):
            self.proved = self._samples_first()
        else:
            self.proved = True
        return self.best.assessment if self.best is not None else None

    def first(self) -> Assessment | None:
        """A good plan, the best among the first films of each piece; any plan if these give none.

        ``None`` where no plan is possible or time ran out first.
        """
        if not all(self.all.values()):
            return None
        few = first_films(self.all)
        for sample_free in (True, False) if self.problem.samples_allowed else (True,):
            for stages in range(1, self._most_stages() + 1):
                if self._better(few, stages, sample_free=sample_free) == "found":
                    return self.best.assessment if self.best is not None else None
        return self.run()

    def bound(self) -> tuple[int, ...]:
        """No plan has a smaller objective than this."""
        if self.proved and self.best is not None:
            return self.best.objective
        films = [[option_cents(option) for option in options] for options in self.all.values()]
        thin = [[tenths_um(option.film) for option in options] for options in self.all.values()]
        cents = sum(min(options, default=0) for options in films)
        ms = max(fixed_ms(self.problem), self._least_ms)
        least = {
            "samples": self.least_samples,
            "weak": 0,
            "cents": cents + ms * hour_cents(self.problem.rates) // MS_PER_HOUR,
            "thickness_um": max((min(options, default=0) for options in thin), default=0) // 10,
            "seconds": ms // 1000,
        }
        early = self.levels[: self.levels.index("cents")]
        if self._least_ms and self.best is not None:
            # Once there is such a least time, no plan is better on what comes before cents.
            least |= dict(zip(early, self.best.objective, strict=False))
        return tuple(least[level] for level in self.levels)

    def _samples_first(self) -> bool:
        """Whether the best plan, or that there is none, is proved."""
        if not self._proved_best(sample_free=True):
            return False
        if self.best is not None and self.best.objective[0] == 0:
            return True
        self.least_samples = 1
        return not self.problem.samples_allowed or self._proved_best(sample_free=False)

    def _proved_best(self, *, sample_free: bool) -> bool:
        """Better the best plan until nothing is left to better; whether that was in time."""
        self._tables, self._least_ms = None, 0
        if self._is_small():
            return self._proved_stage_by_stage(sample_free=sample_free)
        few = first_films(self.all)
        self._presses = min(len(self.all), longest_pile(self.problem) + SPARE_PRESSES)
        for stages in range(1, self._most_stages() + 1):
            if self._better(few, stages, sample_free=sample_free) != "none":
                break
        self._presses = len(self.all)
        self._tables = set() if sample_free else set(objecting(self.problem, few))
        bounds = self._bounds(sample_free=sample_free) if self.best is not None else None
        if bounds is None:
            self._tables |= set(objecting(self.problem, few))
            return self._proved_stage_by_stage(sample_free=sample_free)
        self._least_ms = bounds.least_ms
        thin = self.all
        if self.best is not None and "thickness_um" in self.levels[: self.levels.index("cents")]:
            most_um = self.best.objective[self.levels.index("thickness_um")]
            thin = thin_enough(self.problem, self.all, most_um)
        useful = {
            stages: still_useful(self.problem, thin, bounds, stages=stages)
            for stages in range(1, self._most_stages() + 1)
        }
        open_still = [stages for stages, films in useful.items() if all(films.values())]
        if len(open_still) > 1:
            # Most often no plan of more stages is better: that is seen at once for all of them.
            several = union_of(self.all, [useful[stages] for stages in open_still])
            said = self._none_better(several, bounds, open_still, sample_free=sample_free)
            if said != "found":
                return said == "none"
        for stages in open_still:
            self._presses = most_presses(self.problem, useful[stages], bounds, stages=stages)
            if self._better(useful[stages], stages, sample_free=sample_free) == "unknown":
                return False
        return True

    def _none_better(
        self, domains: Domains, bounds: Bounds, stages: Sequence[int], *, sample_free: bool
    ) -> Verdict:
        """Whether a plan of any of these numbers of stages could still be better than the best.

        The changes of setpoint are left out: the model is far smaller then, and its "none" a
        proof.
        """
        self._presses = most_presses(self.problem, domains, bounds, stages=min(stages))
        model, *_ = self._pressed(domains, max(stages), sample_free=sample_free, changes=False)
        return verdict_of(self._lazily(model, None))

    def _proved_stage_by_stage(self, *, sample_free: bool) -> bool:
        stages = self._most_stages() if len(self.all) <= FEW_PIECES else 1
        while True:
            if stages > 1 and len(self.all) > FEW_PIECES:
                open_still = self._open(stages, sample_free=sample_free)
                if open_still != "found":
                    return open_still == "none"
            if self._better(self.all, stages, sample_free=sample_free) == "unknown":
                return False
            if stages == self._most_stages():
                return True
            stages += 1

    def _open(self, stages: int, *, sample_free: bool) -> Verdict:
        """Whether a plan of at least so many stages could still be better than the best.

        Presses and the order of stages are left open, so that "none" is a proof.
        """
        model = self._model(self.all, sample_free=sample_free)
        least_ms = least_milliseconds(model, stages=stages, most_stages=self._most_stages())
        measures = measures_of(model, least_ms, (), sample_free=sample_free)
        if self.best is not None:
            better_than(model, measures, self.levels, self.best.objective)
        return verdict_of(self._settle(posted(model)))

    def _bounds(self, *, sample_free: bool) -> Bounds | None:
        """What every plan keeps to that is no worse than the best; ``None`` where that is open.

        Proves first that no choice is better on what comes before cents.
        """
        if self.best is None or "seconds" in self.levels[: self.levels.index("cents")]:
            return None
        early = self.levels[: self.levels.index("cents")]
        least = tuple(self.least_samples if level == "samples" else 0 for level in early)
        reached = self.best.objective[: len(early)]
        if reached != least:
            model = self._model(self.all, sample_free=sample_free)
            measures = measures_of(model, None, (), sample_free=sample_free)
            better_than(model, measures, early, reached)
            if self._lazily(model, None) != ExitStatus.UNSATISFIABLE:
                return None
        model = self._model(self.all, sample_free=sample_free)
        ms = least_milliseconds(model, stages=0, most_stages=0)
        measures = measures_of(model, None, (), sample_free=sample_free)
        for level, value in zip(early, reached, strict=True):
            if not isinstance(measures[level], int):
                model.post(("better",), measures[level] <= value)
        if self._lazily(model, ms) != ExitStatus.OPTIMAL:
            return None
        spoiled = halves_up(self.best.objective[0] * sample_millicents(self.problem), 1000)
        cents = self.best.objective[len(early)]
        return Bounds(cents, int(ms.value()), spoiled, sample_free)

    def _lazily(self, model: PlanModel, least: Any) -> ExitStatus:
        """Solve a model, judging what its solution needs, until nothing is left to object.

        Where samples count, further tables only forbid: the bound holds all the same.
        """
        solver = cp.SolverLookup.get("ortools")
        given = 0
        while True:
            given = post(solver, model, given)
            if least is not None:
                solver.minimize(least)
            said = self._settle(solver)
            if verdict_of(said) != "found" or not self._noticed(model.choice()):
                return said
            model.judge_more(self._tables or ())

    def _noticed(self, choice: Choice) -> bool:
        """Take up the tables that object to a choice; whether there were any new ones."""
        if self._tables is None:
            return False
        films = {piece: (option,) for piece, option in choice.options.items()}
        missing = set(objecting(self.problem, films, choice.meets)) - self._tables
        self._tables |= missing
        return bool(missing)

    def _better(self, domains: Domains, stages: int, *, sample_free: bool) -> Verdict:
        """Look for the best plan of up to so many stages, if it is better than the best known."""
        while True:
            verdict, overlooked = self._lexicographic(domains, stages, sample_free=sample_free)
            if not overlooked:
                return verdict

    def _lexicographic(
        self, domains: Domains, stages: int, *, sample_free: bool
    ) -> tuple[Verdict, bool]:
        """The levels of the objective in turn, the earlier ones held.

        Returns:
            The verdict, and whether the model turned out to leave out something that matters.
        """
        model, order, stage_model, measures = self._pressed(
            domains, stages, sample_free=sample_free, changes=True
        )
        solver = posted(model)
        for level in self.levels:
            measure = measures[level]
            if isinstance(measure, int):
                continue
            solver.minimize(measure)
            for how in (GUESSING, WEIGHING):
                status = self._solve(solver, how)
                said = verdict_of(status)
                if said == "none":
                    return said, False
                if said == "found":
                    choice = model.choice()
                    pressed = arrangement_of(order, stage_model)
                    found = assess(self.problem, choice, arrangement=pressed)
                    if self._noticed(choice):
                        return "found", True
                    if found.measures is None:
                        raise ProgramError("the solver found a plan that cannot be pressed")
                    self._take(found)
                    begin_from(solver, model)
                if status == ExitStatus.OPTIMAL:
                    break
            else:
                return "unknown", False
            solver += measure <= int(solver.objective_value())
        return "found", False

    def _pressed(
        self, domains: Domains, stages: int, *, sample_free: bool, changes: bool
    ) -> tuple[PlanModel, Order, Stages, dict[str, Any]]:
        """A whole model that asks for better than the best known."""
        model = self._model(domains, sample_free=sample_free)
        order = Order(model, presses=self._presses)
        stage_model = Stages(order, count=stages)
        ms = milliseconds(order, stage_model, least_ms=self._least_ms, changes=changes)
        measures = measures_of(model, ms, stage_model.unsuited, sample_free=sample_free)
        if self.best is not None:
            better_than(model, measures, self.levels, self.best.objective)
        return model, order, stage_model, measures

    def _take(self, found: Assessment) -> None:
        if found.measures is None:
            return
        reached = objective(found.measures, self.problem.prefer)
        if self.best is None or reached < self.best.objective:
            self.best = _Found(found, reached)

    def _model(self, domains: Domains, *, sample_free: bool) -> PlanModel:
        model = PlanModel(
            self.problem,
            domains,
            Rules((("", worries if sample_free else stops),)),
            tables=None if self._tables is None else frozenset(self._tables),
        )
        for cut in self.cuts:
            model.forbid(cut)
        if self.most_layers is not None:
            model.limit_layers(self.most_layers)
        return model

    def _settle(self, solver: Any) -> ExitStatus:
        """Whether there is a solution; where one is minimised, the least."""
        status = self._solve(solver, GUESSING)
        settled = status == ExitStatus.FEASIBLE and not solver.has_objective()
        if settled or status in {ExitStatus.OPTIMAL, ExitStatus.UNSATISFIABLE}:
            return status
        return self._solve(solver, WEIGHING)

    def _solve(self, solver: Any, how: Mapping[str, float]) -> ExitStatus:
        left_s = self.deadline - time.monotonic()
        if left_s <= 0:
            return ExitStatus.UNKNOWN
        solver.solve(time_limit=left_s, **STEADY, **how)
        status: ExitStatus = solver.status().exitstatus
        return status

    def _is_small(self) -> bool:
        return sum(len(options) for options in self.all.values()) <= FEW_OPTIONS

    def _most_stages(self) -> int:
        return min(MOST_STAGES, len(self.all))
