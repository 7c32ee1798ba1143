"""Heat at every bond line over a whole press schedule, as planned or as edited by hand.

For each place of the artwork (a column of pieces, bottom first) the schedule is followed from the
first time the platen closes: presses, peels and waits. Bonding counts only while the platen is
closed, since it takes pressure for an adhesive to flow into what is below; softening, the peak
and the face's shrink count throughout.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from advisor.heat.curve import Curve, above
from advisor.heat.layers import LayerSide
from advisor.heat.moments import columns_of, follow, moments_at
from advisor.heat.press_layers import Materials, bond_line_at, face_at
from advisor.heat.records import BondLineCourse, Column, Moment
from advisor.heat.unlucky import Wanted, low_seconds, spread_of
from rules.book.schedule.registration_shrink import edge_shift_mm
from rules.catalogue import load_catalogue
from rules.errors import UnknownNameError
from rules.facts.film import Film
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.subjects import BondLine

__all__ = ["LONGEST_SEARCH_S", "bond_lines", "bonded_after", "whole", "worst_lines"]

LONGEST_SEARCH_S = 300.0
"""How long a press is looked at to say how long it would take, s."""


def bond_lines(
    schedule: Schedule,
    columns: Sequence[Column] | None = None,
    *,
    materials: Materials | None = None,
    uncertain: bool = False,
) -> tuple[BondLineCourse, ...]:
    """Every adhesive at every column, over any list of steps.

    Args:
        schedule: films, fabric, press and the steps of one garment, in order.
        columns: the places of the artwork, by piece, bottom first; by default the deepest that
            the contacts allow. A piece that no press lays down has no bond line.
        materials: thermal materials by id; by default those of the catalogue.
        uncertain: work out, for what bonds as computed, whether it still does on an unlucky
            press (:mod:`advisor.heat.unlucky`).

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
    ... ))
    >>> line.below, line.margin_s > 0
    ('cotton-jersey-tee', True)
    """
    chosen = columns if columns is not None else columns_of(tuple(schedule.films), schedule.over)
    for column in chosen:
        for piece in column:
            if piece not in schedule.films:
                raise UnknownNameError("piece", piece, schedule.films)
    known = load_catalogue().materials if materials is None else materials
    lines: list[BondLineCourse] = []
    for column in dict.fromkeys(tuple(column) for column in chosen):
        moments = moments_at(schedule, column, known)
        found = _at_column(schedule, column, moments)
        lines += _on_unlucky_press(schedule, moments, found) if uncertain else found
    return tuple(lines)


def worst_lines(courses: Sequence[BondLineCourse]) -> dict[str, BondLine]:
    """The bond line of each piece at its worst column, in the order of the courses."""

    def share(line: BondLine) -> tuple[float, float, float]:
        wanted_s = line.film.bonds_s
        return (line.seconds_bonding / wanted_s, line.low_seconds_bonding / wanted_s, line.peak_c)

    worst: dict[str, BondLine] = {}
    for course in courses:
        held = worst.get(course.piece)
        if held is None or share(course.line) < share(held):
            worst[course.piece] = course.line
    return worst


def bonded_after(curve: Curve, film: Film, had_s: float) -> float:
    """Seconds of one press after which a film is bonded, ``had_s`` of bonding before it counted.

    ``inf`` where the press, as long as the curve of its bond line lasts, never bonds it.
    """
    missing_s = film.bonds_s - had_s
    if missing_s <= 0:
        return 0.0
    return float(above(curve, film.bonds_c).held_at(missing_s)) - float(curve.since_s[0])


def whole(seconds: float) -> float:
    """Whole seconds, up; what is not finite stays so."""
    return float(math.ceil(seconds - 1e-6)) if math.isfinite(seconds) else seconds


@lru_cache(maxsize=1024)
def _curves(
    moments: tuple[Moment, ...], contact_w_m2k: float, places: tuple[LayerSide, ...]
) -> tuple[Curve, ...]:
    return tuple(follow(moments, contact_w_m2k).curves(places)) if places else ()


def _at_column(
    schedule: Schedule, column: Column, moments: tuple[Moment, ...]
) -> list[BondLineCourse]:
    """Each adhesive at one column that a press lays down there, bottom first."""
    pieces = [piece for piece in column if piece in schedule.states[-1].down]
    below = [schedule.fabric.id, *(schedule.films[piece].id for piece in pieces)]
    places = [at(column, piece) for at in (bond_line_at, face_at) for piece in pieces]
    curves = _curves(moments, schedule.press.contact_w_m2k, tuple(places))
    of_each = zip(pieces, below, curves, curves[len(pieces) :], strict=False)
    return [_course(schedule, column, moments, *of_one) for of_one in of_each]


def _course(
    schedule: Schedule,
    column: Column,
    moments: tuple[Moment, ...],
    piece: str,
    below: str,
    curve: Curve,
    face: Curve,
) -> BondLineCourse:
    film, place = schedule.films[piece], bond_line_at(column, piece)
    shrink, onset = film.shrink, above(face, film.shrink.onset_c)
    legs = follow(moments, schedule.press.contact_w_m2k).legs
    closed = [leg.lasts_s for moment, leg in zip(moments, legs, strict=True) if moment.closed]
    bonding = above(curve.during(closed), film.bonds_c)
    finish, longest_s = _finish(schedule, piece)
    contact = schedule.press.contact_w_m2k
    longer = _longer(moments, contact, finish.step.n, place)
    needed_s = whole(
        bonded_after(longer, film, float(bonding.seconds_by(float(longer.since_s[0]))))
    )
    line = BondLine(
        film=film,
        below=below,
        peak_c=float(curve.hottest_c),
        seconds_bonding=float(bonding.seconds),
        low_seconds_bonding=float(bonding.seconds),
        dwell_s=finish.step.dwell_s or 0.0,
        needed_dwell_s=_finite(max(1.0, needed_s)),
        longest_dwell_s=longest_s,
        steady_c=float(longer.settles_c),
    )
    return BondLineCourse(
        piece=piece,
        film=film,
        below=below,
        column=column,
        line=line,
        softened_at_s=_finite(float(above(curve, film.softens_c).first_s)),
        bonded_at_s=_finite(float(bonding.held_at(film.bonds_s))),
        face_hottest_c=float(face.hottest_c),
        above_onset_s=float(onset.seconds),
        shrink_pct=shrink.percent_per_s * max(0.0, float(onset.seconds) - shrink.grace_s),
        before_next_mm=edge_shift_mm(
            percent_per_s=shrink.percent_per_s,
            grace_s=shrink.grace_s,
            above_onset_s=float(onset.seconds_by(_covered_at_s(schedule, moments, piece))),
            size_mm=schedule.size_mm.get(piece, 0.0),
        ),
        trap_mm=schedule.trap_mm,
        curve=curve,
        face=face,
        moments=moments,
    )


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


@lru_cache(maxsize=1024)
def _longer(
    moments: tuple[Moment, ...], contact_w_m2k: float, step: int, place: LayerSide
) -> Curve:
    """The curve of a place in the press of a step, if that went on and on."""
    legs = follow(moments, contact_w_m2k).legs
    leg = legs[[moment.closed and moment.step == step for moment in moments].index(True)]
    [curve] = leg.lasting(LONGEST_SEARCH_S).curves([place])
    return curve


def _covered_at_s(schedule: Schedule, moments: tuple[Moment, ...], piece: str) -> float:
    """When the press closes that lays down the last of what lies on a piece, s; 0 for none."""
    uppers = set(schedule.lies_under(piece))
    steps = [at.step.n for at in schedule.scheduled if uppers.intersection(at.laid_down)]
    legs = follow(moments, schedule.press.contact_w_m2k).legs
    closing = zip(moments, legs, strict=True)
    begins = [leg.begins_s for m, leg in closing if steps and m.closed and m.step == steps[-1]]
    return begins[0] if begins else 0.0


def _on_unlucky_press(
    schedule: Schedule, moments: tuple[Moment, ...], found: list[BondLineCourse]
) -> list[BondLineCourse]:
    """The same lines: of what bonds as computed, with what it gets on an unlucky press."""
    bonded = [course for course in found if course.margin_s >= 0]
    wanted = [
        Wanted(bond_line_at(c.column, c.piece), c.film.bonds_c, c.film.bonds_s) for c in bonded
    ]
    got_s = low_seconds(moments, schedule.press.contact_w_m2k, wanted, spread_of(schedule.press))
    low_s = {course.piece: seconds for course, seconds in zip(bonded, got_s, strict=True)}
    lines = [
        replace(
            course.line,
            low_seconds_bonding=min(
                course.line.seconds_bonding, low_s.get(course.piece, course.line.seconds_bonding)
            ),
        )
        for course in found
    ]
    return [replace(course, line=line) for course, line in zip(found, lines, strict=True)]


def _finite(seconds: float) -> float | None:
    return seconds if math.isfinite(seconds) else None
