"""Search: a plain plan, then the best, examined and cut off until nothing new is found.

Logic-based Benders decomposition (Hooker and Ottosson 2003): the model knows what the tables say of
films, ways, presses and stages; each plan that it holds for the best is examined with all that only
a finished plan can show, and what is found comes back as a cut.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import replace
from typing import Literal

from advisor.layering.assessment import MEASURES, ms_price, option_price, tenths_um
from advisor.layering.records.assessment import PER_CENT, Assessment
from advisor.layering.records.problem import Problem
from advisor.layering.settings import press_times
from advisor.solver.cpsat import By, OutOfTimeError, Solution, solved
from advisor.solver.draft import chosen, in_this_plan, refuses, stack_cuts, with_late
from advisor.solver.measures import Measured
from advisor.solver.model import PlanModel
from advisor.solver.plain_plan import FEW, first_plan
from advisor.solver.records import Cut, Examine
from advisor.solver.samples_drawn import sampled_always
from advisor.solver.sharing import part_sizes
from advisor.solver.variables import MORE_PRESSES, most_stages, total
from rules.errors import ProgramError

__all__ = ["Search", "good_plan"]

PLAIN_PLAN_S = 10.0
"""Seconds to find a plain plan in, however little time is given: far more than it needs."""

LAST_TRIES_S = 10.0
"""Seconds past the limit in which other plain plans are tried, if all so far were refused."""

FEW_PIECES = 12
"""Up to so many pieces a plan is soon examined."""

FEW_TOGETHER = 6
"""Pieces of a design that is small."""

MOST_IDLE = 40
"""Drafts in a row that heat makes longer and that are no better than the best, before it is told
with what the least of them could come to: hundreds may be left that are a second apart."""

PLAINEST = 0.5
"""Effort, in the solver's own deterministic measure, at most spent on the plainest of the best."""

Found = tuple[Assessment | None, tuple[int, ...], Literal["best", "none", "unknown"]]
"""A plan, its objective as the model has it, and whether that is the least."""


