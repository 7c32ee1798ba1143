"""Moisture: what a damp garment does to heat, against an explicit march by the enthalpy method.

The march shares nothing with the program but the layers' properties: uniform fine cells in cloth
and films, a step in time short enough to be stable, and the enthalpy of every cell as what is
marched, from which its temperature is read each time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from advisor.heat.bond_lines import bond_lines, followed_lines
from advisor.heat.layers import LayerSide
from advisor.heat.walk import Leg
from rules.facts.fabric import Fabric
from rules.facts.moisture import DAMP_UNTIL_C, DRIES_FROM_C, DRYING_J_KG, preheat_s
from rules.facts.practice import LONGEST_PREHEAT_S, PREHEAT_S
from rules.facts.schedule import Schedule
from rules.facts.step import Step
from tests.advisor.heat.heat_shop import SHELF, full, lift, peel, preheat, scheduled, tack

Floats = NDArray[np.float64]
ROOM_C, AIR_W_M2K = 20.0, 13.0
FINE_UM = 12.0


@dataclass(frozen=True)
class Slab:
    """Cells of one material; ``damp_j_m2`` is the heat that all its water takes."""

    name: str
    widths_m: Floats
    k: float
    volume_heat: float
    damp_j_m2: float = 0.0


def slab(name: str, um: float, k: float, rho: float, c: float, damp_j_m2: float = 0.0) -> Slab:
    cells = max(2, round(um / FINE_UM))
    return Slab(name, np.full(cells, um * 1e-6 / cells), k, rho * c, damp_j_m2)


def bed() -> Slab:
    """Ten millimetres of sponge, in cells that grow downwards."""
    widths = FINE_UM * 1e-6 * 1.08 ** np.arange(55)
    return Slab("bed", widths * 0.010 / widths.sum(), 0.12, 750 * 1000)


class March:
    """Enthalpy per cell, marched explicitly from phase to phase."""

    def __init__(self, contact_w_m2k: float) -> None:
        self.contact_w_m2k = contact_w_m2k
        self.held_c: dict[str, Floats] = {}
        self.hottest_c: dict[str, Floats] = {}

    def phase(
        self, slabs: Sequence[Slab], seconds: float, platen_c: float | None
    ) -> tuple[Floats, dict[str, Floats]]:
        """Times from 0, and the temperature of the back of every slab but the last."""
        width = np.concatenate([one.widths_m for one in slabs])
        k = np.concatenate([np.full(one.widths_m.size, one.k) for one in slabs])
        heat = width * np.concatenate(
            [np.full(one.widths_m.size, one.volume_heat) for one in slabs]
        )
        band = np.concatenate(
            [one.damp_j_m2 * one.widths_m / one.widths_m.sum() for one in slabs]
        ) / (DAMP_UNTIL_C - DRIES_FROM_C)
        celsius = np.concatenate(
            [self.held_c.get(one.name, np.full(one.widths_m.size, ROOM_C)) for one in slabs]
        )
        hottest = np.concatenate(
            [self.hottest_c.get(one.name, np.full(one.widths_m.size, ROOM_C)) for one in slabs]
        )
        half = width / (2 * k)
        front_c, front = (ROOM_C, AIR_W_M2K) if platen_c is None else (platen_c, self.contact_w_m2k)
        link = np.concatenate(
            [[1 / (1 / front + half[0])], 1 / (half[1:] + half[:-1]), [1 / half[-1]]]
        )
        steps = int(np.ceil(seconds / (0.4 * (heat / (link[1:] + link[:-1])).min() * 2)))
        dt = seconds / steps
        every = max(1, int(0.05 / dt))
        times, backs = [], []
        ends = np.cumsum([one.widths_m.size for one in slabs])[:-1]
        for step in range(1, steps + 1):
            padded = np.concatenate([[front_c], celsius, [ROOM_C]])
            flow = link * (padded[:-1] - padded[1:])
            supply = dt * (flow[:-1] - flow[1:])
            # A cell warms as it is up to the hottest it has been, and then with its water leaving.
            knee = np.clip(hottest, DRIES_FROM_C, DAMP_UNTIL_C)
            warmed = celsius + supply / heat
            beyond = (warmed - knee) * heat
            wet = knee + beyond / (heat + band)
            full_band = (DAMP_UNTIL_C - knee) * (heat + band)
            dry = DAMP_UNTIL_C + (beyond - full_band) / heat
            celsius = np.where(warmed <= knee, warmed, np.where(beyond > full_band, dry, wet))
            hottest = np.maximum(hottest, celsius)
            if step % every == 0 or step == steps:
                times.append(step * dt)
                share = half[ends - 1] / (half[ends - 1] + half[ends])
                backs.append(celsius[ends - 1] * (1 - share) + celsius[ends] * share)
        start = 0
        for one in slabs:
            cells = slice(start, start + one.widths_m.size)
            self.held_c[one.name], self.hottest_c[one.name] = celsius[cells], hottest[cells]
            start = cells.stop
        names = [one.name for one in slabs[:-1]]
        return np.array(times), dict(zip(names, np.array(backs).T, strict=True))

    def left_share(self, name: str) -> float:
        """Of a slab's water, what is left."""
        hottest = self.hottest_c[name]
        return float(np.clip((DAMP_UNTIL_C - hottest) / (DAMP_UNTIL_C - DRIES_FROM_C), 0, 1).mean())


