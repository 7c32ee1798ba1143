"""Search limits: always an answer, however little time there is, and Ctrl-C ends it at once."""

from __future__ import annotations

import colorsys
import math
import os
import subprocess
import sys
import time
from dataclasses import replace
from itertools import pairwise

import pytest

from advisor.answers.best_schedule import pinned
from advisor.answers.plan import solve
from advisor.job.records.job import Job, Wish
from advisor.job.records.print import Place
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.cpsat import solved
from advisor.solver.draft import refuses
from advisor.solver.listing import list_choices
from advisor.solver.model import PlanModel
from advisor.solver.proof import optimise
from advisor.solver.records import Cut
from advisor.solver.search import Search
from rules.facts.text import Text
from tests import ROOT
from tests.advisor.solver.solver_problems import stacked, text_on_star


def chain(count: int) -> Problem:
    """So many pieces of which each overlaps the next."""
    deep = stacked({f"p{n}": Wish(finish="matte") for n in range(count)})
    ids = [piece.id for piece in deep.pieces]
    pairs = list(pairwise(ids))
    meetings = tuple(meeting for meeting in deep.meetings if not meeting.hidden)
    places = tuple(Place(pair, 900.0) for pair in pairs)
    printed = replace(deep.print, meetings=meetings, places=places, close=tuple(pairs))
    return replace(deep, print=printed)


def test_sixty_pieces_that_overlap_get_a_plan_in_a_second() -> None:
    found = optimise(chain(60), time_limit_s=1)
    assert found.status == "planned"
    assert found.bound is not None
    assert found.objective is not None
    assert found.bound <= found.objective


def test_a_plan_that_is_stopped_makes_way_for_the_next_when_time_is_short() -> None:
    films: list[str] = []

    def stops_the_first(found: Assessment) -> tuple[Cut, ...]:
        film = found.choice.options["text"].film.id
        films.append(film)
        if film != films[0]:
            return ()
        return (Cut((("text", film),), (), Text("it may not be pressed")),)

    found = optimise(text_on_star(), examine=stops_the_first, time_limit_s=0.001)
    assert found.assessment is not None
    assert found.assessment.choice.options["text"].film.id != films[0]


def test_a_sample_that_only_the_plan_shows_is_counted_with_what_it_spoils() -> None:
    problem = text_on_star()

    def wants_a_sample(found: Assessment) -> tuple[Cut, ...]:
        film = found.choice.options["text"].film.id
        return (
            Cut((("text", film),), (), Text("try it"), severity="sample", cause=("trial", film)),
        )

    plain, sampled = optimise(problem), optimise(problem, examine=wants_a_sample)
    assert plain.objective is not None
    assert sampled.objective is not None
    assert sampled.optimal
    assert sampled.objective == (plain.objective[0] + 1, *plain.objective[1:])


def test_of_a_plan_that_is_stopped_it_is_not_known_what_it_wants_a_sample_for() -> None:
    problem = text_on_star()
    plan = optimise(problem).assessment
    assert plan is not None
    films = tuple((piece, film.id) for piece, film in plan.choice.films.items())
    sampled = Cut(films[:1], (), Text("try it"), severity="sample", cause=("trial",))
    search = Search(
        problem,
        examine=lambda _: (Cut(films, (), Text("heat does not reach it")),),
        cuts=(sampled,),
        most_layers=None,
        deadline=math.inf,
    )
    assert search.consider(plan) is None
    assert sampled in search.cuts


def test_what_a_film_draws_in_its_press_it_draws_whatever_is_finished_after() -> None:
    problem = stacked({"base": Wish(film="gloss-smooth"), "flock": Wish(film="flock-short")})
    last = Cut((("base", "gloss-smooth"),), (), Text("too hot"), stages=(("base", 0),))
    whenever = replace(last, followed=True)
    after_it = optimise(problem, cuts=(last,)).assessment
    assert after_it is not None
    assert [stage.finishes for stage in after_it.stages] == [("base",), ("flock",)]
    assert not refuses(last, after_it)
    assert refuses(whenever, after_it)
    assert optimise(problem, cuts=(whenever,)).status == "impossible"


CTRL_C = """
import os, signal, threading, time
from advisor.answers.best_schedule import pinned
from advisor.answers.plan import solve
from advisor.job.records.job import Job, Wish
from advisor.solver.proof import optimise
from tests.advisor.solver.solver_problems import stacked

deep = stacked({f"p{n}": Wish(finish="matte") for n in range(20)})
threading.Timer(1, os.kill, (os.getpid(), signal.SIGINT)).start()
began = time.monotonic()
try:
    while True:
        optimise(deep, time_limit_s=600)
except KeyboardInterrupt:
    print("heard" if time.monotonic() - began < 60 else "late")
"""


def test_ctrl_c_ends_a_search() -> None:
    if sys.platform == "win32":
        pytest.skip("signals are another thing there")
    # A program of its own: were it not heard, it would end this one without a word.
    ended = subprocess.run(
        [sys.executable, "-c", CTRL_C],
        env=os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ended.returncode, ended.stdout) == (0, "heard\n"), ended.stderr


@pytest.mark.slow
def test_thirty_pieces_that_heat_does_not_reach_when_lapped_are_planned_flat_in_a_second() -> None:
    deep = ROOT / "tests" / "art" / "deep"
    solved = solve(deep / "job.yaml", folder=deep, time_limit_s=1)
    assert solved.plan.status == "planned"
    assert solved.plan.verdict != "stop"


def test_what_holds_whatever_the_stages_are_holds_of_every_listed_plan() -> None:
    problem = text_on_star()
    listed = list_choices(problem, most=400).assessments
    assert len(listed) > 20
    for found in listed:
        model = PlanModel(pinned(problem, found.choice), stages=0)
        assert solved(model.cp, deadline=time.monotonic() + 60).found


def fill(n: int) -> str:
    """Forty hues, three of each lightness, so that films tell neighbours apart."""
    red, green, blue = colorsys.hsv_to_rgb(n * 11 % 40 / 40, 1, (1, 0.75, 0.5)[n % 3])
    return f"#{round(255 * red):02x}{round(255 * green):02x}{round(255 * blue):02x}"


@pytest.mark.slow
def test_forty_squares_twenty_deep_are_told_impossible_by_their_chain_of_presses() -> None:
    squares = "".join(
        f'<rect x="{n}" y="{n}" width="20" height="20" fill="{fill(n)}"/>' for n in range(40)
    )
    job = Job.model_validate(
        {
            "job": "deep",
            "artwork": "deep.svg",
            "looks": {"default": {"finish": "matte"}},
            "garments": [{"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 240}],
        }
    )
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 59 59">{squares}</svg>'
    made = solve(job, folder=ROOT, svg=svg.encode(), time_limit_s=30).plan
    assert (made.status, made.proof.optimal) == ("impossible", True)
    rules = [clash.rule for clash in made.conflict]
    assert "pressed-seconds" in rules
    assert rules.count("press-order") > 10
