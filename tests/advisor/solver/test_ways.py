"""Ways: the search by a bound finds what listing finds, never says too much, and counts it all."""

from __future__ import annotations

from itertools import permutations, product

import pytest

from advisor.answers import look_rows
from advisor.answers.look_rows import Looked, laid_nowhere, laid_somewhere, pieces_of
from advisor.answers.typed_stack import best_of_stack, typed_stack
from advisor.job.records.job import Prefer
from advisor.layering.assessment import assess, objective
from advisor.layering.records.problem import Problem
from advisor.solver.listing import list_choices
from advisor.solver.ways import best_ways
from advisor.solver.ways_counted import count_ways
from rules.facts.step import Meets
from rules.knowledge import load_knowledge

KNOWN = load_knowledge()
FEW = (("glow", "mirror"), ("metallic", "clear"), ("clear", "gloss"), ("plush", "glow", "mirror"))


def rows_of(*finishes: str, fabric: str = "adult-tee", prefer: Prefer = "durable") -> list[Problem]:
    """A row for each order of the finishes."""
    asked = Looked(finishes, fabric, "clamshell-38x38", prefer, None, KNOWN)
    return look_rows.rows_of(asked, pieces_of(asked, on_shelf_only=False))


@pytest.mark.parametrize("prefer", ["durable", "softest", "fastest", "cheapest"])
@pytest.mark.parametrize("finishes", FEW)
def test_the_search_finds_what_listing_finds_by_a_bound_that_only_rises(
    finishes: tuple[str, ...], prefer: Prefer
) -> None:
    rows = rows_of(*finishes, prefer=prefer)
    listings = [list_choices(row) for row in rows]
    listed = {
        (tuple(film.id for film in found.choice.films.values()), tuple(found.choice.meets.values()))
        for listing in listings
        for found in (*listing.assessments, *listing.unpressable)
    }
    found = list(best_ways(rows))
    assert all(listing.complete for listing in listings)
    assert {(way.films, tuple(way.choice.meets.values())) for way in found} == listed
    assert len(found) == sum(listing.listed for listing in listings)
    assert [way.bound for way in found] == sorted(way.bound for way in found)
    for way in found:
        measures = assess(way.problem, way.choice).measures
        if measures is not None:
            assert way.bound <= objective(measures, prefer), (way.films, way.meets)


@pytest.mark.parametrize("finishes", FEW)
@pytest.mark.parametrize("fabric", ["adult-tee", "nylon-woven"])
def test_what_is_counted_is_what_is_listed(finishes: tuple[str, ...], fabric: str) -> None:
    rows = rows_of(*finishes, fabric=fabric)
    ways = list(best_ways(rows))
    counted = count_ways(rows)
    assert counted.ways == len(ways)
    assert counted.film_sets == len({tuple(sorted(way.films)) for way in ways})


@pytest.mark.parametrize("laid", ["lap", "inset-under", "inset-over", "butt"])
def test_only_what_is_laid_so_somewhere_is_counted_and_found(laid: Meets) -> None:
    rows = rows_of("plush", "glow", "mirror")
    so = [way for way in best_ways(rows) if laid in way.meets]
    found = {(way.films, way.meets) for way in best_ways(laid_somewhere(rows, laid))}
    assert found == {(way.films, way.meets) for way in so}
    counted = count_ways(rows, without=laid_nowhere(rows, laid))
    assert counted.ways == len(so)
    assert counted.film_sets == len({tuple(sorted(way.films)) for way in so})


def test_every_way_is_looked_at_on_its_own_and_none_is_forgotten() -> None:
    # Written out: two films for each of two finishes, in both orders, each two in four ways.
    rows = rows_of("glow", "mirror")
    every = 0
    for row in rows:
        below, above = row.pieces
        meeting = row.meeting((above.id, below.id))
        for lower, upper, way in product(below.options, above.options, meeting.ways):
            found = list(row.at_joint(meeting, upper.film, lower.film, way))
            if way in {"lap", "inset-over"}:
                found += row.on_film(upper.film, lower.film, rim=way != "lap")
            if way == "inset-under":
                found += row.on_film(lower.film, upper.film, rim=True)
            found += lower.fabric_findings
            found += upper.fabric_findings if way != "lap" else ()
            every += all(one.severity != "stop" for one in found)
    assert count_ways(rows).ways == every > 0
    assert len(rows) == len(list(permutations("ab")))


def test_what_dye_does_through_films_is_foreseen_and_never_more_than_a_plan_finds() -> None:
    foreseen = [
        way
        for way in best_ways(rows_of("matte", "clear", fabric="polyester-jersey"))
        if (unpressed := assess(way.problem, way.choice).measures) is not None
        and way.bound[0] > unpressed.samples
    ]
    assert foreseen
    for way in foreseen[:: 1 + len(foreseen) // 12]:
        stack = typed_stack(
            way.films, way.meets, fabric="polyester-jersey", press="clamshell-38x38",
            knowledge=KNOWN,
        )  # fmt: skip
        best = best_of_stack(stack)
        assert best.plan is None or way.bound <= best.objective, (way.films, way.meets)
