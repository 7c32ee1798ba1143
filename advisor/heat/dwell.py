"""One step's seconds at every column at once: what a wait, a tack or a full press must last.

A :class:`Walk` is every column of the artwork as far as the schedule has got. Its steps are put
in order by :mod:`advisor.heat.timing`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from advisor.heat.band import Wanted, spread_of, sure_seconds
from advisor.heat.curve import seconds_above, seconds_until
from advisor.heat.refusal import HeatRefusal
from advisor.heat.stack import Column, Materials, Moment, bond_line_at
from advisor.heat.walk import Entered, Track, curves_of, end, enter, held_at
from advisor.layering.press_steps import Laying
from rules.facts.film import Peel
from rules.facts.practice import LONG_TACK_S, PEEL_WAIT_S, TACK_S
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.step import Purpose

__all__ = [
    "COLD_PEEL_C", "LONGEST_SEARCH_S", "LONGEST_WAIT_S", "WARM_BELOW_SOFT_K", "Line", "Walk",
    "full_press", "peel_wait", "tack", "whole",
]  # fmt: skip

Line = tuple[str, float, float]
"""A bond line as (film id, peak °C, seconds bonding)."""

WARM_BELOW_SOFT_K = 5.0
"""A warm peel waits until the adhesive is this far below its softening point: it has set again, so
that it holds the film, and the carrier is still supple. Common practice, no source."""

COLD_PEEL_C = 40.0
"""A cold peel waits until the bond line is about as warm as a hand. Common practice, no source."""

LONGEST_WAIT_S = 120.0
"""A wait with the press open is not drawn out beyond this: whoever wants it colder takes the
garment off the bed. Common practice, no source."""

LONGEST_SEARCH_S = 300.0
"""How long a press is looked at to say how long it would take, s."""


@dataclass(slots=True)
class Walk:
    """Every column of a laying, as far as it has been walked."""

    laying: Laying
    schedule: Schedule
    columns: tuple[Column, ...]
    materials: Materials | None
    tracks: list[Track]
    bonding_s: dict[tuple[int, str], float] = field(default_factory=dict)
    pressed_s: dict[str, float] = field(default_factory=dict)

    def enter_all(self, moments: Sequence[Sequence[Moment]], part: int) -> list[Entered]:
        """The columns at the beginning of one moment of a step."""
        contact = self.laying.press.contact_w_m2k
        return [
            enter(track, of_column[part], contact_w_m2k=contact)
            for track, of_column in zip(self.tracks, moments, strict=True)
        ]

    def end_all(self, entered: Sequence[Entered], seconds: float) -> None:
        """Let that moment last for so many seconds everywhere."""
        self.tracks = [
            end(track, at, seconds) for track, at in zip(self.tracks, entered, strict=True)
        ]

    def below(self, column: Column, piece: str) -> str:
        """What a piece lies on at a column, by id."""
        number = column.index(piece)
        return self.laying.films[column[number - 1]].id if number else self.laying.fabric.id

    def closed(self, at: ScheduledStep, entered: Sequence[Entered], seconds: float) -> None:
        """Press for so many seconds, and count what every bond line gets of it."""
        for number, here in enumerate(entered):
            down = [piece for piece in self.columns[number] if piece in at.after.down]
            places = [bond_line_at(self.columns[number], piece) for piece in down]
            for piece, curve in zip(down, curves_of(here, places, seconds), strict=True):
                got_s = float(seconds_above(curve, self.laying.films[piece].bonds_c))
                key = (number, piece)
                self.bonding_s[key] = self.bonding_s.get(key, 0.0) + got_s
        for piece in at.after.down:
            self.pressed_s[piece] = self.pressed_s.get(piece, 0.0) + seconds
        self.end_all(entered, seconds)


def peel_wait(
    walk: Walk, entered: Sequence[Entered], how: Peel, pieces: Sequence[str], waited_s: float
) -> tuple[float, float]:
    """Whole seconds more to wait, and the temperature of the warmest bond line by then."""
    least_s = max(0.0, PEEL_WAIT_S[how] - waited_s)
    needed_s, curves = 0.0, []
    for column, here in zip(walk.columns, entered, strict=True):
        own = [piece for piece in column if piece in pieces]
        places = [bond_line_at(column, piece) for piece in own]
        for piece, curve in zip(own, curves_of(here, places, LONGEST_WAIT_S), strict=True):
            film = walk.laying.films[piece]
            cool_c = film.softens_c - WARM_BELOW_SOFT_K if how == "warm" else COLD_PEEL_C
            when = float(seconds_until(curve, cool_c, falling=True)) - here.begins_s
            needed_s = max(needed_s, when)
            curves.append(curve)
    more_s = max(least_s, min(whole(needed_s), LONGEST_WAIT_S - waited_s))
    at_s = min(more_s, LONGEST_WAIT_S) + entered[0].begins_s
    return more_s, max((float(curve.at(at_s)[0]) for curve in curves), default=math.nan)


def tack(
    walk: Walk, at: ScheduledStep, entered: Sequence[Entered], stage: int
) -> tuple[float, float, float] | HeatRefusal:
    """Whole seconds of a tack, when its slowest adhesive has softened, and how hot that gets.

    What is laid at none of the columns tells nothing: its tack is the usual one, and not a number.
    """
    grabs_s, slowest = 0.0, []
    for column, here in zip(walk.columns, entered, strict=True):
        laid = [piece for piece in column if piece in at.step.pieces]
        places = [bond_line_at(column, piece) for piece in laid]
        for piece, curve in zip(laid, curves_of(here, places, LONG_TACK_S), strict=True):
            film = walk.laying.films[piece]
            when_s = float(seconds_until(curve, film.softens_c)) - here.begins_s
            if not when_s <= LONG_TACK_S:
                return _refusal(walk, at, stage, "tack", column, piece, here, LONG_TACK_S)
            grabs_s = max(grabs_s, when_s)
            slowest.append(curve)
    if not slowest:
        return TACK_S, math.nan, math.nan
    dwell_s = max(TACK_S, whole(grabs_s))
    ends_s = entered[0].begins_s + dwell_s
    return dwell_s, grabs_s, min(float(curve.at(ends_s)[0]) for curve in slowest)


def full_press(
    walk: Walk, at: ScheduledStep, entered: Sequence[Entered], number: int, uncertain: bool
) -> tuple[float, float, tuple[Line, ...]] | HeatRefusal:
    """The dwell of a full press, the least that would do, and what each film gets of it."""
    stage, films = walk.laying.stages[number], walk.laying.films
    longest_s = min(stage.dwell_window_s[1], _left_s(walk, at, number))
    needed_s, latest = 0.0, None
    for index, (column, here) in enumerate(zip(walk.columns, entered, strict=True)):
        ending = [piece for piece in column if piece in at.finishing]
        places = [bond_line_at(column, piece) for piece in ending]
        for piece, curve in zip(ending, curves_of(here, places, LONGEST_SEARCH_S), strict=True):
            missing_s = films[piece].bonds_s - walk.bonding_s.get((index, piece), 0.0)
            when_s = held_at(curve, films[piece].bonds_c, missing_s) - here.begins_s
            if latest is None or when_s > needed_s:
                needed_s, latest = when_s, (column, piece, here)
    if latest is not None and not whole(needed_s) <= longest_s:
        column, piece, here = latest
        return _refusal(walk, at, number, "full", column, piece, here, longest_s)
    dwell_s = min(max(stage.dwell_s, whole(needed_s)), longest_s)
    if uncertain:
        sure_s = max(
            _sure_s(walk, at, index, here, longest_s, dwell_s) for index, here in enumerate(entered)
        )
        dwell_s = min(max(dwell_s, whole(sure_s)), longest_s)
    worst: dict[str, tuple[float, Line]] = {}
    for index, (column, here) in enumerate(zip(walk.columns, entered, strict=True)):
        ending = [piece for piece in column if piece in at.finishing]
        places = [bond_line_at(column, piece) for piece in ending]
        for piece, curve in zip(ending, curves_of(here, places, dwell_s), strict=True):
            film = films[piece]
            got_s = float(seconds_above(curve, film.bonds_c))
            got_s += walk.bonding_s.get((index, piece), 0.0)
            line = (film.id, float(curve.hottest_c), got_s)
            share = got_s / film.bonds_s
            if film.id not in worst or share < worst[film.id][0]:
                worst[film.id] = (share, line)
    return dwell_s, max(1.0, whole(needed_s)), tuple(line for _, line in worst.values())


def _sure_s(
    walk: Walk,
    at: ScheduledStep,
    index: int,
    here: Entered,
    longest_s: float,
    dwell_s: float,
) -> float:
    """Seconds after which what finishes at a column is bonded on all but an unlucky press."""
    column, films, press = walk.columns[index], walk.laying.films, walk.laying.press
    wanted = [
        Wanted(
            bond_line_at(column, piece),
            films[piece].bonds_c,
            films[piece].bonds_s - walk.bonding_s.get((index, piece), 0.0),
        )
        for piece in column
        if piece in at.finishing
    ]
    wanted = [want for want in wanted if want.bonds_s > 0]
    if not wanted:
        return 0.0
    return sure_seconds(
        here, wanted, longest_s, press.contact_w_m2k, spread_of(press), enough_s=dwell_s
    )


def _left_s(walk: Walk, at: ScheduledStep, number: int) -> float:
    """The longest press that every film bears now, with what must still come after it, s."""
    stages, groups = walk.laying.stages, walk.laying.groups
    later_s = sum(stage.dwell_window_s[0] for stage in stages[number + 1 :])
    direct = {stage.last for stage in stages if stage.direct}
    later_s += TACK_S * sum(
        group not in direct for group in range(stages[number].last + 1, len(groups))
    )
    return math.floor(
        min(
            (
                walk.laying.films[piece].bears_s - walk.pressed_s.get(piece, 0.0) - later_s
                for piece in at.after.down
            ),
            default=math.inf,
        )
    )


def _refusal(
    walk: Walk,
    at: ScheduledStep,
    stage: int,
    purpose: Purpose,
    column: Column,
    piece: str,
    here: Entered,
    longest_s: float,
) -> HeatRefusal:
    film = walk.laying.films[piece]
    wants_c = film.softens_c if purpose == "tack" else film.bonds_c
    place = bond_line_at(column, piece)
    before_s = walk.bonding_s.get((walk.columns.index(column), piece), 0.0)
    [allowed] = curves_of(here, [place], max(longest_s, 0.0))
    [ever] = curves_of(here, [place], LONGEST_SEARCH_S)
    if purpose == "tack":
        needed_s = float(seconds_until(ever, wants_c)) - here.begins_s
        got_s = float(seconds_above(allowed, wants_c))
    else:
        needed_s = held_at(ever, wants_c, film.bonds_s - before_s) - here.begins_s
        got_s = before_s + float(seconds_above(allowed, wants_c))
    return HeatRefusal(
        stage=stage,
        purpose=purpose,
        piece=piece,
        film=film,
        below=walk.below(column, piece),
        column=column,
        setpoint_c=here.moment.platen_c or 0.0,
        peak_c=float(allowed.hottest_c),
        seconds=got_s,
        needed_s=whole(needed_s) if math.isfinite(needed_s) else None,
        longest_s=longest_s,
        settles_c=float(ever.settles_c),
    )


def whole(seconds: float) -> float:
    """Whole seconds, up; what is not finite stays so."""
    return float(np.ceil(seconds - 1e-6))
