"""Nesting measured: density against the best known, and the checks against measuring every pair."""

from __future__ import annotations

import pytest
import shapely
from pytest_benchmark.fixture import BenchmarkFixture

from advisor.cutting.roll.layout import faults
from advisor.cutting.roll.nesting import nest
from advisor.cutting.roll.shapes import Part, outline
from tests.advisor.cutting.roll.nest_by_pairs import wrong_with
from tests.advisor.cutting.roll.nesting_instances import BEST_KNOWN, ROLL_MM, load
from tests.bench.ratios import hold_ratio, least_s

SECONDS = 2.0


@pytest.mark.parametrize("name", BEST_KNOWN)
def test_density_against_the_best_known_in_two_seconds(
    benchmark: BenchmarkFixture, name: str
) -> None:
    """Best known lengths: JeroenGar/sparrow, reached there in far more time."""
    instance = load(name)
    layout = benchmark.pedantic(
        lambda: nest(instance.parts, roll_width_mm=ROLL_MM, spacing_mm=0, seconds=SECONDS),
        rounds=1,
    )
    plain = nest(instance.parts, roll_width_mm=ROLL_MM, spacing_mm=0, seconds=0)
    assert layout.length_mm >= instance.best_known_mm
    benchmark.extra_info["seconds allowed"] = SECONDS
    benchmark.extra_info["share of best known density"] = instance.best_known_mm / layout.length_mm
    benchmark.extra_info["share by rectangles"] = instance.best_known_mm / plain.length_mm


def test_checking_a_layout_against_measuring_every_pair(benchmark: BenchmarkFixture) -> None:
    parts = [
        Part(f"star {n}", shapely.Point(0, 0).buffer(12 + n % 5, quad_segs=4), 30)
        for n in range(10)
    ]
    layout = nest(parts, roll_width_mm=480, seconds=0)
    patches = {part.id: outline(part.shape) for part in parts}
    found = benchmark(faults, patches, layout.placements, roll_width_mm=480, spacing_mm=3.0)
    assert wrong_with(layout, parts) == list(found) == []
    hold_ratio(
        benchmark,
        "measuring every pair ÷ checking",
        lambda: least_s(lambda: wrong_with(layout, parts), 1),
        lambda: least_s(
            lambda: faults(patches, layout.placements, roll_width_mm=480, spacing_mm=3.0)
        ),
        above=1,
    )
