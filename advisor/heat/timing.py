"""How long each tack, peel wait and full press must last for heat to reach every adhesive.

The steps are those of `press_steps`; they are walked through in order, at every column of the
artwork at once, and each dwell is set as it is reached: what was pressed before is then
still warm as it would be. What cannot be had within the films' own windows is refused, with the
numbers.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from advisor.heat.bond_lines import LONGEST_SEARCH_S, bonded_after, bonded_at, whole
from advisor.heat.curve import Curve, above
from advisor.heat.moments import columns_of
from advisor.heat.places import Lying, Places, bond_curves, bonding_s
from advisor.heat.press_layers import Materials
from advisor.heat.records import Column, HeatRefusal
from advisor.heat.unlucky import close_call_s, spread_of, sure_seconds
from advisor.heat.walk import Leg
from advisor.layering.press_steps import press_steps, usual_timing
from advisor.layering.records.pressing import Laying, Timing
from rules.facts.film import Film, Peel
from rules.facts.practice import COOLS_OFF_PRESS, LONG_TACK_S, PEEL_WAIT_S, TACK_S
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.step import Purpose

__all__ = ["COLD_PEEL_C", "LONGEST_COOLING_S", "LONGEST_WAIT_S", "laid_schedule", "timing"]

WARM_BELOW_SOFT_K = 5.0
"""A warm peel waits until the adhesive is this far below its softening point: it has set again, so
that it holds the film, and the carrier is still supple. Common practice, no source."""

COLD_PEEL_C = 40.0
"""A cold peel waits until the bond line is about as warm as a hand. Common practice, no source."""

LONGEST_WAIT_S = 120.0
"""A wait with the press open is not drawn out beyond this. Common practice, no source."""

LONGEST_COOLING_S = 300.0
"""What cools off the press is waited for until it is cool; this long at most. Common practice, no
source."""


def timing(
    laying: Laying,
    columns: Sequence[Column] | None,
    materials: Materials,
    *,
    uncertain: bool = False,
) -> Timing | HeatRefusal:
    """The seconds of every tack, wait and full press, and what the simulation saw.

    A tack lasts until every adhesive that it lays has softened where that is slowest; a full
    press until every bond line that it finishes has been hot enough for long enough *while the
    platen was closed*, over all presses so far; a wait until the adhesive has set (warm peel) or
    is cool to the hand (cold peel). All are whole seconds on the safe side, and none is shorter
    than decorators use. Refused is the first bond line that heat does not reach so.

    Args:
        columns: the places of the artwork, by piece, bottom first; ``None`` for the deepest that
            the contacts allow.
        uncertain: lengthen full presses within the films' windows until they bond on all but an
            unlucky press as well (:mod:`advisor.heat.unlucky`).

    Raises:
        UnknownNameError: a material or sheet is not known.
    """
    given = [tuple(column) for column in columns or () if column]
    chosen = given or columns_of(tuple(laying.films), laying.over)
    walk = _Walk(laying, Places(chosen, materials, laying.press.contact_w_m2k), uncertain)
    usual = usual_timing(laying.groups, laying.stages)
    group_of = {piece: n for n, group in enumerate(laying.groups) for piece in group}
    tacks = list(zip(usual.tack_s, usual.grabs_s, usual.tack_peak_c, strict=True))
    waits = [dict(wait) for wait in usual.peel_wait_s]
    cools_to_c = list(usual.cools_to_c)
    fulls: list[_Full] = []
    waited_s, preheated_gsm = 0.0, 0.0
    for at in laid_schedule(laying, usual).scheduled:
        legs = walk.places.enter(walk.places.handle(at))
        if at.step.action == "wait":
            how, pieces = _peels_next(at)
            group = group_of[pieces[0]]
            more_s, cools_to_c[group] = walk.wait(legs, how, pieces, waited_s)
            walk.places.end(at, legs, more_s)
            waited_s += more_s
            waits[group][how] = waited_s
        elif at.step.purpose == "tack":
            tack = walk.tack(at, legs, len(fulls))
            if isinstance(tack, HeatRefusal):
                return tack
            tacks[group_of[at.step.pieces[0]]] = tack
            walk.press(at, legs, tack[0])
        elif at.step.purpose == "full":
            full = walk.full_press(at, legs, len(fulls))
            if isinstance(full, HeatRefusal):
                return full
            fulls.append(full)
        elif at.closes_hot:
            warmed = walk.press(at, legs, at.step.dwell_s or 0.0)
            wet = max((leg.wet_share for leg in warmed.values()), default=1.0)
            preheated_gsm = laying.fabric.water_gsm * (1 - wet)
        waited_s = 0.0 if at.closes_hot else waited_s
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
        preheated_gsm=preheated_gsm,
    )


def laid_schedule(laying: Laying, seconds: Timing) -> Schedule:
    """The schedule of a laying with these seconds."""
    steps = press_steps(laying, seconds)
    return Schedule(laying.fabric, laying.press, laying.films, laying.over, steps, laying.sheets)


_Full = tuple[float, float, tuple[tuple[str, float, float], ...]]
"""A full press: its dwell, the least that would do, and for each film that it finishes its id, the
peak in °C and the seconds bonding."""


@dataclass(frozen=True, slots=True)
class _Line:
    """A piece's bond line in one stack, during one leg."""

    lying: Lying
    number: int
    piece: str
    film: Film
    leg: Leg
    curve: Curve


