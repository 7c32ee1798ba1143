"""A plan that someone edited is judged whole: by what is pressed, not by what it says of itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor import check, plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.facts.step import Step

ARTWORK = """
<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">
  <rect width="120" height="80" fill="#1b2a49"/>
  <rect x="30" y="20" width="60" height="40" fill="#ffffff"/>
</svg>
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    folder: Path = tmp_path_factory.mktemp("edited")
    (folder / "art.svg").write_text(ARTWORK)
    job = Job.model_validate(
        {
            "job": "harbour",
            "artwork": "art.svg",
            "looks": {"default": {"film": "matte-smooth"}},
            "garments": [
                {"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 120},
                {"garment": "felt-pennant", "quantity": 5, "artwork_width_mm": 120},
            ],
        }
    )
    planned = plan(job, folder=folder)
    assert len(planned.runs) > 1
    return planned


def stops(edited: Plan) -> set[str]:
    return {f.rule for f in check(edited).findings if f.severity == "stop"}


def with_steps(made: Plan, steps: list[Step]) -> Plan:
    numbered = tuple(step.model_copy(update={"n": n}) for n, step in enumerate(steps, 1))
    return made.model_copy(update={"steps": numbered})


def test_as_it_was_planned_nothing_stops_it(made: Plan) -> None:
    assert stops(made) == set()


def test_a_carrier_that_is_never_peeled_is_a_stop(made: Plan) -> None:
    left_on = [step for step in made.steps if not (step.action == "peel" and step.pieces)]
    assert "all-finished" in stops(with_steps(made, left_on))


def test_a_peel_before_the_press_is_a_stop(made: Plan) -> None:
    steps = list(made.steps)
    peel = next(i for i, step in enumerate(steps) if step.action == "peel" and step.pieces)
    first = next(i for i, step in enumerate(steps) if step.action == "press")
    steps.insert(first, steps.pop(peel))
    assert "carrier-off-first" in stops(with_steps(made, steps))


def test_a_press_at_a_heat_that_the_dial_was_not_set_to_is_a_stop(made: Plan) -> None:
    hotter = [
        step.model_copy(update={"setpoint_c": step.setpoint_c + 5})
        if step.action == "press" and step.setpoint_c
        else step
        for step in made.steps
    ]
    assert "setpoint-change" in stops(with_steps(made, hotter))


def test_a_later_run_at_a_heat_that_the_dial_was_not_set_to_is_a_stop(made: Plan) -> None:
    hotter = [
        step.model_copy(update={"setpoint_c": step.setpoint_c + 5})
        if step.run == 2 and step.setpoint_c
        else step
        for step in made.steps
        if not (step.run == 2 and step.action == "setpoint")
    ]
    assert "setpoint-change" in stops(with_steps(made, hotter))


def test_a_colour_that_its_film_does_not_come_in_is_a_stop(made: Plan) -> None:
    first, *others = made.pieces
    pieces = (first.model_copy(update={"colour": "teal", "srgb": "#008080"}), *others)
    assert "colour-match" in stops(made.model_copy(update={"pieces": pieces}))


def test_what_a_plan_says_of_a_colour_is_not_believed(made: Plan) -> None:
    first, *others = made.pieces
    pieces = (first.model_copy(update={"srgb": "#ff00ff"}), *others)
    assert check(made.model_copy(update={"pieces": pieces})).findings == check(made).findings
