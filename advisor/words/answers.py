"""Answers in words: every question that can be asked, its answer with all sentences put in."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from functools import wraps
from itertools import pairwise
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import advisor.answers.check
import advisor.answers.look
import advisor.answers.plan
import advisor.answers.prints
import advisor.answers.questions
import advisor.answers.reorder
import advisor.answers.why_failed
from advisor.answers.records import (
    PROOF_LIMIT_S,
    Answer,
    Answered,
    CheckReport,
    LookAnswer,
    NextBest,
    OtherPlan,
    Reordered,
    WhyFailed,
)
from advisor.job.records.job import Job
from advisor.job.records.order import Order
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Change, Clash, Plan
from advisor.layering.records.reasons import Reason
from advisor.solver.records import RuleInstance
from advisor.words.card import card_text, press_cards
from advisor.words.conflict import change_text, conflict_text, fact_text, granted_text, wished_name
from advisor.words.crosses import with_crosses
from advisor.words.plan import piece_names
from advisor.words.plan_changes import gains_and_losses, next_best_text, what_differs
from advisor.words.reasons import reason_text
from advisor.words.reorder import reordered_text
from advisor.words.why_failed import why_failed_text
from rules.catalogue import Catalogue
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Step
from rules.facts.text import Text, and_list
from rules.facts.units import show_c, show_s
from rules.knowledge import Knowledge, load_knowledge

__all__ = [
    "check", "given_plan", "jobs_of", "look", "next_best", "order_again", "other_plans", "plan",
    "plan_again", "plan_order", "solve", "why_failed", "why_not_this",
]  # fmt: skip

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
    # A file keeps one set of quantities for each sentence: where two read alike in °C, they are to
    # read alike in °F as well.
    said: dict[str, Text] = {}
    made = []
    for step in steps:
        if isinstance(step.reason, Reason):
            why = reason_text(step.reason)
            step = step.model_copy(update={"why": said.setdefault(str(why), why), "reason": None})
        made.append(step)
    return tuple(made)


def _plan(plan: Plan, known: Catalogue) -> Plan:
    card = card_text(press_cards(plan, known.press(plan.press)))
    return plan.model_copy(update={"steps": with_crosses(_steps(plan.steps)), "card": card})


def _solved(solved: advisor.answers.plan.Solved) -> advisor.answers.plan.Solved:
    plan, names = _plan(solved.plan, _known(solved)), _names(solved)
    conflict = tuple(_clash(clash).named(names) for clash in plan.conflict)
    repairs = tuple(tuple(_change(c).named(names) for c in changes) for changes in plan.repairs)
    worded = {"conflict": conflict, "repairs": repairs}
    return replace(solved, plan=plan.model_copy(update=worded))


def _known(solved: advisor.answers.plan.Solved) -> Catalogue:
    return solved.prepared.problem.knowledge.catalogue


def _names(solved: advisor.answers.plan.Solved) -> dict[str, str]:
    """What pieces are called: by their films in a plan, by what is wished where there is none."""
    if solved.plan.pieces:
        return piece_names(solved.plan)
    prepared = solved.prepared
    called = prepared.job.called
    return {
        p.id: wished_name(p, prepared.wish(p.id), called.get(p.fill or "", ""))
        for p in prepared.print.pieces
    }


def _clash(clash: Clash) -> Clash:
    if not isinstance(clash.fact, RuleInstance):
        return clash
    return clash.model_copy(update={"message": fact_text(clash.fact), "fact": None})


def _change(change: Change) -> Change:
    return change.model_copy(update={"message": change_text(change)})


def _check(report: CheckReport) -> CheckReport:
    steps = _steps(report.steps)
    return report.model_copy(update={"steps": with_crosses(steps) if report.told_anew else steps})


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


solve = _worded(advisor.answers.plan.solve, _solved)
check = _worded(advisor.answers.check.check, _check)
look = _worded(advisor.answers.look.look, _look)


def why_failed(plan: Plan, fault: str, *, knowledge: Knowledge | None = None) -> WhyFailed:
    """What a fault may come from in what a plan pressed, with all sentences put in.

    Args:
        plan: as it was pressed.
        fault: of `rules.book.faults.FAULTS`, such as ``edge-lift``.

    Raises:
        BadInputError: the plan has no steps, or its parts do not fit one another.
        UnknownNameError: it is no fault, or the plan names what is not on the shelf.

    >>> from advisor.job.demo import DEMO_FOLDER
    >>> why_failed(plan(DEMO_FOLDER / "bags.yaml"), "edge-lift").seen
    'an edge lifts after washing'
    """
    known = knowledge or load_knowledge()
    found = advisor.answers.why_failed.why_failed(plan, fault, knowledge=known)
    return why_failed_text(found, piece_names(plan), known.catalogue.press(plan.press))


def plan_again(
    job: Job,
    *,
    artwork: bytes,
    names: bytes = b"",
    folder: Path | None = None,
    knowledge: Knowledge,
    store: Path | None,
) -> Reordered | None:
    """`advisor.answers.reorder.plan_again` with its sentences put in."""
    found = advisor.answers.reorder.plan_again(
        job, artwork=artwork, names=names, solve=solve, folder=folder, knowledge=knowledge,
        store=store,
    )  # fmt: skip
    return None if found is None else reordered_text(found)


def order_again(
    order: Order,
    *,
    files: Sequence[bytes],
    drawings: Sequence[bytes],
    folder: Path,
    knowledge: Knowledge,
    store: Path | None,
) -> Reordered | None:
    """`advisor.answers.reorder.order_again` with its sentences put in."""
    found = advisor.answers.reorder.order_again(
        order, files=files, drawings=drawings, solve=solve, folder=folder, knowledge=knowledge,
        store=store,
    )  # fmt: skip
    if found is None or found.order is None:
        return None if found is None else reordered_text(found)
    made = _order_worded(found.order, knowledge.catalogue)
    return reordered_text(found.model_copy(update={"plan": made.whole, "order": made}))


@wraps(advisor.answers.plan.plan)
def plan(
    job: Job | Path | str,
    *,
    folder: Path | None = None,
    svg: bytes | None = None,
    knowledge: Knowledge | None = None,
    time_limit_s: float = PROOF_LIMIT_S,
) -> Plan:
    """`advisor.answers.plan.plan` with its sentences put in."""
    return solve(job, folder=folder, svg=svg, knowledge=knowledge, time_limit_s=time_limit_s).plan


given_plan = advisor.answers.prints.given_plan
jobs_of = advisor.answers.prints.jobs_of


def plan_order(
    order: Order | Path | str,
    *,
    folder: Path | None = None,
    knowledge: Knowledge | None = None,
    time_limit_s: float = PROOF_LIMIT_S,
) -> OrderPlan:
    """The plan of every print of an order, and the order of places, with all sentences put in.

    Args:
        order: an order, or the path of its file.
        folder: where artwork and people are looked for; the file's own folder by default.
        time_limit_s: the best plan of each print is looked for so long, s.

    Raises:
        BadInputError: the order, an artwork or the list of people cannot be used.
        UnknownNameError: a garment, place, film or press is not known.
    """
    made = advisor.answers.prints.plan_order(
        order, solve=solve, folder=folder, knowledge=knowledge, time_limit_s=time_limit_s
    )
    return _order_worded(made, (knowledge or load_knowledge()).catalogue)


def _order_worded(made: OrderPlan, known: Catalogue) -> OrderPlan:
    whole = made.whole.model_copy(update={"steps": _steps(made.whole.steps)})
    card = card_text(press_cards(whole, known.press(whole.press)))
    return made.model_copy(update={"whole": whole.model_copy(update={"card": card})})


def other_plans(
    solved: advisor.answers.plan.Solved, *, most: int = 3, time_limit_s: float = 20.0
) -> tuple[OtherPlan, ...]:
    """The best few other plans, with pieces called as in the plan itself."""
    others = advisor.answers.questions.other_plans(solved, most=most, time_limit_s=time_limit_s)
    return tuple(_other(solved, other) for other in others)


def next_best(
    solved: advisor.answers.plan.Solved, *, time_limit_s: float = 10.0
) -> tuple[NextBest, ...]:
    """For each piece the best plan with another film for it, and what that would cost."""
    said = []
    for one in advisor.answers.questions.next_best(solved, time_limit_s=time_limit_s):
        other = None if one.other is None else _other(solved, one.other)
        worded = {"other": other, "said": next_best_text(one.piece, other)}
        said.append(one.model_copy(update=worded))
    return tuple(said)


def _other(solved: advisor.answers.plan.Solved, other: OtherPlan) -> OtherPlan:
    """Another plan with what is different of it, and what that brings against the plan."""
    gains, loses = gains_and_losses(solved.plan.proof, other.plan.proof, other.plan.currency)
    differs = tuple(each.named(_names(solved)) for each in what_differs(solved.plan, other.plan))
    worded = {"differs": differs, "gains": tuple(gains), "loses": tuple(loses)}
    return other.model_copy(update=worded | {"plan": _plan(other.plan, _known(solved))})


def why_not_this(
    solved: advisor.answers.plan.Solved, question: str, *, time_limit_s: float = 20.0
) -> Answered:
    """What stands against a wish, or what it costs, with pieces called as in the plan itself."""
    answer = advisor.answers.questions.why_not_this(solved, question, time_limit_s=time_limit_s)
    names = _names(solved)
    worded: dict[str, Any] = {"said": Text("no answer in the time given")}
    if answer.possible is False:
        facts = [clash.fact for clash in answer.stands_against]
        instances = [fact for fact in facts if isinstance(fact, RuleInstance)]
        worded = {
            "said": conflict_text(instances, answer.repair).named(names),
            "stands_against": tuple(_clash(one).named(names) for one in answer.stands_against),
            "repair": tuple(_change(change).named(names) for change in answer.repair),
        }
    elif answer.plan is not None:
        worded = _beside(solved.plan, _plan(answer.plan, _known(solved)), names)
    return answer.model_copy(update=worded)


def _beside(best: Plan, other: Plan, names: Mapping[str, str]) -> dict[str, Any]:
    """A plan that was asked for, beside the best one."""
    worded: dict[str, Any] = {"said": Text("it can be"), "plan": other}
    if best.status != "planned":
        return worded
    gains, loses = gains_and_losses(best.proof, other.proof, best.currency)
    differs = tuple(each.named(names) for each in what_differs(best, other))
    return worded | {
        "said": granted_text(gains, loses, differs),
        "differs": differs,
        "gains": tuple(gains),
        "loses": tuple(loses),
    }
