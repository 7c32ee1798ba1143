"""Silk and napped cloth are pressed under a cover, as lightly as the film allows.

Common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor import check, plan_order
from advisor.answers.place_steps import Laid, PressState, laid_steps, part_of
from advisor.answers.prints import run_of
from advisor.layering.cost import warming_s
from rules.catalogue import load_catalogue
from rules.facts.moisture import preheat_s
from rules.facts.practice import COVER_S
from rules.facts.step import Step

SHELF = load_catalogue()
PRESS = SHELF.press("clamshell-38x38")
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
    kpas = [kpa for kpa in PRESS.pressures_kpa if takes.holds(kpa)]
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


ON_FELT = """
job: two on felt
garments:
  - garment: adult-tee
    fabric: wool-felt
    quantity: 4
    prints:
      - {at: left-chest, artwork: a.svg, width_mm: 80, looks: {default: {film: matte-thick}}}
      - {at: right-chest, artwork: a.svg, width_mm: 80, looks: {default: {film: matte-thick}}}
"""


def test_a_second_print_of_a_side_lifts_no_cover_that_it_did_not_lay(tmp_path: Path) -> None:
    disc = '<circle cx="20" cy="20" r="20" fill="#1b3a5c"/>'
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm" viewBox="0 0 40 40">'
    (tmp_path / "a.svg").write_text(f"{head}{disc}</svg>")
    (tmp_path / "job.yaml").write_text(ON_FELT)
    ordered = plan_order(tmp_path / "job.yaml")
    made = ordered.whole
    assert made.status == "planned"
    assert check(ordered).verdict == made.verdict
    laid: list[Laid] = []
    for one in ordered.prints:
        films = {piece.id: SHELF.film(piece.film) for piece in one.plan.pieces}
        laid.append(
            laid_steps(
                part_of(one, run_of(one, [0]), films), [each.part for each in laid], PressState(),
                first_n=1, run=1, quantity=4, press=PRESS, sheets=SHELF.sheets,
            )
        )  # fmt: skip
    assert [sum(s.action == "preheat" for s in each.steps) for each in laid] == [1, 0]
    for each in laid:
        covered = [step for step in each.steps if step.cover]
        assert [step.action == "peel" for step in covered] == [False, True] * (len(covered) // 2)
