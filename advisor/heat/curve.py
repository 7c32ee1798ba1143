"""The temperature of one place against time, exactly, and what is read off it.

In a stack whose layers and surroundings stay as they are, the temperature of a place is a constant
and a sum of decaying exponentials. A :class:`Curve` keeps these terms for every phase that the
place lives through. It also keeps where the curve turns, so that between two of its knots it only
rises or only falls: a crossing can then be neither missed nor counted twice.

When a place first reaches a temperature, when it has been there for so many seconds, and how long
it is there in all are read off one thing: the stretches in which it is at or above it.

One number per sample may stand wherever a curve has a number: leading axes are samples.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from advisor.heat.layers import FloatArray, Quantity
from rules.errors import BadInputError

__all__ = ["Curve", "Span", "Stretches", "above", "spans"]

_EARLIEST_S = 0.005
_INSTANT_S = 1e-9
"""In less than this nothing warms, and knots would fall together."""
_KNOTS_PER_DECADE = 10
_NOISE_K = 1e-9
"""Changes of temperature smaller than this are taken for round-off."""
_MOST_STEPS = 60
_CLOSE_ENOUGH = 1e-10
"""A last step of so small a share of the time; the next error is about its square."""


@dataclass(frozen=True, slots=True, eq=False)
class Span:
    """A curve within one phase: ``settles_c + Σ swings_c · exp(−rates_per_s · t)``.

    Args:
        begins_s: when the phase begins, on the clock of the whole course.
        lasts_s: how long it lasts.
        rates_per_s: decay rates, shape (…, terms).
        swings_c: what each term adds at the beginning, K, shape (…, terms).
        settles_c: the temperature that the place would settle at, shape (…).
        knots_s: times since the beginning, shape (…, knots), between which it is monotone.
        knots_c: the temperatures there.
    """

    begins_s: float
    lasts_s: float
    rates_per_s: FloatArray
    swings_c: FloatArray
    settles_c: FloatArray
    knots_s: FloatArray
    knots_c: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """The temperature of a place over a whole course, phase by phase.

    A place whose layer is absent from a phase has no span there.
    """

    spans: tuple[Span, ...]

    def at(self, seconds: ArrayLike) -> FloatArray:
        """The temperature at each time, °C, shape (…, times).

        NaN where the place does not exist. At the moment between two phases it is the
        temperature at the end of the earlier one.
        """
        times = np.atleast_1d(np.asarray(seconds, dtype=np.float64))
        celsius = np.full((*self.samples, times.size), np.nan)
        for span in reversed(self.spans):
            inside = (times >= span.begins_s) & (times <= span.begins_s + span.lasts_s)
            if inside.any():
                decay = _decay(span.rates_per_s, times[inside] - span.begins_s)
                celsius[..., inside] = _sum(decay, span.swings_c, span.settles_c)
        return celsius

    @property
    def hottest_c(self) -> FloatArray:
        """The highest temperature reached, °C, shape (…); NaN when the place never exists."""
        hottest = np.asarray(np.nan)
        for span in self.spans:
            hottest = np.fmax(hottest, span.knots_c.max(axis=-1))
        return hottest

    @property
    def settles_c(self) -> FloatArray:
        """What the place would settle at if its last phase went on for ever, °C, shape (…)."""
        return self.spans[-1].settles_c if self.spans else np.asarray(np.nan)

    @property
    def samples(self) -> tuple[int, ...]:
        """The leading axes of everything that is read off it."""
        return np.broadcast_shapes(*(span.settles_c.shape for span in self.spans))


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

        >>> warming = Curve(tuple(spans(0.0, 60.0, np.array([0.1]), [(np.array([-80.0]), 100.0)])))
        >>> round(float(above(warming, 60.0).held_at(5.0)), 3)  # 10 · ln 2 until it is there
        11.931
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

    >>> warming = Curve(tuple(spans(0.0, 60.0, np.array([0.1]), [(np.array([-80.0]), 100.0)])))
    >>> there = above(warming, 60.0)
    >>> round(float(there.first_s), 3), round(float(there.seconds), 3)  # from 10 · ln 2 on
    (6.931, 53.069)
    >>> float(above(warming, 120.0).first_s)
    inf
    """
    wanted = np.asarray(temperature_c, dtype=np.float64)
    shape = np.broadcast_shapes(curve.samples, wanted.shape)
    none = np.empty((*shape, 0))
    parts = [(none, none), *(_within(span, wanted, falling, shape) for span in curve.spans)]
    since_s, until_s = (np.concatenate(ends, axis=-1) for ends in zip(*parts, strict=True))
    return Stretches(since_s, until_s)


def spans(
    begins_s: float,
    lasts_s: float,
    rates_per_s: FloatArray,
    terms: Sequence[tuple[FloatArray, Quantity]],
) -> list[Span]:
    """One span for each place, from its swings and the temperature it settles at.

    The places share the decay rates, and so the costly exponentials.

    Args:
        begins_s: when the phase begins.
        lasts_s: how long it lasts, 0 or more.
        rates_per_s: shape (…, terms), each 0 or more.
        terms: for each place its swings, shape (…, terms), and where it settles, shape (…).

    >>> import numpy as np
    >>> [span] = spans(0.0, 9.0, np.array([1.0, 2.0]), [(np.array([-8.0, 6.0]), 20.0)])
    >>> round(float(span.knots_c.min()), 3)  # it falls to e⁻¹ = 2/3, then rises again
    17.333
    """
    if not (math.isfinite(lasts_s) and lasts_s >= 0):
        raise BadInputError(f"is {lasts_s:g}; it must be 0 s or more", field="seconds")
    if not terms:
        return []
    times = _knot_times(lasts_s)
    swings = np.stack([swing for swing, _ in terms])
    settles = np.stack([np.broadcast_to(settle, swings.shape[1:-1]) for _, settle in terms])
    rates = np.broadcast_to(rates_per_s, swings.shape)
    still = rates == 0
    if still.any():
        settles = settles + np.where(still, swings, 0.0).sum(axis=-1)
        swings = np.where(still, 0.0, swings)
    decay = _decay(rates_per_s, times)
    values = _sum(decay, swings, settles)
    slopes = _sum(decay, -rates * swings, 0.0)
    knots_s, knots_c = _turns(times, values, slopes, rates, swings, settles)
    return [
        Span(begins_s, lasts_s, *of_place)
        for of_place in zip(rates, swings, settles, knots_s, knots_c, strict=True)
    ]


