"""What happens at one place of the artwork, moment by moment of a press schedule.

A place (a *column*) is named by the pieces that lie there, bottom first. Every step becomes one
or two moments: a stretch of time in which the same layers lie there, with the platen closed on
them or with the press open. What is laid new (a film, a cover, a pad) comes at room temperature
at the moment when the platen closes, which is the slower side.
"""

from __future__ import annotations

from collections.abc import Sequence

from advisor.heat.conduction import ROOM_C
from advisor.heat.layers import Layer
from advisor.heat.press_layers import Materials, film_layers, ground_layers, sheet_layers
from advisor.heat.records import Column, Moment, StepTime
from rules.errors import UnknownNameError
from rules.facts.practice import CLOSE_S, COVER_S, LAY_S, LOAD_S, PEEL_S, SET_UP_S
from rules.facts.schedule import Schedule, ScheduledStep, State
from rules.facts.sheet import Sheet

__all__ = ["columns_of", "moments_at", "moments_of", "step_times"]

_MOST_COLUMNS = 64
_SET_ONCE = {"setpoint", "pressure", "pad"}


def columns_of(pieces: Sequence[str], over: Sequence[tuple[str, str]]) -> tuple[Column, ...]:
    """The deepest columns that contacts allow: every chain from a lowest piece to a topmost one.

    Where the places of the artwork are known, they are the better answer: a chain of contacts need
    not lie over one spot. It is then deeper than any spot, which is the slower side.

    Args:
        pieces: every piece, in a fixed order.
        over: which piece lies on which, as (upper, lower).

    >>> columns_of(["sea", "sun", "word"], [("sun", "sea"), ("word", "sun")])
    (('sea', 'sun', 'word'),)
    >>> columns_of([], [])
    ()
    """
    uppers: dict[str, list[str]] = {piece: [] for piece in pieces}
    for upper, lower in over:
        if lower in uppers and upper in uppers:
            uppers[lower].append(upper)
    lying_on_something = {upper for upper, lower in over if lower in uppers}
    chains: list[Column] = [(piece,) for piece in pieces if piece not in lying_on_something]
    done: list[Column] = []
    while chains:
        chain = chains.pop(0)
        onward = [upper for upper in uppers[chain[-1]] if upper not in chain]
        if onward and len(done) + len(chains) < _MOST_COLUMNS:
            chains = [(*chain, upper) for upper in onward] + chains
        else:
            done.append(chain)
    return tuple(dict.fromkeys(done))


def moments_of(at: ScheduledStep, column: Column, materials: Materials) -> tuple[Moment, ...]:
    """What one step does at a column: handling with the press open first, then the press.

    Nothing happens to the heat before the platen has closed for the first time.

    Raises:
        UnknownNameError: a film, fabric or sheet is of a material that is not known, or the step
            names a sheet that the schedule lacks.
    """
    schedule, step, before, after = at.schedule, at.step, at.before, at.after
    started = before.preheated or bool(before.down)
    gap_s, label = _handling_s(at), _label(at)
    moments: list[Moment] = []
    if started and gap_s > 0:
        state = before if at.closes_hot else after
        layers = _lying(schedule, column, state, materials)
        moments.append(Moment(step.n, "lay" if at.closes_hot else label, layers, None, gap_s))
    if at.closes_hot:
        cover = sheet_layers(_sheet(schedule, step.cover), "cover", materials)
        layers = cover + _lying(schedule, column, after, materials)
        # A platen that was never set is as warm as the room.
        platen_c = ROOM_C if after.setpoint_c is None else after.setpoint_c
        moments.append(Moment(step.n, label, layers, platen_c, step.dwell_s or 0.0))
    return tuple(moments)


def step_times(schedule: Schedule) -> tuple[StepTime, ...]:
    """When each step of a schedule begins, closes the platen and ends, for one garment.

    What is set before the first press (the dial, the pressure, a pad) is set once for all the
    garments of a run and takes none of this one's time.
    """
    clock_s, times = 0.0, []
    for at in schedule.scheduled:
        begins_s = clock_s
        pressed = at.before.preheated or bool(at.before.down)
        if pressed or at.step.action not in _SET_ONCE:
            clock_s += _handling_s(at)
        closes_s = clock_s if at.closes_hot else None
        if at.closes_hot:
            clock_s += at.step.dwell_s or 0.0
        times.append(StepTime(at, begins_s, closes_s, clock_s))
    return tuple(times)


def _handling_s(at: ScheduledStep) -> float:
    """Seconds with the press open that a step takes, before its press if it has one."""
    step, before, after = at.step, at.before, at.after
    if step.action == "wait":
        return step.dwell_s or 0.0
    if step.action == "peel":
        return PEEL_S * max(1, len(step.pieces)) if not step.cover else COVER_S / 2
    if step.action in {"press", "preheat"}:
        again = LOAD_S if before.off_press else 0.0
        return again + CLOSE_S + LAY_S * len(at.laid_down) + (COVER_S / 2 if step.cover else 0.0)
    if step.action == "setpoint":
        if before.setpoint_c is None or after.setpoint_c is None:
            return 0.0
        return at.schedule.press.change_seconds(before.setpoint_c, after.setpoint_c)
    return LOAD_S if step.action == "turn" else SET_UP_S


def _label(at: ScheduledStep) -> str:
    step = at.step
    if step.action == "press":
        return "full press" if step.purpose == "full" else "tack"
    if step.action == "peel":
        return "lift cover" if step.cover else f"peel {step.peel or ''}".rstrip()
    return {"setpoint": "change setpoint", "pad": "change pad", "pressure": "set pressure"}.get(
        step.action, step.action
    )


def _lying(
    schedule: Schedule, column: Column, state: State, materials: Materials
) -> tuple[Layer, ...]:
    """The films that are down at a column, on fabric, pad and bed."""
    pad = _sheet(schedule, state.pad)
    layers = ground_layers(schedule.fabric, schedule.press, materials, pad=pad)
    for number, piece in enumerate(column):
        if piece in state.down:
            carrier = piece in state.carriers_on
            layers = film_layers(schedule.films[piece], number, carrier, materials) + layers
    return layers


def _sheet(schedule: Schedule, name: str | None) -> Sheet | None:
    if name is None:
        return None
    if name not in schedule.sheets:
        raise UnknownNameError("sheet", name, schedule.sheets)
    return schedule.sheets[name]


def moments_at(schedule: Schedule, column: Column, materials: Materials) -> tuple[Moment, ...]:
    """All that happens at a column; handling without a change between is put together."""
    joined: list[Moment] = []
    for at in schedule.scheduled:
        for moment in moments_of(at, column, materials):
            last = joined[-1] if joined else None
            if last and not (last.closed or moment.closed) and last.layers == moment.layers:
                label = last.label
                if moment.label not in label:
                    label = f"{label}, {moment.label}"
                joined[-1] = last._replace(label=label, seconds=last.seconds + moment.seconds)
            else:
                joined.append(moment)
    return tuple(joined)
