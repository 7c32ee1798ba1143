"""What the screen at the press shows of a plan: every step, its seconds, its cover and its pad."""

from __future__ import annotations

import pytest
from shapely import MultiPolygon

from advisor import plan
from advisor.artwork.reader import read_artwork
from advisor.artwork.records import Fineness
from advisor.cutting.records.cut import Lettering
from advisor.job.records.plan import Plan
from rules.catalogue import load_catalogue
from rules.facts.step import Step
from rules.facts.units import Units
from ui.order.record import demo_order
from ui.pages.press.cards import Card, first_of_next_garment, garments_in_turn, press_cards

JACKETS = demo_order("wind-jackets")


@pytest.fixture(scope="module")
def planned() -> Plan:
    return plan(JACKETS.job, svg=JACKETS.svg)


def cards_of(made: Plan, units: Units | None = None) -> list[Card]:
    return press_cards(
        made, made.runs[0], read_artwork(JACKETS.svg, width_mm=80), known=load_catalogue(),
        units=units or Units(),
    )  # fmt: skip


def with_step(made: Plan, place: int, step: Step) -> Plan:
    steps = [*made.steps[:place], step, *made.steps[place:]]
    numbered = tuple(each.model_copy(update={"n": n}) for n, each in enumerate(steps, 1))
    return made.model_copy(update={"steps": numbered})


def test_every_step_has_its_card_in_order_and_only_timed_ones_count_down(planned: Plan) -> None:
    cards = cards_of(planned)
    assert len(cards) == len(planned.steps)
    for card, step in zip(cards, planned.steps, strict=True):
        timed = step.action in {"press", "preheat", "wait"}
        assert card["seconds"] == (step.dwell_s if timed else 0)
        assert bool(card["start"]) == timed


def test_a_press_says_its_cover_or_that_there_is_none(planned: Plan) -> None:
    for card, step in zip(cards_of(planned), planned.steps, strict=True):
        if step.action == "press":
            told = f"Lay {step.cover} over it." if step.cover else "No cover sheet."
            assert told in card["extras"]


def test_tape_is_told_where_it_goes_under_the_crosses_and_where_it_comes_off(planned: Plan) -> None:
    taped = [step.tape for step in planned.steps]
    assert {"under", "off"} <= set(taped)
    told = {"under": "tape under its crosses", "off": "pull the tape off"}
    for card, tape in zip(cards_of(planned), taped, strict=True):
        for when, words in told.items():
            assert (words in card["extras"]) == (tape == when)


def test_a_pad_is_told_from_when_it_goes_in_until_it_comes_out(planned: Plan) -> None:
    presses = [n for n, step in enumerate(planned.steps) if step.action == "press"]
    out = with_step(planned, presses[1], Step(n=1, action="pad", pad="out"))
    both = with_step(out, presses[0], Step(n=1, action="pad", pad="foam-pad-large"))
    told = [
        "foam-pad-large lies under" in card["extras"]
        for card, step in zip(cards_of(both), both.steps, strict=True)
        if step.action == "press"
    ]
    assert told == [True] + [False] * (len(told) - 1)


def test_what_a_tack_lays_down_is_drawn(planned: Plan) -> None:
    for card, step in zip(cards_of(planned), planned.steps, strict=True):
        assert bool(card["layers"]) == (step.purpose == "tack")


def test_degrees_follow_the_person(planned: Plan) -> None:
    said = " ".join(
        f"{card['title']} {' '.join(card['settings'])} {card['why']}"
        for card in cards_of(planned, Units(fahrenheit=True))
    )
    assert "°F" in said
    assert "°C" not in said


def test_the_next_garment_begins_past_a_dial_that_still_stands() -> None:
    dial = Step(n=1, action="setpoint", setpoint_c=150)
    preheat = Step(n=2, action="preheat", setpoint_c=150, dwell_s=4)
    later = Step(n=3, action="setpoint", setpoint_c=140)
    assert first_of_next_garment([dial, preheat]) == 1
    assert first_of_next_garment([dial, preheat, later]) == 0
    assert first_of_next_garment([dial]) == 0


def test_each_garment_is_told_with_its_size_and_the_name_that_it_bears(planned: Plan) -> None:
    (line, *_) = planned.print.lines
    bears = [
        Lettering(
            name, 1, f"{line.garment}", n, MultiPolygon(), 1.0, 1.0, Fineness(2.0, 2.0, (), ())
        )
        for n, name in enumerate(("Ana", "Bo"))
    ]
    turns = garments_in_turn(planned, planned.runs[0], bears, Units())
    assert len(turns) == sum(each.quantity for each in planned.lines_of(planned.runs[0]))
    assert [turn.rpartition(" · ")[2] for turn in turns[:2]] == ["Ana", "Bo"]
    assert f"{line.garment}" in turns[0]
    assert f"{line.width_mm:g} mm wide" in turns[0]
    assert not any("Ana" in turn for turn in turns[1:])
