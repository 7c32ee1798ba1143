"""Answers in words: every question that can be asked, its answer with all sentences put in."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import wraps
from itertools import pairwise
from typing import ParamSpec, TypeVar

import advisor.answers.check
import advisor.answers.look
import advisor.answers.plan
import advisor.answers.questions
from advisor.answers.records import Answer, Answered, CheckReport, LookAnswer, OtherPlan
from advisor.job.records.plan import Plan
from advisor.layering.records.reasons import Reason
from advisor.words.plan import piece_names
from advisor.words.reasons import reason_text
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Step
from rules.facts.text import Text, and_list
from rules.facts.units import show_c, show_s

__all__ = ["check", "look", "other_plans", "plan", "solve", "why_not_this"]

Asked = ParamSpec("Asked")
Answer_ = TypeVar("Answer_")


def _worded(
    ask: Callable[Asked, Answer_], put: Callable[[Answer_], Answer_]
) -> Callable[Asked, Answer_]:
    """The question whose answer has its sentences put in."""

    @wraps(ask)
    def worded(*args: Asked.args, **kwargs: Asked.kwargs) -> Answer_:
        return put(ask(*args, **kwargs))

    return worded


def _steps(steps: Sequence[Step]) -> tuple[Step, ...]:
    return tuple(
        step.model_copy(update={"why": reason_text(step.reason), "reason": None})
        if isinstance(step.reason, Reason)
        else step
        for step in steps
    )


def _plan(plan: Plan) -> Plan:
    return plan.model_copy(update={"steps": _steps(plan.steps)})


def _solved(solved: advisor.answers.plan.Solved) -> advisor.answers.plan.Solved:
    return replace(solved, plan=_plan(solved.plan))


def _check(report: CheckReport) -> CheckReport:
    return report.model_copy(update={"steps": _steps(report.steps)})


def _look(found: LookAnswer) -> LookAnswer:
    answers = tuple(
        answer.model_copy(update={"reason": _look_reason(answer)}) for answer in found.answers
    )
    return found.model_copy(update={"answers": answers})


def _look_reason(answer: Answer) -> Text:
    """One line: how the films lie, and the setting that finishes them."""
    parts = [
        MEETING_WORDS[way].clause.format(upper=upper, lower=lower)
        for (lower, upper), way in zip(pairwise(answer.films), answer.meets, strict=True)
    ]
    stages = zip(answer.finished_together, answer.setpoints_c, answer.dwells_s, strict=True)
    for films, setpoint_c, dwell_s in stages:
        finish = "finishes" if len(set(films)) == 1 else "finish"
        parts.append(f"{and_list(films)} {finish} at {show_c(setpoint_c)} for {show_s(dwell_s)}")
    return Text("; ".join(dict.fromkeys(parts)))


plan = _worded(advisor.answers.plan.plan, _plan)
solve = _worded(advisor.answers.plan.solve, _solved)
check = _worded(advisor.answers.check.check, _check)
look = _worded(advisor.answers.look.look, _look)


def other_plans(
    solved: advisor.answers.plan.Solved, *, most: int = 3, time_limit_s: float = 20.0
) -> tuple[OtherPlan, ...]:
    """The best few other plans, with pieces called as in the plan itself."""
    names = piece_names(solved.plan)
    return tuple(
        other.model_copy(
            update={
                "differs": tuple(each.named(names) for each in other.differs),
                "plan": _plan(other.plan),
            }
        )
        for other in advisor.answers.questions.other_plans(
            solved, most=most, time_limit_s=time_limit_s
        )
    )


def why_not_this(
    solved: advisor.answers.plan.Solved, question: str, *, time_limit_s: float = 20.0
) -> Answered:
    """What stands against a wish, or what it costs, with pieces called as in the plan itself."""
    answer = advisor.answers.questions.why_not_this(solved, question, time_limit_s=time_limit_s)
    names = piece_names(solved.plan)
    return answer.model_copy(
        update={
            "said": answer.said.named(names),
            "differs": tuple(each.named(names) for each in answer.differs),
            "stands_against": tuple(clash.named(names) for clash in answer.stands_against),
            "plan": None if answer.plan is None else _plan(answer.plan),
        }
    )
