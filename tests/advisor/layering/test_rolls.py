"""One more roll costs its change-over, and one more carrier its laying and its peeling."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from advisor.answers.prepared_job import prepared_job
from advisor.job.records.job import Job
from advisor.layering.assessment import assess
from advisor.layering.records.assessment import PER_CENT
from advisor.layering.records.problem import Choice, Problem
from rules.facts.practice import LAY_S, PEEL_S, ROLL_S
from rules.knowledge import load_knowledge

WHITE, PALE = "fill-ffffff", "fill-fdfdfb"
SVG = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 30">
<rect width="40" height="30" fill="#ffffff"/><rect x="50" width="40" height="30" fill="#fdfdfb"/>
</svg>"""


def problem(quantity: int) -> Problem:
    job = Job.model_validate(
        {
            "job": "rolls",
            "artwork": "rolls.svg",
            "looks": {"default": {"finish": "matte"}},
            "garments": [{"garment": "adult-tee", "quantity": quantity, "artwork_width_mm": 180}],
        }
    )
    return prepared_job(job, folder=Path(), knowledge=load_knowledge(), svg=SVG).problem


@pytest.mark.parametrize("quantity", [1, 40])
def test_two_colours_of_two_rolls_cost_one_change_over_and_one_carrier_more(quantity: int) -> None:
    asked = problem(quantity)
    first, second = (
        next(o for o in asked.piece(piece).options if o.film.id == "matte-smooth")
        for piece in (WHITE, PALE)
    )
    assert first.name == second.name
    other = replace(second, colour=second.colour.model_copy(update={"name": "pale"}))
    one, two = (
        assess(asked, Choice({WHITE: first, PALE: option}, {})).measures
        for option in (second, other)
    )
    assert one is not None
    assert two is not None
    assert two.ms - one.ms == 1000 * (LAY_S + PEEL_S)
    cents = (two.price - one.price) / PER_CENT
    # An hour costs 36 in the shop's currency where nothing else is said: a cent a second.
    assert cents == pytest.approx(ROLL_S / quantity + LAY_S + PEEL_S, rel=1e-3)