@dataclass(frozen=True, slots=True)
class _Walk:
    """Every place of a laying, as far as it has been walked."""

    laying: Laying
    places: Places
    uncertain: bool
    pressed_s: dict[str, float] = field(default_factory=dict)

    def lines(
        self, legs: Mapping[Lying, Leg], pieces: Collection[str], seconds: float
    ) -> Iterator[_Line]:
        """The bond lines of pieces in every stack, if the moment lasted for so many seconds."""
        for lying, leg in legs.items():
            for number, piece in lying:
                if piece in pieces:
                    curve = bond_curves(leg, seconds)[number]
                    yield _Line(lying, number, piece, self.laying.films[piece], leg, curve)

    def bonded_s(self, line: _Line) -> float:
        """Seconds that a bond line got in its stack in the presses so far."""
        legs = self.places.courses[line.lying].legs
        return sum(bonding_s(leg, line.number, line.film.bonds_c) for leg in legs if leg.closed)

    def press(
        self, at: ScheduledStep, legs: Mapping[Lying, Leg], seconds: float
    ) -> Mapping[Lying, Leg]:
        """Press for so many seconds."""
        for piece in at.after.down:
            self.pressed_s[piece] = self.pressed_s.get(piece, 0.0) + seconds
        return self.places.end(at, legs, seconds)

    def wait(
        self, legs: Mapping[Lying, Leg], how: Peel, pieces: Sequence[str], waited_s: float
    ) -> tuple[float, float]:
        """Whole seconds more to wait, and the temperature of the warmest bond line by then."""
        longest_s = LONGEST_COOLING_S if how in COOLS_OFF_PRESS else LONGEST_WAIT_S
        lines = list(self.lines(legs, pieces, longest_s))
        needed_s = 0.0
        for line in lines:
            cool_c = line.film.softens_c - WARM_BELOW_SOFT_K if how == "warm" else COLD_PEEL_C
            when_s = float(above(line.curve, cool_c, falling=True).first_s)
            needed_s = max(needed_s, when_s - line.leg.begins_s)
        most_s, least_s = longest_s - waited_s, max(0.0, PEEL_WAIT_S[how] - waited_s)
        more_s = max(least_s, min(whole(needed_s), most_s))
        cooled_c = (_after(line, more_s) for line in lines)
        return more_s, max(cooled_c, default=math.nan)

    def tack(
        self, at: ScheduledStep, legs: Mapping[Lying, Leg], stage: int
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
        return dwell_s, grabs_s, min(_after(line, dwell_s) for line in lines)

    def full_press(
        self, at: ScheduledStep, legs: Mapping[Lying, Leg], number: int
    ) -> _Full | HeatRefusal:
        """The dwell of a full press, the least that would do, and what each film gets of it."""
        stage = self.laying.stages[number]
        longest_s = min(stage.dwell_window_s[1], self._left_s(at, number))
        latest: dict[str, tuple[float, _Line]] = {}
        for line in self.lines(legs, at.finishing, max(longest_s, 0.0)):
            when_s = bonded_at(line.leg, line.number, line.film, self.bonded_s(line), longest_s)
            if line.piece not in latest or when_s > latest[line.piece][0]:
                latest[line.piece] = (when_s, line)
        needed_s, slowest = max(latest.values(), key=lambda of: of[0], default=(0.0, None))
        if slowest is not None and not whole(needed_s) <= longest_s:
            return self._refusal(slowest, number, "full", longest_s)
        dwell_s = min(max(stage.dwell_s, whole(needed_s)), longest_s)
        if self.uncertain:
            lines = [
                line for when, line in latest.values() if dwell_s - when < close_call_s(line.film)
            ]
            dwell_s = min(max(dwell_s, whole(self._sure_s(lines, longest_s))), longest_s)
        worst: dict[str, tuple[float, tuple[str, float, float]]] = {}
        for line in self.lines(self.press(at, legs, dwell_s), at.finishing, dwell_s):
            film, got_s = line.film, self.bonded_s(line)
            if film.id not in worst or got_s / film.bonds_s < worst[film.id][0]:
                told = (film.id, float(line.curve.hottest_c), got_s)
                worst[film.id] = (got_s / film.bonds_s, told)
        return dwell_s, max(1.0, whole(needed_s)), tuple(told for _, told in worst.values())

    def _sure_s(self, lines: Sequence[_Line], longest_s: float) -> float:
        """Seconds after which lines, each where it is slowest, bond on all but an unlucky press."""
        wanted: dict[Leg, dict[int, tuple[Film, float]]] = {}
        for line in lines:
            missing_s = line.film.bonds_s - self.bonded_s(line)
            if missing_s > 0:
                wanted.setdefault(line.leg, {})[line.number] = (line.film, missing_s)
        spread = spread_of(self.laying.press)
        sure_s = (sure_seconds(leg.lasting(longest_s), of, spread) for leg, of in wanted.items())
        return max(sure_s, default=0.0)

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
        film, leg = line.film, line.leg
        column = self.places.column_of[line.lying]
        allowed = bond_curves(leg, max(longest_s, 0.0))[line.number]
        ever = bond_curves(leg, LONGEST_SEARCH_S)[line.number]
        if purpose == "tack":
            needed_s = float(above(ever, film.softens_c).first_s) - leg.begins_s
            got_s = float(above(allowed, film.softens_c).seconds)
        else:
            had_s = self.bonded_s(line)
            needed_s = bonded_after(ever, film, had_s)
            got_s = had_s + float(above(allowed, film.bonds_c).seconds)
        below = column.index(line.piece) - 1
        return HeatRefusal(
            stage=stage,
            purpose=purpose,
            piece=line.piece,
            film=film,
            below=self.laying.films[column[below]].id if below >= 0 else self.laying.fabric.id,
            column=column,
            setpoint_c=float(leg.stack.front.temperature_c),
            peak_c=float(allowed.hottest_c),
            seconds=got_s,
            needed_s=whole(needed_s) if math.isfinite(needed_s) else None,
            longest_s=longest_s,
            settles_c=float(ever.settles_c),
        )


def _after(line: _Line, seconds: float) -> float:
    """How hot a bond line is when its moment has lasted for so many seconds, °C."""
    return float(line.curve.at(line.leg.begins_s + seconds)[0])


def _peels_next(at: ScheduledStep) -> tuple[Peel, tuple[str, ...]]:
    """How the carriers come off that a wait is for, and whose."""
    for step in at.later:
        if step.action == "peel" and step.peel is not None and step.pieces:
            return step.peel, step.pieces
    raise ValueError(f"step {at.step.n} waits for no peel")