@lru_cache(maxsize=256)
def _knot_times(lasts_s: float) -> FloatArray:
    if lasts_s < _INSTANT_S:
        return np.array([0.0, lasts_s])
    earliest = min(_EARLIEST_S, lasts_s / 20)
    count = math.ceil(_KNOTS_PER_DECADE * math.log10(lasts_s / earliest)) + 1
    return np.concatenate([[0.0], np.geomspace(earliest, lasts_s, count)])


def _decay(rates_per_s: FloatArray, times_s: FloatArray) -> FloatArray:
    return np.asarray(np.exp(-rates_per_s[..., None, :] * times_s[:, None]))


def _sum(decay: FloatArray, swings: FloatArray, constant: Quantity) -> FloatArray:
    return np.asarray((decay @ swings[..., None])[..., 0] + np.asarray(constant)[..., None])


def _turns(
    times: FloatArray,
    values: FloatArray,
    slopes: FloatArray,
    rates: FloatArray,
    swings: FloatArray,
    settles: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """The knots with every turning point put between its neighbours."""
    steps = np.diff(times)
    # A deep place does not move at first and its slope is round-off of either sign.
    before = np.where(np.abs(slopes[..., :-1]) * steps < _NOISE_K, 0.0, slopes[..., :-1])
    after = np.where(np.abs(slopes[..., 1:]) * steps < _NOISE_K, 0.0, slopes[..., 1:])
    turns = np.nonzero(before * after < 0)
    if not turns[-1].size:
        return np.broadcast_to(times, values.shape), values
    knots_s = np.repeat(np.broadcast_to(times, values.shape), 2, axis=-1)[..., :-1]
    knots_c = np.repeat(values, 2, axis=-1)[..., :-1]
    *of, at = turns
    rate, swing = rates[tuple(of)], swings[tuple(of)]
    still = np.zeros(at.size)
    moments = _roots(rate, -rate * swing, still, times[at], times[at + 1], after[turns] > 0)
    between = (*of, 2 * at + 1)
    knots_s[between] = moments
    knots_c[between] = settles[tuple(of)] + (swing * np.exp(-rate * moments[:, None])).sum(axis=-1)
    return knots_s, knots_c


def _within(
    span: Span, wanted: FloatArray, falling: bool, shape: tuple[int, ...]
) -> tuple[FloatArray, FloatArray]:
    """Since and until when in each part between two knots; ∞ and −∞ where not at all."""
    rates, swings, knots_s, knots_c = (
        np.broadcast_to(array, (*shape, array.shape[-1]))
        for array in (span.rates_per_s, span.swings_c, span.knots_s, span.knots_c)
    )
    away = knots_c - wanted[..., None]
    there = away <= _NOISE_K if falling else away >= -_NOISE_K
    since = np.where(there[..., :-1], knots_s[..., :-1], np.inf)
    until = np.where(there[..., 1:], knots_s[..., 1:], -np.inf)
    crossed = np.nonzero(there[..., :-1] != there[..., 1:])
    if crossed[-1].size:
        of, after = crossed[:-1], (*crossed[:-1], crossed[-1] + 1)
        missing = np.broadcast_to(span.settles_c - wanted, shape)[of]
        rising = there[after] != falling
        moments = _roots(rates[of], swings[of], missing, knots_s[crossed], knots_s[after], rising)
        since[crossed] = np.minimum(since[crossed], moments)
        until[crossed] = np.maximum(until[crossed], moments)
    return since + span.begins_s, until + span.begins_s


def _roots(
    rates: FloatArray,
    swings: FloatArray,
    constant: FloatArray,
    low: FloatArray,
    high: FloatArray,
    rising: NDArray[np.bool_],
) -> FloatArray:
    """Where ``constant + Σ swings·exp(−rates·t)`` passes 0 between two times.

    Newton's method, which halves what is left wherever a step would leave it. Shapes: (roots,
    terms) and (roots,). A value that never passes 0 comes nearest to it at an end, which is given.
    """
    rates, swings = np.atleast_2d(rates), np.atleast_2d(swings)
    moment = (low + high) / 2
    for _ in range(_MOST_STEPS):
        parts = swings * np.exp(-rates * moment[:, None])
        value, slope = constant + parts.sum(axis=-1), -(rates * parts).sum(axis=-1)
        early = (value < 0) == rising
        low, high = np.where(early, moment, low), np.where(early, high, moment)
        onward = moment - value / np.where(slope == 0, np.inf, slope)
        onward = np.where((onward > low) & (onward < high), onward, (low + high) / 2)
        if (np.abs(onward - moment) <= _CLOSE_ENOUGH * high).all():
            return onward
        moment = onward
    return moment
