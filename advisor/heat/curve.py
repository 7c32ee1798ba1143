"""The temperature of one place against time, exactly, and what is read off it.

In a stack whose layers and surroundings stay as they are, the temperature of a place is a constant
and a sum of decaying exponentials. A :class:`Curve` keeps these terms for every phase that the
place lives through. It also keeps where the curve turns, so that between two of its knots it only
rises or only falls: a crossing can then be neither missed nor counted twice.

One number per sample may stand wherever a curve has a number: leading axes are samples.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from advisor.heat.layers import FloatArray, Quantity
from rules.errors import BadInputError

__all__ = ["Curve", "Span", "roots", "seconds_above", "seconds_until", "spans"]

_EARLIEST_S = 0.005
_INSTANT_S = 1e-9
"""In less than this nothing warms, and knots would fall together."""
_KNOTS_PER_DECADE = 10
_NOISE_K = 1e-9
"""Changes of temperature smaller than this are taken for round-off."""


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
        shape = np.shape(self.spans[0].settles_c) if self.spans else ()
        celsius = np.full((*shape, times.size), np.nan)
        for span in reversed(self.spans):
            inside = (times >= span.begins_s) & (times <= span.begins_s + span.lasts_s)
            if inside.any():
                terms = _decay(span.rates_per_s, times[inside] - span.begins_s)
                celsius[..., inside] = _sum(terms, span.swings_c, span.settles_c)
        return celsius

    def between(self, begins_s: float, ends_s: float = math.inf) -> Curve:
        """The part of the curve within a stretch of time, on the same clock."""
        parts: list[Span] = []
        for span in self.spans:
            start = max(begins_s, span.begins_s)
            stop = min(ends_s, span.begins_s + span.lasts_s)
            if start > stop or (start == stop and span.lasts_s > 0):
                continue
            if start == span.begins_s and stop - start == span.lasts_s:
                parts.append(span)
            else:
                swings = span.swings_c * np.exp(-span.rates_per_s * (start - span.begins_s))
                parts += spans(start, stop - start, span.rates_per_s, [(swings, span.settles_c)])
        return Curve(tuple(parts))

    @property
    def hottest_c(self) -> FloatArray:
        """The highest temperature reached, °C, shape (…); NaN when the place never exists."""
        return self._extreme(np.fmax)

    @property
    def coldest_c(self) -> FloatArray:
        """The lowest temperature, °C, shape (…); NaN when the place never exists."""
        return self._extreme(np.fmin)

    @property
    def settles_c(self) -> FloatArray:
        """What the place would settle at if its last phase went on for ever, °C, shape (…)."""
        return self.spans[-1].settles_c if self.spans else np.asarray(np.nan)

    def _extreme(self, better: np.ufunc) -> FloatArray:
        extreme = np.asarray(np.nan)
        for span in self.spans:
            extreme = better(extreme, better.reduce(span.knots_c, axis=-1))
        return extreme


def seconds_above(curve: Curve, temperature_c: Quantity) -> FloatArray:
    """How long a place is at or above a temperature in all, seconds, shape (…).

    Args:
        curve: the place's curve; ``curve.between(a, b)`` counts within a stretch only.
        temperature_c: °C, one number or one per sample of the curve.

    >>> import numpy as np
    >>> cooling = Curve(tuple(spans(0.0, 10.0, np.array([0.5]), [(np.array([80.0]), 20.0)])))
    >>> round(float(seconds_above(cooling, 60.0)), 3)  # ln 2 / 0.5
    1.386
    """
    total = np.asarray(0.0)
    for span in curve.spans:
        above = span.knots_c >= np.asarray(temperature_c)[..., None]
        length = np.diff(span.knots_s)
        part = np.where(above[..., :-1] & above[..., 1:], length, 0.0)
        crosses = above[..., :-1] != above[..., 1:]
        if crosses.any():
            moments = _crossings(span, crosses, temperature_c)
            rising = above[..., 1:][crosses]
            since, until = span.knots_s[..., :-1][crosses], span.knots_s[..., 1:][crosses]
            part[crosses] = np.where(rising, until - moments, moments - since)
        total = total + part.sum(axis=-1)
    return total


def seconds_until(curve: Curve, temperature_c: Quantity, *, falling: bool = False) -> FloatArray:
    """When a place first reaches a temperature, on the course's clock; shape (…).

    Args:
        curve: the place's curve; ``curve.between(t)`` looks from ``t`` on only.
        temperature_c: what is to be reached, °C, one number or one per sample.
        falling: first time at or below it instead of at or above it.

    Returns:
        Seconds; ``inf`` where it is not reached within the course. Then ``curve.hottest_c``
        tells how near it came and ``curve.settles_c`` whether longer would help.

    >>> import numpy as np
    >>> warming = Curve(tuple(spans(0.0, 60.0, np.array([0.1]), [(np.array([-80.0]), 100.0)])))
    >>> round(float(seconds_until(warming, 60.0)), 3)  # 10 · ln 2
    6.931
    >>> float(seconds_until(warming, 120.0))
    inf
    """
    shape = np.shape(curve.spans[0].settles_c) if curve.spans else ()
    first = np.full(shape, np.inf)
    for span in curve.spans:
        target = np.asarray(temperature_c)[..., None]
        there = span.knots_c <= target + _NOISE_K if falling else span.knots_c >= target - _NOISE_K
        seconds = np.where(there[..., 0], span.begins_s, np.inf)
        enters = ~there[..., :-1] & there[..., 1:]
        enters &= np.cumsum(enters, axis=-1) == 1
        enters &= ~there[..., :1] & np.isinf(first)[..., None]
        if enters.any():
            moments = _crossings(span, enters, temperature_c)
            seconds[enters.any(axis=-1)] = span.begins_s + moments
        first = np.minimum(first, seconds)
    return first


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
    decay = _decay(rates_per_s, times)
    swings = np.stack([swing for swing, _ in terms])
    rates = np.broadcast_to(rates_per_s, swings.shape)
    still = rates == 0
    settles = np.stack([np.broadcast_to(settle, swings.shape[1:-1]) for _, settle in terms])
    constant = settles + np.where(still, swings, 0.0).sum(axis=-1)
    swings = np.where(still, 0.0, swings)
    values = _sum(decay, swings, constant)
    slopes = _sum(decay, -rates * swings, np.zeros_like(constant))
    knots_s, knots_c = _turns(times, values, slopes, rates, swings, constant)
    return [
        Span(begins_s, lasts_s, rates_per_s, *of_place)
        for of_place in zip(swings, constant, knots_s, knots_c, strict=True)
    ]


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
    constant: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """The knots with every turning point put between its neighbours."""
    steps = np.diff(times)
    # A deep place does not move at first and its slope is round-off of either sign.
    falling = np.where(np.abs(slopes[..., :-1]) * steps < _NOISE_K, 0.0, np.sign(slopes[..., :-1]))
    rising = np.where(np.abs(slopes[..., 1:]) * steps < _NOISE_K, 0.0, np.sign(slopes[..., 1:]))
    turning = falling * rising < 0
    knots_s = np.broadcast_to(np.repeat(times, 2)[:-1], (*constant.shape, 2 * times.size - 1))
    knots_c = np.repeat(values, 2, axis=-1)[..., :-1]
    if turning.any():
        picked = np.nonzero(turning)
        sample = picked[:-1]
        rate, swing = rates[sample], swings[sample]
        low, high = times[picked[-1]], times[picked[-1] + 1]
        moments = roots(rate, -rate * swing, np.zeros_like(low), low, high)
        knots_s = knots_s.copy()
        odd = (*sample, 2 * picked[-1] + 1)
        knots_s[odd] = moments
        knots_c[odd] = constant[sample] + (swing * np.exp(-rate * moments[:, None])).sum(axis=-1)
    return knots_s, knots_c


def _crossings(span: Span, pieces: np.ndarray, temperature_c: Quantity) -> FloatArray:
    picked = np.nonzero(pieces)
    sample = picked[:-1]
    wanted = np.broadcast_to(np.asarray(temperature_c, dtype=np.float64), pieces.shape[:-1])
    return roots(
        np.broadcast_to(span.rates_per_s, span.swings_c.shape)[sample],
        span.swings_c[sample],
        span.settles_c[sample] - wanted[sample],
        span.knots_s[..., :-1][picked],
        span.knots_s[..., 1:][picked],
    )


def roots(
    rates: FloatArray, swings: FloatArray, constant: FloatArray, low: FloatArray, high: FloatArray
) -> FloatArray:
    """Where ``constant + Σ swings·exp(−rates·t)`` is 0 between ``low`` and ``high``.

    Newton's method, halving the bracket whenever Newton would leave it or gains too little
    (Press et al., Numerical Recipes, section 9.4). Shapes: (roots, terms), (roots,).
    """
    rates, swings = np.atleast_2d(rates), np.atleast_2d(swings)
    low, high, constant = (np.atleast_1d(array) for array in (low, high, constant))
    starts_below = constant + (swings * np.exp(-rates * low[:, None])).sum(axis=-1) < 0
    moment = (low + high) / 2
    before = high - low
    for _ in range(100):
        parts = swings * np.exp(-rates * moment[:, None])
        value = constant + parts.sum(axis=-1)
        slope = -(rates * parts).sum(axis=-1)
        left = (value < 0) == starts_below
        low, high = np.where(left, moment, low), np.where(left, high, moment)
        step = -value / np.where(slope == 0, 1.0, slope)
        newton = moment + step
        good = (slope != 0) & (low <= newton) & (newton <= high)
        good &= np.abs(step) < np.abs(before) / 2
        moved = np.where(good, newton, (low + high) / 2)
        before = moved - moment
        moment = moved
        if np.all(np.abs(before) <= 1e-13 * (1 + moment)):
            break
    return moment