def cloth(fabric: Fabric) -> Slab:
    made_of = SHELF.materials[fabric.thermal_material]
    return slab(
        "fabric",
        fabric.thickness_um,
        made_of.conductivity_w_mk,
        1000 * fabric.weight_gsm / fabric.thickness_um,
        made_of.heat_capacity_j_kgk,
        fabric.water_gsm / 1000 * DRYING_J_KG,
    )


FACE = slab("0 face", 70, 0.25, 1200, 1800)
ADHESIVE = slab("0 adhesive", 50, 0.22, 1200, 1700)
CARRIER = slab("0 carrier", 100, 0.20, 1360, 1000)


@pytest.mark.parametrize(
    ("fabric", "press", "setpoint_c", "preheat_s"),
    [
        ("cotton-jersey-tee", "clamshell-38x38", 160.0, 4.0),
        ("cotton-jersey-tee", "clamshell-38x38", 160.0, 0.0),
        ("wool-twill", "swing-arm-40x50", 150.0, 8.0),
        ("viscose-jersey", "clamshell-38x38", 125.0, 4.0),
        ("polyester-jersey", "clamshell-38x38", 150.0, 4.0),
    ],
)
def test_preheat_and_press_agree_with_an_explicit_march_within_three_kelvin(
    fabric: str, press: str, setpoint_c: float, preheat_s: float
) -> None:
    on = SHELF.press(press)
    pressed = full("p0", dwell_s=15.0, setpoint_c=setpoint_c, cover=None)
    warmed = [preheat(preheat_s, setpoint_c)] if preheat_s else []
    laid = scheduled(["matte-smooth"], [*warmed, pressed], fabric, press=on)
    places, _ = followed_lines(laid, (("p0",),), SHELF.materials)
    legs = places.courses[((0, "p0"),)].legs
    ground = [cloth(laid.fabric), bed()]
    march, compared = March(on.contact_w_m2k), 0
    for leg in legs:
        down = any(layer.name == "0 face" for layer in leg.stack.layers)
        slabs = [CARRIER, FACE, ADHESIVE, *ground] if down else ground
        times, backs = march.phase(slabs, leg.seconds, setpoint_c if leg.closed else None)
        for place in ("fabric", *(["0 adhesive"] if down else [])):
            [curve] = leg.curves([LayerSide(place, "back")])
            error_k = np.abs(curve.at(leg.begins_s + times) - backs[place])
            assert error_k[times >= 0.3].max() < 3.0, (place, leg.begins_s)
            compared += times.size
        assert leg.wet_share == pytest.approx(march.left_share("fabric"), abs=0.04)
    assert compared > 200