class Search:
    """One search for the best plan.

    Attributes:
        best: the best plan found so far; what only its steps show is among its measures.
        reached: its objective.
        proved: whether it is proved best, or that there is none is proved.
        cuts: those given, and what examining has added.
        more: presses of a stage that are told apart beyond those in which all can go down.
        settled: for plans without a sample (true) or any (false), that none betters the best.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        examine: Examine | None,
        cuts: Sequence[Cut],
        most_layers: int | None,
        deadline: float,
    ) -> None:
        self.problem, self.examine, self.most_layers = problem, examine, most_layers
        self.cuts, self.deadline = list(cuts), deadline
        self.levels = MEASURES[problem.prefer]
        self.by = _by(problem)
        self.best: Assessment | None = None
        self.reached: tuple[int, ...] | None = None
        self.proved = False
        self.least_samples, self.idle, self.certainly = 0, 0, False
        self.lower: tuple[int, ...] | None = None
        self.settled: set[bool] = set()
        self._denied: set[Cut] = set()
        self.more = MORE_PRESSES
        self.best_of: tuple[int, bool, tuple[int, ...]] | None = None
        self.leasts: dict[tuple[int, bool, bool], tuple[int, ...]] = {}

    def run(self) -> None:
        """Find the best plan, or prove that there is none, or come as far as time allows."""
        grace = max(self.deadline, time.monotonic() + PLAIN_PLAN_S)
        many = len(self.problem.pieces) > FEW_PIECES
        # Of many pieces a plan over few layers is the one that heat gets through.
        plain, proved = self._plain(grace, flattest=many)
        if plain is None:
            self.proved = proved
            return
        if many:
            # What takes long to examine is looked at before time has run out.
            self._try_plainly(plain, grace)
            if self.proved:
                return
        try:
            self.proved = self._proved_best()
        except OutOfTimeError:
            self.proved = False
        if self.best is None and not self.proved:
            self._try_plainly(plain, time.monotonic() + LAST_TRIES_S)

    def _try_plainly(self, plain: Assessment | None, until: float) -> None:
        """Examine plain plans until one may be pressed, or there is none, or time has run out."""
        while plain is not None:
            self.consider(plain)
            if self.best is not None or time.monotonic() > until:
                return
            # Heat gets through few layers where it does not through many.
            plain, proved = self._plain(until, flattest=True)
            self.proved = proved and self._proves

    def consider(self, found: Assessment) -> tuple[int, ...] | None:
        """Examine a plan, take it if it is the best so far, and cut off what was found against it.

        Returns:
            Its objective with all that was found; ``None`` where it may not be pressed.
        """
        own = stack_cuts(self.problem, found)
        late = self.examine(found) if self.examine is not None and found.possible else ()
        stops = [cut for cut in (*own, *late) if cut.forbids(self.problem)]
        if not found.possible and not stops:
            raise ProgramError("the solver found a plan that cannot be pressed")
        for cut in stops:
            if not refuses(cut, found):
                raise ProgramError(f"a cut lets the plan stand that it refutes: {cut.sentence!s}")
        self._learn((*own, *late), found)
        if stops or found.measures is None:
            return None
        found = with_late(self.problem, found, late)
        reached = tuple(getattr(found.measures, level) for level in self.levels)
        if self.reached is None or reached < self.reached:
            self.best, self.reached = found, reached
        return reached

    def _learn(self, new: Sequence[Cut], found: Assessment) -> None:
        """Keep what was found against a plan; a sample that it should want too is denied by it."""
        causes = {cut.cause for cut in new}
        # Of a plan that is stopped it is not known what it would want a sample for.
        stopped = any(cut.forbids(self.problem) for cut in new)
        self._denied.update(
            cut
            for cut in self.cuts
            if not stopped
            if cut.severity == "sample" and cut.cause not in causes and refuses(cut, found)
        )
        if self._denied.intersection(self.cuts):
            self.leasts.clear()
        kept = [in_this_plan(cut, found) if cut in self._denied else cut for cut in new]
        self.cuts = list(dict.fromkeys((*(c for c in self.cuts if c not in self._denied), *kept)))

    def bound(self) -> tuple[int, ...]:
        """No plan has a smaller objective than this."""
        if self.proved and self.reached is not None:
            return self.reached
        return self.lower or self._least_of_any()

    def _least_of_any(self) -> tuple[int, ...]:
        """What every plan comes to at least, whatever it is."""
        options = [[(piece.id, o) for o in piece.options] for piece in self.problem.pieces]
        ms = press_times(self.problem).fixed
        price = ms * ms_price(self.problem.rates)
        for each in options:
            price += min((option_price(self.problem, *one) for one in each), default=0)
        thin = [min((tenths_um(option.film) for _, option in each), default=0) for each in options]
        least = {
            "samples": self.least_samples,
            "weak": 0,
            "cents": price // PER_CENT,
            "thickness_um": max(thin, default=0) // 10,
            "seconds": ms // 1000,
        }
        return tuple(least[level] for level in self.levels)

    def _plain(self, deadline: float, *, flattest: bool = False) -> tuple[Assessment | None, bool]:
        """A plain plan, or whether it is proved that there is none."""
        found = first_plan(
            self.problem,
            cuts=self._certain if self.certainly else self.cuts,
            most_layers=self.most_layers,
            flattest=flattest,
            deadline=deadline,
        )
        return (found, False) if isinstance(found, Assessment) else (None, found == "none")

    def _proved_best(self) -> bool:
        """Better the best plan until nothing is left to better; whether that is known.

        Guesses lead to a good plan; then all that they would forbid is looked at again.
        """
        bettered = self._nothing_better()
        if self._proves:
            return bettered
        self.certainly, self.idle = True, 0
        return self._nothing_better()

    @property
    def _proves(self) -> bool:
        """Whether what the model comes to holds of every plan."""
        return self.certainly or self._certain == self.cuts

    @property
    def _certain(self) -> list[Cut]:
        return [cut for cut in self.cuts if cut.certain]

    def _nothing_better(self) -> bool:
        most = most_stages(self.problem)
        always = len(sampled_always(self.problem, self.cuts))
        # What wants no sample comes before all that does. Asked for at once it takes 0.3 to 0.5
        # times as long again on 6 to 40 pieces, and over 300 films twice as long.
        for sample_free in (True, False) if self.problem.samples_allowed else (True,):
            self.least_samples = always if sample_free else always + 1
            if {sample_free, False} & self.settled:
                continue
            # The best of one stage is soon found, and leaves less to prove: without it 20 to 30
            # pieces take twelve times as long.
            for stages in dict.fromkeys((1, most)):
                exhausted = self._exhausted(stages, sample_free)
            if not exhausted:
                return False
            if self.best and self.best.measures and self.best.measures.samples <= always:
                break
        return True

    def _exhausted(self, stages: int, sample_free: bool) -> bool:
        """Whether no plan of up to so many stages is left that is better than the best.

        Drafts that heat makes longer are only followed up with every stage there may be, so that
        what the model then comes to is a bound of all plans.
        """
        most_idle = MOST_IDLE if stages == most_stages(self.problem) else 0
        while True:
            if stages > 1 and self.reached is not None and self._none_better(sample_free):
                return True
            found, modelled, said = self.least(stages, sample_free)
            if found is None:
                return said == "none"
            if said == "best" and stages == most_stages(self.problem) and self._proves:
                self.lower = modelled
            known, best = self.cuts, self.best
            reached = self.consider(found)
            if said == "best" and reached == modelled and self._proves:
                self.best_of = (stages, sample_free, reached)
            if said == "unknown" or reached == modelled:
                return said != "unknown"
            if self.cuts == known:
                raise ProgramError(f"the model says {modelled} of a plan that comes to {reached}")
            news = any(not cut.presses for cut in self.cuts if cut not in known)
            if news or self.best is not best:
                self.idle = 0
            elif reached is not None or self.certainly:
                self.idle += 1
                if self.idle > most_idle:
                    return False

    def _none_better(self, sample_free: bool) -> bool:
        """Whether it is seen at once that no plan is better.

        If two stages cost too much whatever their settings are, one stage is left to ask about, and
        two, if three do: real artwork of 15 pieces is proved 10 to 25 times as fast so as by the
        model of all stages. Asked of certain cuts alone, so that it need not be asked again where
        guesses led.
        """
        most = most_stages(self.problem)
        stages = next(
            (n for n in range(1, min(3, most)) if self._is_none_better(0, sample_free, n + 1)), most
        )
        known = (stages, sample_free, self.reached) == self.best_of
        if not known and not self._is_none_better(stages, sample_free):
            return False
        self.settled.add(sample_free)
        return True

    def _is_none_better(self, stages: int, sample_free: bool, fewest: int = 0) -> bool:
        model, measured = self._model(
            stages, sample_free, certainly=True, changes=False, fewest=fewest
        )
        return self._least(model, measured, any_better=True)[2] == "none"

    def least(self, stages: int, sample_free: bool) -> Found:
        """The plan with the least objective below the best.

        Of those that are alike in all, the plainest, as far as that is soon found.
        """
        key = (stages, sample_free, self.certainly)
        model, measured = self._model(stages, sample_free)
        solution, reached, said = self._least(model, measured, known=self.leasts.get(key))
        while said == "best" and solution is not None and solution.of(total(model.untold)):
            self.more += max(map(solution.of, model.untold))
            model, measured = self._model(stages, sample_free)
            solution, reached, said = self._least(model, measured, known=reached)
        if solution is not None and solution.of(total(model.untold)):
            return None, (), "unknown"
        if solution is None or said != "best":
            return (chosen(model, solution) if solution is not None else None), (), said
        self.leasts[key] = reached
        model.hold(("order",), total(model.untold) <= 0)
        model.cp.minimize(measured.plainness)
        plainest = solved(model.cp, deadline=self.deadline, by=self.by, effort=PLAINEST)
        return chosen(model, plainest if plainest.found else solution), reached, "best"

    def _least(
        self,
        model: PlanModel,
        measured: Measured,
        *,
        known: tuple[int, ...] | None = None,
        any_better: bool = False,
    ) -> tuple[Solution | None, tuple[int, ...], Literal["best", "none", "unknown"]]:
        """What is least of what is better than the best, one goal after another.

        Args:
            known: what the least came to when less was known against it; it can only be more.
            any_better: be content with any that is better.
        """
        better: Solution | None = None
        reached: tuple[int, ...] = ()
        goals = measured.goals(self.levels)
        for goal in goals:
            here, last = len(reached), goal is goals[-1]
            until = here + len(goal.levels)
            as_good = self.reached is not None and reached == self.reached[:here]
            if known is not None and reached == known[:here]:
                model.hold(("order",), goal.of >= goal.value(known[here:until]))
            if self.reached is not None and as_good:
                most = goal.value(self.reached[here:until]) - (1 if last else 0)
                model.hold(("order",), goal.of <= most)
            model.cp.minimize(goal.of)
            by = "count" if goal.counts else self.by if model.stages == 1 else "descent"
            solution = solved(model.cp, deadline=self.deadline, by=by)
            if solution.found and (last or not as_good):
                better = solution
            if solution.status == "none":
                return None, (), "none"
            if solution.status != "best":
                return better, (), "unknown"
            reached += tuple(solution.of(measured.measures[level]) for level in goal.levels)
            if any_better and (last or (as_good and reached != (self.reached or ())[:until])):
                return solution, reached, "best"
            model.hold(("order",), goal.of <= solution.of(goal.of))
            model.begin_from(solution)
        return better, reached, "best"

    def _model(
        self,
        stages: int,
        sample_free: bool,
        *,
        certainly: bool = False,
        changes: bool = True,
        fewest: int = 0,
    ) -> tuple[PlanModel, Measured]:
        model = PlanModel(
            self.problem,
            stages=stages,
            more=self.more,
            sample_free=sample_free,
            cuts=self._certain if self.certainly or certainly else self.cuts,
            most_layers=self.most_layers,
            deadline=self.deadline,
        )
        return model, Measured(model, changes=changes, fewest=fewest)


def _by(problem: Problem) -> By:
    """How what adds up is made least where there is one stage.

    Of small designs beside one another, which only share presses, a relaxation knows little: 30
    pieces of three to five each take four times as long by it. Of a large design it knows most, and
    over many films: real ones of 14 to 22 pieces take up to eight times as long without it, 30
    pieces over 300 films seven times.
    """
    pieces = [piece.id for piece in problem.pieces]
    films = sum(len(piece.options) for piece in problem.pieces)
    small = max(part_sizes(problem, pieces), default=0) <= FEW_TOGETHER
    return "descent" if small and films <= FEW * len(pieces) else "relaxation"


def _with_few_films(problem: Problem) -> Problem:
    """The problem with the first films of each piece alone, those of least worry and cost."""
    few = tuple(replace(piece, options=piece.options[:FEW]) for piece in problem.pieces)
    return replace(problem, pieces=few)


def good_plan(problem: Problem, *, cuts: Sequence[Cut] = (), deadline: float) -> Assessment | None:
    """The best plan among the first films of each piece, or else any; not examined, nor proved."""
    if not all(piece.options for piece in problem.pieces):
        return None
    few = _with_few_films(problem)
    search = Search(few, examine=None, cuts=cuts, most_layers=None, deadline=deadline)
    try:
        for sample_free in (True, False) if problem.samples_allowed else (True,):
            found, _, _ = search.least(1, sample_free)
            if found is not None and found.possible:
                return found
    except OutOfTimeError:
        return None
    plain = first_plan(problem, cuts=list(cuts), deadline=deadline)
    return plain if isinstance(plain, Assessment) else None
