"""Heat at every bond line over a whole press schedule, as planned or as edited by hand.

For each place of the artwork (a column of pieces, bottom first) the schedule is followed from the
first time the platen closes: presses, peels and waits. Bonding counts only while the platen is
closed, since it takes pressure for an adhesive to flow into what is below; softening, the peak
and the face's shrink count throughout.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import TypeVar

from advisor.heat.curve import Curve, above
from advisor.heat.moments import columns_of, moments_at
from advisor.heat.places import Lying, Places, bond_curves, bonding_s, lying_at
from advisor.heat.press_layers import Materials, bond_line_at, face_at
from advisor.heat.records import BondLineCourse, Column, Followed
from advisor.heat.unlucky import low_seconds, spread_of
from advisor.heat.walk import Course, Leg
from rules.book.schedule.registration_shrink import edge_shift_mm
from rules.errors import UnknownNameError
from rules.facts.film import Film
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.subjects import BondLine

__all__ = [
    "LONGEST_SEARCH_S", "bond_lines", "bonded_after", "bonded_at", "followed_lines", "weighed",
    "whole", "worst_lines",
]  # fmt: skip

LONGEST_SEARCH_S = 300.0
"""How long a press is looked at to say how long it would take, s."""


AnyLine = TypeVar("AnyLine", bound=Followed)


def bond_lines(
    schedule: Schedule,
    columns: Sequence[Column] | None,
    materials: Materials,
    *,
    uncertain: bool = False,
) -> tuple[BondLineCourse, ...]:
    """Every adhesive at every column, over any list of steps.

    Args:
        columns: the places of the artwork, by piece, bottom first; ``None`` for the deepest that
            the contacts allow. A piece that no press lays down has no bond line.
        uncertain: work out, for what bonds as computed, whether it still does on an unlucky
            press (:mod:`advisor.heat.unlucky`), each piece at its worst place.

    Raises:
        UnknownNameError: a column names a piece that the schedule lacks, or a material or sheet is
            not known.

    >>> from rules.catalogue import load_catalogue
    >>> from rules.facts.step import Step
    >>> known = load_catalogue()
    >>> press = Step(n=1, action="press", purpose="full", pieces=("base",), setpoint_c=160,
    ...              dwell_s=15)
    >>> [line] = bond_lines(Schedule(
    ...     fabric=known.fabric("cotton-jersey-tee"), press=known.press("clamshell-38x38"),
    ...     films={"base": known.film("matte-smooth")}, over=(), steps=(press,),
    ...     sheets=known.sheets,
    ... ), None, known.materials)
    >>> line.line.below, line.margin_s > 0
    ('cotton-jersey-tee', True)
    """
    chosen = columns if columns is not None else columns_of(tuple(schedule.films), schedule.over)
    places, lines = followed_lines(schedule, chosen, materials)
    worst = worst_lines(lines) if uncertain else {}
    lines = tuple(weighed(schedule, one) if one is worst.get(one.piece) else one for one in lines)
    return tuple(_told(schedule, places, one) for one in lines)


def followed_lines(
    schedule: Schedule, columns: Sequence[Column], materials: Materials
) -> tuple[Places, tuple[Followed, ...]]:
    """The places of a schedule when its steps are over, and each adhesive at each of them."""
    for column in columns:
        for piece in column:
            if piece not in schedule.films:
                raise UnknownNameError("piece", piece, schedule.films)
    chosen = tuple(dict.fromkeys(tuple(column) for column in columns))
    places = Places(chosen, materials, schedule.press.contact_w_m2k)
    for at in schedule.scheduled:
        if to_come := places.handle(at):
            places.end(at, places.enter(to_come), at.step.dwell_s or 0.0)
    finishes = {piece: _finish(schedule, piece) for piece in schedule.states[-1].down}
    return places, tuple(
        _followed(schedule, places, column, piece, *finishes[piece])
        for column in chosen
        for piece in column
        if piece in finishes
    )


def worst_lines(lines: Iterable[AnyLine]) -> dict[str, AnyLine]:
    """Each piece's bond line at its worst column, in the order of the lines."""

    def share(one: AnyLine) -> tuple[float, float]:
        return one.line.seconds_bonding / one.line.film.bonds_s, one.line.peak_c

    worst: dict[str, AnyLine] = {}
    for one in lines:
        if one.piece not in worst or share(one) < share(worst[one.piece]):
            worst[one.piece] = one
    return worst


def weighed(schedule: Schedule, one: Followed) -> Followed:
    """The same line with what it gets on an unlucky press, if it bonds on a usual one."""
    if one.margin_s < 0:
        return one
    presses = [leg for leg in one.legs if leg.closed]
    low_s = low_seconds(presses, one.number, one.line.film, spread_of(schedule.press))
    low_s = min(one.line.seconds_bonding, low_s)
    return replace(one, line=replace(one.line, low_seconds_bonding=low_s))


def bonded_after(curve: Curve, film: Film, had_s: float) -> float:
    """Seconds of one press after which a film is bonded that had ``had_s`` before; or ``inf``."""
    missing_s = film.bonds_s - had_s
    if missing_s <= 0:
        return 0.0
    return float(above(curve, film.bonds_c).held_at(missing_s)) - float(curve.since_s[0])


def bonded_at(leg: Leg, number: int, film: Film, had_s: float, expected_s: float) -> float:
    """Seconds of a press after which a film is bonded, if it lasts as long as it is looked at.

    Args:
        number: of the film, from the bottom of its column.
        had_s: seconds of bonding before this press.
        expected_s: within which it is bonded as a rule; only what is not is looked at for longer.
    """
    for lasts_s in (max(expected_s, 0.0), LONGEST_SEARCH_S):
        when_s = bonded_after(bond_curves(leg, lasts_s)[number], film, had_s)
        if math.isfinite(when_s):
            break
    return when_s


