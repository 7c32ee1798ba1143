"""Calibration: known numbers are found again from noisy readings, or the readings are refused."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from advisor.heat.calibrate import (
    Calibration,
    CannotTellError,
    Pressed,
    Reading,
    Unknown,
    calibrate,
)
from advisor.heat.layers import Boundary, Layer, LayerSide
from rules.errors import BadInputError

Floats = NDArray[np.float64]
ROOM_C, BED_W_M2K = 20.0, 60.0
CLOTH = Layer("cloth", 450.0, 0.07, 500.0, 1300.0)
UNDER = LayerSide("cloth", "back")
CONTACT = Unknown("contact_w_m2k", start=400.0, least=50.0, most=20_000.0)
PAD = Unknown("pad_conductivity_w_mk", start=0.12, least=0.01, most=1.0)
TRUE = {"contact_w_m2k": 850.0, "pad_conductivity_w_mk": 0.05}
TIMES = np.array([2.0, 4.0, 6.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0])
SETPOINTS = (140.0, 165.0)


def build(unknowns: Mapping[str, float], setpoint_c: float) -> Pressed:
    pad = Layer("pad", 6000.0, unknowns.get("pad_conductivity_w_mk", 0.05), 150.0, 1500.0)
    platen = Boundary(setpoint_c, unknowns.get("contact_w_m2k", 850.0))
    return Pressed((CLOTH, pad), platen, Boundary(ROOM_C, BED_W_M2K), 60.0)


def read_by_an_integrator(setpoint_c: float) -> Floats:
    """The temperature under the cloth by marching nodes in time: no line shared with the solver."""
    rows = [(450e-6, 0.07, 500.0 * 1300.0, 60), (6e-3, 0.05, 150.0 * 1500.0, 240)]
    link = np.concatenate([np.full(n, k * n / thick) for thick, k, _, n in rows])
    heat = np.zeros(link.size + 1)
    at = 0
    for thick, _, capacity, n in rows:
        heat[at : at + n + 1] += capacity * thick / n / np.array([0.5, *[1.0] * (n - 1), 0.5])
        at += n
    heat[0], heat[60], heat[-1] = (
        450e-6 / 120 * 650e3,
        450e-6 / 120 * 650e3 + 6e-3 / 480 * 225e3,
        6e-3 / 480 * 225e3,
    )

    def change(_: float, celsius: Floats) -> Floats:
        gain = np.zeros_like(celsius)
        flow = link * np.diff(celsius)
        gain[:-1] += flow
        gain[1:] -= flow
        gain[0] += TRUE["contact_w_m2k"] * (setpoint_c - celsius[0])
        gain[-1] += BED_W_M2K * (ROOM_C - celsius[-1])
        return np.asarray(gain / heat)

    start = np.full(heat.size, ROOM_C)
    marched = solve_ivp(
        change, (0.0, 60.0), start, method="BDF", t_eval=TIMES, rtol=1e-7, atol=1e-6
    )
    return np.asarray(marched.y[60])


@pytest.fixture(scope="module")
def clean() -> dict[float, Floats]:
    return {setpoint_c: read_by_an_integrator(setpoint_c) for setpoint_c in SETPOINTS}


def noisy(clean: dict[float, Floats], random: np.random.Generator, error_k: float) -> list[Reading]:
    return [
        Reading(UNDER, setpoint_c, float(t), float(c + error_k * random.standard_normal()))
        for setpoint_c, celsius in clean.items()
        for t, c in zip(TIMES, celsius, strict=True)
    ]


@pytest.mark.slow
def test_contact_and_pad_are_found_again_from_noisy_readings(clean: dict[float, Floats]) -> None:
    found = calibrate(noisy(clean, np.random.default_rng(1), 1.5), build, [CONTACT, PAD])
    assert found.readings == 18
    assert found.typical_error_k == pytest.approx(1.5, rel=0.5)
    for name, true in TRUE.items():
        estimate = found.estimates[name]
        assert estimate.low < true < estimate.high
        assert estimate.value == pytest.approx(true, rel=0.15)
        assert estimate.factor < 1.4


def test_clean_readings_leave_the_interval_that_the_reading_error_leaves(
    clean: dict[float, Floats],
) -> None:
    readings = noisy(clean, np.random.default_rng(1), 0.0)
    fine, coarse = (
        calibrate(readings, build, [CONTACT, PAD], reading_error_k=error_k)
        for error_k in (0.5, 2.0)
    )
    for name, true in TRUE.items():
        assert fine.estimates[name].value == pytest.approx(true, rel=0.01)
        widths = [np.log(c.estimates[name].factor) for c in (fine, coarse)]
        assert widths[1] / widths[0] == pytest.approx(4.0)


@pytest.mark.slow
def test_intervals_hold_the_truth_about_nineteen_times_in_twenty(
    clean: dict[float, Floats],
) -> None:
    random = np.random.default_rng(5)
    tries = 40
    found: list[Calibration] = [
        calibrate(noisy(clean, random, 1.5), build, [CONTACT, PAD], reading_error_k=1e-6)
        for _ in range(tries)
    ]
    for name, true in TRUE.items():
        estimates = [calibration.estimates[name] for calibration in found]
        # Of 40 at 95 %, fewer than 33 holds less than once in a thousand (binomial).
        assert sum(e.low < true < e.high for e in estimates) >= 33
        # Nor are they idly wide: half an interval is Student's 2.12 standard errors at 16 spare.
        scatter = np.std([np.log(e.value) for e in estimates])
        stated = np.mean([np.log(e.factor) for e in estimates]) / 2.12
        assert stated == pytest.approx(scatter, rel=0.35)


def test_more_readings_narrow_the_interval(clean: dict[float, Floats]) -> None:
    readings = noisy(clean, np.random.default_rng(2), 1.0)
    some = calibrate(readings[:9], build, [CONTACT, PAD], reading_error_k=1.0)
    all_of_them = calibrate(readings, build, [CONTACT, PAD], reading_error_k=1.0)
    for name in TRUE:
        assert all_of_them.estimates[name].factor < some.estimates[name].factor


def test_the_start_does_not_decide_the_answer(clean: dict[float, Floats]) -> None:
    readings = noisy(clean, np.random.default_rng(4), 1.0)
    found = [
        calibrate(readings, build, [Unknown("contact_w_m2k", start, 50.0, 20_000.0)])
        for start in (100.0, 8000.0)
    ]
    first, second = (c.estimates["contact_w_m2k"].value for c in found)
    assert first == pytest.approx(second, rel=1e-4)


def test_too_few_readings_are_refused(clean: dict[float, Floats]) -> None:
    readings = noisy(clean, np.random.default_rng(1), 1.0)
    with pytest.raises(BadInputError, match="are 3; to find 2 unknowns takes at least 4"):
        calibrate(readings[:3], build, [CONTACT, PAD])
    with pytest.raises(BadInputError, match="name at least one number to find"):
        calibrate(readings, build, [])


def test_a_number_that_the_readings_do_not_depend_on_is_refused() -> None:
    front = LayerSide("cloth", "front")
    held = Layer("pad", 6000.0, 0.05, 150.0, 1500.0)

    def ignorant(unknowns: Mapping[str, float], setpoint_c: float) -> Pressed:
        platen = Boundary(setpoint_c, unknowns["contact_w_m2k"])
        return Pressed((CLOTH, held), platen, Boundary(ROOM_C, BED_W_M2K), 60.0)

    readings = [Reading(front, 150.0, t, c) for t, c in ((1.0, 95.0), (2.0, 104.0), (5.0, 115.0))]
    with pytest.raises(CannotTellError, match="do not tell it within a factor of 3"):
        calibrate([*readings, *readings], ignorant, [CONTACT, PAD])


def test_readings_too_late_to_tell_the_contact_are_refused(clean: dict[float, Floats]) -> None:
    late = [Reading(UNDER, 140.0, 55.0 + n, 133.0 + 0.5 * (-1) ** n) for n in range(4)]
    with pytest.raises(CannotTellError, match="contact_w_m2k"):
        calibrate(late, build, [CONTACT, PAD], reading_error_k=2.0)


def test_readings_that_no_value_explains_are_refused(clean: dict[float, Floats]) -> None:
    hot = [Reading(UNDER, 140.0, t, 139.0) for t in (1.0, 2.0, 4.0)]
    with pytest.raises(CannotTellError, match=r"push it to 2e\+04, the end of the range from 50"):
        calibrate(hot, build, [CONTACT])


def test_a_reading_after_the_schedule_is_refused() -> None:
    readings = [Reading(UNDER, 140.0, t, 100.0) for t in (10.0, 20.0, 61.0)]
    with pytest.raises(BadInputError, match=r"readings\.2\.seconds: is 61 s; .* ends at 60 s"):
        calibrate(readings, build, [CONTACT])


def test_a_range_that_is_none_is_refused() -> None:
    with pytest.raises(BadInputError, match="it must be 0 < least < start < most"):
        Unknown("contact_w_m2k", start=10.0, least=50.0, most=100.0)
