"""Next films: orders of which the best films of each print alone cannot be put in order."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from advisor.answers import next_films
from advisor.answers.plan import Solved, solve
from advisor.answers.prints import plan_order
from advisor.job.records.job import Job
from advisor.job.records.order_plan import OrderPlan
from rules.catalogue import load_catalogue
from tests.advisor.answers.prints_orders import CREW, block, letters, planned, written

SHELF = load_catalogue()


def films(made: OrderPlan) -> dict[str, list[str]]:
    return {one.id: [piece.film for piece in one.plan.pieces] for one in made.prints}


def pressed_s(made: OrderPlan, piece: str) -> float:
    """The seconds that the platen is closed over a piece, the preheats of what follows too."""
    steps = made.whole.steps
    laid = next(s.n for s in steps if s.action == "press" and piece in s.pieces)
    closed = [s for s in steps if s.n >= laid and s.action in {"press", "preheat"}]
    return sum(step.dwell_s or 0 for step in closed)


def test_a_print_takes_its_next_film_where_the_best_harms_another_in_every_order(
    tmp_path: Path,
) -> None:
    asked = [block("chest-left", film="mirror-sealed"), block("chest-right", finish="raised")]
    (tmp_path / "alone").mkdir()
    alone = planned(tmp_path / "alone", [asked[1]])
    best = films(alone)["chest-right"][0]
    assert SHELF.film(best).foams
    assert SHELF.film(best).setpoint_c.low > SHELF.film("mirror-sealed").bears_c - 5
    made = planned(tmp_path, asked)
    assert made.whole.status == "planned"
    assert films(made)["chest-left"] == ["mirror-sealed"]
    [taken] = films(made)["chest-right"]
    assert taken != best
    assert "raised" in SHELF.film(taken).finishes
    changed = made.print("chest-right").plan
    assert not changed.proof.optimal
    assert best in changed.notes[0]
    assert any(best in note for note in made.whole.notes)
    # The other keeps the film that is proved best for it.
    assert made.print("chest-left").plan.proof.optimal
    for one in made.prints:
        for piece in one.plan.pieces:
            film = SHELF.film(piece.film)
            assert pressed_s(made, f"{one.id}/{piece.id}") <= film.bears_s


def test_where_the_best_can_be_put_in_order_no_print_is_changed(tmp_path: Path) -> None:
    asked = [block("chest-left", finish="sparkle"), block("back", film="matte-smooth")]
    made = planned(tmp_path, asked)
    for number, one in enumerate(asked):
        (tmp_path / f"{number}").mkdir()
        alone = planned(tmp_path / f"{number}", [one])
        assert films(alone)[one["at"]] == films(made)[one["at"]]
    assert all(one.plan.proof.optimal for one in made.prints)


def test_films_that_are_named_stay_and_giving_up_is_not_called_impossible(tmp_path: Path) -> None:
    asked = [block("centre-front", film="foam-raised"), block("back", film="foam-raised")]
    made = planned(tmp_path, asked)
    assert made.whole.status == "unknown"
    assert made.whole.verdict == "stop"
    assert not made.whole.proof.optimal
    assert films(made) == {"centre-front": ["foam-raised"], "back": ["foam-raised"]}
    assert "not proved" in made.whole.notes[0]
    assert made.whole.steps == ()


def test_two_mirrors_that_cool_off_the_press_share_their_one_press(tmp_path: Path) -> None:
    made = planned(
        tmp_path, [block("chest-left", finish="mirror"), block("chest-right", finish="mirror")]
    )
    [press] = [step for step in made.whole.steps if step.action == "press"]
    assert len(press.pieces) == 2
    waits = [step for step in made.whole.steps if step.action == "wait"]
    assert [wait.off_press for wait in waits] == [True]
    peels = [step for step in made.whole.steps if step.action == "peel"]
    assert all(peel.n > waits[0].n for peel in peels)


def test_no_more_choices_are_tried_than_are_allowed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked = [block("chest-left", film="mirror-sealed"), block("chest-right", finish="raised")]
    assert planned(tmp_path, asked).whole.status == "planned"
    monkeypatch.setattr(next_films, "MOST_CHOICES", 0)
    made = planned(tmp_path, asked)
    assert made.whole.status == "unknown"
    assert "other choices" not in made.whole.notes[0]


def test_the_prints_of_an_order_share_its_time(tmp_path: Path) -> None:
    given: list[float] = []

    def counted(job: Job, **more: Any) -> Solved:
        given.append(more["time_limit_s"])
        return solve(job, **more)

    prints = [block("chest-left"), block("back"), letters("yoke", "name")]
    plan_order(written(tmp_path, prints, people=CREW), solve=counted, time_limit_s=9.0)
    first, second, third = given
    assert 0 < first <= 3.0
    assert second <= 4.5
    assert third <= 9.0
