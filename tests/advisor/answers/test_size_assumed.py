"""A print of unknown size is taken to fit garment and press, and that is told."""

from __future__ import annotations

import re
from typing import Any

import pytest

from advisor import check, look
from advisor.answers.records import CheckReport
from rules.catalogue import load_catalogue
from rules.errors import BadInputError
from rules.facts.finding import Finding
from rules.facts.practice import PLATEN_EDGE_MM
from rules.facts.step import Step
from tests.advisor.command.command_line import refusal, run, run_json

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


def over_a_small_pad() -> list[Step]:
    steps = check(fabric="adult-tee", stack=["matte-smooth"]).steps
    pad = Step(n=1, action="pad", pad="foam-pad-small")
    return [pad, *(step.model_copy(update={"n": step.n + 1}) for step in steps)]


def of_the_pad(report: CheckReport) -> list[Finding]:
    return [f for f in report.findings if f.rule == "sheet-covers-print"]


def test_what_only_a_large_print_draws_refuses_no_print_of_unknown_size() -> None:
    asked = {"fabric": "adult-tee", "stack": ["matte-smooth"], "steps": over_a_small_pad()}
    large = check(**asked, size_mm=(200, 200))
    small = check(**asked, size_mm=(60, 60))
    assert large.verdict != small.verdict
    assert [f.severity for f in of_the_pad(large)] != []
    assert of_the_pad(small) == []
    unsaid = check(**asked)
    assert unsaid.verdict == small.verdict
    (noted,) = of_the_pad(unsaid)
    assert noted.severity == "note"
    assert str(noted.message).startswith("at 200 × 200 mm and more this is a ")
    assert any("judged at 60 × 60 mm" in said for said in told(unsaid.findings))


@pytest.mark.parametrize(
    ("size", "severity"), [((250, 200), None), ((360, 100), "stop"), ((330, 100), "sample")]
)
def test_a_size_that_is_said_is_judged_at_that_size(
    size: tuple[float, float], severity: str | None
) -> None:
    # The front of an adult's tee is 320 mm wide, and the platen presses 360 mm evenly.
    area = SHELF.garment("adult-tee").print_area("back")
    report = check(fabric="adult-tee", stack=["matte-smooth"], area="back", size_mm=size)
    found = [f for f in report.findings if f.rule == "fits-platen"]
    assert not any("not known" in str(f.message) for f in found)
    beyond_mm = size[0] - area.width_mm
    assert bool(found) == (beyond_mm > 0)
    assert [f.severity for f in found] == [severity] * bool(severity)


def test_the_area_that_is_named_is_the_one_that_is_judged() -> None:
    # A sleeve holds what a back holds easily.
    asked = {"fabric": "adult-tee", "stack": ["matte-smooth"], "size_mm": (200, 200)}
    assert check(**asked, area="back").verdict == "go"
    assert check(**asked, area="sleeve").verdict == "stop"


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"area": "sleev"}, "no print area of adult-tee is called 'sleev'; nearest: sleeve"),
        ({"size_mm": (3, 60)}, "size: a width of 3 mm; give 10 to 1500 mm"),
        ({"size_mm": (60, 9000)}, "size: a height of 9000 mm; give 10 to 1500 mm"),
        ({"fabric": "cotton-jersey-tee", "area": "back"}, "is a fabric and has no print areas"),
    ],
)
def test_a_place_or_a_size_that_cannot_be_is_refused(more: dict[str, Any], says: str) -> None:
    with pytest.raises(BadInputError, match=re.escape(says)):
        check(**{"fabric": "adult-tee", "stack": ["matte-smooth"], **more})
    with pytest.raises(BadInputError, match=re.escape(says)):
        look("matte", **{"fabric": "adult-tee", **more})


def test_a_look_is_weighed_at_the_size_that_is_said_and_says_which() -> None:
    small = look("matte", fabric="adult-tee", size_mm=(90, 60), most=1)
    assert (small.size_mm, small.size_assumed) == ((90, 60), False)
    unsaid = look("matte", fabric="adult-tee", most=1)
    assert (unsaid.size_mm, unsaid.size_assumed) == ((200, 200), True)
    assert small.answers[0].cost < unsaid.answers[0].cost


@pytest.mark.parametrize(
    ("typed", "size_mm"),
    [("90x60", (90, 60)), ("90 × 60 mm", (90, 60)), ("3.5X2in", (88.9, 50.8))],
)
def test_a_size_is_typed_in_millimetres_or_inches(typed: str, size_mm: tuple[float, float]) -> None:
    said = run_json("look", "matte", "--fabric", "adult-tee", "--most", 1, "--size", typed)
    assert said["size_mm"] == pytest.approx(size_mm)


@pytest.mark.parametrize("typed", ["90", "90x", "x60", "-9x60", "90x60ft", "nanx60"])
def test_a_size_that_is_none_is_refused_in_one_line(typed: str) -> None:
    told = refusal(run("look", "matte", "--fabric", "adult-tee", "--size", typed))
    assert "is not written as WxH" in told
