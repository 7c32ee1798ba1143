"""What is advised of setpoint and time can be done with the steps that are judged."""

from __future__ import annotations

import pytest

from rules.book.schedule.setpoint_window import RULE
from rules.facts.film import Film
from rules.facts.schedule import Schedule
from rules.facts.step import Step
from rules.knowledge import load_knowledge

KNOWN_RULES = load_knowledge()
KNOWN = KNOWN_RULES.catalogue


def film(name: str, low_c: float, high_c: float, bears_c: float) -> Film:
    window = {"low": low_c, "best": low_c + 5, "high": high_c}
    plain = KNOWN.film("matte-smooth").model_dump()
    return Film.model_validate(
        {**plain, "id": name, "setpoint_c": window, "bonds_c": 115, "bears_c": bears_c}
    )


def advised(films: dict[str, Film], *steps: Step, rule: str = RULE.id) -> list[str]:
    schedule = Schedule(
        fabric=KNOWN.fabric("cotton-jersey-tee"),
        press=KNOWN.press("clamshell-38x38"),
        films=films,
        over=(("then", "first"),),
        steps=steps,
        sheets=KNOWN.sheets,
    )
    judged = KNOWN_RULES.judge(*schedule.scheduled)
    return [str(one.instead) for one in judged if one.rule == rule]


def press(n: int, setpoint_c: float, *pieces: str) -> Step:
    return Step(
        n=n, action="press", purpose="full", pieces=pieces, setpoint_c=setpoint_c, dwell_s=15
    )


def test_films_finished_together_are_told_apart_in_the_order_that_their_heat_allows() -> None:
    cool, hot = film("cool", 132, 143, 150), film("hot", 155, 165, 170)
    (advice,) = advised({"first": cool, "then": hot}, press(1, 141, "first", "then"))
    assert "where the films may lie in that order" in advice
    assert "hotter one in a press of its own" in advice


@pytest.mark.parametrize("bears_c", [155, 157])
def test_two_presses_are_not_advised_where_there_are_two_already(bears_c: float) -> None:
    low, high = film("low", 115, 125, bears_c), film("high", 155, 165, 170)
    (advice,) = advised({"first": low, "then": high}, press(1, 120, "first"), press(2, 155, "then"))
    assert "in a press" not in advice
    assert "another film than low (first) that bears more heat" in advice


@pytest.mark.parametrize("dwell_s", [10, 15, 20])
def test_a_time_is_advised_only_where_films_that_finish_together_share_one(dwell_s: float) -> None:
    """One asks for 10 to 12 s and one for 18 to 20: no timer suits both, whatever it is set to."""

    def timed(name: str, low_s: float, high_s: float) -> Film:
        window = {"low": low_s, "best": low_s + 1, "high": high_s}
        plain = KNOWN.film("matte-smooth").model_dump()
        return Film.model_validate({**plain, "id": name, "dwell_s": window})

    step = press(1, 160, "first", "then").model_copy(update={"dwell_s": dwell_s})
    quick, slow = timed("quick", 10, 12), timed("slow", 18, 20)
    (advice,) = advised({"first": quick, "then": slow}, step, rule="dwell-window")
    assert advice == "finish each in a press of its own, or take films that share a time"
    slower = timed("slower", 11, 13)
    shared = advised({"first": quick, "then": slower}, step, rule="dwell-window")
    assert shared == {10: ["press 11 s in one go"]}.get(dwell_s, ["press at most 12 s"])
