"""Speed of judging every film on every other, beside the plain loop over all pairs."""

from __future__ import annotations

from pytest_benchmark.fixture import BenchmarkFixture

from rules.alike import Pairs, severities_of_pairs
from rules.facts.subjects import FilmOnFilm
from rules.rulebook import rulebook
from tests.bench.ratios import hold_ratio, least_s
from tests.bench.test_bench_optimise import large_shelf
from tests.rules.test_alike import in_order, one_by_one


def test_three_hundred_films_on_one_another_beside_the_plain_loop(
    benchmark: BenchmarkFixture,
) -> None:
    films, rules = list(large_shelf(300).films.values()), rulebook().on(FilmOnFilm)

    def ours() -> Pairs:
        return severities_of_pairs(rules, films, films, FilmOnFilm, asked={})

    def plainly() -> Pairs:
        return one_by_one(rules, films, films, FilmOnFilm)

    found = benchmark.pedantic(ours, rounds=3)
    assert in_order(found) == in_order(plainly())
    hold_ratio(
        benchmark,
        "the plain loop ÷ asking once what is alike",
        lambda: least_s(plainly, 1),
        lambda: least_s(ours),
        above=5,
    )
