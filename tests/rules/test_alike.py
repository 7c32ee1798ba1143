"""Alike: asking a rule once for films that are alike answers as asking it about every pair does."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from rules.alike import AskedOnce, Pairs, severities_of_pairs
from rules.book.rule import Found, Judges, Rule
from rules.facts.film import Film
from rules.facts.subjects import FilmOnFilm, Joint
from rules.rulebook import rulebook
from tests.advisor.solver.solver_problems import FILMS, variants

BOOK = rulebook()


def one_by_one(
    rules: Sequence[Rule[Any]],
    above: Sequence[Film],
    below: Sequence[Film],
    subject: Callable[[Film, Film], Any],
) -> Pairs:
    """The plain loop: each rule is asked about each pair."""
    found: Pairs = {}
    for rule in rules:
        for i, upper in enumerate(above):
            for j, lower in enumerate(below):
                finding = rule.judge(subject(upper, lower))
                if finding is not None and finding.severity != "note":
                    found.setdefault((finding.rule, finding.severity), []).append((i, j))
    return found


def in_order(found: Pairs) -> Pairs:
    return {drawn: sorted(pairs) for drawn, pairs in sorted(found.items())}


def a_rule(objects: Callable[[Any], bool], judges: Judges = "film_on_film") -> Rule[Any]:
    return Rule(
        id="trial", judges=judges, severity="stop", summary="s", why="w", instead="i",
        basis="generic", source="generic", good={}, bad={},
        finds=lambda it: Found("no", severity="sample") if objects(it) else None,
    )  # fmt: skip


ADDED: dict[str, Callable[[Any], bool]] = {
    "reads a price": lambda it: it.upper.price_per_m > it.lower.price_per_m,
    "reads an id": lambda it: it.upper.id < it.lower.id,
    "reads where": lambda it: it.where.startswith("matte"),
    "reads a thickness that is worked out": lambda it: it.upper.thickness_um > 90,
    "reads more of some films than of others": lambda it: (
        it.upper.face_um > 60 if it.lower.foams else it.upper.peel == it.lower.peel
    ),
    "reads what each value rests on": lambda it: "face_um" in it.lower.basis,
    "compares two films": lambda it: it.upper == it.lower,
    "copies a film": lambda it: it.upper.model_copy(update={"foams": True}).face_um > 60,
    "lists a film": lambda it: dict(it.lower)["opacity"] > 0.95,
    "asks what a thing is": lambda it: isinstance(it.upper, Film) and it.rim,
}

films = st.lists(st.one_of(variants(), st.sampled_from(FILMS)), min_size=1, max_size=6)
brief = settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


@brief
@given(st.lists(st.tuples(films, films, st.booleans()), min_size=1, max_size=4))
def test_the_book_answers_as_if_asked_about_every_pair(tables: list[Any]) -> None:
    asked: AskedOnce = {}
    rules = BOOK.on(FilmOnFilm)
    for above, below, rim in tables:

        def lying(upper: Film, lower: Film, rim: bool = rim) -> FilmOnFilm:
            return FilmOnFilm(upper, lower, rim)

        found = severities_of_pairs(rules, above, below, lying, asked=asked, same=rim)
        assert in_order(found) == in_order(one_by_one(rules, above, below, lying))


@brief
@given(
    films,
    films,
    st.sampled_from(["lap", "butt", "inset-under", "inset-over"]),
    st.sampled_from([0.0, 0.3, 1.0, 4.0]),
    st.sampled_from([0.0, 0.2, 2.0]),
    st.sampled_from([1.0, 2.5, 9.0]),
)
def test_rules_on_joints_too(
    above: list[Film], below: list[Film], way: Any, wide: float, shrink: float, narrow: float
) -> None:
    def met(upper: Film, lower: Film) -> Joint:
        return Joint(upper, lower, way, wide, wide, 0.5, shrink, narrow)

    rules = BOOK.on(Joint)
    found = severities_of_pairs(rules, above, below, met, asked={})
    assert in_order(found) == in_order(one_by_one(rules, above, below, met))


@pytest.mark.parametrize("reads", ADDED)
@brief
@given(st.lists(st.tuples(films, films, st.booleans()), min_size=1, max_size=3))
def test_a_rule_more_is_asked_about_all_that_it_can_tell_apart(
    reads: str, tables: list[Any]
) -> None:
    rule, asked = a_rule(ADDED[reads]), AskedOnce()
    for above, below, rim in tables:

        def lying(upper: Film, lower: Film, rim: bool = rim) -> FilmOnFilm:
            return FilmOnFilm(upper, lower, rim)

        found = severities_of_pairs([rule], above, below, lying, asked=asked, same=rim)
        assert in_order(found) == in_order(one_by_one([rule], above, below, lying))


def test_films_that_are_alike_are_judged_once() -> None:
    judged: list[str] = []

    def objects(pair: FilmOnFilm) -> bool:
        judged.append("once")
        return pair.lower.foams

    severities_of_pairs([a_rule(objects)], FILMS, FILMS, FilmOnFilm, asked={})
    # Once to see what is read, then once for films that foam and once for those that do not.
    assert len(judged) == 3
