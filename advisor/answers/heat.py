"""Heat: everything that heat has to say about a schedule, ready to print, save or draw."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import accumulate, pairwise

import numpy as np

from advisor.heat.bond_lines import bond_lines, worst_lines
from advisor.heat.curve import Curve
from advisor.heat.records import (
    BondLineCourse,
    Column,
    HeatReport,
    Moment,
    ReportedCourse,
    ReportedLine,
    ReportedPhase,
    ReportedShrink,
    ReportedWater,
)
from rules.errors import BadInputError
from rules.facts.finding import verdict, worst_first
from rules.facts.schedule import Schedule
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["heat_report"]

_PRESSED_STEP_S = 0.2
_OPEN_STEP_S = 1.0


def heat_report(
    schedule: Schedule,
    columns: Sequence[Column] | None = None,
    *,
    knowledge: Knowledge | None = None,
    uncertain: bool = True,
) -> HeatReport:
    """All that heat says about a schedule.

    Args:
        schedule: films, fabric, press and the steps of one garment; see
            :func:`advisor.heat.trial.stack_schedule`.
        columns: the places of the artwork, by piece, bottom first; by default the deepest that
            the contacts allow.
        knowledge: what is judged by; by default the rules and the catalogue that ship.
        uncertain: with what an unlucky press does.

    Raises:
        BadInputError: no step presses anything.
        UnknownNameError: a piece or sheet is not known.

    >>> from advisor.heat.trial import stack_schedule
    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> report = heat_report(stack_schedule(
    ...     [known.film("matte-smooth"), known.film("sparkle-coarse")],
    ...     fabric=known.fabric("cotton-jersey-tee"), press=known.press("clamshell-38x38"),
    ...     sheets=known.sheets, materials=known.materials, setpoint_c=160, dwell_s=15,
    ...     cover="ptfe-cover",
    ... ))
    >>> report.verdict, [line.film for line in report.bond_lines]
    ('go', ['matte-smooth', 'sparkle-coarse'])
    """
    known = knowledge or load_knowledge()
    courses = bond_lines(schedule, columns, known.catalogue.materials, uncertain=uncertain)
    if not courses:
        raise BadInputError("press nothing down, so there is no bond line", field="steps")
    shown = tuple(worst_lines(courses).values())
    tightest = min(shown, key=lambda course: course.line.seconds_bonding / course.film.bonds_s)
    known = known.pressed_at(schedule.press, schedule.fabric, settings=schedule.settings)
    found = worst_first(known.judge(*(course.line for course in shown)))
    return HeatReport(
        fabric=schedule.fabric.id,
        press=schedule.press.id,
        place=tightest.column,
        verdict=verdict(found),
        bond_lines=tuple(_line(course) for course in shown),
        phases=_phases(tightest.moments),
        courses=_courses([course for course in courses if course.column == tightest.column]),
        shrink=tuple(_shrink(course) for course in _hottest(courses)),
        findings=found,
        water=_water(schedule.fabric.water_gsm, tightest.water_gsm),
    )


def _water(held_gsm: float, left: Sequence[tuple[int, float]]) -> tuple[ReportedWater, ...]:
    """What each press drives out of what the fabric holds at first."""
    before = [held_gsm, *(gsm for _, gsm in left)]
    return tuple(
        ReportedWater(step=step, leaves_gsm=max(0.0, round(had - gsm, 2)), left_gsm=round(gsm, 2))
        for (step, gsm), had in zip(left, before, strict=False)
    )


def _line(course: BondLineCourse) -> ReportedLine:
    film, line = course.film, course.line
    return ReportedLine(
        piece=course.piece,
        film=film.id,
        below=line.below,
        place=course.column,
        softens_c=film.softens_c,
        bonds_c=film.bonds_c,
        bonds_s=film.bonds_s,
        softened_at_s=_round(course.softened_at_s),
        bonded_at_s=_round(course.bonded_at_s),
        peak_c=round(line.peak_c, 2),
        seconds_bonding=round(line.seconds_bonding, 3),
        low_seconds_bonding=round(line.low_seconds_bonding, 3),
        needed_s=line.needed_dwell_s,
        longest_s=line.longest_dwell_s,
        margin_s=round(course.margin_s, 3),
    )


def _round(seconds: float | None) -> float | None:
    return None if seconds is None else round(seconds, 3)


def _phases(moments: Sequence[Moment]) -> tuple[ReportedPhase, ...]:
    ends_s = list(accumulate((moment.seconds for moment in moments), initial=0.0))
    return tuple(
        ReportedPhase(
            step=moment.step,
            label=moment.label,
            from_s=round(begins, 3),
            to_s=round(ends, 3),
            platen_c=moment.platen_c,
        )
        for moment, (begins, ends) in zip(moments, pairwise(ends_s), strict=True)
    )


def _courses(here: Sequence[BondLineCourse]) -> tuple[ReportedCourse, ...]:
    """The bond lines of one place, bottom first, and the face of the topmost film."""
    clock_s, times = 0.0, [0.0]
    for moment in here[0].moments:
        step_s = _PRESSED_STEP_S if moment.closed else _OPEN_STEP_S
        ends_s = clock_s + moment.seconds
        times += [*np.arange(clock_s + step_s, ends_s - step_s / 2, step_s).tolist(), ends_s]
        clock_s = ends_s
    lines = [
        _against_time((c.film.id, c.line.below), c.curve, times, c.film.softens_c, c.film.bonds_c)
        for c in here
    ]
    return (*lines, _against_time(("face", here[-1].film.id), here[-1].face, times))


def _against_time(
    between: tuple[str, str],
    curve: Curve,
    times: Sequence[float],
    softens_c: float | None = None,
    bonds_c: float | None = None,
) -> ReportedCourse:
    celsius = curve.at(times)
    there = np.isfinite(celsius)
    return ReportedCourse(
        between=between,
        seconds=tuple(round(float(t), 3) for t in np.asarray(times)[there]),
        celsius=tuple(round(float(c), 2) for c in celsius[there]),
        softens_c=softens_c,
        bonds_c=bonds_c,
    )


def _hottest(courses: Sequence[BondLineCourse]) -> list[BondLineCourse]:
    """Each piece at the column where it shrinks most."""
    most: dict[str, BondLineCourse] = {}
    for course in sorted(courses, key=lambda c: (c.shrink_pct, c.face_hottest_c), reverse=True):
        most.setdefault(course.piece, course)
    return [most[piece] for piece in dict.fromkeys(course.piece for course in courses)]


def _shrink(course: BondLineCourse) -> ReportedShrink:
    return ReportedShrink(
        piece=course.piece,
        film=course.film.id,
        face_hottest_c=round(course.face_hottest_c, 2),
        above_onset_s=round(course.above_onset_s, 3),
        percent=round(course.shrink_pct, 4),
        mm=round(course.before_next_mm, 3),
        trap_mm=course.trap_mm,
    )
