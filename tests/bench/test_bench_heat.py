"""How fast heat is followed: a schedule, many samples of it, and against an integrator in time."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from pytest_benchmark.fixture import BenchmarkFixture
from scipy.integrate import solve_ivp

from advisor.heat.conduction import Configuration
from advisor.heat.curve import above
from advisor.heat.layers import Boundary, Layer, LayerSide, Quantity
from advisor.heat.plain_layers import plain_layers
from advisor.heat.walk import Course
from tests.advisor.heat.phases import Phase, chain
from tests.bench.ratios import hold_ratio, least_s

Floats = NDArray[np.float64]
FILMS = 4
BOND_LINES = [LayerSide(f"glue {n}", "back") for n in range(FILMS)]
SOFT_C = 110.0
ACCURACY_K = 0.01
"""A tenth of what the cells themselves may err: the integrator is to add nothing to it."""


def schedule(samples: int | None = None, presses: int = 1) -> list[Phase]:
    """Preheat, tack two films, cool, then press all four; the numbers spread over the samples."""
    random = np.random.default_rng(11)

    def about(value: float, spread: float = 0.15) -> Quantity:
        if samples is None:
            return value
        return value * np.exp(spread * random.standard_normal(samples))

    films: list[Layer] = []
    for n in reversed(range(FILMS)):
        films.append(Layer(f"face {n}", about(50.0), about(0.25), 1200.0, 1800.0, about(3000.0)))
        films.append(Layer(f"glue {n}", about(40.0), about(0.22), 1200.0, 1700.0))
    cloth = Layer("cloth", about(400.0), about(0.07), 500.0, 1300.0, about(2000.0))
    lower = Layer("lower cloth", about(400.0), about(0.07), 500.0, 1300.0, 500.0)
    pad = Layer("pad", 8000.0, about(0.05), 150.0, 1500.0, 500.0)
    cover = Layer("cover", 100.0, 0.25, 900.0, 1400.0)
    carrier = Layer("carrier", 75.0, 0.2, 1360.0, 1000.0, 3000.0)
    platen, bed = Boundary(about(160.0, 0.01), about(900.0, 0.3)), Boundary(25.0, 60.0)
    garment = (cloth, lower, pad)
    two, four = (*films[4:], *garment), (*films, *garment)
    return [
        Phase(garment, platen, bed, 5.0),
        Phase((cover, carrier, *two), platen, bed, 8.0),
        Phase(two, Boundary(22.0, 12.0), bed, 20.0),
        *[Phase((cover, carrier, *four), platen, bed, 15.0) for _ in range(presses)],
    ]


def answers(phases: list[Phase], resolve_s: float = 0.5) -> list[Floats]:
    """What the advisor asks: per bond line the hottest, the seconds above and when it softens."""
    curves = chain(phases, resolve_s=resolve_s).curves(BOND_LINES)
    found = [(curve.hottest_c, above(curve, SOFT_C)) for curve in curves]
    return [np.stack([hottest, there.seconds, there.first_s]) for hottest, there in found]


def marched(course: Course, rtol: float, outputs: int) -> list[Floats]:
    """The same cells in the same schedule, marched by BDF, which is given the exact Jacobian."""
    fields: list[Floats] = []
    for leg in course.legs:
        jacobian, supply = cells_of(leg.stack)

        def change(
            _: float, celsius: Floats, jacobian: Floats = jacobian, supply: Floats = supply
        ) -> Floats:
            rate = jacobian[1] * celsius + supply
            rate[:-1] += jacobian[0, 1:] * celsius[1:]
            rate[1:] += jacobian[2, :-1] * celsius[:-1]
            return np.asarray(rate)

        dense = np.diag(jacobian[1]) + np.diag(jacobian[0, 1:], 1) + np.diag(jacobian[2, :-1], -1)
        run = solve_ivp(
            change, (0.0, leg.seconds), leg.initial_c, method="BDF", jac=dense, rtol=rtol,
            atol=rtol * 100, t_eval=np.linspace(0.0, leg.seconds, outputs),
        )  # fmt: skip
        fields.append(run.y.T)
    return fields


def cells_of(stack: Configuration) -> tuple[Floats, Floats]:
    """The stack's tridiagonal matrix as a band, and what its two ends supply."""
    link, heat = stack.link_w_m2k, stack.heat_j_m2k
    band = np.zeros((3, heat.size))
    band[0, 1:] = link[1:-1] / heat[:-1]
    band[1] = -(link[:-1] + link[1:]) / heat
    band[2, :-1] = link[1:-1] / heat[1:]
    supply = np.zeros(heat.size)
    supply[0] = link[0] * stack.front.temperature_c / heat[0]
    supply[-1] += link[-1] * stack.back.temperature_c / heat[-1]
    return band, supply


