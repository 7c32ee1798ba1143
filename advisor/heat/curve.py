"""The temperature of one place against time, and what is read off it.

Within a phase the temperature is known exactly at any time; a :class:`Curve` keeps it at the knots
of one grid and is straight between them: every 25th of a second for two seconds after a change,
every tenth for half a minute, in which a press is decided, and every whole second from there on,
when nothing turns sharply any more. From half a second on the line lies within .04 K of the exact
curve, and what is read off it within some thousandths of a second (tested against the sum of
exponentials). A whole second is always a knot, so that a press cut off at one says what the longer
press said.

When a place first reaches a temperature, when it has been there for so many seconds, and how long
it is there in all are read off one thing: the stretches in which it is at or above it.

One number per sample may stand wherever a curve has a number: leading axes are samples.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike

from advisor.heat.layers import FloatArray, Quantity

__all__ = ["Curve", "Stretches", "above", "curve_through", "grid", "joined"]

_EARLY_S = np.arange(50) / 25
_TENTHS_S = np.arange(300) / 10
_WHOLE_S = np.arange(30, 3600, dtype=np.float64)
_INSTANT_S = 1e-9
_NOISE_K = 1e-9
"""Changes of temperature smaller than this are taken for round-off."""


@lru_cache(maxsize=256)
def grid(lasts_s: float, early: bool = True) -> FloatArray:
    """The times at which a phase of so many seconds is looked at, from 0 to its end.

    Args:
        lasts_s: how long the phase lasts.
        early: whether its first two seconds are looked at more closely than at every tenth.

    >>> [round(float(s), 3) for s in grid(0.1)]
    [0.0, 0.04, 0.08, 0.1]
    >>> grid(300.0).size
    601
    """
    first = [_EARLY_S, _TENTHS_S[20:]] if early else [_TENTHS_S]
    knots = np.concatenate([*first, _WHOLE_S])
    times = np.append(knots[: max(1, np.searchsorted(knots, lasts_s - _INSTANT_S))], lasts_s)
    times.setflags(write=False)
    return times


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """The temperature of a place over a whole course, in straight pieces.

    Where the place does not exist there is no piece.

    Args:
        since_s: when each piece begins, by the course's clock, in order, shape (pieces,).
        until_s: when it ends.
        from_c: the temperature at its beginning, °C, shape (…, pieces).
        to_c: the temperature at its end.
        settles_c: what the place would settle at if its last phase went on for ever, °C, shape
            (…); NaN when the place never exists.
    """

    since_s: FloatArray
    until_s: FloatArray
    from_c: FloatArray
    to_c: FloatArray
    settles_c: FloatArray

    def at(self, seconds: ArrayLike) -> FloatArray:
        """The temperature at each time, °C, shape (…, times).

        NaN where the place does not exist. At the moment between two phases it is the
        temperature at the end of the earlier one.
        """
        times = np.atleast_1d(np.asarray(seconds, dtype=np.float64))
        if not self.until_s.size:
            return np.full((*self.settles_c.shape, times.size), np.nan)
        piece = np.searchsorted(self.until_s, times).clip(max=self.until_s.size - 1)
        since, until = self.since_s[piece], self.until_s[piece]
        there = (times >= since) & (times <= until)
        share = (times - since) / np.maximum(until - since, _INSTANT_S)
        celsius = self.from_c[..., piece] * (1 - share) + self.to_c[..., piece] * share
        return np.where(there, celsius, np.nan)

    @property
    def hottest_c(self) -> FloatArray:
        """The highest temperature reached, °C, shape (…); NaN when the place never exists."""
        if not self.until_s.size:
            return np.full(self.settles_c.shape, np.nan)
        return np.asarray(np.maximum(self.from_c.max(axis=-1), self.to_c.max(axis=-1)))

    def until(self, clock_s: float) -> Curve:
        """The part of it before some time by the clock; at least its very beginning."""
        kept = slice(max(1, int(np.searchsorted(self.since_s, clock_s - _INSTANT_S))))
        until, to = self.until_s[kept].clip(max=clock_s), self.to_c[..., kept]
        since, begins = self.since_s[kept], self.from_c[..., kept]
        if until[-1] < self.until_s[kept][-1]:
            to = to.copy()
            to[..., -1] = self.at(until[-1])[..., 0]
        return Curve(since, until, begins, to, self.settles_c)

    def during(self, times: Iterable[tuple[float, float]]) -> Curve:
        """The parts of it that lie within some phases, each given by its beginning and end."""
        kept = np.zeros(self.since_s.shape, dtype=bool)
        for begins_s, ends_s in times:
            kept |= (self.since_s >= begins_s) & (self.until_s <= ends_s)
        return Curve(
            self.since_s[kept],
            self.until_s[kept],
            self.from_c[..., kept],
            self.to_c[..., kept],
            self.settles_c,
        )


def curve_through(
    begins_s: float, times_s: FloatArray, celsius: FloatArray, settles_c: FloatArray
) -> Curve:
    """The curve of one phase through its temperatures at the knots.

    Args:
        begins_s: when the phase begins, by the course's clock.
        times_s: seconds since then, shape (knots,).
        celsius: the temperatures there, shape (…, knots).
        settles_c: what the place would settle at, shape (…).
    """
    # As a course adds up its phases, so that a part cut out by its ends is found again.
    clock_s = begins_s + times_s
    return Curve(clock_s[:-1], clock_s[1:], celsius[..., :-1], celsius[..., 1:], settles_c)


def joined(curves: Sequence[Curve]) -> Curve:
    """One curve of the parts of several phases, in order; they may be apart."""
    if not curves:
        none = np.empty(0)
        return Curve(none, none, none, none, np.asarray(np.nan))
    shape = np.broadcast_shapes(*(curve.settles_c.shape for curve in curves))
    from_c, to_c = (
        np.concatenate([np.broadcast_to(part, (*shape, part.shape[-1])) for part in parts], axis=-1)
        for parts in ([curve.from_c for curve in curves], [curve.to_c for curve in curves])
    )
    return Curve(
        np.concatenate([curve.since_s for curve in curves]),
        np.concatenate([curve.until_s for curve in curves]),
        from_c,
        to_c,
        curves[-1].settles_c,
    )


@dataclass(frozen=True, slots=True, eq=False)
class Stretches:
    """When a place is at or above a temperature; made by :func:`above`.

    Args:
        since_s: when each stretch begins, by the course's clock, in order, shape (…, stretches).
        until_s: when it ends; before ``since_s`` in what is no stretch for a sample.
    """

    since_s: FloatArray
    until_s: FloatArray

    @property
    def seconds(self) -> FloatArray:
        """How long in all, s, shape (…)."""
        return self.seconds_by(math.inf)

    @property
    def first_s(self) -> FloatArray:
        """When it is there first, by the clock, shape (…); ``inf`` where it never is."""
        return np.asarray(self.since_s.min(axis=-1, initial=np.inf))

    def seconds_by(self, clock_s: float) -> FloatArray:
        """How long in all until some time by the clock, s, shape (…)."""
        lasting = np.minimum(self.until_s, clock_s) - self.since_s
        return np.asarray(np.maximum(lasting, 0.0).sum(axis=-1))

    def held_at(self, seconds: Quantity) -> FloatArray:
        """When it has been there for so many seconds in all, by the clock; ``inf`` for never.

        >>> warming = curve_through(0.0, grid(60.0), 20.0 + grid(60.0), np.asarray(80.0))
        >>> round(float(above(warming, 60.0).held_at(5.0)), 3)  # at 60 °C from 40 s on
        45.0
        """
        lasting = np.maximum(self.until_s - self.since_s, 0.0)
        so_far, wanted = np.cumsum(lasting, axis=-1), np.asarray(seconds)[..., None]
        reached = (so_far >= wanted - _INSTANT_S) & (self.until_s >= self.since_s)
        when = np.where(reached, self.until_s - (so_far - wanted), np.inf)
        return np.asarray(when.min(axis=-1, initial=np.inf))


def above(curve: Curve, temperature_c: Quantity, *, falling: bool = False) -> Stretches:
    """When a place is at or above a temperature (``falling``: at or below), all at once.

    Args:
        curve: the place's curve; the parts of it may be apart.
        temperature_c: °C, one number or one per sample of the curve.
        falling: the other way round.

    >>> warming = curve_through(0.0, grid(60.0), 20.0 + grid(60.0), np.asarray(80.0))
    >>> there = above(warming, 60.0)
    >>> round(float(there.first_s), 3), round(float(there.seconds), 3)
    (40.0, 20.0)
    >>> float(above(warming, 120.0).first_s)
    inf
    """
    wanted = np.asarray(temperature_c, dtype=np.float64)[..., None]
    sign = -1.0 if falling else 1.0
    before, after = sign * (curve.from_c - wanted), sign * (curve.to_c - wanted)
    was, will = before >= -_NOISE_K, after >= -_NOISE_K
    rise = np.where(was == will, 1.0, after - before)
    crossed = curve.since_s + (-before / rise) * (curve.until_s - curve.since_s)
    since = np.where(was, curve.since_s, np.where(will, crossed, np.inf))
    until = np.where(will, curve.until_s, np.where(was, crossed, -np.inf))
    return Stretches(since, until)