def press_leg(schedule: Schedule, step: int) -> Leg:
    """The leg of the bare fabric or the only film in a step's press."""
    places, _ = followed_lines(schedule, (("p0",),), SHELF.materials)
    [leg] = [leg for at, legs in places.presses if at.step.n == step for leg in legs.values()]
    return leg


def test_what_is_dried_stays_dry_and_no_press_takes_up_water() -> None:
    steps = [preheat(), tack("p0"), peel("p0"), full("p0"), lift()]
    places, _ = followed_lines(scheduled(["matte-smooth"], steps), (("p0",),), SHELF.materials)
    left = [leg.wet_share for leg in places.courses[((0, "p0"),)].legs]
    assert left == sorted(left, reverse=True)
    assert left[0] < 0.6
    assert left[-1] < 0.2


def test_a_damp_garment_delays_the_bond_line_and_a_preheat_takes_most_of_that_away() -> None:
    def bonded_s(fabric: Fabric, *before: Step) -> float:
        laid = scheduled(["matte-smooth"], [*before, full("p0")])
        [line] = bond_lines(
            Schedule(fabric, laid.press, laid.films, (), laid.steps, laid.sheets), None,
            SHELF.materials,
        )  # fmt: skip
        return line.line.seconds_bonding

    tee = SHELF.fabric("cotton-jersey-tee")
    dry = tee.model_copy(update={"holds_water_pct": 0.0})
    wet = tee.model_copy(update={"holds_water_pct": 20.0})
    cold = [bonded_s(fabric) for fabric in (dry, tee, wet)]
    warmed = [bonded_s(fabric, preheat()) for fabric in (dry, tee, wet)]
    assert cold[0] > cold[1] + 0.5
    assert cold[1] > cold[2] + 0.5
    assert warmed[0] - warmed[1] < 0.6 * (cold[0] - cold[1])


def test_a_dry_fabric_is_followed_as_if_there_were_no_moisture_at_all() -> None:
    laid = scheduled(["matte-smooth"], [preheat(), full("p0")], "polypropylene-non-woven")
    assert laid.fabric.water_gsm == 0
    leg = press_leg(laid, 2)
    assert leg.dried_c.size == 0
    assert leg.wet_share == 0


@pytest.mark.parametrize("fabric", sorted(SHELF.fabrics))
def test_the_preheat_is_quick_and_leaves_no_more_than_thick_cloth_must_keep(fabric: str) -> None:
    cloth_on = SHELF.fabric(fabric)
    dwell_s = preheat_s(cloth_on)
    assert PREHEAT_S <= dwell_s <= LONGEST_PREHEAT_S
    # No quicker than the heat that its water takes can pass the contact of the best press.
    heat_j_m2 = cloth_on.water_gsm / 1000 * DRYING_J_KG
    assert dwell_s >= min(LONGEST_PREHEAT_S, heat_j_m2 / (1000.0 * (150.0 - ROOM_C)))
    if cloth_on.water_gsm > 2:
        laid = scheduled(
            ["matte-smooth"], [preheat(dwell_s, 155.0), full("p0")], fabric,
            press=SHELF.press("swing-arm-40x50"),
        )  # fmt: skip
        least = 0.5 if dwell_s < LONGEST_PREHEAT_S and cloth_on.thickness_um < 1000 else 0.3
        assert 1 - press_leg(laid, 1).wet_share > least


@pytest.mark.parametrize(("fabric", "seconds"), [
    ("cotton-jersey-tee", 4.0), ("polyester-jersey", 4.0), ("cotton-fleece", 7.0),
    ("cotton-canvas", 8.0), ("wool-felt", 10.0),
])  # fmt: skip
def test_preheat_seconds_of_planks_equation(fabric: str, seconds: float) -> None:
    assert preheat_s(SHELF.fabric(fabric)) == seconds
