"""Timeline: a run's steps against the clock of one garment, with what lies there meanwhile."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

from advisor.heat.records import StepTime
from rules.facts.schedule import State
from rules.facts.units import Units
from ui.drawing import ink

__all__ = ["Lane", "presses_in_words", "timeline"]

_EDGE, _GAP, _BAR = 12.0, 7.0, 13.0
_LABELS, _LETTERS, _DIAL_WIDE = 196.0, 29, 58.0
_LONGEST_OPEN_S = 24.0
"""An open press or a wait longer than this is drawn as long as this, and broken."""


class Lane(NamedTuple):
    """A piece, a sheet or the garment.

    Attributes:
        ink: what it is drawn in: its own sRGB, or a kind of ink.
    """

    name: str
    ink: str


Span = tuple[float, float]
"""From when to when something lies there, s."""


class _Clock(NamedTuple):
    """Where each moment of the garment's clock lies across the drawing.

    Attributes:
        knots: (seconds, place) where the scale changes.
        breaks: middles of what is drawn shorter than it takes, with its seconds.
    """

    knots: tuple[tuple[float, float], ...]
    breaks: tuple[tuple[float, float], ...]

    def x(self, clock_s: float) -> float:
        """The place of a moment."""
        for (from_s, left), (to_s, right) in zip(self.knots, self.knots[1:], strict=False):
            if clock_s <= to_s and to_s > from_s:
                return left + (right - left) * (clock_s - from_s) / (to_s - from_s)
        return self.knots[-1][1]


def timeline(
    times: Sequence[StepTime],
    pieces: Mapping[str, Lane],
    *,
    garment: Lane,
    units: Units,
    width: float = 780,
) -> str:
    """One garment's steps as one picture: dial, closed and open press, what lies there, sheets.

    Args:
        times: the steps of a run, in order, on the clock of one garment.
        pieces: by piece, in any order; each has a lane from when it goes down.
        width: of the drawing; below 500, or where a name is long, names stand over their lanes.
    """
    named = [lane.name for lane in (*pieces.values(), garment)]
    beside = width >= 500 and max(map(len, named)) <= _LETTERS
    left = _EDGE + (_LABELS if beside else 0)
    clock = _clock(times, left, width - _EDGE)
    ends = times[-1].ends_s if times else 0.0
    marks, y = _dial(times, clock, units)
    more, y = _press(times, clock, y, right=width - _EDGE, units=units)
    marks += more
    covers = _spans(times, lambda state: (state.cover,) if state.cover else ())
    carriers = _spans(times, lambda state: state.carriers_on)
    down = _spans(times, lambda state: state.down)
    pads = _spans(times, lambda state: (state.pad,) if state.pad else ())
    lanes = [
        *((Lane(sheet, "cover"), spans, ()) for sheet, spans in covers.items()),
        *((pieces[p], down[p], carriers.get(p, ())) for p in reversed(down) if p in pieces),
        (garment, ((0.0, ends),), ()),
        *((Lane(pad, "soft"), spans, ()) for pad, spans in pads.items()),
    ]
    for lane, spans, carrier in lanes:
        more, y = _lane(lane, spans, carrier, clock, y, beside=beside)
        marks += more
    more, y = _scale(clock, ends, y)
    return ink.sheet_of_paper(
        [*_closed_bands(times, clock, y), *marks, *more],
        width=width, height=y, title="Timeline", alt=presses_in_words(times, units),
    )  # fmt: skip


def _clock(times: Sequence[StepTime], left: float, right: float) -> _Clock:
    """The clock, with long open times cut short so that the presses can be seen."""
    spans: list[tuple[float, float, bool]] = []
    for time in times:
        closes = time.ends_s if time.closes_s is None else time.closes_s
        spans += [(time.begins_s, closes, False), (closes, time.ends_s, True)]
    shown = [b - a if closed else min(b - a, _LONGEST_OPEN_S) for a, b, closed in spans]
    per_s = (right - left) / (sum(shown) or 1.0)
    knots, breaks, x = [(0.0, left)], [], left
    for (a, b, _closed), seconds in zip(spans, shown, strict=True):
        if seconds < b - a:
            breaks.append((x + seconds * per_s / 2, b - a))
        x += seconds * per_s
        knots.append((b, x))
    return _Clock(tuple(knots), tuple(breaks))


def _dial(times: Sequence[StepTime], clock: _Clock, units: Units) -> tuple[list[str], float]:
    """What the dial says, from where it says so."""
    marks: list[str] = []
    said, free_from = None, 0.0
    for time in times:
        celsius = time.at.after.setpoint_c
        if celsius is not None and celsius != said:
            x = clock.x(time.begins_s)
            marks += [
                ink.line([(x, 6), (x, 24)], kind="hotline", width=2),
                ink.text(
                    max(x + 6, free_from),
                    19,
                    units.temperature(celsius),
                    size=13,
                    weight=650,
                    kind="hot",
                ),
            ]
            said, free_from = celsius, max(x + 6, free_from) + _DIAL_WIDE
    return marks, 30.0


def _press(
    times: Sequence[StepTime], clock: _Clock, y: float, *, right: float, units: Units
) -> tuple[list[str], float]:
    """The platen over time: down where it is closed, with its seconds and the step's number."""
    top, bed = y + 16, y + 46
    marks = [ink.line([(clock.x(0), bed), (right, bed)], width=1.4)]
    for time in times:
        if time.closes_s is None:
            continue
        x, end = clock.x(time.closes_s), clock.x(time.ends_s)
        full = time.at.step.purpose == "full"
        high = bed - top if full else (bed - top) * 0.55
        middle = (x + end) / 2
        marks += [
            ink.rect(x, bed - high, max(end - x, 2.0), high, kind="hot"),
            ink.text(
                middle, bed - high - 4, units.time(time.ends_s - time.closes_s), size=12,
                anchor="middle", weight=650, kind="ink figure",
            ),
            ink.text(middle, bed + 14, str(time.at.step.n), size=11, anchor="middle", kind="soft"),
        ]  # fmt: skip
    for x, seconds in clock.breaks:
        marks += [
            ink.line([(x - 5, bed + 5), (x, bed - 5)], width=1.6),
            ink.line([(x, bed + 5), (x + 5, bed - 5)], width=1.6),
            ink.text(x, bed - 9, units.time(seconds), size=11, anchor="middle", kind="soft"),
        ]
    return marks, bed + 22


