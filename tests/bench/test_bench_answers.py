"""How fast questions are answered, each beside a stated other way of answering the same."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from itertools import islice
from typing import TypeVar

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from advisor import check, look, plan
from advisor.answers.check import _check_best
from advisor.answers.prepared_job import prepared_job
from advisor.answers.records import LookAnswer
from advisor.answers.typed_stack import weighing_of
from advisor.heat import places, unlucky, walk
from advisor.heat import timed as heat_timed
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import read_job
from advisor.solver.listing import list_choices
from advisor.solver.ways import best_ways
from advisor.solver.ways_counted import count_ways
from rules.catalogue import load_catalogue
from rules.knowledge import Knowledge
from rules.rulebook import rulebook
from tests.advisor.solver.test_ways import rows_of
from tests.bench.ratios import hold_ratio, least_s

SHELF = load_catalogue()
STACK = ("matte-smooth", "matte-thin", "satin-smooth", "sparkle-fine")
Answer = TypeVar("Answer")


def forget() -> None:
    """Nothing has been asked before."""
    for kept in (heat_timed._timed, heat_timed._judged, weighing_of, _check_best):
        kept.cache_clear()
    for followed in (
        places.entered,
        places.ended,
        places._solved,
        places._bond_curves,
        places._long_curves,
    ):
        followed.cache_clear()
    for sampled in (walk._lasting, unlucky._sampled, unlucky._stretches):
        sampled.cache_clear()


@pytest.fixture(autouse=True)
def _asked_afresh() -> Iterator[None]:
    forget()
    yield
    forget()


def timed(answer: Callable[[], Answer]) -> tuple[Answer, float]:
    """What it answers, and the seconds that it takes."""
    begun = time.perf_counter()
    return answer(), time.perf_counter() - begun


def record(benchmark: BenchmarkFixture, other: str, other_s: float) -> None:
    """Keep how many times as long the other way takes."""
    if benchmark.stats is None:  # benchmarks are disabled: the answers alone are compared
        return
    own_s = benchmark.stats.stats.median
    benchmark.extra_info["beside"] = other
    benchmark.extra_info["times_as_long"] = round(other_s / own_s, 2)


def test_a_stack_of_four_asked_again_beside_judging_it_afresh(benchmark: BenchmarkFixture) -> None:
    def ask() -> str:
        return check(fabric="cotton-jersey-tee", stack=STACK).model_dump_json()

    fresh, fresh_s = timed(ask)
    assert benchmark.pedantic(ask, rounds=5) == fresh
    record(benchmark, "a fresh judgement, its heat simulated anew", fresh_s)


def test_a_look_of_two_finishes_beside_planning_every_choice_of_films(
    benchmark: BenchmarkFixture,
) -> None:
    def few() -> LookAnswer:
        return look("matte", "sparkle", fabric="cotton-jersey-tee")

    def every() -> LookAnswer:
        return look("matte", "sparkle", fabric="cotton-jersey-tee", most=None)

    found = benchmark.pedantic(few, setup=forget, rounds=3)
    every_one, every_s = timed(every)
    laid = [(answer.films, answer.meets) for answer in every_one.answers]
    assert [(answer.films, answer.meets) for answer in found.answers] == laid[:5]
    hold_ratio(
        benchmark,
        "planning every choice of films ÷ the best five",
        lambda: every_s,
        lambda: least_s(few, 2, before=forget),
        above=2,
    )


def test_the_ways_of_four_finishes_counted_and_the_best_found_beside_listing_a_few(
    benchmark: BenchmarkFixture,
) -> None:
    finishes = ("matte", "satin", "gloss", "sparkle")

    def search() -> tuple[int, list[tuple[int, ...]]]:
        rows = rows_of(*finishes)
        return count_ways(rows).ways, [way.bound for way in islice(best_ways(rows), 100)]

    ways, bounds = benchmark(search)
    assert ways > 500_000
    assert bounds == sorted(bounds)

    def listed_s() -> float:
        # Two thousand of them in one order of 24, and the rest at the same pace.
        row = rows_of(*finishes)[0]
        return least_s(lambda: list_choices(row, most=2_000), 1) * ways / 2_000

    hold_ratio(
        benchmark,
        "listing every way ÷ counting them and finding the best hundred",
        listed_s,
        lambda: least_s(search),
        above=100,
    )


def test_the_demo_bags_planned_beside_listing_every_choice(benchmark: BenchmarkFixture) -> None:
    path = DEMO_FOLDER / "bags.yaml"
    made = benchmark.pedantic(lambda: plan(path), setup=forget, rounds=3)
    problem = prepared_job(
        read_job(path), folder=DEMO_FOLDER, knowledge=Knowledge(rulebook(), SHELF)
    ).problem
    listing, listed_s = timed(lambda: list_choices(problem, most=2_000))
    assert made.proof.optimal
    best = listing.best
    assert best is not None
    if listing.complete:
        chosen = [film.id for film in best.choice.films.values()]
        assert [piece.film for piece in made.pieces] == chosen
    record(benchmark, f"listing {listing.listed} choices, without steps or heat", listed_s)
