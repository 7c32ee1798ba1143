"""A print of unknown size is taken to fit garment and press, and that is told."""

from __future__ import annotations

import pytest

from advisor import check
from rules.catalogue import load_catalogue
from rules.facts.finding import Finding
from rules.facts.practice import PLATEN_EDGE_MM

SHELF = load_catalogue()


def told(findings: tuple[Finding, ...]) -> list[str]:
    return [str(f.message) for f in findings if f.rule == "fits-platen"]


@pytest.mark.parametrize("press", SHELF.presses)
@pytest.mark.parametrize("garment", ["adult-tee", "felt-pennant", "cap-panel", "child-tee"])
def test_no_press_is_too_small_for_a_print_of_unknown_size(garment: str, press: str) -> None:
    report = check(fabric=garment, stack=["matte-low-temperature"], press=press)
    fits = [finding for finding in report.findings if finding.rule == "fits-platen"]
    assert [finding.severity for finding in fits] == ["note"]
    size = str(fits[0].message).split("judged at ")[1].split(" mm")[0]
    width_mm, height_mm = map(float, size.split(" × "))
    area, bed = SHELF.garment(garment).print_area(), SHELF.press(press)
    assert width_mm <= min(area.width_mm, bed.platen_width_mm - 2 * PLATEN_EDGE_MM)
    assert height_mm <= min(area.height_mm, bed.platen_depth_mm - 2 * PLATEN_EDGE_MM)


def test_it_is_told_of_given_steps_too() -> None:
    steps = check(fabric="adult-tee", stack=["matte-smooth"]).steps
    assert told(check(fabric="adult-tee", stack=["matte-smooth"], steps=steps).findings)


def test_a_fabric_bounds_no_print_and_nothing_is_told() -> None:
    assert not told(check(fabric="cotton-jersey-tee", stack=["matte-smooth"]).findings)
