"""With a shop's log in hand, listing and proof weigh the same plans alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor.job.records.job import Wish
from advisor.layering.records.problem import Problem
from advisor.solver.proof import optimise
from rules.facts.finding import verdict
from rules.facts.trial import Setting, Trial
from rules.shop_log import ShopLog
from tests.advisor.solver.solver_problems import BOOK, SHELF, option, problems, text_on_star
from tests.advisor.solver.test_optimise import agree, thorough

# A problem that fails is long to print; that warning would hide what failed.
pytestmark = pytest.mark.filterwarnings("ignore::hypothesis.errors.HypothesisWarning")

LONG_AND_HOT = Setting(220, 120)


def with_log(problem: Problem, trials: Sequence[Trial]) -> Problem:
    """The problem as a shop that logged this would pose it."""
    films = {one.film.id: one.film for piece in problem.pieces for one in piece.options}
    catalogue = replace(SHELF, films={**SHELF.films, **films})
    known = replace(BOOK, catalogue=catalogue, evidence=(ShopLog(tuple(trials), catalogue),))
    known = known.pressed_at(problem.limits.press, *problem.fabrics)
    pieces = []
    for piece in problem.pieces:
        anew = [
            option(one.film, problem.fabrics[0], piece.sizes[0], known) for one in piece.options
        ]
        kept = tuple(one for one in anew if verdict(one.findings) != "stop")
        pieces.append(replace(piece, options=kept))
    return replace(
        problem, knowledge=known, pieces=tuple(pieces), rule_answers=type(problem.rule_answers)()
    )


@st.composite
def logged_problems(draw: st.DrawFn) -> Problem:
    """A small problem, and a log of what was laid of its films."""
    problem = draw(problems(most_pieces=3))
    films = sorted({one.film.id for piece in problem.pieces for one in piece.options})
    cloth = problem.fabrics[0].make
    if not films:
        return problem
    trial = st.builds(
        Trial,
        film=st.sampled_from(films),
        below=st.sampled_from([cloth, *films]),
        under=st.just(()),
        cloth=st.just(cloth),
        press=st.just(problem.limits.press.id),
        outcome=st.sampled_from(["sound", "sound", "edge-lift", "mark", "bubble"]),
        garments=st.sampled_from([1, 10, 40, 400]),
        washes=st.just(25),
        setting=st.just(LONG_AND_HOT),
    )
    return with_log(problem, draw(st.lists(trial, min_size=1, max_size=8)))


@pytest.mark.slow
@thorough
@given(logged_problems())
def test_the_best_plan_by_the_log_is_the_best_of_the_full_list(problem: Problem) -> None:
    agree(problem)


def test_the_fewest_samples_count_what_the_log_has_lifted_and_what_it_asks_for() -> None:
    films = ("gloss-smooth", "matte-smooth")
    problem = text_on_star(
        star=Wish(film=films[0]), text=Wish(film=films[1]), ways=("lap",)
    )  # fmt: skip
    cloth, press = problem.fabrics[0].make, problem.limits.press.id
    held = Trial(films[1], films[0], (), cloth, press, "sound", 29, 25, setting=LONG_AND_HOT)
    lifted = replace(held, below=cloth, film=films[0], outcome="edge-lift", garments=1)

    def samples(*trials: Trial) -> int:
        found = optimise(with_log(problem, trials)).assessment
        assert found is not None
        assert found.measures is not None
        return found.measures.samples

    assert samples(held) == samples() - 1
    assert samples(lifted) == samples() + 1
    assert samples(held, lifted) == samples()
