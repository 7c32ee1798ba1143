"""Called: a piece is told by what the person says, and the plan stays the same."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from advisor import plan
from advisor.job.demo import DEMO_FOLDER, demo_job
from advisor.words.card import press_cards
from rules.catalogue import load_catalogue
from tests.advisor.job.test_job_refusals import job, refusal, run, run_json, write_job

CALLED = {"#f2c14e": "kite", "#1B3A5C": "sky"}


def with_names(called: object) -> str:
    return job() + yaml.safe_dump({"called": called})


def test_names_of_pieces_change_no_film_order_or_step() -> None:
    plain = demo_job()
    named = type(plain).model_validate(plain.model_dump() | {"called": CALLED})
    one, other = (plan(each, folder=DEMO_FOLDER) for each in (plain, named))
    assert [p.model_copy(update={"called": ""}) for p in other.pieces] == list(one.pieces)
    assert [s.model_copy(update={"why": ""}) for s in other.steps] == [
        s.model_copy(update={"why": ""}) for s in one.steps
    ]
    assert (one.proof, one.cost, one.minutes) == (other.proof, other.cost, other.minutes)


def test_the_press_card_says_what_the_person_calls_a_piece(tmp_path: Path) -> None:
    named = type(demo_job()).model_validate(demo_job().model_dump() | {"called": CALLED})
    made = plan(named, folder=DEMO_FOLDER)
    (card,) = press_cards(made, load_catalogue().press(made.press))
    said = [str(line.what) for line in card.lines]
    assert "1 navy matte-smooth (sky)" in said
    assert "4 gold sparkle-fine (kite)" in said


@pytest.mark.parametrize(
    ("called", "told"),
    [
        ({"kite": "#f2c14e"}, "'kite' is no fill like #1b3a5c"),
        ({"#f2c14e": "kite", "#1b3a5c": "kite"}, "two fills are called 'kite'"),
        ({"#f2c14e": "k" * 25}, "at most 24 characters"),
        ({"#f2c14e": "ki\x07te"}, "called"),
    ],
)
def test_what_nobody_can_be_called_is_refused(
    tmp_path: Path, called: dict[str, str], told: str
) -> None:
    assert told in refusal(run("plan", write_job(tmp_path, job=with_names(called))))


def test_a_name_for_a_fill_that_the_artwork_lacks_is_told(tmp_path: Path) -> None:
    made = run_json("plan", write_job(tmp_path, job=with_names({"#00ff00": "grass"})))
    assert any("no fill #00ff00, so its name is unused" in note for note in made["notes"])
