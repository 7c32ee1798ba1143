"""Check: a verdict on a stack that someone typed, or on a plan whose steps someone edited."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import lru_cache

from advisor.answers.check_order import check_order
from advisor.answers.given_steps import fingerprint, with_given_reasons
from advisor.answers.judge import judge_print
from advisor.answers.judge_plan import judge_plan
from advisor.answers.pressed_print import pressed_choice, refuse_unknown_names
from advisor.answers.records import CheckReport
from advisor.answers.runs import steps_of, timed_runs, usual_runs
from advisor.answers.told_once import told_once
from advisor.answers.typed_stack import (
    TypedStack,
    best_of_stack,
    job_of_stack,
    printed_at,
    typed_stack,
)
from advisor.heat.records import HeatRefusal
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import BondLineResult, Plan
from advisor.job.records.print import PrintLine
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.prepared import PreparedJob
from advisor.layering.records.pressing import Grouping
from advisor.layering.stages import compromise
from rules.catalogue import Catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.facts.finding import Finding, Verdict, verdict, worst_first
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets, Step
from rules.facts.text import Text
from rules.facts.units import show_size
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["FROM_WORST", "check"]

MOST_FILMS = 12

SMALL_PRINT_MM = (60.0, 60.0)
"""A print of unknown size that is too large for something is judged again at this size, mm."""

FROM_WORST: tuple[Verdict, ...] = ("stop", "sample", "go")

HANGS_ON_SIZE = frozenset(("fits-platen", "fits-roll", "registration-shrink", "sheet-covers-print"))
"""The rules whose word a smaller print escapes. A zip in the middle is not escaped by a guess."""


def check(
    plan: Plan | OrderPlan | None = None,
    *,
    fabric: str | None = None,
    colour: str | None = None,
    stack: Sequence[str] = (),
    meets: Sequence[Meets] | None = None,
    steps: Sequence[Step] | None = None,
    area: str | None = None,
    size_mm: tuple[float, float] | None = None,
    press: str = "clamshell-38x38",
    knowledge: Knowledge | None = None,
) -> CheckReport:
    """Judge a stack of films (bottom first) on a fabric, or a whole plan with its steps.

    A stack without steps is judged as the best plan that it has, by the same solver and
    examination as any job; what has none is a stop, for the reasons that the solver ran into.

    Args:
        plan: a plan, of one print or of several, perhaps edited by hand; the other arguments are
            then left out.
        fabric: a fabric, or a garment, whose print area is then judged as well.
        colour: of the garment, by name or as a hex value; its fabric's usual colour by default.
        stack: films, bottom first, each as its id or as ``ID:colour``.
        meets: how each film meets the one below, bottom first; laps by default.
        area: of the garment, by name; its usual print area by default.
        size_mm: the print's width and height; without it one that fits is judged, and nothing is
            refused for that.
        steps: the press steps for the stack; pieces are named as in the report's ``pieces``.

    Raises:
        BadInputError: no film or too many, no fabric, not one way for each two neighbours, or a
            step names a piece that is not there.
        UnknownNameError: a film, colour, fabric, press, area or way is not known; the nearest are
            offered.

    >>> check(fabric="cotton-jersey-tee", stack=["matte-smooth", "sparkle-coarse"]).verdict
    'go'
    >>> report = check(fabric="cotton-jersey-tee", stack=["sparkle-coarse", "matte-smooth"])
    >>> report.verdict, report.findings[0].rule
    ('stop', 'top-surface')
    >>> check(fabric="cotton-jersey-tee", stack=["sparkle-coarse", "matte-smooth"],
    ...       meets=["inset-under"]).verdict
    'go'
    >>> [check(fabric="polyester-jersey", colour=colour, stack=["matte-smooth:white"]).verdict
    ...  for colour in ("white", "navy")]
    ['go', 'sample']
    """
    known = knowledge or load_knowledge()
    if isinstance(plan, OrderPlan):
        return check_order(plan, known)
    if plan is not None:
        return _check_plan(plan, known)
    if fabric is None:
        raise BadInputError("name the fabric, or a garment, that the stack lies on")
    if not 1 <= len(stack) <= MOST_FILMS:
        raise BadInputError(
            f"a stack has 1 to {MOST_FILMS} films, bottom first; {len(stack)} were given"
        )
    ways = _ways(meets, len(stack))
    on = fabric if colour is None else f"{fabric}:{colour}"
    at = printed_at(fabric, area, size_mm, known.catalogue)
    typed = typed_stack(stack, ways, fabric=on, press=press, knowledge=known, at=at)
    given = None if steps is None else tuple(steps)
    report = _report(typed, given)
    return report if size_mm is not None else _of_any_size(report, typed, given)


def _report(stack: TypedStack, steps: tuple[Step, ...] | None) -> CheckReport:
    return _check_best(stack) if steps is None else _check_steps(stack, steps)


def _of_any_size(
    report: CheckReport, stack: TypedStack, steps: tuple[Step, ...] | None
) -> CheckReport:
    """The report where nobody said a size: what only a large print draws is a note."""
    worse = [f for f in report.findings if f.rule in HANGS_ON_SIZE and f.severity != "note"]
    if worse:
        small = replace(stack, at=replace(stack.at, size_mm=SMALL_PRINT_MM))
        smaller = _report(small, steps)
        if FROM_WORST.index(smaller.verdict) > FROM_WORST.index(report.verdict):
            large = job_of_stack(stack)[0].print.lines[0]
            told = tuple(_as_note(finding, large) for finding in worse)
            findings = worst_first((*smaller.findings, *told))
            report = smaller.model_copy(update={"findings": findings})
            stack = small
    return _with_size_told(report, stack)


def _as_note(finding: Finding, large: PrintLine) -> Finding:
    """What a larger print would draw, for whoever has said no size."""
    message = f"at {show_size(*large.size_mm)} and more this is a {finding.severity}: "
    return finding.model_copy(
        update={"severity": "note", "message": Text(message) + finding.message}
    )


def _with_size_told(report: CheckReport, stack: TypedStack) -> CheckReport:
    """The report with a word on the size of print that it assumes, where a garment bounds it."""
    knowledge = stack.knowledge
    line = job_of_stack(stack)[0].print.lines[0]
    if line.garment is None and line.size_mm != SMALL_PRINT_MM:
        return report
    rule = knowledge.rules.rule("fits-platen")
    told = Finding(
        rule=rule.id,
        severity="note",
        where=Text(f"{line.area} of {line.garment}" if line.garment else "the print"),
        message=Text(
            f"the size of the print is not known: it is judged at "
            f"{show_size(*line.size_mm)}, which fits {stack.press} and the garment"
        ),
        why=Text("a larger print shrinks more, and may not lie flat on platen and garment"),
        instead=Text("say its width and height, or plan the job with its artwork"),
        basis=rule.basis,
    )
    findings = worst_first((*report.findings, told))
    return report.model_copy(update={"findings": findings})


def _ways(meets: Sequence[Meets] | None, films: int) -> tuple[Meets, ...]:
    laps: list[Meets] = ["lap"] * (films - 1)
    for way in meets or ():
        if way not in MEETING_WORDS:
            raise UnknownNameError("way of meeting", way, tuple(MEETING_WORDS))
    if meets is not None and len(meets) != films - 1:
        raise BadInputError(
            f"{films} films take {films - 1} ways of meeting, one for each two neighbours, bottom "
            f"first; {len(meets)} given",
            field="meets",
        )
    return tuple(laps if meets is None else meets)


def _check_plan(plan: Plan, knowledge: Knowledge) -> CheckReport:
    findings, lines = judge_plan(plan, knowledge)
    findings = told_once(findings, lines, plan.steps)
    edited = plan.told_of != fingerprint(plan)
    return CheckReport(
        verdict=verdict(findings),
        findings=findings,
        bond_lines=lines,
        fabric=", ".join(dict.fromkeys(name for run in plan.runs for name in run.fabrics)),
        press=plan.press,
        films=tuple(dict.fromkeys(piece.film for piece in plan.pieces)),
        pieces=tuple(piece.id for piece in plan.pieces),
        colours=tuple(piece.colour for piece in plan.pieces),
        steps=_told_anew(plan, lines, knowledge.catalogue) if edited else plan.steps,
        steps_given=True,
        told_anew=edited,
    )


def _told_anew(
    plan: Plan, lines: Sequence[BondLineResult], catalogue: Catalogue
) -> tuple[Step, ...]:
    """The steps of a plan that someone edited, each with what it does now."""
    films = {piece.id: catalogue.film(piece.film) for piece in plan.pieces}
    names = {piece.id: f"{piece.colour} {piece.film}" for piece in plan.pieces}
    told: dict[int, Step] = {}
    for run in plan.runs:
        steps = [step for step in plan.steps if step.run == run.run]
        of_run = [line for line in lines if line.fabric in run.fabrics]
        told |= {step.n: step for step in with_given_reasons(steps, films, names, of_run)}
    return tuple(told[step.n] for step in plan.steps)


@lru_cache(maxsize=256)
def _check_best(stack: TypedStack) -> CheckReport:
    best = best_of_stack(stack)
    if best.plan is None:
        prepared, _ = job_of_stack(stack)
        judged = (
            _judged(stack, steps, stops=best.stops) for steps in _pressed(prepared, best.found)
        )
        return min(judged, key=_harm)
    return CheckReport(
        verdict=best.plan.verdict,
        findings=best.plan.findings,
        bond_lines=best.plan.bond_lines,
        fabric=stack.knowledge.catalogue.fabric(stack.fabric).id,
        press=stack.press,
        films=tuple(film.id for film in best.found.choice.films.values()),
        pieces=tuple(best.found.choice.options),
        colours=tuple(one.name for one in best.found.choice.colours.values()),
        meets=stack.meets,
        steps=best.plan.steps,
    )


@lru_cache(maxsize=256)
def _check_steps(stack: TypedStack, steps: tuple[Step, ...]) -> CheckReport:
    return _judged(stack, steps, given=True)


def _judged(
    stack: TypedStack,
    steps: tuple[Step, ...],
    *,
    given: bool = False,
    stops: Sequence[Finding] = (),
) -> CheckReport:
    """What rules and heat say of these steps; ``stops`` stand against any others as well."""
    prepared, choice = job_of_stack(stack)
    problem, films = prepared.problem, choice.films
    refuse_unknown_names(steps, tuple(choice.options), problem.knowledge.catalogue.sheets)
    pressed = pressed_choice(problem, choice, steps)
    findings, lines = judge_print(pressed, problem.knowledge)
    said = {finding.rule for finding in findings if finding.severity == "stop"}
    # What is milder is judged as it is pressed, and would be said twice.
    unsaid = [one for one in stops if one.severity == "stop" and one.rule not in said]
    findings = worst_first((*unsaid, *findings))
    findings = told_once(findings, lines, steps)
    return CheckReport(
        verdict=verdict(findings),
        findings=findings,
        bond_lines=lines,
        fabric=problem.fabrics[0].id,
        press=stack.press,
        films=tuple(film.id for film in films.values()),
        pieces=tuple(films),
        colours=tuple(one.name for one in choice.colours.values()),
        meets=stack.meets,
        steps=with_given_reasons(steps, films, {name: name for name in films}, lines)
        if given
        else steps,
        steps_given=given,
    )


def _harm(report: CheckReport) -> tuple[int, int]:
    said = Counter(finding.severity for finding in report.findings)
    return said["stop"], said["sample"]


def _pressed(prepared: PreparedJob, found: Assessment) -> Iterator[tuple[Step, ...]]:
    """Steps of a stack that none suits, so that its person sees where they fail.

    As heat asks; where heat has none, with the last press of every length that may be pressed.
    """
    films = found.choice.films
    grouping = found.grouping or Grouping(tuple((piece,) for piece in films), fewest=False)
    made = found.stages or compromise(grouping.groups, films, prepared.problem.limits)
    laid = replace(found, grouping=grouping, stages=made)
    runs = timed_runs(prepared, laid)
    if not isinstance(runs, HeatRefusal):
        yield steps_of(runs)
        return
    *before, last = made
    for dwell_s in range(round(last.dwell_s), round(last.dwell_window_s[1]) + 1):
        stages = (*before, replace(last, dwell_s=float(dwell_s)))
        yield steps_of(usual_runs(prepared, replace(laid, stages=stages)))
