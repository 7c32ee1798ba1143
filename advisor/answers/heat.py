"""Report: everything that heat has to say about a schedule, ready to print, save or draw."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from advisor.heat.bond_lines import LIMITS, BondLineCourse, bond_lines, moments_at, worst_lines
from advisor.heat.curve import Curve
from advisor.heat.stack import Column, Materials, face_at
from advisor.heat.walk import follow
from rules.errors import BadInputError
from rules.facts.fact import Record
from rules.facts.finding import Finding, Verdict, verdict, worst_first
from rules.facts.schedule import Schedule
from rules.rulebook import rulebook

__all__ = [
    "HeatReport", "ReportedCourse", "ReportedLine", "ReportedPhase", "ReportedShrink",
    "heat_report",
]  # fmt: skip

_PRESSED_STEP_S = 0.2
_OPEN_STEP_S = 1.0


class ReportedLine(Record):
    """One bond line at its worst place.

    Attributes:
        place: the pieces there, bottom first.
        softened_at_s: when it first softens, s from the first closing; ``None`` if never.
        bonded_at_s: when it is bonded; likewise.
        low_seconds_bonding: seconds bonding on an unlucky press, s.
        needed_s: least whole seconds of the press that finishes it, s; ``None`` if none would do.
        margin_s: seconds bonding beyond what the film wants, s.
    """

    piece: str
    film: str
    below: str
    place: tuple[str, ...]
    softens_c: float
    bonds_c: float
    bonds_s: float
    softened_at_s: float | None
    bonded_at_s: float | None
    peak_c: float
    seconds_bonding: float
    low_seconds_bonding: float
    needed_s: float | None
    longest_s: float
    margin_s: float


class ReportedPhase(Record):
    """A stretch of the schedule; ``platen_c`` is ``None`` while the press is open."""

    step: int
    label: str
    from_s: float
    to_s: float
    platen_c: float | None


class ReportedCourse(Record):
    """The temperature between two things against time; ``celsius`` at each of ``seconds``."""

    between: tuple[str, str]
    seconds: tuple[float, ...]
    celsius: tuple[float, ...]
    softens_c: float | None = None
    bonds_c: float | None = None


class ReportedShrink(Record):
    """What the face's heat does to a film's size.

    Attributes:
        percent: over the whole schedule.
        mm: how far its edge draws in before all that lies on it is down, mm.
        trap_mm: the overlap that hides it, mm.
    """

    piece: str
    film: str
    face_hottest_c: float
    above_onset_s: float
    percent: float
    mm: float
    trap_mm: float


class HeatReport(Record):
    """Heat over one schedule.

    Attributes:
        place: the pieces, bottom first, at the place that phases and courses are told for: the
            one where a bond line has least to spare.
        bond_lines: every piece's adhesive, each at its own worst place.
        courses: the bond lines of ``place`` and the face of its topmost film.
        findings: what the rule ``bond-line-heat`` says.
        limits: what the computation leaves out.
    """

    fabric: str
    press: str
    place: tuple[str, ...]
    verdict: Verdict
    bond_lines: tuple[ReportedLine, ...]
    phases: tuple[ReportedPhase, ...]
    courses: tuple[ReportedCourse, ...]
    shrink: tuple[ReportedShrink, ...]
    findings: tuple[Finding, ...]
    limits: str = LIMITS


def heat_report(
    schedule: Schedule,
    columns: Sequence[Column] | None = None,
    *,
    materials: Materials | None = None,
    uncertain: bool = True,
) -> HeatReport:
    """All that heat says about a schedule.

    Args:
        schedule: films, fabric, press and the steps of one garment; see
            :func:`advisor.heat.trial.stack_schedule`.
        columns: the places of the artwork, by piece, bottom first; by default the deepest that
            the contacts allow.
        materials: thermal materials by id; by default those of the catalogue.
        uncertain: with what an unlucky press does.

    Raises:
        BadInputError: no step presses anything.
        UnknownNameError: a piece, material or sheet is not known.

    >>> from advisor.heat.trial import stack_schedule
    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> report = heat_report(stack_schedule(
    ...     [known.film("matte-smooth"), known.film("sparkle-coarse")],
    ...     fabric=known.fabric("cotton-jersey-tee"), press=known.press("clamshell-38x38"),
    ...     sheets=known.sheets, setpoint_c=160, dwell_s=15, cover="ptfe-cover",
    ... ))
    >>> report.verdict, [line.film for line in report.bond_lines]
    ('go', ['matte-smooth', 'sparkle-coarse'])
    """
    courses = bond_lines(schedule, columns, materials=materials, uncertain=uncertain)
    if not courses:
        raise BadInputError("press nothing down, so there is no bond line", field="steps")
    worst = {id(line): None for line in worst_lines(courses).values()}
    shown = [course for course in courses if id(course.line) in worst]
    tightest = min(shown, key=lambda course: course.line.seconds_bonding / course.film.bonds_s)
    found = worst_first(rulebook().judge(*(course.line for course in shown)))
    return HeatReport(
        fabric=schedule.fabric.id,
        press=schedule.press.id,
        place=tightest.column,
        verdict=verdict(found),
        bond_lines=tuple(_line(course) for course in shown),
        phases=_phases(schedule, tightest.column, materials),
        courses=_courses(schedule, tightest.column, courses, materials),
        shrink=tuple(_shrink(course) for course in _hottest(courses)),
        findings=found,
    )


def _line(course: BondLineCourse) -> ReportedLine:
    film, line = course.film, course.line
    return ReportedLine(
        piece=course.piece,
        film=film.id,
        below=course.below,
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


def _phases(
    schedule: Schedule, column: Column, materials: Materials | None
) -> tuple[ReportedPhase, ...]:
    phases: list[ReportedPhase] = []
    clock_s = 0.0
    for moment in moments_at(schedule, column, materials):
        phases.append(
            ReportedPhase(
                step=moment.step,
                label=moment.label,
                from_s=round(clock_s, 3),
                to_s=round(clock_s + moment.seconds, 3),
                platen_c=moment.platen_c,
            )
        )
        clock_s += moment.seconds
    return tuple(phases)


def _courses(
    schedule: Schedule,
    column: Column,
    courses: Sequence[BondLineCourse],
    materials: Materials | None,
) -> tuple[ReportedCourse, ...]:
    moments = moments_at(schedule, column, materials)
    clock_s, times = 0.0, [0.0]
    for moment in moments:
        step_s = _PRESSED_STEP_S if moment.closed else _OPEN_STEP_S
        ends_s = clock_s + moment.seconds
        times += [*np.arange(clock_s + step_s, ends_s - step_s / 2, step_s).tolist(), ends_s]
        clock_s = ends_s
    here = [course for course in courses if course.column == column]
    told = [_course((course.film.id, course.below), course.curve, times, course) for course in here]
    top = here[-1]
    face = follow(moments, schedule.press.contact_w_m2k).curve(face_at(column, top.piece))
    return (*told, _course(("face", top.film.id), face, times, None))


def _course(
    between: tuple[str, str], curve: Curve, times: Sequence[float], line: BondLineCourse | None
) -> ReportedCourse:
    celsius = curve.at(times)
    there = np.isfinite(celsius)
    return ReportedCourse(
        between=between,
        seconds=tuple(round(float(t), 3) for t in np.asarray(times)[there]),
        celsius=tuple(round(float(c), 2) for c in celsius[there]),
        softens_c=line.film.softens_c if line else None,
        bonds_c=line.film.bonds_c if line else None,
    )


def _hottest(courses: Sequence[BondLineCourse]) -> list[BondLineCourse]:
    """Each piece at the column where it shrinks most."""
    most: dict[str, BondLineCourse] = {}
    for course in courses:
        held = most.get(course.piece)
        if held is None or (course.shrink_pct, course.face_hottest_c) > (
            held.shrink_pct,
            held.face_hottest_c,
        ):
            most[course.piece] = course
    return list(most.values())


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
