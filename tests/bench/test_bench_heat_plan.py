"""Speed of heat as plan, check and look use it, each beside a stated alternative."""

from __future__ import annotations

from itertools import combinations, pairwise

import numpy as np
from pytest_benchmark.fixture import BenchmarkFixture

from advisor.answers.heat import heat_report
from advisor.heat import bond_lines as bond_lines_of
from advisor.heat import places, unlucky, walk
from advisor.heat.bond_lines import bond_lines, followed_lines
from advisor.heat.conduction import AIR_W_M2K, METAL
from advisor.heat.layers import Boundary, Layer
from advisor.heat.moments import moments_at
from advisor.heat.press_layers import bond_line_at
from advisor.heat.timing import timing
from advisor.heat.trial import stack_schedule
from advisor.heat.unlucky import SAMPLES, sampled_seconds, spread_of
from advisor.layering.records.pressing import Laying, StageConflict, Timing
from advisor.layering.stages import choose_stages, heat_limits
from rules.catalogue import load_catalogue
from rules.facts.schedule import Schedule
from tests.advisor.heat.phases import Phase, chain
from tests.bench.ratios import hold_ratio, least_s

SHELF = load_catalogue()
PRESS = SHELF.press("clamshell-38x38")
FABRIC = SHELF.fabric("cotton-jersey-tee")
FOUR = ["matte-smooth", "matte-thin", "satin-smooth", "sparkle-coarse"]


def forget() -> None:
    """Nothing has been solved before."""
    for followed in (
        places.entered,
        places.ended,
        places._bond_curves,
        places._long_curves,
        places.bonding_s,
    ):
        followed.cache_clear()
    bond_lines_of._course_of.cache_clear()
    walk._lasting.cache_clear()
    for solved in (places._solved, places._under, unlucky._sampled, unlucky._stretches):
        solved.cache_clear()


def four_films() -> Schedule:
    return stack_schedule(
        [SHELF.film(name) for name in FOUR],
        fabric=FABRIC, press=PRESS, sheets=SHELF.sheets, materials=SHELF.materials,
        setpoint_c=160, dwell_s=15,
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
        return bond_lines(schedule, None, SHELF.materials, uncertain=True)

    forget()
    first = check()
    assert benchmark(check) == first
    hold_ratio(
        benchmark,
        "four films, first ÷ again",
        lambda: least_s(check, before=forget),
        lambda: least_s(check, 10),
        above=5,
    )


def test_timing_a_plan_of_two_films(benchmark: BenchmarkFixture) -> None:
    pressed = laying(["matte-smooth", "sparkle-coarse"])
    found = benchmark(lambda: timing(pressed, None, SHELF.materials))
    assert isinstance(found, Timing)
    hold_ratio(
        benchmark,
        "timing two films, first ÷ again",
        lambda: least_s(lambda: timing(pressed, None, SHELF.materials), before=forget),
        lambda: least_s(lambda: timing(pressed, None, SHELF.materials), 10),
        above=1,
    )


def test_places_followed_together_beat_places_one_by_one(benchmark: BenchmarkFixture) -> None:
    schedule = four_films()
    pieces = tuple(schedule.films)
    every = [place for deep in range(1, 5) for place in combinations(pieces, deep)]

    def together() -> dict[tuple[str, ...], float]:
        _, lines = followed_lines(schedule, every, SHELF.materials)
        return {(*one.column, one.piece): one.line.seconds_bonding for one in lines}

    def one_by_one() -> dict[tuple[str, ...], float]:
        got_s = {}
        for place in every:
            forget()
            _, lines = followed_lines(schedule, [place], SHELF.materials)
            got_s |= {(*one.column, one.piece): one.line.seconds_bonding for one in lines}
        return got_s

    forget()
    assert benchmark(together) == one_by_one()
    hold_ratio(
        benchmark,
        f"{len(every)} places of four films, one by one ÷ together",
        lambda: least_s(one_by_one),
        lambda: least_s(together, before=forget),
        above=1.3,
    )


def test_sampling_the_presses_beats_sampling_the_whole_schedule(
    benchmark: BenchmarkFixture,
) -> None:
    schedule = four_films()
    column = tuple(schedule.films)
    moments, spread = moments_at(schedule, column, SHELF.materials), spread_of(PRESS)
    _, lines = followed_lines(schedule, [column], SHELF.materials)

    def presses() -> object:
        unlucky._sampled.cache_clear()
        unlucky._stretches.cache_clear()
        return [
            sampled_seconds(
                [leg for leg in one.legs if leg.closed], one.number, one.line.film, spread
            )
            for one in lines
        ]

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
        return chain(phases, resolve_s=2.0).curves(
            [bond_line_at(column, piece) for piece in column]
        )

    assert len(benchmark(presses)) == len(column)
    assert len(whole()) == len(column)
    hold_ratio(
        benchmark,
        f"{SAMPLES} samples, whole schedule ÷ presses",
        lambda: least_s(whole, 2),
        lambda: least_s(presses),
        above=1.2,
    )


def test_a_report_with_its_courses(benchmark: BenchmarkFixture) -> None:
    schedule = four_films()
    told = benchmark(lambda: heat_report(schedule))
    assert len(told.bond_lines) == len(FOUR)
