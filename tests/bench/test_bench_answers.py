"""How fast questions are answered, each beside a stated other way of answering the same."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from itertools import permutations, product
from typing import TypeVar

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from advisor import check, look, plan
from advisor.answers.prepared_job import prepared_job
from advisor.heat import places, unlucky
from advisor.heat import timed as heat_timed
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import read_job
from advisor.job.records.print import EVERY_WAY
from advisor.solver.listing import list_choices
from rules.catalogue import load_catalogue
from rules.facts.finding import verdict
from rules.facts.subjects import FilmOnFilm, Joint
from rules.knowledge import Knowledge
from rules.rulebook import rulebook

SHELF = load_catalogue()
STACK = ("matte-smooth", "matte-thin", "satin-smooth", "sparkle-fine")
FEW_CHECKED = 6
Answer = TypeVar("Answer")


def forget() -> None:
    """Nothing has been asked before."""
    for kept in (heat_timed._timed, heat_timed._judged):
        kept.cache_clear()
    for followed in (places._entered, places._ended, places._solved, unlucky._bonding_s):
        followed.cache_clear()


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


def test_a_look_over_the_whole_shelf_beside_checking_every_pair(
    benchmark: BenchmarkFixture,
) -> None:
    found = benchmark.pedantic(
        lambda: look("matte", "sparkle", fabric="cotton-jersey-tee"), rounds=3
    )
    pairs = tried_one_by_one()
    offered = {(answer.films, answer.meets[0]) for answer in found.answers}
    # Trying pairs knows nothing of order, stages or heat, so it may offer more.
    assert offered <= pairs
    lapped = [films for films, way in sorted(offered) if way == "lap"]
    few = lapped[:: len(lapped) // FEW_CHECKED]
    verdicts, few_s = timed(
        lambda: [check(fabric="cotton-jersey-tee", stack=films).verdict for films in few]
    )
    assert "stop" not in verdicts
    record(
        benchmark,
        f"checking each pair and way one by one, from the time of {len(few)} of them",
        few_s / len(few) * len(offered),
    )


def tried_one_by_one() -> set[tuple[tuple[str, str], str]]:
    """Every two films (bottom first) and way of meeting on which no rule says stop."""
    rules, allowed = rulebook(), set()
    films = [film for film in SHELF.films.values() if {"matte", "sparkle"} & set(film.finishes)]
    for (lower, upper), way in product(permutations(films, 2), EVERY_WAY):
        if {"matte", "sparkle"} <= set(lower.finishes) | set(upper.finishes):
            over, under = (lower, upper) if way == "inset-under" else (upper, lower)
            asked = [] if way == "butt" else [FilmOnFilm(over, under, way != "lap")]
            joint = Joint(upper, lower, way, trap_mm=1.0, gap_mm=0.5)
            if verdict(rules.judge(*asked, joint)) != "stop":
                allowed.add(((lower.id, upper.id), str(way)))
    return allowed


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
