"""Line by line: what each line of a plan takes at the press, and the samples that it asks for.

Both are read off the steps that are there: a plan may have been edited, and what it tells of
findings is told of all its garments together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from advisor.answers.check_order import laid_by_steps
from advisor.answers.judge import judge_print
from advisor.answers.judge_plan import pressed_prints
from advisor.answers.order_of_places import judged_in_order, seconds_in_order
from advisor.answers.place_steps import Laid, PlacePart
from advisor.answers.prints import run_of
from advisor.answers.step_seconds import carriers_of, part_seconds, work_seconds
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Plan, Run, RunGarment
from rules.facts.finding import Finding, once_per_cause, worst_first
from rules.facts.practice import CLOSE_S, COVER_S, LOAD_S, laid_again_s
from rules.facts.press import Press
from rules.facts.step import Step
from rules.knowledge import Knowledge

__all__ = ["line_by_line"]


def line_by_line(plan: Plan | OrderPlan, knowledge: Knowledge) -> Plan:
    """The plan, or the whole of an order, with the minutes and the samples of each of its lines.

    Raises:
        BadInputError: the steps of a print do not stand where an order says that they begin.
        UnknownNameError: a film, fabric or press is not known, or a step names a piece that no
            print has.
    """
    whole = plan.whole if isinstance(plan, OrderPlan) else plan
    runs = []
    for run in whole.runs:
        if isinstance(plan, OrderPlan):
            garments = _of_order(plan, run, knowledge)
        else:
            garments = _of_plan(plan, run, knowledge)
        runs.append(run.model_copy(update={"garments": garments}))
    return whole.model_copy(update={"runs": tuple(runs)})


def _of_plan(plan: Plan, run: Run, knowledge: Knowledge) -> tuple[RunGarment, ...]:
    press = knowledge.catalogue.press(plan.press)
    steps = [step for step in plan.steps if step.run == run.run]
    seconds = LOAD_S
    for step in (step for step in steps if step.action == "preheat"):
        seconds += CLOSE_S + (step.dwell_s or 0.0) + (COVER_S if step.cover else 0.0)
    seconds += work_seconds(steps, carriers=carriers_of(plan), meets=plan.meets.values())
    seconds += _dial_s(steps, press, sum(line.quantity for line in plan.lines_of(run)))

    def found(garment: RunGarment) -> tuple[Finding, ...]:
        fabrics = (plan.print.lines[garment.line].fabric,)
        alone = run.model_copy(update={"garments": (garment,), "fabrics": fabrics})
        (pressed,) = pressed_prints(plan, alone, knowledge.catalogue)
        return judge_print(pressed, knowledge)[0]

    return tuple(_garment(one, seconds, found(one)) for one in run.garments)


def _dial_s(steps: Sequence[Step], press: Press, quantity: int) -> float:
    """What the changes of the dial between the full presses of a run take of a garment, s."""
    set_to = [s.setpoint_c for s in steps if s.purpose == "full" and s.setpoint_c is not None]
    turned = [settings for settings in pairwise(set_to) if settings[0] != settings[1]]
    turning_s = sum(press.change_seconds(*settings) for settings in turned)
    return len(turned) * laid_again_s(quantity) + turning_s / quantity


def _of_order(plan: OrderPlan, run: Run, knowledge: Knowledge) -> tuple[RunGarment, ...]:
    known = knowledge.catalogue
    press = known.press(plan.whole.press)
    (laid_run,) = (one for one in plan.laid if one.run == run.run)
    laid = tuple(laid_by_steps(plan, laid_run, known))
    quantity = sum(line.quantity for line in plan.whole.lines_of(run))
    timed = [_timed(one, press, quantity) for one in laid]
    seconds = seconds_in_order(timed, press=press, quantity=quantity)

    def found(garment: RunGarment) -> tuple[Finding, ...]:
        alone = [_on_line(one, garment.line) for one in laid]
        return once_per_cause(worst_first(judged_in_order(alone, knowledge, press)))

    return tuple(_garment(one, seconds, found(one)) for one in run.garments)


def _on_line(laid: Laid, line: int) -> Laid:
    """Prints as they lie on the garments of one line of the order alone."""
    bears = tuple((print_, run_of(print_, [line])) for print_, _ in laid.part.bears)
    return replace(laid, part=replace(laid.part, bears=bears))


def _timed(laid: Laid, press: Press, quantity: int) -> PlacePart:
    """A place with the seconds of the steps that press it, those that set the press up aside."""
    first = next(at for at, step in enumerate(laid.steps) if step.action == "press")
    presses = laid.steps[first:]
    seconds = part_seconds(laid.part, presses) + _dial_s(presses, press, quantity)
    return replace(laid.part, presses=presses, seconds=seconds)


def _garment(garment: RunGarment, seconds: float, found: Sequence[Finding]) -> RunGarment:
    samples = sum(finding.severity == "sample" for finding in found)
    # So exact that 500 garments add up to the second and the cent.
    minutes = round(seconds / 60, 5)
    return garment.model_copy(update={"minutes_each": minutes, "samples": samples})
