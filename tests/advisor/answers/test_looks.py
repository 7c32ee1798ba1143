"""Look: every answer holds when it is checked, every refusal does not, and the best come first."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from itertools import combinations, count, pairwise

import pytest

from advisor import check, look
from advisor.answers.records import LookAnswer
from advisor.answers.typed_stack import weighing_of
from rules.catalogue import load_catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.facts.film import FINISHES
from rules.facts.finding import verdict

FULL = bool(os.environ.get("PRESSLORE_FULL"))
SHELF = load_catalogue()
MATTE_AND_SPARKLE = look("matte", "sparkle", fabric="cotton-jersey-tee")


@pytest.fixture(scope="module")
def three() -> LookAnswer:
    """A look of three finishes, one of which lets nothing lie on it."""
    return look("matte", "sparkle", "plush", fabric="cotton-jersey-tee")


def test_every_answer_gives_the_wanted_finishes() -> None:
    for answer in MATTE_AND_SPARKLE.answers:
        for film, finish in zip(answer.films, answer.finishes, strict=True):
            assert finish in SHELF.film(film).finishes
        assert set(answer.finishes) == {"matte", "sparkle"}


def test_no_answer_is_a_stop_and_no_refusal_is_without_a_stop() -> None:
    assert all(verdict(answer.findings) != "stop" for answer in MATTE_AND_SPARKLE.answers)
    for refused in MATTE_AND_SPARKLE.refused:
        assert verdict(refused.findings) == "stop"
        assert refused.rule == refused.findings[0].rule
        assert refused.instead


@pytest.mark.slow
def test_what_is_refused_lapped_check_stops() -> None:
    lapped = [refused for refused in MATTE_AND_SPARKLE.refused if refused.meets == ("lap",)]
    assert lapped
    for refused in lapped[:: 1 if FULL else 9]:
        assert check(fabric="cotton-jersey-tee", stack=refused.films).verdict == "stop"


PAIRS = list(combinations(FINISHES, 2))
FABRICS = ("cotton-jersey-tee", "polyester-jersey", "nylon-woven", "cotton-fleece")
ASKED = [(pair, fabric) for fabric in FABRICS for pair in PAIRS]


@pytest.mark.slow
@pytest.mark.parametrize(("pair", "fabric"), ASKED if FULL else ASKED[::29])
def test_what_a_look_says_check_says_of_the_same_ways(pair: tuple[str, str], fabric: str) -> None:
    found = look(*pair, fabric=fabric)
    sets = [tuple(sorted(answer.films)) for answer in found.answers]
    assert len(set(sets)) == len(sets)
    weighing_of.cache_clear()
    for answer in found.answers:
        for laid in (answer, *answer.others):
            if laid.verdict is not None:
                stack = [f"{f}:{c}" for f, c in zip(laid.films, laid.colours, strict=True)]
                report = check(fabric=fabric, stack=stack, meets=laid.meets)
                assert report.verdict == laid.verdict, (stack, laid.meets)
    for refused in found.refused:
        if len(refused.films) == 2 and refused.rule == "bond-line-heat":
            report = check(fabric=fabric, stack=refused.films, meets=refused.meets)
            assert report.verdict == "stop", (refused.films, refused.meets)


def test_answers_come_with_the_fewest_samples_first() -> None:
    samples = [
        sum(finding.severity == "sample" for finding in answer.findings)
        for answer in MATTE_AND_SPARKLE.answers
    ]
    assert samples == sorted(samples)


@pytest.mark.parametrize(("prefer", "measure"), [("cheapest", "cost"), ("softest", "thickness_um")])
def test_a_preference_sorts_answers_of_equal_worry(prefer: str, measure: str) -> None:
    found = look("matte", "sparkle", fabric="cotton-jersey-tee", prefer=prefer)  # type: ignore[arg-type]
    keys = [
        (sum(f.severity == "sample" for f in answer.findings), getattr(answer, measure))
        for answer in found.answers
    ]
    assert all(one <= other for one, other in pairwise(keys))


def test_one_finish_alone_lists_the_films_that_give_it() -> None:
    found = look("mirror", fabric="cotton-jersey-tee")
    assert {answer.films[0] for answer in found.answers} <= {
        film.id for film in SHELF.films.values() if "mirror" in film.finishes
    }
    assert all(answer.meets == () for answer in found.answers)


def test_on_the_shelf_only_leaves_out_what_is_used_up() -> None:
    out = {film.id for film in SHELF.films.values() if film.on_shelf_m == 0}
    found = look("matte", "sparkle", fabric="cotton-jersey-tee", on_shelf_only=True)
    assert not out & {film for answer in found.answers for film in answer.films}


@pytest.mark.slow
def test_three_finishes_lie_over_one_another(three: LookAnswer) -> None:
    assert three.answers
    assert all(len(answer.films) == 3 and len(answer.meets) == 2 for answer in three.answers[:50])


@pytest.mark.parametrize(
    ("finishes", "fabric", "says"),
    [
        (("mate",), "denim", "nearest: matte"),
        ((), "denim", "name a finish"),
        (("matte",), "dennim", "nearest: denim"),
        (("matte", "satin", "gloss", "sparkle", "plush"), "denim", "at most 4"),
    ],
)
def test_a_question_that_cannot_be_answered_says_what_would_do(
    finishes: tuple[str, ...], fabric: str, says: str
) -> None:
    with pytest.raises((BadInputError, UnknownNameError), match=says):
        look(*finishes, fabric=fabric)


@pytest.mark.slow
def test_the_same_question_gets_the_same_answer_whatever_the_hash_seed() -> None:
    code = (
        "from advisor import look;"
        "print(look('matte', 'sparkle', fabric='nylon-coated').model_dump_json())"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "4242")
    }
    assert len(said) == 1
    assert json.loads(said.pop())["answers"]


def test_a_film_kept_off_the_fabric_is_refused_with_its_rule() -> None:
    found = look("gloss", fabric="nylon-silicone-coated")
    assert found.answers == ()
    assert {refused.rule for refused in found.refused} == {"coated-fabric"}
    gloss = {film.id for film in load_catalogue().films.values() if "gloss" in film.finishes}
    assert {refused.films for refused in found.refused} == {(film,) for film in gloss}


@pytest.mark.slow
def test_the_reason_says_nothing_of_films_that_a_third_one_keeps_apart(three: LookAnswer) -> None:
    for answer in three.answers[:20]:
        bottom, _, top = answer.films
        assert f"{top} laps over {bottom}" not in answer.reason


def test_one_film_finishes_and_several_finish() -> None:
    one = look("sparkle", fabric="cotton-jersey-tee").answers[0].reason
    two = look("matte", "sparkle", fabric="cotton-jersey-tee").answers[0].reason
    assert " finishes at " in one
    assert " finish at " in two


def test_what_no_press_can_bond_is_refused_with_its_seconds_in_two_stages_too() -> None:
    # The films share no setpoint: the lower one is finished first, and pressed again by the next.
    refused = look("matte", "plush", fabric="cotton-jersey-tee", most=None).refused
    [cold] = [
        r
        for r in refused
        if r.films == ("dye-blocking-thin", "flock-plush") and r.meets == ("lap",)
    ]
    assert cold.rule == "bond-line-heat"
    assert "the longest that is allowed, at 155 °C" in cold.reason


def _in_time(monkeypatch: pytest.MonkeyPatch, limit_s: float) -> LookAnswer:
    """A look in a world where every glance at the clock takes a tenth of a second."""
    ticks = count()
    monkeypatch.setattr(time, "process_time", lambda: next(ticks) / 10)
    return look("matte", "sparkle", fabric="cotton-jersey-tee", time_limit_s=limit_s)


@pytest.mark.parametrize("limit_s", [0.1, 1.0, 2.5])
def test_out_of_time_what_was_weighed_is_given_and_the_rest_is_only_counted(
    monkeypatch: pytest.MonkeyPatch, limit_s: float
) -> None:
    found = _in_time(monkeypatch, limit_s)
    assert not found.proved
    assert len(found.answers) <= found.weighed <= 10 * limit_s
    assert found.counted == MATTE_AND_SPARKLE.counted
    for answer in found.answers:
        report = check(fabric="cotton-jersey-tee", stack=answer.films, meets=answer.meets)
        assert report.verdict == answer.verdict


def test_with_time_to_spare_a_look_is_proved(monkeypatch: pytest.MonkeyPatch) -> None:
    found = _in_time(monkeypatch, 100.0)
    assert found.proved
    assert found == MATTE_AND_SPARKLE
