"""Foreseen: samples that press steps draw however heat sets their seconds and their dial."""

from __future__ import annotations

import math
from collections.abc import Iterable

from advisor.layering.records.pressing import Stage
from advisor.layering.records.problem import Problem
from advisor.layering.stages import dial_c
from rules.facts.film import Film
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.step import Step
from rules.knowledge import Knowledge

__all__ = ["Window", "foreseen_samples", "least_settings", "wary_window"]

_DRAWN_IN, _TOO_HOT = "registration-shrink", "setpoint-window"
"""Rules on steps that find no less when a schedule is pressed longer or hotter."""

Window = tuple[float, float]


def foreseen_samples(
    steps: Iterable[ScheduledStep], stages: Iterable[Stage], knowledge: Knowledge
) -> int:
    """Samples wanted of steps pressed as shortly and as coolly as may be.

    What draws in counts once; a dial that is too hot, once for each setting that is sure to differ.
    """
    drawn_in, hot_c = False, set()
    for at in steps:
        rules = _wanting(knowledge, at)
        drawn_in = drawn_in or _DRAWN_IN in rules
        if _TOO_HOT in rules:
            hot_c.add(at.after.setpoint_c)
    windows = [
        (stage.setpoint_c, stage.setpoint_window_c[1])
        for stage in stages
        if stage.setpoint_c in hot_c
    ]
    return drawn_in + least_settings(windows)


def wary_window(film: Film, problem: Problem) -> Window | None:
    """A film's window of setpoints, if any press that finishes it wants a sample on some fabric."""
    press = problem.limits.press
    coolest = Step(
        n=1,
        action="press",
        purpose="full",
        pieces=("film",),
        setpoint_c=dial_c(max(film.setpoint_c.low, press.setpoint_low_c), press, up=True),
        dwell_s=film.dwell_s.low,
    )
    sheets = problem.knowledge.catalogue.sheets
    for fabric in problem.fabrics:
        [at] = Schedule(fabric, press, {"film": film}, (), (coolest,), sheets).scheduled
        if _TOO_HOT in _wanting(problem.knowledge, at):
            return film.setpoint_c.low, film.setpoint_c.high
    return None


def least_settings(windows: Iterable[Window]) -> int:
    """The fewest settings of a dial of which each window holds one.

    >>> least_settings([(150, 160), (155, 170), (110, 130)]), least_settings([])
    (2, 0)
    """
    count, setting_c = 0, -math.inf
    for low_c, high_c in sorted(windows, key=lambda window: window[1]):
        if low_c > setting_c:
            count, setting_c = count + 1, high_c
    return count


def _wanting(knowledge: Knowledge, at: ScheduledStep) -> set[str]:
    return {found.rule for found in knowledge.judge(at) if found.severity != "note"}
