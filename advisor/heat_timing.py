"""How long each tack, peel wait and full press must last for heat to reach every adhesive.

The steps are those of :mod:`advisor.schedule`; they are walked through in order, at every column
of the artwork at once, and each dwell is set as it is reached: what was pressed before is then
still warm as it would be. What cannot be had within the films' own windows is refused, with the
numbers.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from advisor.curve import seconds_above, seconds_until
from advisor.heat_stack import Column, Materials, Moment, bond_line_at, columns_of, moments_of
from advisor.heat_walk import Entered, Track, curves_of, end, enter, held_at
from advisor.schedule import Laying, Timing, press_steps, usual_timing
from advisor.stages import Stage
from rules.facts.film import Film, Peel
from rules.facts.press import Press
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.units import show_c
from rules.practice import LONG_TACK_S, PEEL_WAIT_S, TACK_S

__all__ = [
    "COLD_PEEL_C", "LONGEST_SEARCH_S", "LONGEST_WAIT_S", "WARM_BELOW_SOFT_K", "HeatRefusal",
    "hotter_settings", "timed_laying", "timing",
]  # fmt: skip

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


@dataclass(frozen=True, slots=True)
class HeatRefusal:
    """Heat does not reach an adhesive within what the films allow.

    Attributes:
        stage: which finishing stage, from 0; a tack belongs to the stage that finishes it.
        purpose: whether a tack does not grab or a full press does not bond.
        piece: whose adhesive it is; ``film`` is its film, ``below`` what it lies on, by id.
        column: the place where it is slowest, by piece, bottom first.
        peak_c: the hottest that the bond line gets within ``longest_s``, °C.
        seconds: at or above what it wants to reach, within ``longest_s``, s.
        needed_s: least whole seconds that would do, s; ``None`` if none would.
        longest_s: longest that is allowed, s.
        settles_c: where it would settle if the press stayed closed, °C.
    """

    stage: int
    purpose: str
    piece: str
    film: Film
    below: str
    column: Column
    setpoint_c: float
    peak_c: float
    seconds: float
    needed_s: float | None
    longest_s: float
    settles_c: float

    @property
    def rule(self) -> str:
        """The rule that such a schedule would break."""
        return "bond-line-heat"

    @property
    def message(self) -> str:
        """What is refused, in one sentence with the numbers."""
        film = self.film
        if self.purpose == "tack":
            wants = f"softens at {show_c(film.softens_c)}"
            does = f"a tack of {self.longest_s:g} s"
        else:
            wants = f"wants {film.bonds_s:.3g} s at {show_c(film.bonds_c)}"
            does = f"{self.longest_s:g} s, the longest that is allowed,"
        sentence = (
            f"the adhesive of {film.id} on {self.below} {wants}; {does} at "
            f"{show_c(self.setpoint_c)} heats it to {show_c(self.peak_c)}"
        )
        if self.purpose == "full":
            sentence += f" and gives it {self.seconds:.3g} s"
        if self.needed_s is None:
            return f"{sentence}; no dwell would do, for it settles at {show_c(self.settles_c)}"
        return f"{sentence}; it would take {self.needed_s:.0f} s"


@dataclass(slots=True)
class _Walk:
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


def timing(
    laying: Laying,
    *,
    columns: Sequence[Column] | None = None,
    materials: Materials | None = None,
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
    walk = _Walk(laying, schedule, chosen, materials, [Track({}) for _ in chosen])
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
            more_s, cools_c = _wait(walk, entered, how, pieces, waited_s)
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
            tacked = _tack(walk, at, entered, stage)
            if isinstance(tacked, HeatRefusal):
                return tacked
            group = group_of[step.pieces[0]]
            tack_s[group], grabs_s[group], peaks_c[group] = tacked
            walk.closed(at, entered, tack_s[group])
        else:
            finished = _full(walk, at, entered, stage)
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
) -> tuple[Laying, Timing] | HeatRefusal:
    """The laying with its timing; where heat falls short, at the least hotter setting that does.

    Only the setpoint of the stage that falls short is raised, within what its films share and
    what is already down bears.

    Returns:
        The laying (with the setpoint that was needed) and its timing, or the refusal at the
        hottest setting.
    """
    while True:
        found = timing(laying, columns=columns, materials=materials)
        if isinstance(found, Timing):
            return laying, found
        number = found.stage
        settings = hotter_settings(laying.stages[number], laying.press)
        if not settings:
            return found
        # Hotter never bonds less, so the least setting that does is found by halving.
        hottest = timing(_set(laying, number, settings[-1]), columns=columns, materials=materials)
        if isinstance(hottest, HeatRefusal) and hottest.stage <= number:
            return hottest
        low, high = 0, len(settings) - 1
        while low < high:
            middle = (low + high) // 2
            tried = timing(
                _set(laying, number, settings[middle]), columns=columns, materials=materials
            )
            fails = isinstance(tried, HeatRefusal) and tried.stage <= number
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


def _wait(
    walk: _Walk, entered: Sequence[Entered], how: Peel, pieces: Sequence[str], waited_s: float
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
    more_s = max(least_s, min(_whole(needed_s), LONGEST_WAIT_S - waited_s))
    at_s = min(more_s, LONGEST_WAIT_S) + entered[0].begins_s
    return more_s, max((float(curve.at(at_s)[0]) for curve in curves), default=math.nan)


def _tack(
    walk: _Walk, at: ScheduledStep, entered: Sequence[Entered], stage: int
) -> tuple[float, float, float] | HeatRefusal:
    """Whole seconds of a tack, when its slowest adhesive has softened, and how hot that gets."""
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
    dwell_s = max(TACK_S, _whole(grabs_s))
    ends_s = entered[0].begins_s + dwell_s
    return dwell_s, grabs_s, min(float(curve.at(ends_s)[0]) for curve in slowest)


def _full(
    walk: _Walk, at: ScheduledStep, entered: Sequence[Entered], number: int
) -> tuple[float, float, tuple[tuple[str, float, float], ...]] | HeatRefusal:
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
    if latest is not None and not _whole(needed_s) <= longest_s:
        column, piece, here = latest
        return _refusal(walk, at, number, "full", column, piece, here, longest_s)
    dwell_s = min(max(stage.dwell_s, _whole(needed_s)), longest_s)
    worst: dict[str, tuple[float, tuple[str, float, float]]] = {}
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
    return dwell_s, max(1.0, _whole(needed_s)), tuple(line for _, line in worst.values())


def _left_s(walk: _Walk, at: ScheduledStep, number: int) -> float:
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
    walk: _Walk,
    at: ScheduledStep,
    stage: int,
    purpose: str,
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
        needed_s=_whole(needed_s) if math.isfinite(needed_s) else None,
        longest_s=longest_s,
        settles_c=float(ever.settles_c),
    )


def _whole(seconds: float) -> float:
    """Whole seconds, up; what is not finite stays so."""
    return float(np.ceil(seconds - 1e-6))
