"""Foreseen: samples that press steps draw however heat sets their seconds and their dial."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable

from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.press import Press
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.step import Step
from rules.facts.subjects import FilmOnFabric
from rules.knowledge import Knowledge

__all__ = [
    "Window", "foreseen_samples", "foreseen_through", "least_settings", "wary_window",
]  # fmt: skip

_DRAWN_IN, _TOO_HOT = "registration-shrink", "setpoint-window"
"""Rules on steps that find no less when a schedule is pressed longer or hotter."""

Window = tuple[float, float]


def foreseen_samples(
    steps: Iterable[ScheduledStep], windows: Iterable[Window], knowledge: Knowledge
) -> int:
    """Samples wanted of steps pressed as shortly and as coolly as may be.

    What draws in counts once; a dial that is too hot, once for each setting that is sure to differ.

    Args:
        windows: what each finishing press is set to, and the hottest that it may be set to, °C.
    """
    drawn_in, hot_c = False, set()
    for at in steps:
        rules = _wanting(knowledge, at)
        drawn_in = drawn_in or _DRAWN_IN in rules
        if _TOO_HOT in rules:
            hot_c.add(at.after.setpoint_c)
    return drawn_in + least_settings(window for window in windows if window[0] in hot_c)


def wary_window(
    film: Film, fabrics: Iterable[Fabric], press: Press, knowledge: Knowledge
) -> Window | None:
    """A film's window of setpoints, if any press that finishes it wants a sample on some fabric."""
    window = film.setpoint_c
    coolest = Step(
        n=1,
        action="press",
        purpose="full",
        pieces=("film",),
        setpoint_c=max(window.low, press.setpoint_low_c),
        dwell_s=film.dwell_s.low,
    )
    for fabric in fabrics:
        laid = Schedule(fabric, press, {"film": film}, (), (coolest,), knowledge.catalogue.sheets)
        if any(_TOO_HOT in _wanting(knowledge, at) for at in laid.scheduled):
            return window.low, window.high
    return None


def foreseen_through(
    film: Film,
    colour: Colour,
    pile: tuple[Film, ...],
    fabrics: Iterable[Fabric],
    knowledge: Knowledge,
) -> int:
    """Samples that a film over others wants for what a fabric does to it, however it is pressed.

    A rule that is asked before anything is pressed finds no more than it does then.

    Args:
        pile: the films between it and the fabric, bottom first.
    """
    wanted: Counter[str] = Counter()
    for fabric in fabrics:
        for over, sign in ((pile, 1), ((), -1)):
            on = FilmOnFabric(film, fabric, touches=False, over=over, colour=colour)
            wanted.update({f.rule: sign for f in knowledge.judge(on) if f.severity == "sample"})
    return sum(often > 0 for often in wanted.values())


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
