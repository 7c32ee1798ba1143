"""Presses and sheets that ship, and whether the films bond on them by an independent reckoning."""

from __future__ import annotations

import math

import numpy as np
import pytest

from rules.catalogue import load_catalogue
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.press import Cylinder, Press

SHELF = load_catalogue()
FILMS = tuple(SHELF.films.values())
PRESSES = tuple(SHELF.presses.values())
SHEETS = tuple(SHELF.sheets.values())


def named(things: tuple[Film, ...] | tuple[Press, ...]) -> list[str]:
    return [thing.id for thing in things]


# --- presses and sheets ---------------------------------------------------------------------------


@pytest.mark.parametrize("press", PRESSES, ids=named(PRESSES))
def test_every_film_can_be_set_on_every_press(press: Press) -> None:
    for film in FILMS:
        assert press.setpoint_low_c <= film.setpoint_c.low
        assert film.setpoint_c.high <= press.setpoint_high_c
        assert any(film.pressure_kpa.holds(kpa) for kpa in press.pressures_kpa), film.id


def test_air_presses_give_15_to_60_kpa_on_the_platen_by_force_over_area() -> None:
    air = [press for press in PRESSES if isinstance(press.pressure, Cylinder)]
    assert len(air) >= 2
    for press in air:
        gauge = press.pressure
        assert isinstance(gauge, Cylinder)
        for bar in (2.0, 5.0, 8.0):
            bore_area_m2 = math.pi * (gauge.bore_mm / 2000) ** 2
            force_n = bar * 1e5 * bore_area_m2 * gauge.cylinders * gauge.leverage
            area_m2 = press.platen_width_mm * press.platen_depth_mm * 1e-6
            assert press.platen_kpa(bar) == pytest.approx(force_n / area_m2 / 1000, rel=1e-12)
        assert press.pressures_kpa[0] == pytest.approx(15, abs=0.5)
        assert press.pressures_kpa[-1] == pytest.approx(60, abs=0.5)


def test_pads_sink_less_than_they_are_thick_and_covers_not_at_all() -> None:
    for sheet in SHEETS:
        if sheet.kind == "cover":
            assert sheet.takes_up_mm == 0
        else:
            assert 0 < sheet.takes_up_mm < sheet.thickness_um / 1000


def test_ptfe_stays_well_below_where_it_fumes() -> None:
    # PTFE gives off fume when overheated, from about 300 °C.
    ptfe = [sheet for sheet in SHEETS if sheet.thermal_material.startswith("ptfe")]
    assert len(ptfe) >= 2
    assert all(sheet.highest_c <= 260 for sheet in ptfe)


def test_a_cover_that_bears_every_setpoint_leaves_each_face_as_it_is() -> None:
    hottest = max(film.setpoint_c.high for film in FILMS)
    assert {
        sheet.leaves for sheet in SHEETS if sheet.kind == "cover" and sheet.highest_c >= hottest
    } >= {"as-is", "matte"}
    gloss = [sheet for sheet in SHEETS if sheet.leaves == "gloss"]
    assert gloss
    assert all(sheet.highest_c < 200 for sheet in gloss)


# --- heat, by an independent reckoning ------------------------------------------------------------


def bond_line_c(film: Film, fabric: Fabric, *, setpoint_c: float, seconds: float) -> list[float]:
    """Adhesive against fabric, °C, every 0.05 s: implicit Euler on 10 µm to 0.5 mm cells.

    Platen with 600 W/m²K on the carrier; 10 mm of silicone foam behind; all starts at 25 °C.
    Conduction between cell centres through half of each (Patankar, Numerical Heat Transfer and
    Fluid Flow, eq. 4.9; from memory).
    """
    layers = [
        (film.carrier_um, film.carrier_material, 8),
        (film.face_um, film.face_material, 8),
        (film.adhesive_um, film.adhesive_material, 6),
        (fabric.thickness_um, fabric.thermal_material, 15),
        (10_000.0, "silicone-foam", 40),
    ]
    width, k, heat = [], [], []
    for thickness_um, name, cells in layers:
        material = SHELF.materials[name]
        width += [thickness_um * 1e-6 / cells] * cells
        k += [material.conductivity_w_mk] * cells
        heat += [material.density_kg_m3 * material.heat_capacity_j_kgk] * cells
    dx, conductivity, capacity = np.array(width), np.array(k), np.array(heat)
    half = dx / (2 * conductivity)
    between = 1 / (half[:-1] + half[1:])
    platen = 1 / (1 / 600 + half[0])
    stiff = np.diag(np.r_[platen, between] + np.r_[between, 0.0])
    stiff -= np.diag(between, 1) + np.diag(between, -1)
    step_s = 0.05
    mass = capacity * dx / step_s
    forward = np.linalg.inv(np.diag(mass) + stiff)
    celsius = np.full(dx.size, 25.0)
    at = 8 + 8 + 6
    line = []
    for _ in range(round(seconds / step_s)):
        load = mass * celsius
        load[0] += platen * setpoint_c
        celsius = forward @ load
        flow = between[at - 1] * (celsius[at - 1] - celsius[at])
        line.append(float(celsius[at - 1] - flow * half[at - 1]))
    return line


@pytest.mark.parametrize(
    "film",
    [f for f in FILMS if f.family in {"smooth", "stretch", "clear", "sparkle"}],
    ids=lambda film: film.id,
)
def test_a_tack_of_two_seconds_makes_the_adhesive_grab(film: Film) -> None:
    fabric = SHELF.fabric("cotton-jersey-tee")
    line = bond_line_c(film, fabric, setpoint_c=film.setpoint_c.best, seconds=2)
    assert line[-1] >= film.softens_c


@pytest.mark.parametrize("film", FILMS, ids=named(FILMS))
def test_a_full_press_as_preferred_bonds_the_film(film: Film) -> None:
    fabric = SHELF.fabric(
        "cotton-jersey-tee" if "cotton" in film.bonds_to else "polyester-woven-bag"
    )
    line = bond_line_c(film, fabric, setpoint_c=film.setpoint_c.best, seconds=film.dwell_s.best)
    assert sum(celsius >= film.bonds_c for celsius in line) * 0.05 >= film.bonds_s
