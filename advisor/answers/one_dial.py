"""One dial: prints of an order at one setting of the dial, where the order is better so.

Each print is dialled as suits it alone; beside others that turns the dial for a few degrees, and
what lies under a cover for a print before may want a hotter platen than it would by itself.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator

from advisor.answers.judge_plan import as_wanted_in, judged
from advisor.answers.next_films import Compose
from advisor.answers.plan import Solved
from advisor.answers.shared_films import InOrder, Weigh, for_the_order, worth
from advisor.job.records.order_plan import PlannedPrint
from advisor.job.records.plan import Plan
from rules.facts.press import Press
from rules.facts.text import Text
from rules.facts.units import show_c
from rules.knowledge import Knowledge

__all__ = ["SolveAt", "with_one_dial"]

HOTTER_STEPS = 3
"""So many steps of the dial above the hottest are tried where a sample is asked for."""

SolveAt = Callable[[PlannedPrint, float], Solved]


def with_one_dial(
    now: InOrder,
    *,
    knowledge: Knowledge,
    solve_at: SolveAt,
    compose: Compose,
    weigh: Weigh,
    deadline: float,
) -> InOrder:
    """The order with its prints at one dial as far as their films allow, if it is better for that.

    Args:
        now: as it is; its films stay.
        solve_at: plans a print in the films that it has, the dial standing so anyway, °C.
        compose: lays prints in order.
        weigh: the order as one plan.
        deadline: of ``time.monotonic``, after which no other dial is tried.
    """
    best = now
    press = knowledge.catalogue.press(now.whole.press)
    for dial_c in _dials(now.whole, press):
        if time.monotonic() > deadline:
            break
        prints = [_at(one, dial_c, solve_at, knowledge) for one in now.prints]
        if prints == list(now.prints):
            continue
        laid, composed = compose(prints)
        found = InOrder(laid, composed, weigh(laid, composed))
        if found.whole.status == "planned" and worth(found.whole) < worth(best.whole):
            best = found
    return best


def _dials(whole: Plan, press: Press) -> Iterator[float]:
    """Settings that all may share: those that some have, and hotter ones where one is a sample."""
    used = sorted({s.setpoint_c for s in whole.steps if s.action == "setpoint" and s.setpoint_c})
    if len(used) > 1:
        yield from used
    if any(finding.severity == "sample" for finding in whole.findings):
        step = press.dial_step(used[-1])
        yield from (press.dial_c(step + more) for more in range(1, HOTTER_STEPS + 1))


def _at(
    print_: PlannedPrint, dial_c: float, solve_at: SolveAt, knowledge: Knowledge
) -> PlannedPrint:
    """A print as it is pressed where the dial stands so; as it is where nothing comes of that."""
    was = print_.plan
    dials = {step.setpoint_c for step in was.steps if step.action == "setpoint"}
    if dials == {dial_c}:
        return print_
    plan = solve_at(print_, dial_c).plan
    if plan.status != "planned" or plan.steps == was.steps:
        return print_
    plan = judged(as_wanted_in(was, plan), knowledge)
    note = Text(f"pressed at {show_c(dial_c)}, so that the order is pressed with fewer changes")
    return for_the_order(print_, plan, was, (note, *was.notes))