def whole(seconds: float) -> float:
    """Whole seconds, up; what is not finite stays so."""
    return float(math.ceil(seconds - 1e-6)) if math.isfinite(seconds) else seconds


def _followed(
    schedule: Schedule,
    places: Places,
    column: Column,
    piece: str,
    finish: ScheduledStep,
    longest_s: float,
) -> Followed:
    film, number = schedule.films[piece], column.index(piece)
    lying = lying_at(column, schedule.states[-1].down)
    legs, below = places.courses[lying].legs, [p for n, p in lying if n < number]
    [press] = [_leg_of(column, *of) for of in places.presses if of[0] is finish]
    got_s = {leg: bonding_s(leg, number, film.bonds_c) for leg in legs if leg.closed}
    had_s = sum(seconds for leg, seconds in got_s.items() if leg.begins_s < press.begins_s)
    needed_s = bonded_at(press, number, film, had_s, press.seconds)
    total_s = sum(got_s.values())
    line = BondLine(
        film=film,
        below=schedule.films[below[-1]].id if below else schedule.fabric.id,
        peak_c=_peak_c(legs, number),
        seconds_bonding=total_s,
        low_seconds_bonding=total_s,
        dwell_s=finish.step.dwell_s or 0.0,
        needed_dwell_s=_finite(max(1.0, whole(needed_s))),
        longest_dwell_s=longest_s,
        steady_c=float(bond_curves(press, press.seconds)[number].settles_c),
        press_peaks_c=tuple(
            float(curves[number].hottest_c)
            for leg in legs
            if leg.closed and number in (curves := bond_curves(leg, leg.seconds))
        ),
    )
    return Followed(piece, column, number, line, legs)


def _peak_c(legs: Sequence[Leg], number: int) -> float:
    """The hottest that a bond line gets; an open press warms nothing beyond what is there."""
    peak_c = -math.inf
    for leg in sorted(legs, key=lambda leg: not leg.closed):
        if leg.closed or leg.initial_c.max() > peak_c:
            curve = bond_curves(leg, leg.seconds).get(number)
            peak_c = max(peak_c, float(curve.hottest_c)) if curve else peak_c
    return peak_c


def _told(schedule: Schedule, places: Places, one: Followed) -> BondLineCourse:
    """A line with its course and the face's."""
    film, legs = one.line.film, one.legs
    course = places.courses[lying_at(one.column, schedule.states[-1].down)]
    curve, face = _course_of(course, one.column, one.piece)
    shrink, onset = film.shrink, above(face, film.shrink.onset_c)
    bonding = above(curve.during([leg.lasts_s for leg in legs if leg.closed]), film.bonds_c)
    return BondLineCourse(
        one.piece,
        one.column,
        one.number,
        one.line,
        one.legs,
        softened_at_s=_finite(float(above(curve, film.softens_c).first_s)),
        bonded_at_s=_finite(float(bonding.held_at(film.bonds_s))),
        face_hottest_c=float(face.hottest_c),
        above_onset_s=float(onset.seconds),
        shrink_pct=shrink.percent_per_s * max(0.0, float(onset.seconds) - shrink.grace_s),
        before_next_mm=edge_shift_mm(
            percent_per_s=shrink.percent_per_s,
            grace_s=shrink.grace_s,
            above_onset_s=float(onset.seconds_by(_covered_at_s(schedule, places, one))),
            size_mm=schedule.size_mm.get(one.piece, 0.0),
        ),
        trap_mm=schedule.trap_mm,
        curve=curve,
        face=face,
        moments=moments_at(schedule, one.column, places.materials),
        water_gsm=tuple(
            (at.step.n, schedule.fabric.water_gsm * _leg_of(one.column, at, under).wet_share)
            for at, under in places.presses
        ),
    )


@lru_cache(maxsize=512)
def _course_of(course: Course, column: Column, piece: str) -> list[Curve]:
    return course.curves([bond_line_at(column, piece), face_at(column, piece)])


def _finish(schedule: Schedule, piece: str) -> tuple[ScheduledStep, float]:
    """The press that finishes a piece, or the last that it lies under, and its longest dwell, s."""
    presses = [at for at in schedule.scheduled if at.step.action == "press"]
    finishing = next((at for at in presses if piece in at.finishing), None)
    at = finishing or [at for at in presses if piece in at.after.down][-1]
    films, total_s = schedule.films, schedule.states[-1].pressed_s
    dwell_s = at.step.dwell_s or 0.0
    windows = [films[p].dwell_s.high for p in at.finishing or (piece,)]
    bears = [films[p].bears_s - (total_s[p] - dwell_s) for p in at.after.down]
    return at, max(0.0, min(windows + bears))


def _leg_of(column: Column, at: ScheduledStep, legs: dict[Lying, Leg]) -> Leg:
    return legs[lying_at(column, at.after.down)]


def _covered_at_s(schedule: Schedule, places: Places, one: Followed) -> float:
    """When the press closes that lays down the last of what lies on a piece, s; 0 for none."""
    uppers = set(schedule.lies_under(one.piece))
    laying = [of for of in places.presses if uppers.intersection(of[0].laid_down)]
    return _leg_of(one.column, *laying[-1]).begins_s if laying else 0.0


def _finite(seconds: float) -> float | None:
    return seconds if math.isfinite(seconds) else None
