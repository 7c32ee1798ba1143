"""Conduction against values that others have published; each names its source.

"From memory" marks a value not seen in the book itself; all were recomputed from the equation.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from advisor.heat.conduction import AIR_W_M2K, ROOM_C, configure
from advisor.heat.layers import Boundary, Layer, LayerSide, cell_shares
from advisor.heat.plain_layers import plain_layers
from tests.advisor.heat.phases import Phase, chain

DAY_S = 86_400.0


def _substance(diffusivity_m2_s: float, conductivity_w_mk: float) -> dict[str, float]:
    return {
        "conductivity_w_mk": conductivity_w_mk,
        "density_kg_m3": 1000.0,
        "heat_capacity_j_kgk": conductivity_w_mk / diffusivity_m2_s / 1000.0,
    }


@pytest.mark.parametrize(
    ("soil", "initial_c", "surface_c", "days", "depth_m"),
    [
        pytest.param(
            {"conductivity_w_mk": 0.52, "density_kg_m3": 2050.0, "heat_capacity_j_kgk": 1840.0},
            20.0, -15.0, 60, 0.6766,
            id="Incropera, Fundamentals of Heat and Mass Transfer, Ex. 5.6 (prints .68 m)",
        ),
        pytest.param(
            _substance(0.15e-6, 0.4), 15.0, -10.0, 90, 0.8009,
            id="Çengel, Heat Transfer, Ex. 4-6 (chart reading .778 m)",
        ),
    ],
)  # fmt: skip
def test_ground_freezes_to_the_published_depth(
    soil: dict[str, float], initial_c: float, surface_c: float, days: float, depth_m: float
) -> None:
    thicknesses_m = [depth_m - 5e-5, 1e-4, 20.0]
    answer = plain_layers(
        {
            "layers": [
                {"name": f"soil {n}", "thickness_um": t * 1e6, **soil}
                for n, t in enumerate(thicknesses_m)
            ],
            "platen_c": surface_c,
            "contact_w_m2k": None,
            "initial_c": initial_c,
            "back_w_m2k": 0.0,
            "ambient_c": initial_c,
            "seconds": [days * DAY_S],
        }
    )
    just_above, just_below = (interface["celsius"][0] for interface in answer["interfaces"])
    assert just_above < 0.0 < just_below
    assert answer["front_c"] == pytest.approx([surface_c])


def test_wall_with_one_side_insulated_incropera_example_5_4() -> None:
    # L .04 m, h 500, k 63.9, α 18.8e-6, −20 → 60 °C, 480 s; the book, rounding, has 42.9 and 45.2.
    answer = plain_layers(
        {
            "layers": [{"name": "wall", "thickness_um": 0.04e6, **_substance(18.8e-6, 63.9)}],
            "platen_c": 60.0, "contact_w_m2k": 500.0, "initial_c": -20.0, "back_w_m2k": 0.0,
            "ambient_c": 20.0, "seconds": [480.0],
        }
    )  # fmt: skip
    assert answer["interfaces"] == []
    assert answer["back_c"][0] == pytest.approx(43.02, abs=0.005)
    assert answer["front_c"][0] == pytest.approx(45.36, abs=0.005)


def test_slab_heated_from_both_sides_cengel_example_4_4() -> None:
    # 2L .04 m, k 110, α 33.9e-6, h 120, 20 → 500 °C, 420 s.
    brass = Layer("brass", 0.04e6, **_substance(33.9e-6, 110.0))
    oven = Boundary(500.0, 120.0)
    stack = configure([brass], front=oven, back=oven, shares=[np.full(201, 1 / 201)])
    field = stack.field_at(20.0, 420.0)
    read = {
        side: stack.read(field, LayerSide("brass", side))[0] for side in ("front", "middle", "back")
    }
    assert read["front"] == pytest.approx(279.6, abs=0.05)
    assert read["middle"] == pytest.approx(277.2, abs=0.05)
    assert read["back"] == pytest.approx(read["front"], abs=1e-9)


def test_steady_wall_in_series_geankoplis_example_4_3_1() -> None:
    wall = [
        Layer("pine", 12_700.0, 0.151, 500.0, 1600.0),
        Layer("cork", 101_600.0, 0.0433, 150.0, 1800.0),
        Layer("concrete", 76_200.0, 0.762, 2000.0, 1000.0),
    ]
    inside, outside = Boundary(255.4 - 273.15), Boundary(297.1 - 273.15)
    stack = configure(wall, front=inside, back=outside)
    for field in (stack.steady_c[None], stack.field_at(20.0, 1e9)):
        first_k = stack.read(field, LayerSide("pine", "back"))[0] + 273.15
        assert first_k == pytest.approx(256.786, abs=5e-4)
        assert 0.151 * (255.4 - first_k) / 0.0127 == pytest.approx(-16.479, abs=5e-3)


def test_contact_conductance_between_two_bars_cengel_problem_3_51() -> None:
    bar = {
        "thickness_um": 0.15e6, "conductivity_w_mk": 176.0, "density_kg_m3": 2800.0,
        "heat_capacity_j_kgk": 880.0,
    }  # fmt: skip
    bars = [Layer("hot", **bar), Layer("cold", **bar, contact_w_m2k=11_400.0)]
    stack = configure(bars, front=Boundary(150.0), back=Boundary(20.0))
    field = stack.steady_c[None]
    hot, cold = (
        stack.read(field, place)[0] for place in (LayerSide("hot"), LayerSide("cold", "front"))
    )
    area_m2 = math.pi * 0.05**2 / 4
    assert hot - cold == pytest.approx(6.4, abs=0.05)
    assert area_m2 * 176.0 * (150.0 - hot) / 0.15 == pytest.approx(142.4, abs=0.05)


@pytest.mark.parametrize(
    ("effusivity_kj", "expected_c"), [(24.0, 15.88), (0.38, 29.86)], ids=["aluminium", "wood"]
)
@pytest.mark.parametrize("seconds", [1.0, 30.0])
def test_two_half_spaces_touching_cengel_chapter_4(
    effusivity_kj: float, expected_c: float, seconds: float
) -> None:
    # Hand of 1.1 kJ/m²K√s at 35 °C against a block at 15 °C (from memory of the chapter).
    def half_space(name: str, effusivity: float) -> Layer:
        return Layer(name, 0.2e6 * math.sqrt(effusivity), effusivity, 1000.0, effusivity * 1e3)

    layers = (half_space("hand", 1.1), half_space("block", effusivity_kj))
    far = Boundary(20.0, 0.0)
    starts = {"hand": 35.0, "block": 15.0}
    course = chain([Phase(layers, far, far, 60.0, starts)], resolve_s=0.5)
    for place in (LayerSide("hand", "back"), LayerSide("block", "front")):
        assert course.curve(place).at(seconds)[0] == pytest.approx(expected_c, abs=0.05)


@pytest.mark.parametrize(
    ("beta", "eta", "theta"),
    [
        (0.1, 0.0, 0.10354),
        (0.5, 0.0, 0.38431),
        (1.0, 0.0, 0.57242),
        (2.0, 0.0, 0.74460),
        (1.0, 0.5, 0.22905),
    ],
)
def test_half_space_under_convection_carslaw_and_jaeger_section_2_7(
    beta: float, eta: float, theta: float
) -> None:
    seconds, conductivity, diffusivity = 100.0, 0.5, 1e-7
    length_m = math.sqrt(diffusivity * seconds)
    substance = _substance(diffusivity, conductivity)
    depth_m = 2 * eta * length_m or length_m
    answer = plain_layers(
        {
            "layers": [
                {"name": "near", "thickness_um": depth_m * 1e6, **substance},
                {"name": "far", "thickness_um": 1e6, **substance},
            ],
            "platen_c": 1.0, "contact_w_m2k": beta * conductivity / length_m, "initial_c": 0.0,
            "back_w_m2k": 0.0, "ambient_c": 0.0, "seconds": [seconds],
        }
    )  # fmt: skip
    found = answer["interfaces"][0]["celsius"] if eta else answer["front_c"]
    assert found[0] == pytest.approx(theta, abs=1.5e-5)


@pytest.mark.parametrize(
    ("biot", "root", "coefficient"),
    [
        (0.01, 0.0998, 1.0017),
        (0.1, 0.3111, 1.0161),
        (1.0, 0.8603, 1.1191),
        (10.0, 1.4289, 1.2620),
        (100.0, 1.5552, 1.2731),
        (math.inf, math.pi / 2, 4 / math.pi),
    ],
)
def test_plane_wall_first_root_and_coefficient_incropera_table_5_1(
    biot: float, root: float, coefficient: float
) -> None:
    # The centre of the wall decays as θ = C₁·exp(−ζ₁²·Fo) once the other terms have died.
    wall = Layer("half wall", 1e6, 1.0, 1.0, 1.0)
    surface = Boundary(0.0, None if math.isinf(biot) else biot)
    cells = np.full(250, 1 / 250)
    stack = configure([wall], front=surface, back=Boundary(0.0, 0.0), shares=[cells])
    fourier = np.array([1.5, 2.5])
    early, late = stack.read(stack.field_at(1.0, fourier), LayerSide("half wall", "back"))
    squared = math.log(early / late)
    assert math.sqrt(squared) == pytest.approx(root, abs=7e-5)
    assert early * math.exp(squared * fourier[0]) == pytest.approx(coefficient, abs=7e-5)


def test_default_cells_stay_near_the_half_space_under_a_held_surface() -> None:
    # θ = erfc(x / 2√(αt)), Carslaw & Jaeger, section 2.4; default cells, as a press uses them.
    alpha = 1e-7
    depths_um = [100.0, 300.0, 1000.0]
    thicknesses = [*np.diff([0.0, *depths_um]), 60_000.0]
    layers = [Layer(f"{n}", float(t), 0.2, 1000.0, 2000.0) for n, t in enumerate(thicknesses)]
    stack = configure(layers, front=Boundary(160.0), back=Boundary(20.0, 0.0))
    seconds = np.array([0.5, 1.0, 3.0, 10.0, 60.0])
    field = stack.field_at(20.0, seconds)
    assert sum(cell_shares(layer).size for layer in layers) < 80
    for n, depth_um in enumerate(depths_um):
        exact = [20 + 140 * math.erfc(depth_um * 1e-6 / math.sqrt(4 * alpha * t)) for t in seconds]
        assert stack.read(field, LayerSide(f"{n}", "back")) == pytest.approx(exact, abs=0.15)


def test_an_open_press_loses_heat_as_a_hot_plate_that_faces_up_and_radiates() -> None:
    def to_the_room(face_c: float) -> float:
        # Air at the film's mean temperature as straight lines through 300 and 350 K (Incropera,
        # table A.4; from memory): viscosity 15.9 and 20.9, diffusivity 22.5 and 29.9 mm²/s,
        # conductivity .0263 and .0300 W/mK.
        mean_k = (ROOM_C + face_c) / 2 + 273.15
        share = (mean_k - 300) / 50
        viscosity, diffusivity = (15.9 + 5.0 * share) * 1e-6, (22.5 + 7.4 * share) * 1e-6
        reach_m = 0.38**2 / (4 * 0.38)
        rayleigh = 9.81 / mean_k * (face_c - ROOM_C) * reach_m**3 / (viscosity * diffusivity)
        assert 1e4 <= rayleigh <= 1e7
        convected = 0.54 * rayleigh**0.25 * (0.0263 + 0.0037 * share) / reach_m
        return float(convected + 4 * 0.9 * 5.67e-8 * mean_k**3)

    assert to_the_room(70.0) == pytest.approx(AIR_W_M2K, abs=0.2)
    assert [round(to_the_room(face_c)) for face_c in (40.0, 120.0)] == [11, 16]
