"""Speed of heat as plan, check and look use it, each beside a stated alternative."""

from __future__ import annotations

import time
from collections.abc import Callable
from itertools import pairwise, permutations

import numpy as np
from pytest_benchmark.fixture import BenchmarkFixture

from advisor.answers.heat import heat_report
from advisor.heat.band import SAMPLES, Wanted, bands, spread_of, unlucky_seconds
from advisor.heat.bond_lines import _curves, bond_lines, moments_at
from advisor.heat.course import Phase, chain
from advisor.heat.layers import Boundary, Layer
from advisor.heat.screen import _found, refuses_stack
from advisor.heat.stack import AIR_W_M2K, bond_line_at
from advisor.heat.timing import timing
from advisor.heat.trial import stack_schedule
from advisor.heat.walk import METAL, _set_to, follow, solved
from advisor.layering.press_steps import Laying, Timing
from advisor.layering.stages import StageConflict, choose_stages, heat_limits
from rules.catalogue import load_catalogue
from rules.facts.schedule import Schedule

SHELF = load_catalogue()
PRESS = SHELF.press("clamshell-38x38")
FABRIC = SHELF.fabric("cotton-jersey-tee")
FOUR = ["matte-smooth", "matte-thin", "satin-smooth", "sparkle-coarse"]


def forget() -> None:
    """Nothing has been solved before."""
    for kept in (_curves, follow, solved, _set_to, bands, unlucky_seconds, _found):
        kept.cache_clear()


def seconds_of(
    work: Callable[[], object], times: int = 3, before: Callable[[], None] | None = None
) -> float:
    taken: list[float] = []
    for _ in range(times):
        if before:
            before()
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def four_films() -> Schedule:
    return stack_schedule(
        [SHELF.film(name) for name in FOUR],
        fabric=FABRIC, press=PRESS, sheets=SHELF.sheets, setpoint_c=160, dwell_s=15,
    )  # fmt: skip


def laying(names: list[str]) -> Laying:
    films = {f"p{n}": SHELF.film(name) for n, name in enumerate(names)}
    groups = tuple((piece,) for piece in films)
    stages = choose_stages(groups, films, heat_limits([FABRIC], PRESS))
    assert not isinstance(stages, StageConflict)
    over = tuple((upper, lower) for lower, upper in pairwise(films))
    return Laying(films, groups, stages, over, FABRIC, PRESS, SHELF.sheets)


def test_checking_four_films_again_costs_little(benchmark: BenchmarkFixture) -> None:
    schedule = four_films()

    def check() -> object:
        return bond_lines(schedule, uncertain=True)

    first_s = seconds_of(check, before=forget)
    again_s = seconds_of(check, 10)
    benchmark.extra_info["first ÷ again"] = round(first_s / again_s, 1)
    print(f"\nfour films, first {1e3 * first_s:.0f} ms, again {1e3 * again_s:.1f} ms")
    benchmark(check)
    assert first_s > 2 * again_s


def test_timing_a_plan_of_two_films(benchmark: BenchmarkFixture) -> None:
    pressed = laying(["matte-smooth", "sparkle-coarse"])
    first_s = seconds_of(lambda: timing(pressed), before=forget)
    again_s = seconds_of(lambda: timing(pressed), 10)
    benchmark.extra_info["first ÷ again"] = round(first_s / again_s, 1)
    print(f"\ntiming two films, first {1e3 * first_s:.1f} ms, again {1e3 * again_s:.1f} ms")
    found = benchmark(lambda: timing(pressed))
    assert isinstance(found, Timing)
    assert again_s < first_s


def test_screening_candidates_beats_timing_them(benchmark: BenchmarkFixture) -> None:
    pairs = list(permutations(["matte-smooth", "satin-smooth", "sparkle-coarse", "flock-short"], 2))
    cover = SHELF.sheet("ptfe-cover")

    def screen() -> list[object]:
        return [
            refuses_stack(
                [SHELF.film(name) for name in pair],
                fabric=FABRIC, press=PRESS, cover=cover, setpoint_c=160, longest_s=18,
            )
            for pair in pairs
        ]  # fmt: skip

    layings = [laying(list(pair)) for pair in pairs]
    whole_s = seconds_of(lambda: [timing(pressed) for pressed in layings], before=forget)
    first_s = seconds_of(screen, before=forget)
    again_s = seconds_of(screen, 10)
    benchmark.extra_info["timing ÷ first screen"] = round(whole_s / first_s, 1)
    benchmark.extra_info["timing ÷ screen again"] = round(whole_s / again_s, 1)
    each = 1e3 / len(pairs)
    print(
        f"\nper stack: timing {each * whole_s:.1f} ms, screen {each * first_s:.2f} ms, "
        f"again {each * again_s:.4f} ms"
    )
    benchmark(screen)
    assert whole_s > first_s / 2
    assert whole_s > 10 * again_s


def test_sampling_the_presses_beats_sampling_the_whole_schedule(
    benchmark: BenchmarkFixture,
) -> None:
    schedule = four_films()
    column = tuple(schedule.films)
    moments, spread = moments_at(schedule, column), spread_of(PRESS)
    wanted = tuple(
        Wanted(bond_line_at(column, piece), film.bonds_c, film.bonds_s)
        for piece, film in schedule.films.items()
    )

    def presses() -> object:
        bands.cache_clear()
        return bands(moments, PRESS.contact_w_m2k, wanted, spread)

    def whole() -> object:
        random, made = np.random.default_rng(3), dict[str, Layer]()

        def varied(layer: Layer) -> Layer:
            if layer.name not in made:
                factor = np.exp(random.normal(0, 0.1, SAMPLES))
                made[layer.name] = Layer(
                    layer.name, layer.thickness_um, layer.conductivity_w_mk * factor,
                    layer.density_kg_m3, layer.heat_capacity_j_kgk,
                )  # fmt: skip
            return made[layer.name]

        contact = PRESS.contact_w_m2k * np.exp(random.normal(0, 0.25, SAMPLES))
        phases = [
            Phase(
                tuple(varied(layer) for layer in moment.layers),
                Boundary(20.0, AIR_W_M2K)
                if moment.platen_c is None
                else Boundary(moment.platen_c, contact),
                METAL,
                moment.seconds,
            )
            for moment in moments
        ]
        return chain(phases, resolve_s=2.0).curves([want.place for want in wanted])

    whole_s, press_s = seconds_of(whole, 2), seconds_of(presses)
    benchmark.extra_info["whole ÷ presses"] = round(whole_s / press_s, 1)
    print(f"\n{SAMPLES} samples: whole {1e3 * whole_s:.0f} ms, presses {1e3 * press_s:.0f} ms")
    benchmark(presses)
    assert whole_s > press_s / 2


def test_a_report_with_its_courses(benchmark: BenchmarkFixture) -> None:
    schedule = four_films()
    told = benchmark(lambda: heat_report(schedule))
    assert len(told.bond_lines) == len(FOUR)
