"""Settings: what films, press and fabric allow and what every act costs, in whole numbers.

The dial in its own steps, full presses in whole seconds, time in milliseconds: the tables from
which a plan is proved, so that nothing of the trade is written again as constraints.
"""

from __future__ import annotations

import math

from advisor.layering.cost import change_ms, peel_seconds
from advisor.layering.records.pressing import HeatLimits
from advisor.layering.records.problem import Problem
from advisor.layering.records.settings import Dial, FilmSettings, PressTimes
from rules.facts.film import Film
from rules.facts.practice import (
    BUTT_EXTRA_S,
    CLOSE_S,
    COVER_S,
    INSET_EXTRA_S,
    LAY_S,
    LOAD_S,
    PEEL_S,
    PEEL_WAIT_S,
    TACK_S,
)

__all__ = ["dial_of", "film_settings", "press_times"]


def film_settings(film: Film, limits: HeatLimits) -> FilmSettings:
    """What a film asks for, on this press and these fabrics."""
    press = limits.press
    lowest = press.dial_step(film.setpoint_c.low, up=True)
    best = lowest if limits.coolest else press.dial_step(film.setpoint_c.best)
    return FilmSettings(
        lowest=lowest,
        highest=press.dial_step(film.setpoint_c.high, up=False),
        best=best if limits.dial_c is None else press.dial_step(limits.dial_c),
        bears=press.dial_step(film.bears_c, up=False),
        least_s=math.ceil(film.dwell_s.low),
        best_s=math.ceil(film.dwell_s.best),
        most_s=math.floor(film.dwell_s.high),
        bears_s=math.floor(film.bears_s + 1e-9),
        peel=film.peel,
        pressures=frozenset(
            n
            for n, kpa in enumerate(press.pressures_kpa)
            if film.pressure_kpa.low <= kpa <= film.pressure_kpa.high
        ),
    )


def dial_of(limits: HeatLimits) -> Dial:
    """The dial of a press under what its fabrics bear."""
    press = limits.press
    return Dial(
        lowest=press.dial_step(press.setpoint_low_c, up=True),
        highest=press.dial_step(press.setpoint_high_c, up=False),
        harmed=press.dial_step(limits.hottest_c, up=False),
    )


def press_times(problem: Problem) -> PressTimes:
    """The milliseconds that `advisor.layering.cost.garment_seconds` adds up, one by one."""
    press = problem.limits.press
    heating, cooling, again = change_ms(press, problem.average.garments)
    return PressTimes(
        fixed=_ms(
            LOAD_S + CLOSE_S + problem.average.warming_s + len(problem.pieces) * (LAY_S + PEEL_S)
        ),
        carrier=_ms(LAY_S + PEEL_S),
        tack=_ms(CLOSE_S + TACK_S),
        full=_ms(CLOSE_S),
        cover=_ms(COVER_S),
        waits={peel: _ms(peel_seconds(peel)) for peel in PEEL_WAIT_S},
        registering={
            "lap": 0,
            "inset-under": _ms(INSET_EXTRA_S),
            "inset-over": _ms(INSET_EXTRA_S),
            "butt": _ms(BUTT_EXTRA_S),
        },
        heating=heating,
        cooling=cooling,
        again=again,
    )


def _ms(seconds: float) -> int:
    return round(1000 * seconds)
