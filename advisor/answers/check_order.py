"""Check of an order: every print of a plan file, as the file says that its garments are pressed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace

from advisor.answers.judge import judge_print
from advisor.answers.judge_plan import (
    colours_that_no_film_has,
    judge_plan,
    pressed_prints,
    refuse_unplanned,
)
from advisor.answers.order_of_places import judged_in_order, steps_of_print
from advisor.answers.place_steps import Laid, PlacePart, PressState
from advisor.answers.prints import run_of
from advisor.answers.records import CheckReport
from advisor.answers.whole_agrees import refuse_disagreeing
from advisor.job.records.order_plan import LaidRun, OrderPlan
from advisor.job.records.plan import BondLineResult
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.finding import Finding, once_per_cause, verdict, worst_first
from rules.facts.step import Step
from rules.facts.text import Text
from rules.knowledge import Knowledge

__all__ = ["check_order", "laid_by_steps"]

SETTINGS = ("setpoint", "pad", "pressure")
BEFORE_A_PRESS = (*SETTINGS, "preheat")


def check_order(plan: OrderPlan, knowledge: Knowledge) -> CheckReport:
    """Every print with the steps that the whole order gives it, and what each does to the others.

    Raises:
        BadInputError: the order has no steps, its prints say other films than the whole, or the
            steps of a print do not stand where the file says that they begin.
        UnknownNameError: a film, fabric or press is not known, or a step names a piece that no
            print has.
    """
    whole, known = plan.whole, knowledge.catalogue
    refuse_unplanned(whole)
    if not plan.laid or not plan.prints:
        raise BadInputError("this plan has no steps to check; plan the job first")
    for planned in plan.prints:
        # What is wrong in the plan of a print is told as for a job that has it alone.
        judge_plan(planned.plan, knowledge)
    refuse_disagreeing(plan, known)
    press = known.press(whole.press)
    findings: list[Finding] = [*colours_that_no_film_has(whole, knowledge)]
    lines: list[BondLineResult] = []
    for laid_run in plan.laid:
        laid = tuple(laid_by_steps(plan, laid_run, known))
        findings += judged_in_order(laid, knowledge, press)
        for one in laid:
            for print_, run in one.part.bears:
                for pressed in pressed_prints(print_.plan, run, known):
                    own = tuple(steps_of_print(print_.id, one.own))
                    lines += judge_print(replace(pressed, steps=own, dial_c=None), knowledge)[1]
    said = once_per_cause(worst_first(findings))
    return CheckReport(
        verdict=verdict(said),
        findings=said,
        bond_lines=tuple(lines),
        fabric=", ".join(dict.fromkeys(name for run in whole.runs for name in run.fabrics)),
        press=whole.press,
        films=tuple(dict.fromkeys(piece.film for piece in whole.pieces)),
        pieces=tuple(piece.id for piece in whole.pieces),
        colours=tuple(piece.colour for piece in whole.pieces),
        steps=whole.steps,
        steps_given=True,
        notes=tuple(_for_nobody(plan)),
    )


def _for_nobody(plan: OrderPlan) -> Iterator[Text]:
    """Garments that are lettered, and that nobody in the file gets."""
    lettered = {lies.line for one in plan.prints if one.lettering is not None for lies in one.lies}
    got = Counter[int]()
    for person in plan.people:
        got[person.line] += person.quantity
    for number, line in enumerate(plan.whole.print.lines):
        left = line.quantity - got[number]
        if number in lettered and left > 0:
            yield Text(f"{left} × {line.worn}: for nobody on the list, so it bears no letters")


def laid_by_steps(plan: OrderPlan, laid_run: LaidRun, known: Catalogue) -> Iterator[Laid]:
    """The prints of a run's garments one after another, each with the steps that it has there."""
    whole = plan.whole
    run = next((run for run in whole.runs if run.run == laid_run.run), None)
    if run is None:
        raise BadInputError(f"there is no run {laid_run.run}", field="laid")
    lines = [garment.line for garment in run.garments]
    of_run = [step for step in whole.steps if step.run == laid_run.run]
    groups = [
        [p for p, n in zip(laid_run.prints, laid_run.first_n, strict=True) if n == begins]
        for begins in dict.fromkeys(laid_run.first_n)
    ]
    starts = [0, *(_start(of_run, names) for names in groups[1:])]
    ends = [*starts[1:], len(of_run)]
    last: dict[str, Step] = {}
    for step in (step for step in whole.steps if step.run < laid_run.run):
        last[step.action] = step
    preheats: dict[tuple[str, str], Step] = {}
    for nth, (names, start, end) in enumerate(zip(groups, starts, ends, strict=True)):
        steps = tuple(of_run[start:end])
        _refuse_elsewhere(steps, names)
        first_n = steps[0].n
        prints = [plan.print(name) for name in names]
        side = (prints[0].part, prints[0].side)
        given = [step for step in steps if not (step.action == "turn" and step.lays)]
        has = {step.action for step in given}
        stands = (last[action] for action in SETTINGS if action in last and action not in has)
        shared = [step for step in stands if step.pad != "out"]
        if "preheat" not in has and side in preheats:
            shared.append(preheats[side])
        own = (*(step.model_copy(update={"n": first_n}) for step in shared), *given)
        for step in steps:
            last[step.action] = step
            if step.action == "preheat":
                preheats[side] = step
        films = {
            f"{one.id}/{piece.id}": known.film(piece.film)
            for one in prints
            for piece in one.plan.pieces
        }
        setting = {action: _set_by(action, own, first_n) for action in SETTINGS}
        part = PlacePart(
            bears=tuple((one, run_of(one, lines)) for one in prints),
            dial=setting["setpoint"],
            pressure=setting["pressure"],
            pad=last.get("pad"),
            opening=None,
            preheat=next((s for s in own if s.action == "preheat"), own[0]),
            presses=tuple(given),
            films=films,
            seconds=0.0,
        )
        _refuse_other_place(steps, part.at)
        stays = nth > 0 and not has & set(SETTINGS)
        yield Laid(part, steps, own, PressState(), 0.0, covered=False, stays=stays)


