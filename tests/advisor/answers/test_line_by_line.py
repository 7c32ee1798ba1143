"""Line by line: what each line of a plan takes at the press by its steps, and its own samples."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor import line_by_line, plan, plan_order
from advisor.job import demo
from advisor.job.records.plan import Plan, RunGarment
from rules.facts.practice import CLOSE_S, LAY_S, LOAD_S, PEEL_S, WARM_PEEL_WAIT_S
from rules.knowledge import load_knowledge
from tests.advisor.answers.prints_orders import CREW, letters, planned
from tests.advisor.command.command_line import run, run_json, write_job

KNOWN = load_knowledge()
DEMO = Path(demo.__file__).parent
TEES_AND_RAIN_JACKETS = """job: kite
artwork: kite.svg
looks:
  default: {finish: matte, colour: white}
garments:
  - {garment: adult-tee, colour: navy, quantity: 6, artwork_width_mm: 100}
  - {garment: rain-jacket, area: back, colour: navy, quantity: 4, artwork_width_mm: 100}
press: clamshell-38x38
"""
THE_SAME_AS_PRINTS = """job: kite
looks:
  default: {finish: matte, colour: white}
garments:
  - garment: adult-tee
    colour: navy
    quantity: 6
    prints: [{at: chest, artwork: kite.svg, width_mm: 100}]
  - garment: rain-jacket
    colour: navy
    quantity: 4
    prints: [{at: back, artwork: kite.svg, width_mm: 100}]
press: clamshell-38x38
"""


def garments(made: Plan) -> list[RunGarment]:
    return [garment for run in made.runs for garment in run.garments]


@pytest.mark.parametrize("name", ["bags", "crew-tees", "wind-jackets", "festival-crew"])
def test_the_steps_of_a_plan_take_the_minutes_that_it_was_planned_for(name: str) -> None:
    path = DEMO / f"{name}.yaml"
    order = name == "festival-crew"
    made = plan_order(path, knowledge=KNOWN) if order else plan(path, knowledge=KNOWN)
    whole = made if isinstance(made, Plan) else made.whole
    for told, by_steps in zip(garments(whole), garments(line_by_line(made, KNOWN)), strict=True):
        # A print's own minutes are told to a hundredth, and three lie on one garment.
        assert by_steps.minutes_each == pytest.approx(told.minutes_each, abs=0.015)


def test_a_name_and_a_number_peeled_warm_after_one_press_wait_for_it_once(tmp_path: Path) -> None:
    warm = {"film": "matte-low-temperature", "colour": "white"}
    prints = [letters("yoke", "name", **warm), letters("back", "number", 150, **warm)]
    made = planned(tmp_path, prints, people=CREW, garment="sports-jersey")
    steps = made.whole.steps
    assert [step.dwell_s for step in steps if step.action == "wait"] == [WARM_PEEL_WAIT_S]
    (told,), (by_steps,) = garments(made.whole), garments(line_by_line(made, KNOWN))
    held_s = sum(step.dwell_s or 0.0 for step in steps)
    # Laid on, two carriers laid and peeled, and the press closed twice.
    assert 60 * told.minutes_each == pytest.approx(
        LOAD_S + held_s + 2 * (LAY_S + PEEL_S + CLOSE_S), abs=0.01
    )
    assert by_steps.minutes_each == pytest.approx(told.minutes_each, abs=0.0001)


@pytest.mark.parametrize("job", [TEES_AND_RAIN_JACKETS, THE_SAME_AS_PRINTS])
def test_a_rain_jackets_sample_is_not_asked_of_the_tees_beside_it(tmp_path: Path, job: str) -> None:
    path = write_job(tmp_path, job=job)
    order = job == THE_SAME_AS_PRINTS
    made = plan_order(path, knowledge=KNOWN) if order else plan(path, knowledge=KNOWN)
    whole = line_by_line(made, KNOWN)
    assert whole.verdict == "sample"
    by_garment = {whole.print.lines[one.line].garment: one.samples for one in garments(whole)}
    assert by_garment["adult-tee"] == 0
    assert by_garment["rain-jacket"] == sum(one.severity == "sample" for one in whole.findings) > 0


@pytest.mark.parametrize("job", [TEES_AND_RAIN_JACKETS, THE_SAME_AS_PRINTS])
def test_a_quote_by_an_edited_plan_is_for_the_seconds_that_its_steps_press(
    tmp_path: Path, job: str
) -> None:
    path, file = write_job(tmp_path, job=job), tmp_path / "plan.json"
    document = run_json("plan", path, "--out", file)
    told = run_json("quote", path)["lines"]
    presses = [step for step in document["steps"] if step["purpose"] == "full"]
    # The six tees are pressed first; each now stays 6 s longer, at a cent a second.
    presses[0]["dwell_s"] += 6
    file.write_text(json.dumps(document), encoding="utf-8")
    answer = run("quote", path, "--plan", file, "--json")
    assert answer.exit_code == 0, answer.stderr
    pressing, longer = (
        next(line["amount"] for line in lines if line["what"] == "pressing")
        for lines in (told, json.loads(answer.stdout)["lines"])
    )
    assert longer == pytest.approx(pressing + 0.36, abs=0.0101)
