"""Orders are planned in programs apart, shared by content, and stopped once nobody waits."""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from dataclasses import replace

import pytest

from advisor.job.records.plan import Plan
from rules.errors import PressloreError
from ui.pages.plan.desk import CalledOff, Desk, Planning
from ui.pages.plan.order import OTHER_PLANS, Order, demo_order

WITHIN_S = 90


@pytest.fixture(scope="module")
def desk() -> Iterator[Desk]:
    opened = Desk(seats=1)
    yield opened
    opened.close()


def answer_of(planning: Planning, within_s: float = WITHIN_S) -> Plan:
    return Plan.model_validate_json(planning.future.result(within_s))


def titled(order: Order, title: str) -> Order:
    return replace(order, job=order.job.model_copy(update={"job": title}))


def test_a_demo_is_planned_once_for_everyone(desk: Desk) -> None:
    jackets = demo_order("wind-jackets")
    first, second = desk.ask(jackets), desk.ask(jackets)
    assert first is second
    assert answer_of(first).status == "planned"
    assert desk.ask(jackets).future.result(0) is first.future.result(0)


def test_an_own_job_is_not_remembered_for_others(desk: Desk) -> None:
    own = titled(demo_order("wind-jackets"), "Our own jackets")
    assert not own.is_ready_made
    first = desk.ask(own).future.result(WITHIN_S)
    again = desk.ask(own)
    assert not again.future.done()
    assert again.future.result(WITHIN_S) == first


def test_what_nobody_waits_for_is_stopped_and_the_next_is_planned(desk: Desk) -> None:
    crew = titled(demo_order("crew-tees"), "Called off")
    planning = desk.ask(crew)
    beside = desk.ask(crew)
    desk.leave(planning)
    assert not planning.off
    desk.leave(beside)
    with pytest.raises(CalledOff):
        planning.future.result(WITHIN_S)
    assert answer_of(desk.ask(demo_order("wind-jackets"))).status == "planned"


def test_one_that_waits_its_turn_can_be_called_off(desk: Desk) -> None:
    first = desk.ask(titled(demo_order("wind-jackets"), "First"))
    second = desk.ask(titled(demo_order("wind-jackets"), "Second"))
    desk.leave(second)
    assert answer_of(first).status == "planned"
    with pytest.raises(CalledOff):
        second.future.result(WITHIN_S)


def test_a_refusal_comes_back_as_one_sentence(desk: Desk) -> None:
    order = demo_order("wind-jackets")
    line = order.job.garments[0].model_copy(update={"garment": "wind-jaket"})
    wrong = replace(order, job=order.job.model_copy(update={"garments": (line,)}))
    with pytest.raises(PressloreError, match="no garment is called 'wind-jaket'; nearest: wind-"):
        desk.ask(wrong).future.result(WITHIN_S)


def test_a_program_that_dies_is_told_and_replaced(desk: Desk) -> None:
    planning = desk.ask(titled(demo_order("crew-tees"), "Dies"))
    give_up = time.monotonic() + WITHIN_S
    while planning.program is None and time.monotonic() < give_up:
        time.sleep(0.01)
    assert planning.program is not None
    planning.program.kill()
    with pytest.raises(PressloreError, match="the planner stopped before it had an answer"):
        planning.future.result(WITHIN_S)
    assert answer_of(desk.ask(demo_order("bags"))).status == "planned"


def test_more_can_be_asked_about_an_order(desk: Desk) -> None:
    jackets = demo_order("wind-jackets")
    others = json.loads(desk.ask(jackets, OTHER_PLANS).future.result(WITHIN_S))
    assert others
    assert all(other["differs"] for other in others)
    wish = desk.ask(jackets, "#f2c14e=mirror-sealed").future.result(WITHIN_S)
    assert json.loads(wish)["possible"] in {True, False}
    with pytest.raises(PressloreError, match="is no question"):
        desk.ask(jackets, "gibberish").future.result(WITHIN_S)
