"""A shop's own materials: what it fitted to its bed reaches every question, not only heat."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import advisor.job
from advisor import check, look, plan
from advisor.heat.press_layers import BED_MATERIAL
from rules.knowledge import Knowledge, load_knowledge

STACK = ("matte-smooth", "sparkle-coarse")
BAGS = Path(advisor.job.__file__).with_name("demo") / "bags.yaml"


def with_bed(factor: float) -> Knowledge:
    """A shop whose bed carries heat away so many times as fast as the catalogue says."""
    known = load_knowledge()
    bed = known.catalogue.materials[BED_MATERIAL]
    quick = bed.model_copy(update={"conductivity_w_mk": factor * bed.conductivity_w_mk})
    materials = {**known.catalogue.materials, BED_MATERIAL: quick}
    return replace(known, catalogue=replace(known.catalogue, materials=materials))


def test_a_bed_that_takes_heat_away_is_pressed_hotter_or_longer_and_refuses_more() -> None:
    pressed, cold = [], []
    for shop in (load_knowledge(), with_bed(3.0)):
        checked = check(fabric="cotton-jersey-tee", stack=STACK, knowledge=shop)
        planned = plan(BAGS, knowledge=shop)
        full = [[s for s in of.steps if s.purpose == "full"][-1] for of in (checked, planned)]
        pressed.append([(step.setpoint_c or 0, step.dwell_s or 0) for step in full])
        found = look("matte", "plush", fabric="cotton-jersey-tee", most=9, knowledge=shop)
        cold.append(sum(one.rule == "bond-line-heat" for one in found.refused))
    assert all(quick > usual for usual, quick in zip(*pressed, strict=True))
    assert cold[1] > cold[0]


def test_the_same_steps_are_judged_colder_on_such_a_bed() -> None:
    steps = check(fabric="cotton-jersey-tee", stack=STACK).steps
    usual, quick = (
        check(fabric="cotton-jersey-tee", stack=STACK, steps=steps, knowledge=shop)
        for shop in (load_knowledge(), with_bed(10.0))
    )
    assert quick.bond_lines[0].peak_c < usual.bond_lines[0].peak_c - 10
    assert (usual.verdict, quick.verdict) == ("go", "stop")
