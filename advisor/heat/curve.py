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
from numpy.typing import ArrayLike
from scipy.optimize import brentq

from advisor.heat.layers import FloatArray, Quantity
from rules.errors import BadInputError

__all__ = ["Curve", "Span", "Stretches", "above", "seconds_above", "seconds_until", "spans"]

_EARLIEST_S = 0.005
_INSTANT_S = 1e-9
"""In less than this nothing warms, and knots would fall together."""
_KNOTS_PER_DECADE = 10
_NOISE_K = 1e-9
"""Changes of temperature smaller than this are taken for round-off."""
_NEWTON_STEPS = 4


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
    """
    wanted = np.asarray(temperature_c, dtype=np.float64)
    shape = np.broadcast_shapes(curve.samples, wanted.shape)
    parts = [_within(span, wanted, falling, shape) for span in curve.spans]
    if len(parts) == 1:
        return Stretches(*parts[0])
    none = np.empty((*shape, 0))
    return Stretches(
        np.concatenate([none, *(since for since, _ in parts)], axis=-1),
        np.concatenate([none, *(until for _, until in parts)], axis=-1),
    )


def seconds_above(curve: Curve, temperature_c: Quantity) -> FloatArray:
    """How long a place is at or above a temperature in all, seconds, shape (…).

    Args:
        curve: the place's curve.
        temperature_c: °C, one number or one per sample of the curve.

    >>> import numpy as np
    >>> cooling = Curve(tuple(spans(0.0, 10.0, np.array([0.5]), [(np.array([80.0]), 20.0)])))
    >>> round(float(seconds_above(cooling, 60.0)), 3)  # ln 2 / 0.5
    1.386
    """
    return above(curve, temperature_c).seconds


def seconds_until(curve: Curve, temperature_c: Quantity, *, falling: bool = False) -> FloatArray:
    """When a place first reaches a temperature, on the course's clock; shape (…).

    Args:
        curve: the place's curve.
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
    return above(curve, temperature_c, falling=falling).first_s


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
    picked = np.nonzero(before * after < 0)
    if not picked[-1].size:
        return np.broadcast_to(times, values.shape), values
    knots_s = np.repeat(np.broadcast_to(times, values.shape), 2, axis=-1)[..., :-1]
    knots_c = np.repeat(values, 2, axis=-1)[..., :-1]
    rate, swing = rates[picked[:-1]], swings[picked[:-1]]
    moments = _roots(
        rate, -rate * swing, np.zeros(len(rate)),
        (times[picked[-1]], times[picked[-1] + 1]), (before[picked], after[picked]),
    )  # fmt: skip
    odd = (*picked[:-1], 2 * picked[-1] + 1)
    knots_s[odd] = moments
    knots_c[odd] = settles[picked[:-1]] + (swing * np.exp(-rate * moments[:, None])).sum(axis=-1)
    return knots_s, knots_c


def _within(
    span: Span, wanted: FloatArray, falling: bool, shape: tuple[int, ...]
) -> tuple[FloatArray, FloatArray]:
    """Since and until when in each part between two knots; ∞ and −∞ where not at all."""
    if shape != span.settles_c.shape:
        span = _broadcast(span, shape)
    away = span.knots_c - wanted[..., None]
    there = away <= _NOISE_K if falling else away >= -_NOISE_K
    since = np.where(there[..., :-1], span.knots_s[..., :-1], np.inf)
    until = np.where(there[..., 1:], span.knots_s[..., 1:], -np.inf)
    crossed = np.nonzero(there[..., :-1] != there[..., 1:])
    if crossed[-1].size:
        of, after = crossed[:-1], (*crossed[:-1], crossed[-1] + 1)
        wants = np.broadcast_to(wanted, shape)[of]
        moments = _roots(
            span.rates_per_s[of], span.swings_c[of], span.settles_c[of] - wants,
            (span.knots_s[crossed], span.knots_s[after]), (away[crossed], away[after]),
        )  # fmt: skip
        since[crossed] = np.minimum(since[crossed], moments)
        until[crossed] = np.maximum(until[crossed], moments)
    return since + span.begins_s, until + span.begins_s


def _broadcast(span: Span, shape: tuple[int, ...]) -> Span:
    """The same span once for every sample."""
    rates, swings, knots_s, knots_c = (
        np.broadcast_to(array, (*shape, array.shape[-1]))
        for array in (span.rates_per_s, span.swings_c, span.knots_s, span.knots_c)
    )
    settles = np.broadcast_to(span.settles_c, shape)
    return Span(span.begins_s, span.lasts_s, rates, swings, settles, knots_s, knots_c)


def _roots(
    rates: FloatArray,
    swings: FloatArray,
    constant: FloatArray,
    between_s: tuple[FloatArray, FloatArray],
    values: tuple[FloatArray, FloatArray],
) -> FloatArray:
    """Where ``constant + Σ swings·exp(−rates·t)`` passes 0 between two times, given its ends there.

    Newton's method from where the chord passes 0, which a few steps bring to round-off unless the
    curve turns nearby; Brent's method where they do not. Shapes: (roots, terms), (roots,).
    """
    rates, swings, constant = np.atleast_2d(rates), np.atleast_2d(swings), np.atleast_1d(constant)
    low, high = between_s
    value_and_slope = np.stack([swings, -rates * swings], axis=1)
    moment = low + (high - low) * (values[0] / (values[0] - values[1]))
    for _ in range(_NEWTON_STEPS):
        moment = np.minimum(np.maximum(moment, low), high)
        decay = np.exp(-rates * moment[:, None])
        sums = (value_and_slope @ decay[..., None])[..., 0]
        slope = sums[:, 1]
        step = (sums[:, 0] + constant) / np.where(slope == 0, 1.0, slope)
        moment = moment - step
    inside = (moment >= low) & (moment <= high)
    # Newton's next error is about the square of its last step.
    unsure = ~inside | (np.abs(step) > 1e-6 * moment)
    if unsure.any():
        rates, swings = (np.broadcast_to(a, (*moment.shape, a.shape[-1])) for a in (rates, swings))
        constant = np.broadcast_to(constant, moment.shape)
        moment[unsure] = [
            _root(*of_one)
            for of_one in zip(
                rates[unsure], swings[unsure], constant[unsure], low[unsure], high[unsure],
                strict=True,
            )
        ]  # fmt: skip
    return moment


def _root(rates: FloatArray, swings: FloatArray, constant: float, low: float, high: float) -> float:
    def value(seconds: float) -> float:
        return float(constant + swings @ np.exp(-rates * seconds))

    if value(low) * value(high) < 0:
        return float(brentq(value, low, high, xtol=1e-15))
    return min(low, high, key=lambda end: abs(value(end)))
