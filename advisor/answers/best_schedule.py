"""Best schedule: one choice of films and ways of meeting, pressed as well as it can be."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.answers.examination import Drafts
from advisor.job.records.plan import Plan
from advisor.layering.assessment import assess, finding_of_rule, objective, unpressable_finding
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.prepared import PreparedJob
from advisor.layering.records.problem import Choice, Problem
from advisor.solver.proof import optimise
from advisor.solver.records import Cut
from rules.facts.finding import Finding, once_per_cause, worst_first

__all__ = ["BestSchedule", "best_schedule", "pinned"]

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


def best_schedule(prepared: PreparedJob, choice: Choice) -> BestSchedule:
    """The best plan of one choice, by the same solver and examination as any plan.

    Args:
        prepared: whose problem leaves the choice open, or more.
    """
    problem = pinned(prepared.problem, choice)
    found = assess(problem, choice)
    if any(finding.severity == "stop" for finding in found.findings):
        return BestSchedule(None, (), found, worst_first(found.findings))
    drafts = Drafts(replace(prepared, problem=problem), whole=True)
    if found.measures is not None and not drafts.examine(found):
        # The quickest of its presses and stages, and nothing is found against it: none is better.
        return BestSchedule(drafts.of(found), objective(found.measures, problem.prefer), found)
    best = optimise(problem, examine=drafts.examine, time_limit_s=SOLVED_WITHIN_S)
    if best.assessment is not None and best.objective is not None:
        return BestSchedule(drafts.of(best.assessment), best.objective, best.assessment)
    stops = [_finding(problem, cut) for cut in best.cuts if cut.severity == "stop"]
    if not found.possible:
        stops.insert(0, unpressable_finding(problem, found))
    return BestSchedule(None, (), found, once_per_cause(worst_first(stops)))


def pinned(problem: Problem, choice: Choice) -> Problem:
    """The problem that leaves nothing open but how the choice is pressed."""
    return replace(
        problem,
        pieces=tuple(
            replace(piece, options=(choice.options[piece.id],)) for piece in problem.pieces
        ),
        print=replace(
            problem.print,
            meetings=tuple(
                replace(meeting, ways=(choice.meets[meeting.pair],)) for meeting in problem.meetings
            ),
        ),
    )


def _finding(problem: Problem, cut: Cut) -> Finding:
    message = f"{cut.sentence}".removeprefix(f"{cut.rule}: ")
    where = " + ".join(dict.fromkeys(film for _, film in cut.films))
    return finding_of_rule(problem, cut.rule, "stop", message, where)
