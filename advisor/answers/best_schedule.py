"""Best schedule: one choice of films and ways of meeting, pressed as well as it can be."""

from __future__ import annotations

import heapq
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import count

from advisor.answers.examination import Drafts
from advisor.answers.pressed_print import pressed_choice
from advisor.answers.runs import steps_of, usual_runs
from advisor.job.records.plan import Plan
from advisor.layering.assessment import (
    assess,
    finding_of_rule,
    objective,
    unpressable_finding,
    with_more,
)
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.prepared import PreparedJob
from advisor.layering.records.problem import Choice, Problem
from advisor.layering.schedules import schedules_of
from advisor.solver.draft import with_late
from advisor.solver.proof import optimise
from advisor.solver.records import Cut
from rules.facts.finding import Finding, once_per_cause, worst_first
from rules.foreseen import foreseen_samples

__all__ = ["BestSchedule", "Weighing", "pinned"]

MOST_LISTED = 5
"""Up to so many pieces every schedule of one choice is listed."""

SOLVED_WITHIN_S = 20.0
"""How long the best schedule of one choice is looked for, s: far more than it needs."""


@dataclass(frozen=True, slots=True)
class BestSchedule:
    """How a choice is best pressed, or what stands in its way.

    Attributes:
        plan: examined and judged; ``None`` where no schedule may be pressed.
        objective: of the plan, in the order of ``advisor.layering.assessment.MEASURES``.
        found: the choice as it is pressed, or as far as the rules let it come.
        stops: what every schedule runs into, where there is no plan.
    """

    plan: Plan | None
    objective: tuple[int, ...]
    found: Assessment
    stops: tuple[Finding, ...] = ()


class Weighing:
    """The best plan of one choice, looked for one examined schedule at a time.

    What each step said is kept, so that whoever asks again hears the same in the same order.
    """

    def __init__(self, prepared: PreparedJob, choice: Choice) -> None:
        self._steps = _weighed(prepared, choice)
        self._said: list[tuple[int, ...] | BestSchedule] = []

    def step(self, number: int) -> tuple[int, ...] | BestSchedule:
        """What so many steps come to, from 0: a bound on every schedule's objective, or the best.

        Bounds rise; once the best is known, or that there is none, later steps say so again.
        """
        while len(self._said) <= number and not self._is_done:
            self._said.append(next(self._steps))
        return self._said[min(number, len(self._said) - 1)]

    @property
    def _is_done(self) -> bool:
        return bool(self._said) and isinstance(self._said[-1], BestSchedule)

    def to_the_end(self) -> BestSchedule:
        """The best plan, or that there is none."""
        return next(said for n in count() if isinstance(said := self.step(n), BestSchedule))


def _weighed(prepared: PreparedJob, choice: Choice) -> Iterator[tuple[int, ...] | BestSchedule]:
    """Rising bounds, and at last the best plan of one choice, examined as any plan is.

    Up to `MOST_LISTED` pieces every order of presses and stages is listed, which is soon done, and
    the least are examined; beyond, the solver looks.

    Args:
        prepared: a typed stack, whose problem leaves the choice open, or more. No two of its
            pieces share a press, since each lies within the one below.
    """
    problem = pinned(prepared.problem, choice)
    found = assess(problem, choice)
    if any(finding.severity == "stop" for finding in found.findings):
        yield BestSchedule(None, (), found, worst_first(found.findings))
        return
    drafts = Drafts(replace(prepared, problem=problem), deadline=-math.inf)
    if len(problem.pieces) <= MOST_LISTED:
        yield from _least_of_every_schedule(drafts, found)
        return
    best = optimise(problem, examine=drafts.examine, time_limit_s=SOLVED_WITHIN_S)
    if best.assessment is not None and best.objective is not None:
        yield BestSchedule(drafts.of(best.assessment), best.objective, best.assessment)
    else:
        yield _none(problem, found, best.cuts)


def _none(problem: Problem, found: Assessment, cuts: Iterable[Cut]) -> BestSchedule:
    stops = [_finding(problem, cut) for cut in cuts if cut.severity == "stop"]
    if not found.possible:
        stops.insert(0, unpressable_finding(problem, found))
    return BestSchedule(None, (), found, once_per_cause(worst_first(stops)))


def _least_of_every_schedule(
    drafts: Drafts, found: Assessment
) -> Iterator[tuple[int, ...] | BestSchedule]:
    """Schedules by the least that each can cost, the least of them examined until one is known.

    Each is first asked what the rules on steps find when it is pressed as shortly as may be, which
    takes no heat.
    """
    problem, prefer = drafts.prepared.problem, drafts.prepared.problem.prefer
    cuts: list[Cut] = []
    queue: list[tuple[tuple[int, ...], int, int, Assessment]] = [
        (objective(each.measures, prefer), number, 1, each)
        for number, each in enumerate(schedules_of(problem, found.choice))
        if each.measures is not None
    ]
    heapq.heapify(queue)
    while queue:
        reached, number, asked, least = heapq.heappop(queue)
        if asked == 0:
            yield BestSchedule(drafts.of(least), reached, least)
            return
        if asked == 1:
            foreseen = _samples_foreseen(drafts.prepared, least)
            again = (2, with_more(problem, least, samples=foreseen, ms=0), least)
        else:
            new = drafts.examine(least)
            cuts += new
            if any(cut.forbids(problem) for cut in new):
                if queue:
                    yield queue[0][0]
                continue
            found_out = with_late(problem, least, new)
            again = (0, found_out, found_out)
        asked_next, at_least, least = again
        if at_least.measures is not None:
            reached = objective(at_least.measures, prefer)
            heapq.heappush(queue, (reached, number, asked_next, least))
            yield queue[0][0]
    yield _none(problem, found, cuts)


def _samples_foreseen(prepared: PreparedJob, found: Assessment) -> int:
    """Samples that a schedule wants even where heat makes no press longer or hotter."""
    shortest = tuple(replace(stage, dwell_s=stage.dwell_window_s[0]) for stage in found.stages)
    steps = steps_of(usual_runs(prepared, replace(found, stages=shortest)))
    problem = prepared.problem
    schedule = pressed_choice(problem, found.choice, steps).schedule
    windows = [(stage.setpoint_c, stage.setpoint_window_c[1]) for stage in found.stages]
    return foreseen_samples(schedule.scheduled, windows, problem.knowledge)


def pinned(problem: Problem, choice: Choice) -> Problem:
    """The problem that leaves nothing open but how the choice is pressed."""
    return problem.narrowed({p: (option,) for p, option in choice.options.items()}, choice.meets)


def _finding(problem: Problem, cut: Cut) -> Finding:
    message = f"{cut.sentence}".removeprefix(f"{cut.rule}: ")
    where = " + ".join(dict.fromkeys(film for _, film in cut.films))
    return finding_of_rule(problem, cut.rule, "stop", message, where)
