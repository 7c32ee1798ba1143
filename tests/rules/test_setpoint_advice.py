"""What setpoint-window advises can be done with the steps that it judges."""

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


def advised(films: dict[str, Film], *steps: Step) -> list[str]:
    schedule = Schedule(
        fabric=KNOWN.fabric("cotton-jersey-tee"),
        press=KNOWN.press("clamshell-38x38"),
        films=films,
        over=(("then", "first"),),
        steps=steps,
        sheets=KNOWN.sheets,
    )
    judged = KNOWN_RULES.judge(*schedule.scheduled)
    return [str(one.instead) for one in judged if one.rule == RULE.id]


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
