"""Silk and napped cloth are pressed under a cover, as lightly as the film allows.

Common practice, no source.
"""

from __future__ import annotations

import pytest

from advisor import check
from advisor.layering.cost import warming_s
from rules.catalogue import load_catalogue
from rules.facts.moisture import preheat_s
from rules.facts.practice import COVER_S
from rules.facts.step import Step

SHELF = load_catalogue()
MARKED = ("silk-satin", "acetate-lining", "polyester-fleece", "wool-felt")


def long_presses(fabric: str, *films: str) -> list[Step]:
    """The preheat and the full presses of the best steps that a stack gets."""
    report = check(fabric=fabric, stack=films)
    return [
        step
        for step in report.steps
        if step.action == "preheat" or (step.action == "press" and step.purpose == "full")
    ]


@pytest.mark.parametrize("fabric", MARKED)
@pytest.mark.parametrize("film", ["matte-low-temperature", "foam-low-temperature", "matte-thin"])
def test_the_platen_stays_on_no_cloth_that_it_marks(fabric: str, film: str) -> None:
    presses, takes = long_presses(fabric, film), SHELF.film(film).pressure_kpa
    kpas = [kpa for kpa in SHELF.press("clamshell-38x38").pressures_kpa if takes.holds(kpa)]
    assert len(presses) == 2
    assert all(step.cover for step in presses)
    assert {step.pressure_kpa for step in presses} == {min(kpas)}


def test_a_tee_is_pressed_under_the_carrier_alone() -> None:
    assert not any(step.cover for step in long_presses("cotton-jersey-tee", "matte-smooth"))


def test_the_cover_of_a_preheat_is_lifted_before_the_film_is_laid() -> None:
    steps = check(fabric="silk-satin", stack=["matte-thin"]).steps
    covered = next(step for step in steps if step.action == "preheat")
    lifted = steps[covered.n]
    assert (lifted.action, lifted.cover, lifted.pieces) == ("peel", covered.cover, ())


@pytest.mark.parametrize(
    ("fabric", "rule"), [("polyester-fleece", "pressed-nap"), ("silk-satin", "platen-shine")]
)
def test_what_is_done_is_not_advised(fabric: str, rule: str) -> None:
    report = check(fabric=fabric, stack=["matte-thin"])
    found = next(one for one in report.findings if one.rule == rule)
    assert "cover sheet" in str(found.message)
    assert "cover sheet" not in str(found.instead)


def test_the_steps_say_why() -> None:
    steps = check(fabric="polyester-fleece", stack=["matte-low-temperature"]).steps
    words = " ".join(str(step.why) for step in steps)
    assert words.count("keeps the platen from marking polyester-fleece") == 2
    assert "set no firmer, for the platen marks polyester-fleece" in words


@pytest.mark.parametrize("fabric", MARKED)
def test_what_the_price_reckons_is_what_the_steps_take(fabric: str) -> None:
    """Laying a cover and lifting it are half of its seconds each."""
    cloth = SHELF.fabric(fabric)
    covered = warming_s(cloth) - preheat_s(cloth)
    steps = check(fabric=fabric, stack=["matte-thin"]).steps
    preheat = next(step for step in steps if step.action == "preheat")
    assert preheat.dwell_s == preheat_s(cloth)
    assert covered == COVER_S
    assert sum(step.cover is not None and step.action == "peel" for step in steps) == 2
