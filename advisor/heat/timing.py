"""How long each tack, peel wait and full press must last for heat to reach every adhesive.

The steps are those of `press_steps`; they are walked through in order, at every column of the
artwork at once, and each dwell is set as it is reached: what was pressed before is then
still warm as it would be. What cannot be had within the films' own windows is refused, with the
numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import partial

from advisor.heat.dwell import Walk, full_press, peel_wait, tack
from advisor.heat.refusal import HeatRefusal
from advisor.heat.stack import Column, Materials, columns_of, moments_of
from advisor.heat.walk import Track
from advisor.layering.press_steps import Laying, Timing, press_steps, usual_timing
from advisor.layering.stages import Stage
from rules.facts.film import Peel
from rules.facts.press import Press
from rules.facts.schedule import Schedule, ScheduledStep

__all__ = ["HeatRefusal", "hotter_settings", "timed_laying", "timing"]


def timing(
    laying: Laying,
    *,
    columns: Sequence[Column] | None = None,
    materials: Materials | None = None,
    uncertain: bool = False,
) -> Timing | HeatRefusal:
    """The seconds of every tack, wait and full press, and what the simulation saw.

    A tack lasts until every adhesive that it lays has softened where that is slowest; a full
    press until every bond line that it finishes has been hot enough for long enough *while the
    platen was closed*, over all presses so far; a wait until the adhesive has set (warm peel) or
    is cool to the hand (cold peel). All are whole seconds on the safe side, and none is shorter
    than decorators use.

    Args:
        laying: what is pressed.
        columns: the places of the artwork, by piece, bottom first; by default the deepest that
            the contacts allow.
        materials: thermal materials by id; by default those of the catalogue.
        uncertain: lengthen full presses within the films' windows until they bond on all but an
            unlucky press as well (:mod:`advisor.heat.band`).

    Returns:
        The timing, or the first bond line that heat does not reach within the films' windows.

    Raises:
        UnknownNameError: a material or sheet is not known.
    """
    steps = press_steps(laying, usual_timing(laying.groups, laying.stages))
    schedule = Schedule(
        laying.fabric, laying.press, laying.films, laying.over, steps, laying.sheets
    )
    chosen = _distinct(columns if columns is not None else (), laying)
    walk = Walk(laying, schedule, chosen, materials, [Track({}) for _ in chosen])
    usual = usual_timing(laying.groups, laying.stages)
    group_of = {piece: n for n, group in enumerate(laying.groups) for piece in group}
    tack_s, grabs_s, peaks_c = list(usual.tack_s), list(usual.grabs_s), list(usual.tack_peak_c)
    waits = [dict(wait) for wait in usual.peel_wait_s]
    cools_to_c: list[float | None] = list(usual.cools_to_c)
    dwell_s, needed_s = list(usual.dwell_s), list(usual.needed_s)
    lines = list(usual.bond_lines)
    stage, waited_s = 0, 0.0
    for at in schedule.scheduled:
        moments = [moments_of(at, column, materials) for column in chosen]
        if not moments[0]:
            continue
        step = at.step
        if step.action == "wait":
            how, pieces = _peels_next(at)
            entered = walk.enter_all(moments, 0)
            more_s, cools_c = peel_wait(walk, entered, how, pieces, waited_s)
            walk.end_all(entered, more_s)
            waited_s += more_s
            group = group_of[pieces[0]]
            waits[group][how], cools_to_c[group] = waited_s, cools_c
            continue
        for part in range(len(moments[0]) - at.closes_hot):
            walk.end_all(walk.enter_all(moments, part), moments[0][part].seconds)
        if not at.closes_hot:
            continue
        waited_s = 0.0
        entered = walk.enter_all(moments, -1)
        if step.action == "preheat":
            walk.closed(at, entered, step.dwell_s or 0.0)
        elif step.purpose == "tack":
            tacked = tack(walk, at, entered, stage)
            if isinstance(tacked, HeatRefusal):
                return tacked
            group = group_of[step.pieces[0]]
            tack_s[group], grabs_s[group], peaks_c[group] = tacked
            walk.closed(at, entered, tack_s[group])
        else:
            finished = full_press(walk, at, entered, stage, uncertain)
            if isinstance(finished, HeatRefusal):
                return finished
            dwell_s[stage], needed_s[stage], lines[stage] = finished
            walk.closed(at, entered, dwell_s[stage])
            stage += 1
    return Timing(
        tack_s=tuple(tack_s),
        peel_wait_s=tuple(waits),
        dwell_s=tuple(dwell_s),
        grabs_s=tuple(grabs_s),
        tack_peak_c=tuple(peaks_c),
        needed_s=tuple(needed_s),
        bond_lines=tuple(lines),
        cools_to_c=tuple(cools_to_c),
    )


def hotter_settings(stage: Stage, press: Press) -> tuple[float, ...]:
    """The settings on the dial above the stage's own that its films share, least hot first, °C."""
    step = press.setpoint_step_c
    highest = math.floor(min(stage.setpoint_window_c[1], press.setpoint_high_c) / step + 1e-9)
    lowest = math.floor(stage.setpoint_c / step + 1e-9) + 1
    return tuple(number * step for number in range(lowest, highest + 1))