def _refuse_other_place(steps: Sequence[Step], at: str) -> None:
    """Refuse a turn that lays another place than the one that is pressed next."""
    for step in steps:
        if step.action == "turn" and step.lays and step.lays != at:
            raise BadInputError(
                f"step {step.n} lays {step.lays}, and {at} is pressed next; lay that",
                field="steps",
            )


def _set_by(action: str, own: Sequence[Step], first_n: int) -> Step:
    found = next((step for step in own if step.action == action), None)
    return found or next(step for step in own if step.n >= first_n)


def _start(of_run: Sequence[Step], names: Sequence[str]) -> int:
    """Where the steps of these prints begin: the turn or settings before their first press."""
    at = next((at for at, step in enumerate(of_run) if _prints_of((step,)) & set(names)), None)
    if at is None:
        raise BadInputError(f"no step of the run presses {', '.join(names)}", field="steps")
    ended = max((before for before in range(at) if of_run[before].pieces), default=-1)
    between = range(ended + 1, at)
    turns = [one for one in between if of_run[one].action == "turn" and of_run[one].lays]
    if not turns:
        return next((one for one in between if of_run[one].action in BEFORE_A_PRESS), at)
    # A press that closes before the turn closes on the print that lies there until then.
    start = turns[-1]
    while start and of_run[start - 1].action in SETTINGS:
        start -= 1
    return start


def _prints_of(steps: Sequence[Step]) -> set[str]:
    return {piece.partition("/")[0] for step in steps for piece in step.pieces}


def _refuse_elsewhere(steps: Sequence[Step], names: Sequence[str]) -> None:
    """Refuse steps that press other prints than those that begin there, or none after a preheat."""
    pressed = _prints_of(steps)
    if pressed != set(names):
        raise BadInputError(
            f"the steps where {', '.join(names)} should be pressed press "
            f"{', '.join(sorted(pressed)) or 'nothing'}; keep the prints one after another as "
            "`laid` says, and leave out or change what is within a print",
            field="steps",
        )
    # What gets no press at all is not finished: the rules on schedules tell it.
    presses = [at for at, step in enumerate(steps) if step.action == "press"] or [len(steps)]
    for step in steps[presses[-1] + 1 :]:
        if step.action == "preheat":
            raise BadInputError(
                f"step {step.n} closes the press on {', '.join(names)}, which is finished, with no "
                "cover; preheat after the garment is turned",
                field="steps",
            )
