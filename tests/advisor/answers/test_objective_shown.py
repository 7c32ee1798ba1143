"""The objective is what the finished plan says: its findings, its minutes, its cost."""

from __future__ import annotations

import os
from collections.abc import Iterator
from itertools import islice, pairwise
from pathlib import Path
from typing import Any

import pytest

from advisor import plan
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import Job, read_job
from advisor.job.records.plan import Plan
from advisor.layering.assessment import WEAKNESS
from rules.catalogue import load_catalogue
from rules.facts.step import Step
from tests.survey.survey_same_plans import drawing_jobs, random_jobs

SHELF = load_catalogue()
MANY = None if os.environ.get("PRESSLORE_FULL") else 12
"""Set ``PRESSLORE_FULL=1`` for every drawing and every random job."""


def in_order(steps: tuple[Step, ...], run: int) -> list[float]:
    """The setpoints of a run's full presses."""
    return [step.setpoint_c or 0.0 for step in steps if step.run == run and step.purpose == "full"]


def carriers_by_hand(made: Plan) -> int:
    """What a film and colour puts down in one press lies on one carrier; names have their own."""
    named = sum(piece.id == "names" for piece in made.pieces)
    cut = {(one.rank, one.film, one.colour) for one in made.pieces if one.id != "names"}
    return named + len(cut)


def seconds_by_hand(made: Plan) -> float:
    """Seconds for the whole order: what its steps say, and handling as the trade counts it."""
    press, seconds = SHELF.press(made.press), 0.0
    extra = {"inset-under": 8, "inset-over": 8, "butt": 15}
    for run in made.runs:
        quantity = sum(made.print.lines[garment.line].quantity for garment in run.garments)
        steps = [step for step in made.steps if step.run == run.run]
        presses = [step for step in steps if step.action in ("preheat", "press")]
        covered = sum(step.cover is not None for step in presses)
        each = 25 + sum(3 + (step.dwell_s or 0) for step in presses)
        each += carriers_by_hand(made) * (12 + 4) + 5 * covered
        waits = [step for step in steps if step.action == "wait"]
        each += sum(step.dwell_s or 0 for step in waits if not step.off_press)
        # Off the press others are pressed meanwhile; what has cooled is taken up once more.
        each += 25 * sum(step.off_press for step in waits)
        each += sum(extra.get(joint.meets, 0) for joint in made.joints)
        seconds += quantity * each
        for earlier, later in pairwise(in_order(made.steps, run.run)):
            rate = press.heats_c_per_min if later > earlier else press.cools_c_per_min
            seconds += 60 * abs(later - earlier) / rate
            # All of a run are done at the first setting, then each is laid on once more.
            seconds += 25 * quantity if quantity > 1 and later != earlier else 0
    return seconds


def cost_by_hand(made: Plan, job: Job, seconds: float) -> float:
    """What the order costs: film by area at every size, time, rolls, and what samples spoil."""
    more_rolls = len({(piece.film, piece.colour) for piece in made.pieces}) - 1
    rates, cost = job.rates, (seconds + 120 * more_rolls) / 3600 * job.rates.rate_per_hour
    samples = sum(finding.severity == "sample" for finding in made.findings)
    for number, line in enumerate(made.print.lines):
        garment = SHELF.garment(str(line.garment))
        each = samples * rates.spoiled_per_sample_pct / 100 * garment.price_each
        for piece in made.pieces:
            film, size = SHELF.film(piece.film), made.print.piece(piece.id).sizes[number]
            area = size.width_mm * size.height_mm / 1000 / film.roll_width_mm
            each += film.price_per_m * area * (1 + rates.film_waste_pct / 100)
        cost += line.quantity * each
    return cost


def holds(path: Path, job: Job) -> None:
    # It holds of any plan, the best or not.
    made = plan(path, time_limit_s=1)
    if made.status != "planned":
        return
    garments = sum(line.quantity for line in made.print.lines)
    said: dict[str, Any] = dict(zip(made.proof.measures, made.proof.objective or (), strict=True))
    assert said["samples"] == sum(finding.severity == "sample" for finding in made.findings)
    assert said["weak"] == sum(WEAKNESS[joint.meets] for joint in made.joints)
    # Minutes are rounded to thousandths, cost to hundredths, the objective to whole seconds and
    # cents of a garment.
    assert said["seconds"] == pytest.approx(60 * made.minutes / garments, abs=0.5 + 0.04 / garments)
    assert said["cents"] == pytest.approx(100 * made.cost / garments, abs=0.5 + 0.51 / garments)
    seconds = seconds_by_hand(made)
    # A share of a change of setpoint is whole milliseconds a degree.
    assert 60 * made.minutes == pytest.approx(seconds, abs=0.04 + 0.2 * garments)
    assert made.cost == pytest.approx(cost_by_hand(made, job, seconds), abs=0.01 + 0.003 * garments)


@pytest.mark.parametrize("name", ["crew-tees", "bags", "wind-jackets"])
def test_the_demos_objective_is_what_their_plans_say(name: str) -> None:
    path = DEMO_FOLDER / f"{name}.yaml"
    holds(path, read_job(path))


def some(jobs: Iterator[tuple[str, Path]]) -> list[Path]:
    return [path for _, path in islice(jobs, MANY)]


@pytest.mark.slow
def test_random_jobs_objective_is_what_their_plans_say(tmp_path: Path) -> None:
    for path in some(random_jobs(tmp_path)):
        holds(path, read_job(path))


@pytest.mark.slow
def test_drawings_objective_is_what_their_plans_say(tmp_path: Path) -> None:
    for path in some(drawing_jobs(tmp_path)):
        holds(path, read_job(path))
