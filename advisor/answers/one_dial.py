"""One dial: prints of an order at one setting of the dial, where the order is better so.

Each print is dialled as suits it alone; beside others that turns the dial for a few degrees, and
what lies under a cover for a print before may want a hotter platen than it would by itself.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence

from advisor.answers.in_order import InOrder, LayInOrder, for_the_order, samples, worth
from advisor.job.records.order_plan import PlannedPrint
from advisor.job.records.plan import Plan
from rules.facts.press import Press
from rules.facts.text import Text, and_list
from rules.facts.units import show_c

__all__ = ["SolveAt", "hotter_dials", "shared_dials", "told_of_dials", "with_one_dial"]

HOTTER_STEPS = 3
"""So many steps of the dial above the hottest are tried where a sample is asked for."""

SolveAt = Callable[[PlannedPrint, float], Plan]


def with_one_dial(
    now: InOrder,
    dials_c: Sequence[float],
    *,
    solve_at: SolveAt,
    lay: LayInOrder,
    deadline: float,
) -> InOrder:
    """The order with its prints at one dial as far as their films allow, if that spares something.

    Args:
        now: as it is; its films stay.
        dials_c: those that are tried; of two that are alike, the one before is taken, °C.
        solve_at: plans a print in the films that it has, the dial standing so anyway, °C.
        lay: lays prints in order.
        deadline: of ``time.monotonic``, after which no other dial is tried.
    """
    best, tried = now, list(dials_c)
    for dial_c in tried:
        if time.monotonic() > deadline:
            break
        prints = [_at(one, dial_c, solve_at) for one in now.prints]
        # One that cannot go so far may meet another where it stops.
        reached = {stop for one in prints for stop in _dials(one.plan)}
        tried += sorted(reached - {*tried})
        if prints == list(now.prints):
            continue
        found = _where_it_spares(now, lay(prints), lay)
        spares = _asked(found.whole) < _asked(best.whole)
        if found.whole.status == "planned" and spares and worth(found.whole) < worth(best.whole):
            best = found
    return best


def _where_it_spares(own: InOrder, found: InOrder, lay: LayInOrder) -> InOrder:
    """The order without the prints that spare nothing by standing at another dial than their own.

    A few seconds are no reason: what its cloth limits is pressed as coolly as bonds.
    """
    for at, was in enumerate(own.prints):
        if found.prints[at].plan != was.plan:
            tried = lay([was if n == at else one for n, one in enumerate(found.prints)])
            if tried.whole.status == "planned" and _asked(tried.whole) <= _asked(found.whole):
                found = tried
    return found


def _asked(whole: Plan) -> tuple[int, int]:
    """How many samples an order asks for, and how often its dial is set."""
    return samples(whole), sum(step.action == "setpoint" for step in whole.steps)


def shared_dials(whole: Plan) -> list[float]:
    """The settings that some prints of an order have and all may share, the coolest first, °C."""
    used = _dials(whole)
    return used if len(used) > 1 else []


def hotter_dials(whole: Plan, press: Press) -> list[float]:
    """Hotter settings than any of an order that asks for a sample, °C."""
    if not samples(whole):
        return []
    step = press.dial_step(_dials(whole)[-1])
    return [press.dial_c(step + more) for more in range(1, HOTTER_STEPS + 1)]


def _dials(plan: Plan) -> list[float]:
    return sorted({s.setpoint_c for s in plan.steps if s.action == "setpoint" and s.setpoint_c})


def told_of_dials(own: InOrder, now: InOrder) -> InOrder:
    """The order, each print that is dialled for the others saying what is gained by that.

    Args:
        own: the same prints, each dialled as suits it alone.
    """
    gained = _gained(own.whole, now.whole)
    prints = []
    for was, one in zip(own.prints, now.prints, strict=True):
        if one.plan != was.plan:
            note = Text(f"pressed at {and_list(map(show_c, _dials(one.plan)))}{gained}")
            one = for_the_order(one, one.plan, was.plan, (note, *was.plan.notes))
        prints.append(one)
    return now._replace(prints=tuple(prints))


def _gained(own: Plan, now: Plan) -> Text:
    """What an order gains by prints at another setting than suits them alone."""
    asked, before = samples(now), samples(own)
    if asked < before:
        return Text(f", so that the order has {asked} to sample and not {before}")
    return Text(", so that the order is pressed with fewer changes")


def _at(print_: PlannedPrint, dial_c: float, solve_at: SolveAt) -> PlannedPrint:
    """A print as it is pressed where the dial stands so; as it is where nothing comes of that."""
    was = print_.plan
    if _dials(was) == [dial_c]:
        return print_
    plan = solve_at(print_, dial_c)
    if plan.status != "planned" or plan.steps == was.steps:
        return print_
    return print_.model_copy(update={"plan": plan})
