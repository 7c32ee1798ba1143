"""Refused films: each is told with the rule that refuses it, not with a note that came first."""

from __future__ import annotations

from pathlib import Path

from advisor import plan
from advisor.job.records.job import Job
from rules.knowledge import load_knowledge

SVG = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 90">
<rect width="90" height="90" fill="#1b3a5c"/></svg>"""


def test_what_is_too_wide_for_its_roll_is_refused_for_that_alone() -> None:
    # On nylon every such film draws a note on heat as well.
    job = Job.model_validate(
        {
            "job": "wide",
            "artwork": "wide.svg",
            "looks": {"default": {"finish": "mirror"}},
            "garments": [{"garment": "wind-jacket", "quantity": 1, "artwork_width_mm": 900}],
        }
    )
    made = plan(job, folder=Path(), svg=SVG, knowledge=load_knowledge())
    assert made.status == "impossible"
    told = {refused.film: refused.rule for refused in made.refused}
    assert told["mirror-sealed"] == "fits-roll"
    assert set(told.values()) == {"fits-roll"}
