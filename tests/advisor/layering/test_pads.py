"""Pads: one that fits the bed of the press, and under what still lies there."""

from __future__ import annotations

import pytest

from advisor import check
from rules.catalogue import load_catalogue

SHELF = load_catalogue()


@pytest.mark.parametrize("press", ["clamshell-38x38", "cap-16x8"])
def test_a_pad_is_as_curved_as_the_bed_that_it_lies_on(press: str) -> None:
    report = check(fabric="cap-panel", stack=["matte-smooth:white"], press=press)
    pads = [SHELF.sheet(step.pad) for step in report.steps if step.action == "pad" and step.pad]
    assert pads
    assert all(pad.curved == SHELF.press(press).curved for pad in pads)


def test_a_hem_is_padded_and_never_opened() -> None:
    hems = [
        obstruction
        for garment in SHELF.garments.values()
        for area in garment.print_areas
        for obstruction in area.obstructions
        if obstruction.kind == "hem"
    ]
    assert hems
    assert not any(hem.opens for hem in hems)
    steps = check(fabric="beanie", stack=["matte-low-temperature:white"]).steps
    assert "turn" not in {step.action for step in steps}
    assert "pad" in {step.action for step in steps}


def test_what_a_garment_was_opened_for_is_not_padded_for() -> None:
    steps = check(fabric="denim-jacket", stack=["matte-smooth:white"]).steps
    turned = next(str(step.why) for step in steps if step.action == "turn")
    padded = next(str(step.why) for step in steps if step.action == "pad")
    assert "button" in turned
    assert "button" not in padded
    assert "seams" in padded
