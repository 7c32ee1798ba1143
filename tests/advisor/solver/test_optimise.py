"""Optimise: the best plan is the best of all, found again by listing every choice."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from itertools import pairwise

import networkx as nx
import pytest
from hypothesis import HealthCheck, Phase, given, settings

from advisor.job.records.job import Wish
from advisor.job.records.print import EVERY_WAY, NOTHING_PRINTED, Place
from advisor.layering.assessment import objective
from advisor.layering.meeting import pressed_before
from advisor.layering.order import precedences
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.listing import list_choices
from advisor.solver.proof import Cut, optimise
from advisor.solver.stack_limits import stack_limits
from rules.errors import BadInputError, ProgramError
from rules.facts.film import Film
from rules.facts.text import Text
from tests import ROOT
from tests.advisor.solver.solver_problems import SHELF, problems, stacked, text_on_star

FULL = bool(os.environ.get("PRESSLORE_FULL"))
"""Set ``PRESSLORE_FULL=1`` to try a thousand problems instead of a few."""

# A problem that fails is long to print; that warning would hide what failed.
pytestmark = pytest.mark.filterwarnings("ignore::hypothesis.errors.HypothesisWarning")

thorough = settings(
    max_examples=1000 if FULL else 25,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
brief = settings(thorough, max_examples=1000 if FULL else 8)


def agree(problem: Problem) -> None:
    """The optimiser and the full list agree on whether there is a plan and on how good it is."""
    listing = list_choices(problem)
    best = optimise(problem, time_limit_s=60)
    assert listing.complete
    if listing.best is None:
        assert (best.status, best.assessment) == ("impossible", None)
        return
    assert best.status == "planned"
    assert best.optimal
    assert listing.best.measures is not None
    assert best.objective == objective(listing.best.measures, problem.prefer)
    assert best.bound == best.objective


@pytest.mark.slow
@thorough
@given(problems())
def test_the_best_plan_is_the_best_of_the_full_list(problem: Problem) -> None:
    agree(problem)


@pytest.mark.slow
@brief
@given(problems(most_pieces=3))
def test_ranks_are_an_order_that_every_overlap_allows(problem: Problem) -> None:
    found = optimise(problem).assessment
    if found is None or found.grouping is None:
        return
    rank = {piece: n for n, group in enumerate(found.grouping.groups) for piece in group}
    links = precedences(found.choice.films, pressed_before(found.choice.meets))
    graph: nx.DiGraph[str] = nx.DiGraph([(link.first, link.then) for link in links])
    for first, then in graph.edges:
        assert rank[first] < rank[then]
    sequence = sorted(graph, key=lambda piece: rank[piece])
    assert all(
        sequence.index(first) < sequence.index(then)
        for first, then in nx.transitive_closure_dag(graph).edges
    )


@brief
@given(problems(most_pieces=3))
def test_a_stack_is_worse_from_the_depth_and_thickness_that_the_rules_gave(
    problem: Problem,
) -> None:
    options = {piece.id: piece.options for piece in problem.pieces}
    limits = stack_limits(problem, options)
    for place in problem.places:
        if not all(options[piece] for piece in place.stack):
            continue
        films = tuple(options[piece][0].film for piece in place.stack)
        said = {
            limit.finding.rule
            for limit in limits
            if limit.finding.severity != "note" and _reaches(films, limit.depth, limit.tenths_um)
        }
        judged = {f.rule for f in problem.in_stack(films) if f.severity != "note"}
        assert said == judged


def _reaches(films: tuple[Film, ...], depth: int | None, tenths_um: int | None) -> bool:
    if depth is not None:
        return len(films) >= depth
    return tenths_um is not None and 10 * sum(film.thickness_um for film in films) >= tenths_um


def test_text_on_sparkle_goes_down_first_with_the_sparkles_rim_over_it() -> None:
    found = optimise(text_on_star()).assessment
    assert found is not None
    assert found.grouping is not None
    assert found.choice.meets["text", "star"] == "inset-under"
    assert found.grouping.groups == (("text",), ("star",))


def test_films_that_cannot_share_a_press_finish_in_stages_the_hotter_first() -> None:
    sea_and_moon = stacked(
        {"sea": Wish(film="matte-thick"), "moon": Wish(film="metallic-low-temperature")},
        ways={("moon", "sea"): ("lap",)},
    )
    found = optimise(sea_and_moon).assessment
    assert found is not None
    assert [stage.finishes for stage in found.stages] == [("sea",), ("moon",)]
    assert all(later.setpoint_c < earlier.setpoint_c for earlier, later in pairwise(found.stages))
    assert found.stages[1].setpoint_c <= SHELF.film("matte-thick").bears_c


def test_out_of_time_there_is_a_plain_plan_whose_bound_holds() -> None:
    found = optimise(text_on_star(), time_limit_s=0)
    assert (found.status, found.optimal) == ("planned", False)
    best = optimise(text_on_star()).objective
    assert found.bound is not None
    assert best is not None
    assert found.bound <= best


def test_what_heat_refutes_does_not_come_again_and_the_next_best_is_proved() -> None:
    problem = text_on_star(star=Wish(film="sparkle-fine"))
    listing = list_choices(problem)
    refuted: list[str] = []

    def too_cool(found: Assessment) -> tuple[Cut, ...]:
        film = found.choice.options["text"].film.id
        if len(refuted) == 2:
            return ()
        refuted.append(film)
        return (Cut((("text", film),), (), f"heat does not reach {film}"),)

    found = optimise(problem, examine=too_cool)
    left = [
        one
        for one in listing.assessments
        if one.choice.options["text"].film.id not in refuted and one.measures is not None
    ]
    assert len(found.cuts) == len(set(refuted)) == 2
    assert found.optimal
    assert found.objective == min(
        objective(one.measures, problem.prefer) for one in left if one.measures is not None
    )


def test_when_heat_refutes_everything_nothing_is_possible() -> None:
    def always(found: Assessment) -> tuple[Cut, ...]:
        return (Cut((), tuple(found.choice.meets.items()), "heat reaches no adhesive"),)

    found = optimise(text_on_star(), examine=always)
    assert found.status == "impossible"
    assert {dict(cut.meets)["text", "star"] for cut in found.cuts} <= set(EVERY_WAY)


def test_a_cut_that_lets_the_plan_stand_is_a_mistake() -> None:
    with pytest.raises(ProgramError, match="lets the plan stand"):
        optimise(text_on_star(), examine=lambda _: (Cut((("text", "denim"),), (), "no such film"),))


def test_beginning_from_a_plan_does_not_change_the_best() -> None:
    problem = text_on_star()
    worst = list_choices(problem).assessments[-1]
    assert optimise(problem, warm_start=worst).objective == optimise(problem).objective


def test_a_piece_without_a_film_is_impossible_and_no_piece_at_all_is_a_mistake() -> None:
    problem = text_on_star()
    bare = replace(problem.pieces[0], options=())
    assert optimise(replace(problem, pieces=(bare, problem.pieces[1]))).status == "impossible"
    empty = replace(problem, print=NOTHING_PRINTED, pieces=())
    with pytest.raises(BadInputError, match="nothing to press"):
        optimise(empty)


def test_a_third_layer_is_seen_where_the_second_is_knocked_out() -> None:
    problem = stacked(
        {"sea": Wish(finish="matte"), "sun": Wish(finish="sparkle"), "word": Wish(finish="matte")}
    )
    found = optimise(problem).assessment
    assert found is not None
    assert found.choice.meets["word", "sun"] != "lap"
    assert ("word", "sea") in {(contact.upper, contact.lower) for contact in found.contacts}
    assert Place(("sea", "sun", "word"), 900.0) in problem.places


SAME_EVERY_TIME = """
from tests.advisor.solver.solver_problems import text_on_star

