"""Heat at every bond line over a whole press schedule, as planned or as edited by hand.

For each place of the artwork (a column of pieces, bottom first) the schedule is followed from the
first time the platen closes: presses, peels and waits. Bonding counts only while the platen is
closed, since it takes pressure for an adhesive to flow into what is below; softening, the peak
and the face's shrink count throughout.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from advisor.heat.band import Band, Wanted, bands, spread_of, unlucky_seconds
from advisor.heat.curve import Curve, seconds_above, seconds_until
from advisor.heat.dwell import LONGEST_SEARCH_S
from advisor.heat.layers import Place
from advisor.heat.stack import (
    Column,
    Materials,
    Moment,
    bond_line_at,
    columns_of,
    face_at,
    moments_of,
)
from advisor.heat.walk import Entered, curves_of, follow, held_at
from rules.book.schedule.registration_shrink import edge_shift_mm
from rules.errors import UnknownNameError
from rules.facts.film import Film
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.subjects import BondLine

__all__ = ["LIMITS", "BondLineCourse", "bond_lines", "moments_at", "worst_lines"]

LIMITS = (
    "Heat is followed straight down through the layers, one place at a time. Left out: heat "
    "along the layers (within a millimetre or so of an edge, and the platen's own rim), moisture "
    "beyond what the preheat drives out, melting heat, adhesive that flows, foam that rises, the "
    "platen's dip as it closes, and the warmth a bed keeps from the garment before. Contact and "
    "fabric are uncertain by a factor of about two until the press is calibrated."
)


@dataclass(frozen=True, slots=True)
class BondLineCourse:
    """One adhesive at one column over a whole schedule.

    Attributes:
        piece: whose adhesive it is; ``film`` is its film.
        below: what it lies on at this column, by id.
        column: the pieces there, bottom first.
        line: the same in the terms that the rule ``bond-line-heat`` judges.
        softened_at_s: when it first softens, s from the first closing; ``None`` if never.
        bonded_at_s: when it has been hot enough for long enough under the platen; likewise.
        face_hottest_c: hottest that the film's face gets here, °C.
        above_onset_s: seconds that its face is above its shrink onset, s.
        shrink_pct: expected shrink over the whole schedule, percent.
        before_next_mm: how far its edge draws in before all that lies on it is down, mm.
        trap_mm: the overlap that hides it, mm.
        curve: the bond line's temperature against time, from when it is laid.
        band: where it lies on lucky and unlucky presses, where that was asked for.
    """

    piece: str
    film: Film
    below: str
    column: Column
    line: BondLine
    softened_at_s: float | None
    bonded_at_s: float | None
    face_hottest_c: float
    above_onset_s: float
    shrink_pct: float
    before_next_mm: float
    trap_mm: float
    curve: Curve = field(repr=False, compare=False)
    band: Band | None = None

    @property
    def margin_s(self) -> float:
        """Seconds bonding beyond what the adhesive wants, s; negative where they fall short."""
        return self.line.seconds_bonding - self.film.bonds_s


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
            press (:mod:`advisor.heat.band`).

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
    return tuple(
        line
        for column in dict.fromkeys(tuple(column) for column in chosen)
        for line in _at_column(schedule, column, materials, uncertain)
    )


def worst_lines(courses: Sequence[BondLineCourse]) -> dict[str, BondLine]:
    """The bond line of each piece at its worst column, in the order of the courses."""
    worst: dict[str, BondLine] = {}
    for course in courses:
        line, held = course.line, worst.get(course.piece)
        if held is None or _share(line) < _share(held):
            worst[course.piece] = line
    return worst


def _share(line: BondLine) -> tuple[float, float, float]:
    wanted = line.film.bonds_s
    return (line.seconds_bonding / wanted, line.low_seconds_bonding / wanted, line.peak_c)


def moments_at(
    schedule: Schedule, column: Column, materials: Materials | None = None
) -> tuple[Moment, ...]:
    """All that happens at a column; handling without a change between is put together."""
    joined: list[Moment] = []
    for at in schedule.scheduled:
        for moment in moments_of(at, column, materials):
            last = joined[-1] if joined else None
            if last and not (last.closed or moment.closed) and last.layers == moment.layers:
                label = last.label
                if moment.label not in label:
                    label = f"{label}, {moment.label}"
                joined[-1] = last._replace(label=label, seconds=last.seconds + moment.seconds)
            else:
                joined.append(moment)
    return tuple(joined)


@lru_cache(maxsize=1024)
def _curves(
    moments: tuple[Moment, ...], contact_w_m2k: float, places: tuple[Place, ...]
) -> tuple[Curve, ...]:
    return tuple(follow(moments, contact_w_m2k).curves(places)) if places else ()


@dataclass(frozen=True, slots=True)
class _Finish:
    """The press that finishes a piece (or the last that it lies under)."""

    at: ScheduledStep
    longest_s: float


def _at_column(
    schedule: Schedule, column: Column, materials: Materials | None, uncertain: bool
) -> list[BondLineCourse]:
    moments = moments_at(schedule, column, materials)
    laid = schedule.states[-1].down
    pieces = [piece for piece in column if piece in laid]
    lines = [bond_line_at(column, piece) for piece in pieces]
    faces = [face_at(column, piece) for piece in pieces]
    contact = schedule.press.contact_w_m2k
    curves = _curves(moments, contact, tuple(lines + faces))
    below = dict(
        zip(
            pieces,
            [schedule.fabric.id, *(schedule.films[piece].id for piece in pieces)],
            strict=False,
        )
    )
    found = [
        _one(schedule, column, moments, piece, below[piece], curves[n], curves[n + len(pieces)])
        for n, piece in enumerate(pieces)
    ]
    return _with_bands(schedule, column, moments, found) if uncertain else found


def _with_bands(
    schedule: Schedule, column: Column, moments: tuple[Moment, ...], found: list[BondLineCourse]
) -> list[BondLineCourse]:
    """What bonds as computed, with what it gets on an unlucky press."""
    press, spread = schedule.press, spread_of(schedule.press)
    answered: dict[str, BondLineCourse] = {}
    doubtful: list[tuple[BondLineCourse, Wanted]] = []
    for course in found:
        film = course.film
        if course.margin_s < 0:
            continue
        want = Wanted(bond_line_at(column, course.piece), film.bonds_c, film.bonds_s)
        unlucky_s = unlucky_seconds(moments, press.contact_w_m2k, want, spread)
        if unlucky_s >= film.bonds_s:
            answered[course.piece] = _relied_on(course, unlucky_s, None)
        else:
            doubtful.append((course, want))
    if doubtful:
        wanted = tuple(want for _, want in doubtful)
        made = bands(moments, press.contact_w_m2k, wanted, spread)
        for (course, _), band in zip(doubtful, made, strict=True):
            answered[course.piece] = _relied_on(course, band.low_seconds_bonding, band)
    return [answered.get(course.piece, course) for course in found]


def _relied_on(course: BondLineCourse, low_s: float, band: Band | None) -> BondLineCourse:
    low_s = min(course.line.seconds_bonding, low_s)
    return replace(course, band=band, line=replace(course.line, low_seconds_bonding=low_s))


def _one(
    schedule: Schedule,
    column: Column,
    moments: tuple[Moment, ...],
    piece: str,
    below: str,
    curve: Curve,
    face: Curve,
) -> BondLineCourse:
    film, place = schedule.films[piece], bond_line_at(column, piece)
    holding = [
        n
        for n, moment in enumerate(moments)
        if any(layer.name == place.layer for layer in moment.layers)
    ]
    closed = [(n, span) for n, span in zip(holding, curve.spans, strict=True) if moments[n].closed]
    pressed = Curve(tuple(span for _, span in closed))
    finish = _finish(schedule, piece)
    before = Curve(tuple(span for n, span in closed if moments[n].step < finish.at.step.n))
    during_n, during = next((n, span) for n, span in closed if moments[n].step == finish.at.step.n)
    missing_s = film.bonds_s - float(seconds_above(before, film.bonds_c))
    seconds_bonding = float(seconds_above(pressed, film.bonds_c))
    above_s = float(seconds_above(face, film.shrink.onset_c))
    next_s = _covered_at_s(schedule, column, moments, piece)
    before_next_s = float(seconds_above(face.between(0.0, next_s), film.shrink.onset_c))
    size_mm = schedule.size_mm.get(piece, 0.0)
    line = BondLine(
        film=film,
        below=below,
        peak_c=float(curve.hottest_c),
        seconds_bonding=seconds_bonding,
        low_seconds_bonding=seconds_bonding,
        dwell_s=finish.at.step.dwell_s or 0.0,
        needed_dwell_s=_needed_s(
            schedule, moments, during_n, place, Curve((during,)), film, missing_s
        ),
        longest_dwell_s=finish.longest_s,
        steady_c=float(during.settles_c),
    )
    return BondLineCourse(
        piece=piece,
        film=film,
        below=below,
        column=column,
        line=line,
        softened_at_s=_finite(float(seconds_until(curve, film.softens_c))),
        bonded_at_s=_finite(held_at(pressed, film.bonds_c, film.bonds_s)),
        face_hottest_c=float(face.hottest_c),
        above_onset_s=above_s,
        shrink_pct=film.shrink.percent_per_s * max(0.0, above_s - film.shrink.grace_s),
        before_next_mm=edge_shift_mm(
            percent_per_s=film.shrink.percent_per_s,
            grace_s=film.shrink.grace_s,
            above_onset_s=before_next_s,
            size_mm=size_mm,
        ),
        trap_mm=schedule.trap_mm,
        curve=curve,
    )


def _finish(schedule: Schedule, piece: str) -> _Finish:
    presses = [at for at in schedule.scheduled if at.step.action == "press"]
    finishing = next((at for at in presses if piece in at.finishing), None)
    at = finishing or [at for at in presses if piece in at.after.down][-1]
    films, total = schedule.films, schedule.states[-1].pressed_s
    dwell_s = at.step.dwell_s or 0.0
    longest_s = min(
        [films[p].dwell_s.high for p in at.finishing or (piece,)]
        + [films[p].bears_s - (total[p] - dwell_s) for p in at.after.down]
    )
    return _Finish(at, max(0.0, longest_s))


def _needed_s(
    schedule: Schedule,
    moments: tuple[Moment, ...],
    number: int,
    place: Place,
    during: Curve,
    film: Film,
    missing_s: float,
) -> float | None:
    """Least whole seconds of that press that would bond the line, or ``None``."""
    begins_s = during.spans[0].begins_s
    when_s = held_at(during, film.bonds_c, missing_s)
    if math.isinf(when_s):
        course = follow(moments, schedule.press.contact_w_m2k)
        here = Entered(
            moments[number], course.configurations[number], course.initial_c[number], begins_s
        )
        [longer] = curves_of(here, [place], LONGEST_SEARCH_S)
        when_s = held_at(longer, film.bonds_c, missing_s)
    if math.isinf(when_s):
        return None
    return max(1.0, float(math.ceil(when_s - begins_s - 1e-6)))


def _covered_at_s(
    schedule: Schedule, column: Column, moments: tuple[Moment, ...], piece: str
) -> float:
    """When all that lies on a piece is down, s; 0 where nothing lies on it."""
    steps = [
        at.step.n
        for at in schedule.scheduled
        if any(upper in at.laid_down for upper in schedule.lies_under(piece))
    ]
    if not steps:
        return 0.0
    begins_s = 0.0
    for moment in moments:
        if moment.closed and moment.step == steps[-1]:
            return begins_s
        begins_s += moment.seconds
    return begins_s


def _finite(seconds: float) -> float | None:
    return seconds if math.isfinite(seconds) else None
