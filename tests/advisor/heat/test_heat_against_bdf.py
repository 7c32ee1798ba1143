"""A whole press schedule against scipy's BDF on layers written out by hand."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import diags_array

from tests.advisor.heat.heat_shop import (
    PRESS,
    bond_lines,
    full,
    lift,
    peel,
    preheat,
    scheduled,
    tack,
)

Floats = NDArray[np.float64]

ROOM_C, AIR_W_M2K = 20.0, 13.0


@dataclass(frozen=True)
class Slab:
    """Micrometres, W/mK, kg/m³ and J/kgK, in so many equal cells (or graded from both faces)."""

    name: str
    um: float
    k: float
    rho: float
    c: float
    cells: int
    graded: bool = False

    def widths_m(self) -> Floats:
        if not self.graded:
            return np.full(self.cells, self.um * 1e-6 / self.cells)
        edge = (1 - np.cos(np.linspace(0, np.pi, self.cells + 1))) / 2
        return np.diff(edge) * self.um * 1e-6


BED = Slab("bed", 10_000, 0.12, 750, 1000, 160, graded=True)
CLOTH = Slab("cloth", 430, 0.071, 180 / 0.430, 1300, 60)  # 180 g/m² in 430 µm
BASE = [
    Slab("base face", 70, 0.25, 1200, 1800, 14),
    Slab("base adhesive", 50, 0.22, 1200, 1700, 12),
]
BASE_CARRIER = Slab("base carrier", 100, 0.20, 1360, 1000, 16)
SPARKLE = [
    Slab("sparkle face", 250, 0.20, 1250, 1300, 40),
    Slab("sparkle adhesive", 60, 0.22, 1200, 1700, 12),
]
SPARKLE_CARRIER = Slab("sparkle carrier", 150, 0.20, 1360, 1000, 24)
COVER = Slab("cover", 130, 0.28, 2100, 950, 20)


class March:
    """Slabs with a temperature each, marched by BDF through one phase after another."""

    def __init__(self) -> None:
        self.held: dict[str, Floats] = {}

    def phase(
        self, slabs: list[Slab], seconds: float, *, platen_c: float | None, times: Floats
    ) -> dict[str, Floats]:
        """The back face of every slab at ``times`` since the phase's beginning."""
        front_c, front_w = (ROOM_C, AIR_W_M2K) if platen_c is None else (platen_c, 600.0)
        width = np.concatenate([slab.widths_m() for slab in slabs])
        k = np.concatenate([np.full(slab.cells, slab.k) for slab in slabs])
        heat = width * np.concatenate([np.full(slab.cells, slab.rho * slab.c) for slab in slabs])
        half = width / (2 * k)
        between = 1 / (half[1:] + half[:-1])
        first, last = 1 / (1 / front_w + half[0]), 1 / half[-1]
        loss = np.concatenate([[first], between]) + np.concatenate([between, [last]])
        matrix = diags_array(
            [between / heat[1:], -loss / heat, between / heat[:-1]], offsets=[-1, 0, 1]
        ).tocsc()
        supply = np.zeros(width.size)
        supply[0] += first * front_c / heat[0]
        supply[-1] += last * ROOM_C / heat[-1]
        start = np.concatenate(
            [self.held.get(slab.name, np.full(slab.cells, ROOM_C)) for slab in slabs]
        )
        run = solve_ivp(
            lambda _, celsius: matrix @ celsius + supply,
            (0.0, seconds), start, method="BDF", jac=matrix, rtol=1e-8, atol=1e-7,
            t_eval=np.unique([*times, seconds]),
        )  # fmt: skip
        ends = np.cumsum([slab.cells for slab in slabs])
        self.held = {
            slab.name: run.y[end - slab.cells : end, -1]
            for slab, end in zip(slabs, ends, strict=True)
        }
        at = np.isin(run.t, times)
        faces = {}
        for slab, end in zip(slabs[:-1], ends[:-1], strict=True):
            flow = between[end - 1] * (run.y[end - 1, at] - run.y[end, at])
            faces[slab.name] = run.y[end - 1, at] - flow * half[end - 1]
        return faces


def test_a_whole_schedule_agrees_with_bdf_on_layers_written_by_hand_within_a_twentieth_kelvin() -> (
    None
):
    schedule = scheduled(
        ["matte-smooth", "sparkle-coarse"],
        [
            preheat(), tack("p0"), peel("p0"), tack("p1"), peel("p1"),
            full("p0", "p1"), lift(),
        ],
    )  # fmt: skip
    # Water is followed by a march of its own, in test_drying.
    dry = schedule.fabric.model_copy(update={"holds_water_pct": 0.0})
    base, sparkle = bond_lines(replace(schedule, fabric=dry))

    ground = [CLOTH, BED]
    two = [*SPARKLE, *BASE, *ground]
    march, clock_s = March(), 0.0
    # Handling, as the shop's figures say: 12 s to lay a piece, 4 s to peel one, 3 s to close the
    # press, and half of 5 s to lay or lift the cover.
    phases: list[tuple[list[Slab], float, float | None]] = [
        (ground, 4.0, 160.0),
        (ground, 15.0, None),
        ([BASE_CARRIER, *BASE, *ground], 2.0, 160.0),
        ([*BASE, *ground], 4.0 + 15.0, None),
        ([SPARKLE_CARRIER, *two], 2.0, 160.0),
        (two, 4.0 + 3.0 + 2.5, None),
        ([COVER, *two], 15.0, 160.0),
        (two, 2.5, None),
    ]
    compared = 0
    for slabs, seconds, platen_c in phases:
        times = np.arange(0.5, seconds + 1e-9, 0.5)
        faces = march.phase(slabs, seconds, platen_c=platen_c, times=times)
        for name, line in (("base adhesive", base), ("sparkle adhesive", sparkle)):
            if name in faces:
                error_k = np.abs(line.curve.at(clock_s + times) - faces[name])
                # The cells are made to resolve half a second; from there on it only gets better.
                assert error_k.max() < 0.1, (name, clock_s)
                assert error_k[times >= 1].max() < 0.05, (name, clock_s)
                compared += times.size
        clock_s += seconds
    assert compared > 150
    assert PRESS.contact_w_m2k == 600.0


def test_seconds_bonding_is_what_a_fine_count_of_the_closed_press_gives() -> None:
    schedule = scheduled(["matte-smooth"], [preheat(), tack("p0"), peel("p0"), full("p0")])
    [line] = bond_lines(schedule)
    # The tack closes after 4 + 15 s for 2 s, the full press (4 + 3 + 2.5) s later for 15 s.
    times = np.concatenate([19 + np.arange(0.005, 2.0, 0.01), 30.5 + np.arange(0.005, 15.0, 0.01)])
    counted_s = 0.01 * float(np.sum(line.curve.at(times) >= line.film.bonds_c))
    assert line.line.seconds_bonding == pytest.approx(counted_s, abs=0.02)
