"""Real designs are planned to the end: every piece lies somewhere and passes its own checker."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor import check, plan
from advisor.artwork.reader import read_artwork
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.knowledge import load_knowledge
from tests import ART, DRAWINGS

KNOWN = load_knowledge()
MOST_PIECES = 12
"""Deeper designs are planned by the survey, which takes its time."""


def few_pieces(path: Path) -> bool:
    return len(read_artwork(path, width_mm=200, flatten=True).pieces) <= MOST_PIECES


DESIGNS = sorted(path.stem for path in DRAWINGS if few_pieces(path))


def planned(name: str, **more: object) -> Plan:
    job = {
        "job": name,
        "artwork": f"{name}.svg",
        "looks": {"default": {"finish": "matte"}},
        "garments": [{"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 200}],
        "flatten": True,
    }
    return plan(Job.model_validate(job | more), folder=ART, knowledge=KNOWN, time_limit_s=5)


@pytest.mark.slow
@pytest.mark.parametrize("name", DESIGNS)
def test_a_real_design_is_planned_and_passes_its_own_checker(name: str) -> None:
    made = planned(name)
    assert made.status == "planned"
    pressed = [piece for step in made.steps if step.purpose == "full" for piece in step.pieces]
    assert sorted(set(pressed)) == sorted(piece.id for piece in made.pieces)
    assert check(made).verdict == made.verdict != "stop"


def test_most_real_designs_are_small_enough_to_be_planned_here() -> None:
    assert len(DESIGNS) >= 28
    assert "violin" in DESIGNS


def test_what_shows_nowhere_is_neither_cut_nor_pressed_and_is_said() -> None:
    # The violin has knobs of four circles, each drawn over the one before.
    made = planned("violin")
    said = {f.where: f.message for f in made.findings if f.rule == "nothing-seen"}
    assert said["fill-2b2232"] == (
        "fill-2b2232 lies wholly under other pieces, where nobody sees it; it is neither cut nor "
        "pressed"
    )
    assert not set(said) & {piece.id for piece in made.pieces}
