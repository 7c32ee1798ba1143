"""Plain layers in numbers alone: textbook accuracy at any time, one clear line for bad input."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.special import erfc, erfcx

from advisor.heat.plain_layers import plain_layers
from rules.errors import BadInputError

STEEL = {"conductivity_w_mk": 50.0, "density_kg_m3": 7800.0, "heat_capacity_j_kgk": 450.0}
CLOTH = {"conductivity_w_mk": 0.07, "density_kg_m3": 500.0, "heat_capacity_j_kgk": 1300.0}
FOIL = {"conductivity_w_mk": 160.0, "density_kg_m3": 2800.0, "heat_capacity_j_kgk": 880.0}
SOIL = {"conductivity_w_mk": 0.52, "density_kg_m3": 2050.0, "heat_capacity_j_kgk": 1840.0}


def document(**changes: Any) -> dict[str, Any]:
    usual = {
        "layers": [{"name": "cloth", "thickness_um": 500.0, **CLOTH}],
        "platen_c": 160.0,
        "contact_w_m2k": None,
        "initial_c": 20.0,
        "back_w_m2k": 0.0,
        "ambient_c": 20.0,
        "seconds": [1.0, 10.0],
    }
    return usual | changes


@pytest.mark.parametrize("contact_w_m2k", [None, 40.0, 1000.0])
def test_a_half_space_is_exact_from_a_hundredth_of_a_second_to_sixty_days(
    contact_w_m2k: float | None,
) -> None:
    # Carslaw & Jaeger, Conduction of Heat in Solids, sections 2.4 and 2.7.
    depths_m = np.array([1e-5, 1e-4, 1e-3, 1e-2, 0.1, 1.0])
    conductivity, alpha = 0.52, 0.52 / (2050.0 * 1840.0)
    seconds = np.array([5_184_000.0, 0.01, 86_400.0, 1.0, 30.0, 3600.0])
    answer = plain_layers(
        document(
            layers=[
                {"name": "soil", "thickness_um": float(step) * 1e6, **SOIL}
                for step in np.diff([0.0, *depths_m, 30.0])
            ],
            contact_w_m2k=contact_w_m2k,
            seconds=seconds.tolist(),
        )
    )
    eta = np.array([0.0, *depths_m])[:, None] / np.sqrt(4 * alpha * seconds)
    theta: NDArray[np.float64] = erfc(eta)
    if contact_w_m2k is not None:
        beta = contact_w_m2k * np.sqrt(alpha * seconds) / conductivity
        theta = theta - np.exp(-(eta**2)) * erfcx(eta + beta)
    found = [answer["front_c"], *(interface["celsius"] for interface in answer["interfaces"])]
    assert np.array(found) == pytest.approx(20.0 + 140.0 * theta, abs=0.002)
    assert answer["back_c"] == pytest.approx([20.0] * 6)


def test_a_single_layer_has_no_interface_and_warms_as_the_series_says() -> None:
    # Carslaw & Jaeger, section 3.4: a slab held at one face, insulated at the other.
    seconds = [0.3, 1.0, 5.0, 40.0]
    answer = plain_layers(document(seconds=seconds))
    alpha = 0.07 / (500.0 * 1300.0)
    n = np.arange(400)
    roots = (n + 0.5) * np.pi / 500e-6
    terms = (-1.0) ** n / (2 * n + 1) * np.exp(-(roots**2) * alpha * np.array(seconds)[:, None])
    exact = 160.0 - 140.0 * 4 / np.pi * terms.sum(axis=1)
    assert answer["interfaces"] == []
    assert answer["front_c"] == [160.0] * 4
    assert answer["back_c"] == pytest.approx(exact, abs=0.002)


def test_times_are_answered_in_the_order_asked_also_zero_and_twice() -> None:
    asked = [10.0, 0.0, 1.0, 10.0]
    sorted_answer = plain_layers(document(seconds=[1.0, 10.0]))
    answer = plain_layers(document(seconds=asked, contact_w_m2k=500.0))
    alone = plain_layers(document(seconds=[10.0], contact_w_m2k=500.0))
    assert answer["back_c"][0] == answer["back_c"][3]
    assert answer["back_c"][0] == pytest.approx(alone["back_c"][0], abs=2e-3)
    assert (answer["front_c"][1], answer["back_c"][1]) == (20.0, 20.0)
    assert sorted_answer["front_c"] == [160.0, 160.0]
    assert plain_layers(document(seconds=[]))["back_c"] == []


def test_layers_end_at_the_series_resistance_of_their_steady_flow() -> None:
    layers = [
        {"name": "foil", "thickness_um": 1.0, **FOIL},
        {"name": "cloth", "thickness_um": 500.0, **CLOTH},
        {"name": "plate", "thickness_um": 50_000.0, **STEEL},
    ]
    answer = plain_layers(
        document(layers=layers, contact_w_m2k=800.0, back_w_m2k=25.0, ambient_c=30.0, seconds=[1e7])
    )
    steps = np.array([1 / 800.0, 1e-6 / 160.0, 500e-6 / 0.07, 0.05 / 50.0, 1 / 25.0])
    fall = 160.0 - 130.0 * np.cumsum(steps)[:-1] / steps.sum()
    found = [answer["front_c"], *(i["celsius"] for i in answer["interfaces"]), answer["back_c"]]
    assert np.ravel(found) == pytest.approx(fall, abs=1e-3)
    assert [i["between"] for i in answer["interfaces"]] == [["foil", "cloth"], ["cloth", "plate"]]


@pytest.mark.parametrize("foils", [1, 3, 20])
def test_thin_foils_on_deep_ground_change_nothing_after_sixty_days(foils: int) -> None:
    ground = [
        {"name": "frozen", "thickness_um": 676_600.0, **SOIL},
        {"name": "deep", "thickness_um": 20e6, **SOIL},
    ]
    foil = [{"name": "foil", "thickness_um": 1.0, **FOIL}] * foils
    answer = plain_layers(
        document(layers=[*foil, *ground], platen_c=-15.0, seconds=[0.001, 5_184_000.0])
    )
    assert answer["interfaces"][-1]["celsius"] == pytest.approx([20.0, 0.0], abs=0.003)


def test_a_steel_sheet_between_platen_and_cloth_follows_the_platen() -> None:
    layers = [
        {"name": "sheet", "thickness_um": 20.0, **STEEL},
        {"name": "cloth", "thickness_um": 100_000.0, **CLOTH},
    ]
    answer = plain_layers(document(layers=layers, seconds=[1.0, 60.0]))
    assert answer["interfaces"][0]["celsius"] == pytest.approx([160.0, 160.0], abs=0.02)
    assert answer["back_c"] == pytest.approx([20.0, 20.0], abs=1e-6)


def test_what_is_not_a_set_of_fields_is_refused() -> None:
    with pytest.raises(BadInputError, match="a plain stack is a mapping of fields"):
        plain_layers([document()])  # type: ignore[arg-type]


def test_an_insulated_stack_under_no_temperature_difference_stays_as_it_is() -> None:
    answer = plain_layers(document(platen_c=20.0, seconds=[0.0, 1.0, 1e6]))
    assert answer["back_c"] == pytest.approx([20.0] * 3)


@pytest.mark.parametrize(
    ("change", "line"),
    [
        ({"platen_c": None}, "platen_c: is empty; write a number, without its unit"),
        ({"platen_c": -300}, "platen_c: -300: write at least -273.15"),
        ({"contact_w_m2k": -5.0}, "contact_w_m2k: -5.0: write more than 0"),
        ({"back_w_m2k": -1.0}, "back_w_m2k: -1.0: write at least 0"),
        ({"seconds": [1, -2]}, "seconds.1: -2: write at least 0"),
        ({"seconds": [float("nan")]}, "seconds.0: nan: write a finite number"),
        ({"seconds": "soon"}, "seconds: 'soon': write a list, as in [one, two]"),
        (
            {"platen_f": 320.0},
            "platen_f: 320.0: nothing here is called so; mind its spelling, or leave it out",
        ),
        (
            {"layers": [{"name": "cloth", "thickness_um": 0, **CLOTH}]},
            "layers.0.thickness_um: 0: write more than 0",
        ),
        (
            {"layers": [{"name": "cloth", "thickness_um": "thin", **CLOTH}]},
            "layers.0.thickness_um: 'thin': write a number, without its unit",
        ),
        (
            {"layers": [{"name": "cloth", **CLOTH}]},
            "layers.0.thickness_um: is missing",
        ),
    ],
)  # fmt: skip
def test_bad_input_is_refused_in_one_line_with_field_value_and_limit(
    change: dict[str, Any], line: str
) -> None:
    with pytest.raises(BadInputError) as refused:
        plain_layers(document(**change))
    assert str(refused.value) == line
