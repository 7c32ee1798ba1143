"""How long each tack, peel wait and full press must last for heat to reach every adhesive.

The steps are those of `press_steps`; they are walked through in order, at every column of the
artwork at once, and each dwell is set as it is reached: what was pressed before is then
still warm as it would be. What cannot be had within the films' own windows is refused, with the
numbers.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, field

from advisor.heat.bond_lines import LONGEST_SEARCH_S, bonded_after, whole
from advisor.heat.curve import Curve, above
from advisor.heat.moments import columns_of, moments_of, next_leg
from advisor.heat.press_layers import Materials, bond_line_at
from advisor.heat.records import Column, HeatRefusal, Moment
from advisor.heat.unlucky import Wanted, spread_of, sure_seconds
from advisor.heat.walk import Course, Leg
from advisor.layering.press_steps import press_steps, usual_timing
from advisor.layering.records.pressing import Laying, Timing
from rules.catalogue import load_catalogue
from rules.facts.film import Film, Peel
from rules.facts.practice import LONG_TACK_S, PEEL_WAIT_S, TACK_S
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.step import Purpose, Step

__all__ = ["COLD_PEEL_C", "LONGEST_WAIT_S", "laid_schedule", "timing"]

WARM_BELOW_SOFT_K = 5.0
"""A warm peel waits until the adhesive is this far below its softening point: it has set again, so
that it holds the film, and the carrier is still supple. Common practice, no source."""

COLD_PEEL_C = 40.0
"""A cold peel waits until the bond line is about as warm as a hand. Common practice, no source."""

LONGEST_WAIT_S = 120.0
"""A wait with the press open is not drawn out beyond this: whoever wants it colder takes the
garment off the bed. Common practice, no source."""


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
            unlucky press as well (:mod:`advisor.heat.unlucky`).

    Returns:
        The timing, or the first bond line that heat does not reach within the films' windows.

    Raises:
        UnknownNameError: a material or sheet is not known.
    """
    known = load_catalogue().materials if materials is None else materials
    walk = _Walk(laying, _distinct(columns or (), laying), uncertain)
    usual = usual_timing(laying.groups, laying.stages)
    steps = press_steps(laying, usual)
    schedule = laid_schedule(laying, steps)
    group_of = {piece: n for n, group in enumerate(laying.groups) for piece in group}
    tacks = list(zip(usual.tack_s, usual.grabs_s, usual.tack_peak_c, strict=True))
    waits = [dict(wait) for wait in usual.peel_wait_s]
    cools_to_c = list(usual.cools_to_c)
    fulls: list[_Full] = []
    waited_s = 0.0
    for at in schedule.scheduled:
        moments = [moments_of(at, column, known) for column in walk.columns]
        if at.step.action == "wait":
            how, pieces = _peels_next(at)
            group = group_of[pieces[0]]
            legs = walk.enter([of_column[0] for of_column in moments])
            more_s, cools_to_c[group] = walk.wait(legs, how, pieces, waited_s)
            walk.end(legs, more_s)
            waited_s += more_s
            waits[group][how] = waited_s
            continue
        for handling in zip(*(m[: len(m) - at.closes_hot] for m in moments), strict=True):
            walk.end(walk.enter(handling), handling[0].seconds)
        if not at.closes_hot:
            continue
        waited_s = 0.0
        legs = walk.enter([of_column[-1] for of_column in moments])
        dwell_s = at.step.dwell_s or 0.0
        if at.step.purpose == "tack":
            tack = walk.tack(at, legs, len(fulls))
            if isinstance(tack, HeatRefusal):
                return tack
            tacks[group_of[at.step.pieces[0]]] = tack
            dwell_s = tack[0]
        elif at.step.purpose == "full":
            full = walk.full_press(at, legs, len(fulls))
            if isinstance(full, HeatRefusal):
                return full
            fulls.append(full)
            dwell_s = full[0]
        walk.press(at, legs, dwell_s)
    tack_s, grabs_s, peaks_c = zip(*tacks, strict=True)
    dwells_s, needed_s, lines = zip(*fulls, strict=True)
    return Timing(
        tack_s=tack_s,
        peel_wait_s=tuple(waits),
        dwell_s=dwells_s,
        grabs_s=grabs_s,
        tack_peak_c=peaks_c,
        needed_s=needed_s,
        bond_lines=lines,
        cools_to_c=tuple(cools_to_c),
    )


def laid_schedule(laying: Laying, steps: tuple[Step, ...]) -> Schedule:
    """The schedule of a laying in these steps."""
    return Schedule(laying.fabric, laying.press, laying.films, laying.over, steps, laying.sheets)