def timed_laying(
    laying: Laying,
    *,
    columns: Sequence[Column] | None = None,
    materials: Materials | None = None,
    uncertain: bool = False,
) -> tuple[Laying, Timing] | HeatRefusal:
    """The laying with its timing; where heat falls short, at the least hotter setting that does.

    Only the setpoint of the stage that falls short is raised, within what its films share and
    what is already down bears.

    Returns:
        The laying (with the setpoint that was needed) and its timing, or the refusal at the
        hottest setting.
    """
    tried = partial(timing, columns=columns, materials=materials)
    while True:
        found = tried(laying)
        if isinstance(found, Timing):
            if not uncertain:
                return laying, found
            # Longer presses early on may leave too few of the seconds that a film bears.
            surer = tried(laying, uncertain=True)
            return laying, surer if isinstance(surer, Timing) else found
        number = found.stage
        settings = hotter_settings(laying.stages[number], laying.press)
        if not settings:
            return found
        # Hotter never bonds less, so the least setting that does is found by halving.
        hottest = tried(_set(laying, number, settings[-1]))
        if isinstance(hottest, HeatRefusal) and hottest.stage <= number:
            return hottest
        low, high = 0, len(settings) - 1
        while low < high:
            middle = (low + high) // 2
            half = tried(_set(laying, number, settings[middle]))
            fails = isinstance(half, HeatRefusal) and half.stage <= number
            low, high = (middle + 1, high) if fails else (low, middle)
        laying = _set(laying, number, settings[low])


def _set(laying: Laying, number: int, setpoint_c: float) -> Laying:
    stages = list(laying.stages)
    stages[number] = replace(stages[number], setpoint_c=setpoint_c)
    return replace(laying, stages=tuple(stages))


def _distinct(columns: Sequence[Column], laying: Laying) -> tuple[Column, ...]:
    """Columns that differ in what lies there and when it goes down, each once."""
    given = [tuple(column) for column in columns if column]
    if not given:
        given = list(columns_of(tuple(laying.films), laying.over))
    group_of = {piece: n for n, group in enumerate(laying.groups) for piece in group}
    kept: dict[tuple[object, ...], Column] = {}
    for column in given:
        key = tuple((id(laying.films[piece]), group_of[piece]) for piece in column)
        kept.setdefault(key, column)
    return tuple(kept.values())


def _peels_next(at: ScheduledStep) -> tuple[Peel, tuple[str, ...]]:
    """How the carriers come off that a wait is for, and whose."""
    for step in at.later:
        if step.action == "peel" and step.peel is not None and step.pieces:
            return step.peel, step.pieces
    raise ValueError(f"step {at.step.n} waits for no peel")