from advisor.solver.alternatives import alternatives
from advisor.solver.impossible import explain_impossible
from advisor.job.records.job import Wish
from advisor.solver.proof import optimise

problem = text_on_star(star=Wish(film="sparkle-fine"), samples_allowed=False)
best = optimise(problem).assessment
print(repr(best), repr(alternatives(problem, best, most=2)))
print(repr(explain_impossible(text_on_star(star=Wish(film="sparkle-fine"), ways=("lap",)))))
"""


@pytest.mark.slow
def test_the_same_plan_and_the_same_words_whatever_the_hash_seed() -> None:
    told = set()
    for seed in ("0", "4242"):
        run = subprocess.run(
            [sys.executable, "-c", SAME_EVERY_TIME],
            env=os.environ | {"PYTHONHASHSEED": seed},
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        )
        told.add(run.stdout)
    assert len(told) == 1


def with_twins(problem: Problem) -> Problem:
    """The problem with every film on the shelf twice, under another name, the others first."""
    pieces = tuple(
        replace(
            piece,
            options=(
                *piece.options,
                *(
                    replace(one, film=one.film.model_copy(update={"id": f"{one.film.id}-twin"}))
                    for one in piece.options
                ),
            ),
        )
        for piece in problem.pieces
    )
    return replace(problem, pieces=pieces)


def test_of_films_that_are_alike_the_first_on_the_shelf_is_taken() -> None:
    looks = ("matte", "satin", "gloss", "matte")
    problem = stacked({f"p{n}": Wish(finish=finish) for n, finish in enumerate(looks)})
    alone, beside = optimise(problem), optimise(with_twins(problem))
    assert alone.assessment is not None
    assert beside.assessment is not None
    assert beside.objective == alone.objective
    assert beside.assessment.choice.films == alone.assessment.choice.films
    assert beside.assessment.choice.meets == alone.assessment.choice.meets
    assert beside.assessment.grouping == alone.assessment.grouping


def test_a_base_and_its_flock_get_a_full_press_each_at_one_setpoint() -> None:
    one_press = {piece: Wish(film=film) for piece, film in BASE_AND_FLOCK.items()}
    problem = stacked(one_press, ways={("flock", "base"): ("lap",)})

    def bonds_alone_only(found: Assessment) -> tuple[Cut, ...]:
        if len(found.stages) > 1:
            return ()
        films = tuple((piece, film.id) for piece, film in found.choice.films.items())
        stages = tuple((piece, 0) for piece in found.choice.films)
        return (Cut(films, (), Text("heat does not reach the base"), stages=stages),)

    found = optimise(problem, examine=bonds_alone_only)
    assert found.optimal
    assert found.assessment is not None
    first, second = found.assessment.stages
    assert (first.finishes, second.finishes) == (("base",), ("flock",))
    assert first.setpoint_c == second.setpoint_c
    assert second.setpoint_c <= SHELF.film(BASE_AND_FLOCK["base"]).bears_c


BASE_AND_FLOCK = {"base": "gloss-smooth", "flock": "flock-short"}