_Full = tuple[float, float, tuple[tuple[str, float, float], ...]]
"""A full press: its dwell, the least that would do, and for each film that it finishes its id, the
peak in °C and the seconds bonding."""


@dataclass(frozen=True, slots=True)
class _Line:
    """A piece's bond line at one column, during one leg."""

    number: int
    column: Column
    piece: str
    film: Film
    leg: Leg
    curve: Curve


@dataclass(slots=True)
class _Walk:
    """Every column of a laying, as far as it has been walked."""

    laying: Laying
    columns: tuple[Column, ...]
    uncertain: bool
    courses: list[Course] = field(init=False)
    bonding_s: dict[tuple[int, str], float] = field(default_factory=dict)
    pressed_s: dict[str, float] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.courses = [Course() for _ in self.columns]

    def enter(self, moments: Sequence[Moment]) -> list[Leg]:
        """The columns at the beginning of a moment, one for each."""
        contact = self.laying.press.contact_w_m2k
        return [
            next_leg(course, moment, contact)
            for course, moment in zip(self.courses, moments, strict=True)
        ]

    def end(self, legs: Sequence[Leg], seconds: float) -> None:
        """Let a moment last for so many seconds everywhere."""
        self.courses = [
            course.then(leg.lasting(seconds))
            for course, leg in zip(self.courses, legs, strict=True)
        ]

    def lines(
        self, legs: Sequence[Leg], pieces: Collection[str], seconds: float
    ) -> Iterator[_Line]:
        """The bond lines of pieces at every column, if the moment lasted for so many seconds."""
        for number, (column, leg) in enumerate(zip(self.columns, legs, strict=True)):
            own = [piece for piece in column if piece in pieces]
            places = [bond_line_at(column, piece) for piece in own]
            curves = leg.lasting(seconds).curves(places)
            for piece, curve in zip(own, curves, strict=True):
                yield _Line(number, column, piece, self.laying.films[piece], leg, curve)

    def bonded_s(self, line: _Line) -> float:
        """Seconds that a bond line got at its column in the presses so far."""
        return self.bonding_s.get((line.number, line.piece), 0.0)

    def press(self, at: ScheduledStep, legs: Sequence[Leg], seconds: float) -> None:
        """Press for so many seconds, and count what every bond line gets of it."""
        for line in self.lines(legs, at.after.down, seconds):
            got_s = float(above(line.curve, line.film.bonds_c).seconds)
            self.bonding_s[line.number, line.piece] = self.bonded_s(line) + got_s
        for piece in at.after.down:
            self.pressed_s[piece] = self.pressed_s.get(piece, 0.0) + seconds
        self.end(legs, seconds)

    def wait(
        self, legs: Sequence[Leg], how: Peel, pieces: Sequence[str], waited_s: float
    ) -> tuple[float, float]:
        """Whole seconds more to wait, and the temperature of the warmest bond line by then."""
        lines = list(self.lines(legs, pieces, LONGEST_WAIT_S))
        needed_s = 0.0
        for line in lines:
            cool_c = line.film.softens_c - WARM_BELOW_SOFT_K if how == "warm" else COLD_PEEL_C
            when_s = float(above(line.curve, cool_c, falling=True).first_s)
            needed_s = max(needed_s, when_s - line.leg.begins_s)
        most_s, least_s = LONGEST_WAIT_S - waited_s, max(0.0, PEEL_WAIT_S[how] - waited_s)
        more_s = max(least_s, min(whole(needed_s), most_s))
        at_s = legs[0].begins_s + min(more_s, LONGEST_WAIT_S)
        return more_s, max((float(line.curve.at(at_s)[0]) for line in lines), default=math.nan)

    def tack(
        self, at: ScheduledStep, legs: Sequence[Leg], stage: int
    ) -> tuple[float, float, float] | HeatRefusal:
        """Whole seconds of a tack, when its slowest adhesive has softened, and how hot that gets.

        What is laid at none of the columns tells nothing: its tack is the usual one, and not a
        number.
        """
        grabs_s = 0.0
        lines = list(self.lines(legs, at.step.pieces, LONG_TACK_S))
        for line in lines:
            when_s = float(above(line.curve, line.film.softens_c).first_s) - line.leg.begins_s
            if not when_s <= LONG_TACK_S:
                return self._refusal(line, stage, "tack", LONG_TACK_S)
            grabs_s = max(grabs_s, when_s)
        if not lines:
            return TACK_S, math.nan, math.nan
        dwell_s = max(TACK_S, whole(grabs_s))
        ends_s = legs[0].begins_s + dwell_s
        return dwell_s, grabs_s, min(float(line.curve.at(ends_s)[0]) for line in lines)

    def full_press(
        self, at: ScheduledStep, legs: Sequence[Leg], number: int
    ) -> _Full | HeatRefusal:
        """The dwell of a full press, the least that would do, and what each film gets of it."""
        stage = self.laying.stages[number]
        longest_s = min(stage.dwell_window_s[1], self._left_s(at, number))
        needed_s, latest = 0.0, None
        for line in self.lines(legs, at.finishing, LONGEST_SEARCH_S):
            when_s = bonded_after(line.curve, line.film, self.bonded_s(line))
            if latest is None or when_s > needed_s:
                needed_s, latest = when_s, line
        if latest is not None and not whole(needed_s) <= longest_s:
            return self._refusal(latest, number, "full", longest_s)
        dwell_s = min(max(stage.dwell_s, whole(needed_s)), longest_s)
        if self.uncertain:
            sure_s = self._sure_s(at, legs, longest_s, dwell_s)
            dwell_s = min(max(dwell_s, whole(sure_s)), longest_s)
        worst: dict[str, tuple[float, tuple[str, float, float]]] = {}
        for line in self.lines(legs, at.finishing, dwell_s):
            film = line.film
            got_s = float(above(line.curve, film.bonds_c).seconds) + self.bonded_s(line)
            told = (film.id, float(line.curve.hottest_c), got_s)
            if film.id not in worst or got_s / film.bonds_s < worst[film.id][0]:
                worst[film.id] = (got_s / film.bonds_s, told)
        return dwell_s, max(1.0, whole(needed_s)), tuple(told for _, told in worst.values())

    def _sure_s(
        self, at: ScheduledStep, legs: Sequence[Leg], longest_s: float, enough_s: float
    ) -> float:
        """Seconds after which what finishes is bonded everywhere on all but an unlucky press."""
        sure_s, spread = 0.0, spread_of(self.laying.press)
        for number, (column, leg) in enumerate(zip(self.columns, legs, strict=True)):
            wanted = []
            for piece in column:
                film = self.laying.films[piece]
                missing_s = film.bonds_s - self.bonding_s.get((number, piece), 0.0)
                if piece in at.finishing and missing_s > 0:
                    wanted.append(Wanted(bond_line_at(column, piece), film.bonds_c, missing_s))
            if wanted:
                pressed = leg.lasting(longest_s)
                sure_s = max(sure_s, sure_seconds(pressed, wanted, spread, enough_s))
        return sure_s

    def _left_s(self, at: ScheduledStep, number: int) -> float:
        """The longest press that every film bears now, with what must still come after it, s."""
        stages, groups = self.laying.stages, self.laying.groups
        later_s = sum(stage.dwell_window_s[0] for stage in stages[number + 1 :])
        direct = {stage.last for stage in stages if stage.direct}
        to_tack = set(range(stages[number].last + 1, len(groups))) - direct
        later_s += TACK_S * len(to_tack)
        left_s = (
            self.laying.films[piece].bears_s - self.pressed_s.get(piece, 0.0) - later_s
            for piece in at.after.down
        )
        return math.floor(min(left_s, default=math.inf))

    def _refusal(self, line: _Line, stage: int, purpose: Purpose, longest_s: float) -> HeatRefusal:
        film, leg, place = line.film, line.leg, bond_line_at(line.column, line.piece)
        [allowed] = leg.lasting(max(longest_s, 0.0)).curves([place])
        [ever] = leg.lasting(LONGEST_SEARCH_S).curves([place])
        if purpose == "tack":
            needed_s = float(above(ever, film.softens_c).first_s) - leg.begins_s
            got_s = float(above(allowed, film.softens_c).seconds)
        else:
            had_s = self.bonded_s(line)
            needed_s = bonded_after(ever, film, had_s)
            got_s = had_s + float(above(allowed, film.bonds_c).seconds)
        below = line.column.index(line.piece) - 1
        return HeatRefusal(
            stage=stage,
            purpose=purpose,
            piece=line.piece,
            film=film,
            below=self.laying.films[line.column[below]].id if below >= 0 else self.laying.fabric.id,
            column=line.column,
            setpoint_c=float(leg.stack.front.temperature_c),
            peak_c=float(allowed.hottest_c),
            seconds=got_s,
            needed_s=whole(needed_s) if math.isfinite(needed_s) else None,
            longest_s=longest_s,
            settles_c=float(ever.settles_c),
        )


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