def test_one_schedule_of_four_phases(benchmark: BenchmarkFixture) -> None:
    found = benchmark(lambda: answers(schedule()))
    assert all(line[0] > SOFT_C for line in found)


def test_three_hundred_samples_of_it(benchmark: BenchmarkFixture) -> None:
    found = benchmark.pedantic(lambda: answers(schedule(300), 2.0), rounds=3, warmup_rounds=1)
    assert all(line.shape == (3, 300) for line in found)
    assert all(np.isfinite(line[0]).all() for line in found)


def test_samples_together_beat_samples_one_by_one(benchmark: BenchmarkFixture) -> None:
    def together() -> list[Floats]:
        return answers(schedule(100), 2.0)

    found = benchmark.pedantic(together, rounds=2)
    assert all(line.shape == (3, 100) for line in found)
    hold_ratio(
        benchmark,
        "100 samples one by one ÷ together",
        lambda: least_s(lambda: [answers(schedule(), 2.0) for _ in range(100)], 1),
        lambda: least_s(together),
        above=4,
    )


def test_exact_in_time_against_an_integrator_at_equal_accuracy(benchmark: BenchmarkFixture) -> None:
    course, outputs = chain(schedule()), 60

    def exact() -> list[Floats]:
        found = chain(schedule())
        return [
            leg.stack.field_at(leg.initial_c, np.linspace(0.0, leg.seconds, outputs))
            for leg in found.legs
        ]

    def error(rtol: float) -> float:
        pairs = zip(exact(), marched(course, rtol, outputs), strict=True)
        return max(float(np.abs(one - other).max()) for one, other in pairs)

    # The loosest tolerance that still keeps the integrator within the accuracy asked.
    rtol = next(
        r for r in (1e-2, 3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 1e-6) if error(r) < ACCURACY_K
    )
    benchmark.pedantic(exact, rounds=5, warmup_rounds=1)
    hold_ratio(
        benchmark,
        f"BDF (rtol {rtol:g}, error {error(rtol):.3f} K) ÷ exact in time",
        lambda: least_s(lambda: marched(course, rtol, outputs), 2),
        lambda: least_s(exact, 20),
        above=20,
    )


def test_time_grows_in_proportion_to_the_phases(benchmark: BenchmarkFixture) -> None:
    found = benchmark.pedantic(lambda: answers(schedule(presses=8)), rounds=3)
    # The presses between them make each bond line no cooler.
    once = answers(schedule())
    assert all(more[0] >= one[0] - 1e-6 for more, one in zip(found, once, strict=True))
    hold_ratio(
        benchmark,
        "time per phase, 67 phases ÷ 11 phases",
        lambda: least_s(lambda: answers(schedule(presses=64)), 5) / 67,
        lambda: least_s(lambda: answers(schedule(presses=8)), 5) / 11,
        below=2,
    )


@pytest.mark.parametrize("layers", [1, 10])
def test_plain_layers_from_a_second_to_two_months(benchmark: BenchmarkFixture, layers: int) -> None:
    soil = {"conductivity_w_mk": 0.52, "density_kg_m3": 2050.0, "heat_capacity_j_kgk": 1840.0}
    document = {
        "layers": [{"name": f"{n}", "thickness_um": 2e6, **soil} for n in range(layers)],
        "platen_c": -15.0, "initial_c": 20.0, "seconds": [1.0, 60.0, 3600.0, 86_400.0, 5.184e6],
    }  # fmt: skip
    found = benchmark.pedantic(lambda: plain_layers(document), rounds=2, warmup_rounds=1)
    assert found["front_c"] == [-15.0] * 5
