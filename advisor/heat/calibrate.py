"""Calibration: fit what a shop cannot look up to temperatures that it has read.

A temperature strip or a probe laid at a place in the stack, under a known setpoint for a known
time, says something about the contact at the platen and the conductivity of the pad. This fits
such unknowns by least squares on their logarithms, with 95 % intervals from the Jacobian
(Seber & Wild, *Nonlinear Regression*, section 5.1: estimate ± t · standard error), and refuses
where the readings cannot tell.

It knows nothing of films or presses: the caller gives a function that builds the schedule from the
unknowns. What it leaves out: a probe disturbs what it measures, a strip shows steps and its
hottest only, and the readings are taken to err alike and independently. An interval holds for
errors of reading; it does not cover a wrong stack.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import least_squares
from scipy.special import stdtrit

from advisor.heat.conduction import ROOM_C, configure
from advisor.heat.layers import Boundary, FloatArray, Layer, LayerSide, cell_shares
from advisor.heat.records import Estimate
from rules.errors import BadInputError, PressloreError

__all__ = ["Build", "Calibration", "CannotTellError", "Pressed", "Reading", "Unknown", "calibrate"]

_SPARE_READINGS = 2
_CONFIDENCE = 0.95


@dataclass(frozen=True, slots=True)
class Pressed:
    """A stack as warm as the room on which a platen is closed for so many seconds."""

    layers: tuple[Layer, ...]
    platen: Boundary
    under: Boundary
    seconds: float


Build = Callable[[Mapping[str, float], float], Pressed]
"""From the unknowns by name and a setpoint in °C, what was pressed."""


class CannotTellError(PressloreError):
    """The readings do not tell an unknown; the message says which and what would."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A temperature that was read.

    Args:
        place: where in the stack.
        setpoint_c: what the press was set to, °C.
        seconds: when, from the beginning of the schedule.
        celsius: what was read, °C.
    """

    place: LayerSide
    setpoint_c: float
    seconds: float
    celsius: float


@dataclass(frozen=True, slots=True)
class Unknown:
    """A positive number to be found, with where to begin and the range it can lie in.

    Raises:
        BadInputError: not ``0 < least < start < most``.

    >>> Unknown("contact_w_m2k", start=1000.0, least=50.0, most=20_000.0).name
    'contact_w_m2k'
    """

    name: str
    start: float
    least: float
    most: float

    def __post_init__(self) -> None:
        if not 0 < self.least < self.start < self.most < math.inf:
            raise BadInputError(
                f"runs from {self.least:g} by {self.start:g} to {self.most:g};"
                " it must be 0 < least < start < most",
                field=self.name,
            )


@dataclass(frozen=True, slots=True)
class Calibration:
    """What the readings say.

    Args:
        estimates: by the unknown's name.
        typical_error_k: root mean square of what is left between readings and fit, with the
            spare readings as divisor, K.
        readings: how many were used.
    """

    estimates: Mapping[str, Estimate]
    typical_error_k: float
    readings: int


def calibrate(
    readings: Sequence[Reading],
    build: Build,
    unknowns: Sequence[Unknown],
    *,
    reading_error_k: float = 0.5,
    widest_factor: float = 3.0,
) -> Calibration:
    """Fit the unknowns to the readings.

    Args:
        readings: at least two more than there are unknowns.
        reading_error_k: the least standard error of a reading, K. Readings that happen to agree
            better than that do not make the interval narrower.
        widest_factor: an interval that reaches further than this factor is no answer.

    Raises:
        BadInputError: too few readings, or one at a place or time that the schedule lacks.
        CannotTellError: the readings do not tell an unknown, or not apart from another.

    Readings by a known contact conductance find it again:

    >>> from advisor.heat.layers import Boundary, Layer
    >>> cloth = Layer("cloth", 500.0, 0.07, 500.0, 1300.0)
    >>> def build(unknowns, setpoint_c):
    ...     platen = Boundary(setpoint_c, unknowns["contact_w_m2k"])
    ...     return Pressed((cloth,), platen, Boundary(20.0, 100.0), 30.0)
    >>> under = LayerSide("cloth", "back")
    >>> readings = [
    ...     Reading(under, 150.0, seconds, celsius)
    ...     for seconds, celsius in ((2.0, 82.026), (4.0, 89.921), (8.0, 90.674), (16.0, 90.680))
    ... ]
    >>> found = calibrate(readings, build, [Unknown("contact_w_m2k", 300.0, 50.0, 9000.0)])
    >>> round(found.estimates["contact_w_m2k"].value)
    800
    >>> calibrate(readings[:2], build, [Unknown("contact_w_m2k", 300.0, 50.0, 9000.0)])
    Traceback (most recent call last):
    rules.errors.BadInputError: readings: are 2; to find 1 unknown takes at least 3
    """
    count, least = len(readings), len(unknowns) + _SPARE_READINGS
    if not unknowns:
        raise BadInputError("is empty; name at least one number to find", field="unknowns")
    if count < least:
        plural = "" if len(unknowns) == 1 else "s"
        raise BadInputError(
            f"are {count}; to find {len(unknowns)} unknown{plural} takes at least {least}",
            field="readings",
        )
    read = np.array([reading.celsius for reading in readings], dtype=np.float64)
    # A cell more or less between two guesses would drown the slope that the fit looks for.
    first_guess = build({u.name: u.start for u in unknowns}, readings[0].setpoint_c).layers
    cells = [cell_shares(layer, fine_back=layer is not first_guess[-1]) for layer in first_guess]

    def residual(logs: FloatArray) -> FloatArray:
        values = {u.name: float(v) for u, v in zip(unknowns, np.exp(logs), strict=True)}
        return np.asarray(_predicted(readings, build, values, cells) - read)

    low, high = np.log([u.least for u in unknowns]), np.log([u.most for u in unknowns])
    fit = least_squares(
        residual,
        np.log([u.start for u in unknowns]),
        bounds=(low, high),
        jac="3-point",
        xtol=1e-10,
        ftol=1e-12,
        gtol=1e-12,
    )
    spare = count - len(unknowns)
    error_k = math.sqrt(float(fit.fun @ fit.fun) / spare)
    spread = _log_half_widths(np.asarray(fit.jac), max(error_k, reading_error_k), spare)
    estimates: dict[str, Estimate] = {}
    for n, unknown in enumerate(unknowns):
        value, half = math.exp(fit.x[n]), float(spread[n])
        at_end = min(fit.x[n] - low[n], high[n] - fit.x[n]) < 1e-3 * (high[n] - low[n])
        if at_end:
            raise CannotTellError(
                f"{unknown.name}: the readings push it to {value:.3g}, the end of the range from"
                f" {unknown.least:g} to {unknown.most:g}; check the stack, the setpoint and the"
                " places of the readings"
            )
        if not half <= math.log(widest_factor):
            raise CannotTellError(
                f"{unknown.name}: these readings do not tell it within a factor of"
                f" {widest_factor:g}; read earlier and later times, or a place nearer to it"
            )
        widest = math.exp(half)
        estimates[unknown.name] = Estimate(value=value, low=value / widest, high=value * widest)
    return Calibration(estimates, error_k, count)


def _predicted(
    readings: Sequence[Reading],
    build: Build,
    values: Mapping[str, float],
    cells: Sequence[FloatArray],
) -> FloatArray:
    """What each reading would be; a setpoint's stack is solved once for all its readings."""
    celsius = np.empty(len(readings))
    for setpoint_c in sorted({reading.setpoint_c for reading in readings}):
        pressed = build(values, setpoint_c)
        stack = configure(pressed.layers, front=pressed.platen, back=pressed.under, shares=cells)
        for n, reading in enumerate(readings):
            if reading.setpoint_c != setpoint_c:
                continue
            if not 0 <= reading.seconds <= pressed.seconds:
                raise BadInputError(
                    f"is {reading.seconds:g} s; the press ends at {pressed.seconds:g} s",
                    field=f"readings.{n}.seconds",
                )
            field_c = stack.field_at(ROOM_C, reading.seconds)
            celsius[n] = stack.read(field_c, reading.place)[0]
    return celsius


def _log_half_widths(jacobian: FloatArray, error_k: float, spare: int) -> FloatArray:
    """Half of each unknown's interval on the logarithm; infinite where it has no effect."""
    _, sizes, axes = np.linalg.svd(jacobian, full_matrices=False)
    if sizes[-1] <= sizes[0] * 1e-8:
        return np.full(jacobian.shape[1], np.inf)
    variance = ((axes.T / sizes) ** 2).sum(axis=1) * error_k**2
    quantile = float(stdtrit(spare, 0.5 + _CONFIDENCE / 2))
    return np.asarray(quantile * np.sqrt(variance))
