"""Units and force: conversions by definition, F = p·A against published values."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.catalogue import load_catalogue
from rules.facts.press import Cylinder, Press
from rules.facts.units import (
    Units,
    c_to_f,
    f_to_c,
    mm_to_inch,
    show_c,
    show_mm,
    show_s,
    show_size,
)

SHELF = load_catalogue()


@pytest.mark.parametrize(
    ("fahrenheit", "celsius"),
    [(230, 110), (275, 135), (305, 151.667), (320, 160), (350, 176.667), (32, 0), (-40, -40)],
)
def test_fahrenheit_and_celsius_agree_with_their_definition(
    fahrenheit: float, celsius: float
) -> None:
    # °F = 9/5 °C + 32 by definition.
    assert f_to_c(fahrenheit) == pytest.approx(celsius, abs=5e-4)
    assert c_to_f(celsius) == pytest.approx(fahrenheit, abs=1e-3)


@given(st.floats(-50, 500))
def test_there_and_back_is_the_same_temperature(celsius: float) -> None:
    assert f_to_c(c_to_f(celsius)) == pytest.approx(celsius, abs=1e-9)


@pytest.mark.parametrize(("bore_mm", "force_n"), [(50, 1178.10), (63, 1870.35)])
def test_force_of_6_bar_on_a_bore(bore_mm: float, force_n: float) -> None:
    # F = p·A; published values recomputed.
    gauge = Cylinder(bore_mm=bore_mm, gauge_low_bar=1, gauge_high_bar=8)
    assert gauge.force_n(6) == pytest.approx(force_n, abs=0.005)


def test_force_of_80_psi_on_a_3_inch_bore() -> None:
    # F = p·A: 565.49 lbf = 2515.4 N. A pound is 0.45359237 kg × 9.80665 m/s², exact by definition.
    pound_n = 0.45359237 * 9.80665
    gauge = Cylinder(bore_mm=3 * 25.4, gauge_low_bar=1, gauge_high_bar=8)
    force_n = gauge.force_n(80 * pound_n / 0.0254**2 / 1e5)
    assert force_n == pytest.approx(2515.4, abs=0.05)
    assert force_n / pound_n == pytest.approx(565.49, abs=0.005)


def test_the_pressure_on_the_platen_is_not_the_pressure_in_the_line() -> None:
    # 1178 N over 0.40 × 0.50 m is 5.890 kPa, though the line holds 600 kPa.
    pressure = Cylinder(bore_mm=50, gauge_low_bar=1, gauge_high_bar=8)
    press = SHELF.press("clamshell-40x50").model_copy(update={"pressure": pressure})
    assert (press.platen_width_mm, press.platen_depth_mm) == (400, 500)
    assert press.platen_kpa(6) == pytest.approx(5.890, abs=0.001)


@given(
    bore_mm=st.floats(10, 200),
    bar=st.floats(0.5, 10),
    many=st.integers(1, 8),
    lever=st.floats(1, 9),
)
def test_force_grows_with_the_square_of_the_bore_and_in_step_with_the_rest(
    bore_mm: float, bar: float, many: int, lever: float
) -> None:
    def force_n(*, bore_mm: float, bar: float, many: int, lever: float) -> float:
        return Cylinder(
            bore_mm=bore_mm, cylinders=many, leverage=lever, gauge_low_bar=1, gauge_high_bar=8
        ).force_n(bar)

    whole = force_n(bore_mm=bore_mm, bar=bar, many=many, lever=lever)
    assert force_n(bore_mm=2 * bore_mm, bar=bar, many=1, lever=1) == pytest.approx(
        4 * whole / many / lever
    )
    assert force_n(bore_mm=bore_mm, bar=3 * bar, many=1, lever=1) == pytest.approx(
        3 * whole / many / lever
    )


@pytest.mark.parametrize("press", SHELF.presses.values(), ids=lambda press: press.id)
def test_every_pressure_has_words_that_lead_back_to_it(press: Press) -> None:
    assert list(press.pressures_kpa) == sorted(set(press.pressures_kpa))
    for pressure_kpa in press.pressures_kpa:
        words = press.pressure_words(pressure_kpa)
        if isinstance(press.pressure, Cylinder):
            bar = float(words.removesuffix(" bar on the gauge"))
            assert press.platen_kpa(bar) == pytest.approx(pressure_kpa, abs=0.01)
        else:
            assert getattr(press.pressure, f"{words}_kpa") == pressure_kpa


def test_a_knob_has_no_gauge() -> None:
    with pytest.raises(ValueError, match="has a knob, not a gauge"):
        SHELF.press("clamshell-38x38").platen_kpa(3)


def test_dials_rulers_and_timers_are_read_as_people_read_them() -> None:
    assert str(show_c(176.667)) == "177 °C"
    assert show_c(176.667).shown(Units(fahrenheit=True)) == "350 °F"
    assert mm_to_inch(25.4) == 1
    assert str(show_mm(300)) == "300 mm"
    assert show_mm(12.7).shown(Units(inches=True)) == "0.5 in"
    assert str(show_s(59.6)) == "1 min"


def test_a_range_that_leaves_one_number_is_told_as_that_number() -> None:
    assert str(show_c(155, 155)) == "155 °C"
    assert show_c(154.9, 155.2).shown(Units(fahrenheit=True)) == "311 °F"
    assert str(show_size(50, 50)) == "50 × 50 mm"


@pytest.mark.parametrize(("mm", "told"), [(0.5, "0.02 in"), (3, "0.12 in"), (80, "3.15 in")])
def test_what_is_less_than_an_inch_is_told_no_finer_than_a_ruler_is_read(
    mm: float, told: str
) -> None:
    assert show_mm(mm).shown(Units(inches=True)) == told