def _lane(
    lane: Lane,
    spans: Sequence[Span],
    carrier: Sequence[Span],
    clock: _Clock,
    y: float,
    *,
    beside: bool,
) -> tuple[list[str], float]:
    marks = []
    if beside:
        marks.append(ink.text(_EDGE, y + _BAR - 1.5, lane.name, size=12.5, weight=500))
    else:
        marks.append(ink.text(_EDGE, y + 11, lane.name, size=12.5, weight=500))
        y += 15
    kind, fill = (None, lane.ink) if lane.ink.startswith("#") else (lane.ink, None)
    for begins, ends in spans:
        x = clock.x(begins)
        marks.append(
            ink.rect(x, y, clock.x(ends) - x, _BAR, kind=kind, fill=fill, radius=2, stroke=1)
        )
    for begins, ends in carrier:
        x = clock.x(begins)
        marks.append(ink.rect(x, y - 2, clock.x(ends) - x, 4, kind="clear", stroke=0.8))
    return marks, y + _BAR + _GAP


def _closed_bands(times: Sequence[StepTime], clock: _Clock, bottom: float) -> list[str]:
    """Faint bands through all lanes while the press is closed."""
    return [
        ink.rect(
            clock.x(time.closes_s), 76, max(clock.x(time.ends_s) - clock.x(time.closes_s), 2.0),
            bottom - 76 - 24, kind="mat",
        )
        for time in times
        if time.closes_s is not None
    ]  # fmt: skip


def _scale(clock: _Clock, ends: float, y: float) -> tuple[list[str], float]:
    if not ends:
        return [], y
    begins, right = clock.x(0), clock.x(ends)
    marks = [
        ink.text(begins, y + 14, "0", size=12, kind="soft figure"),
        ink.text(
            right, y + 14, f"{ends:.0f} s for one garment", size=12, anchor="end",
            kind="soft figure",
        ),
    ]  # fmt: skip
    return marks, y + 22


def _spans(
    times: Sequence[StepTime], lying: Callable[[State], Sequence[str]]
) -> dict[str, tuple[Span, ...]]:
    """From when to when each thing lies there: it is new when the platen comes down on it, and
    gone when hands are done with it.
    """
    spans: dict[str, list[Span]] = {}
    for time in times:
        for name in lying(time.at.after):
            own = spans.setdefault(name, [])
            if own and name in lying(time.at.before):
                own[-1] = (own[-1][0], time.ends_s)
            else:
                begins_s = time.begins_s if time.closes_s is None else time.closes_s
                own.append((begins_s, time.ends_s))
    return {name: tuple(own) for name, own in spans.items()}


def presses_in_words(times: Sequence[StepTime], units: Units) -> str:
    """The presses in words, for those who do not see the drawing."""
    closed = [
        f"step {time.at.step.n} at {time.closes_s:.0f} s for "
        f"{units.time(time.ends_s - time.closes_s)}"
        for time in times
        if time.closes_s is not None
    ]
    return f"The press closes: {', '.join(closed)}." if closed else "The press is never closed."
