"""Heat strips: each bond line's temperature on a strip of its own, under the times of the press."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.heat.records import HeatReport, ReportedCourse, ReportedPhase
from rules.facts.units import Units
from ui.drawing import ink

__all__ = ["heat_strips"]

_EDGE, _TALL, _BETWEEN = 10.0, 92.0, 16.0
_MARKS = 92.0
"""Room at the right for what the lines across a strip mean."""
_LETTER, _LETTER_WIDE = 13.0, 9.4


def heat_strips(
    report: HeatReport, names: Mapping[str, str], *, units: Units, width: float = 780
) -> str:
    """The courses of a report one under the other, on one clock and one scale.

    A strip shows when the platen is closed, where the adhesive grabs and from where it bonds, and,
    filled, for how long it is hot enough under the closed platen.

    Args:
        names: what each piece is called.

    >>> nothing = HeatReport.model_construct(courses=(), phases=(), place=())
    >>> heat_strips(nothing, {}, units=Units())[:4]
    '<svg'
    """
    courses, phases = report.courses, [p for p in report.phases if p.platen_c is not None]
    ends_s = max((course.seconds[-1] for course in courses if course.seconds), default=1.0)
    lows = [min(course.celsius) for course in courses if course.celsius]
    highs = [max(course.celsius) for course in courses if course.celsius]
    low, high = min(lows, default=20.0) - 4, max(highs, default=100.0) + 4
    across = (width - 2 * _EDGE - _MARKS) / ends_s
    marks: list[str] = []
    y = 4.0
    called = _bond_lines(report, names)
    for course, name in zip(courses, called, strict=True):
        for words in ink.wrap(name, int((width - 2 * _EDGE) / _LETTER_WIDE)):
            marks.append(ink.text(_EDGE, y + 13, words, size=_LETTER, weight=650))
            y += _LETTER + 2
        top = y + 3
        marks += _strip(course, phases, top, across, low, high)
        marks += _levels(course, top, low, high, units, width)
        y = top + _TALL + _BETWEEN
    marks += [
        ink.text(_EDGE, y, "0", size=12, kind="soft figure"),
        ink.text(
            _EDGE + ends_s * across, y, f"{ends_s:.0f} s from the first closing", size=12,
            kind="soft figure", anchor="end",
        ),
    ]  # fmt: skip
    said = "; ".join(
        f"{name} up to {units.temperature(max(course.celsius))}"
        for course, name in zip(courses, called, strict=True)
    )
    return ink.sheet_of_paper(marks, width=width, height=y + 10, title="Heat", alt=said)


def _bond_lines(report: HeatReport, names: Mapping[str, str]) -> list[str]:
    """What each course is called: a piece on what it lies on, bottom first; the face last."""
    called = [names.get(piece, piece) for piece in report.place]
    below = [course.between[1] for course in report.courses[:1]] + called
    lines = [f"{one} on {other}" for one, other in zip(called, below, strict=False)]
    return lines + [f"face of {one}" for one in called[-1:]]


def _strip(
    course: ReportedCourse,
    phases: Sequence[ReportedPhase],
    top: float,
    across: float,
    low: float,
    high: float,
) -> list[str]:
    """The curve over bands for the closed platen, filled where it is hot enough to bond."""

    def x(seconds: float) -> float:
        return _EDGE + seconds * across

    def y(celsius: float) -> float:
        return top + _TALL * (high - celsius) / (high - low)

    points = list(zip(course.seconds, course.celsius, strict=True))
    marks = [ink.line([(x(0), top + _TALL), (x(points[-1][0]), top + _TALL)], kind="faint")]
    for phase in phases:
        marks.append(ink.rect(x(phase.from_s), top, (phase.to_s - phase.from_s) * across, _TALL,
                              kind="mat"))  # fmt: skip
        if course.bonds_c is None:
            continue
        hot = [(s, c) for s, c in points
               if phase.from_s <= s <= phase.to_s and c >= course.bonds_c]  # fmt: skip
        if len(hot) > 1:
            floor = y(course.bonds_c)
            outline = [(x(s), y(c)) for s, c in hot]
            closed = [(outline[0][0], floor), *outline, (outline[-1][0], floor)]
            marks.append(ink.polygon(closed, kind="hot", opacity=0.35))
    marks.append(ink.line([(x(s), y(c)) for s, c in points], kind="hotline", width=2))
    return marks


def _levels(
    course: ReportedCourse, top: float, low: float, high: float, units: Units, width: float
) -> list[str]:
    """Lines across a strip: from where it bonds, from where it grabs, how hot it gets."""
    levels = [(max(course.celsius), "hottest")]
    if course.bonds_c is not None and course.softens_c is not None:
        levels += [(course.bonds_c, "bonds"), (course.softens_c, "grabs")]
    marks: list[str] = []
    right, last = width - _EDGE, float("-inf")
    for celsius, means in sorted(levels, reverse=True):
        y = top + _TALL * (high - celsius) / (high - low)
        words = max(y + 4, last + _LETTER)
        last = words
        if means != "hottest":
            marks.append(ink.line([(_EDGE, y), (right - _MARKS, y)], kind="faint", width=1))
        marks += [
            ink.line([(right - _MARKS, y), (right - _MARKS + 8, words - 4)], kind="faint", width=1),
            ink.text(right, words, f"{means} {units.temperature(celsius)}", size=12, anchor="end",
                     kind="ink figure"),
        ]  # fmt: skip
    return marks
