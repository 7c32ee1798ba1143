"""Told: a plan says of its names what the cut makes of them."""

from __future__ import annotations

from pathlib import Path

from advisor import plan
from advisor.job.records.job import Job

SVG = b"""<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="100mm"
viewBox="0 0 200 100"><rect width="200" height="20" fill="#1b3a5c"/></svg>"""


def test_a_plan_names_who_is_set_narrower_and_by_how_much(tmp_path: Path) -> None:
    (tmp_path / "crew.csv").write_text("name\nAna\nMaximilian\nBo\n")
    job = Job.model_validate(
        {
            "job": "crew",
            "artwork": "crew.svg",
            "looks": {"default": {"finish": "matte", "film": "matte-smooth"}},
            "garments": [
                {"garment": "adult-tee", "colour": "white", "quantity": 3, "artwork_width_mm": 200}
            ],
            "names": {
                "file": "crew.csv",
                "box_mm": [20, 40, 160, 40],
                "look": {"finish": "matte", "film": "matte-smooth", "colour": "navy"},
            },
        }
    )
    made = plan(job, folder=tmp_path, svg=SVG)
    told = [str(note) for note in made.notes if "narrower" in note]
    assert len(told) == 1
    assert told[0].startswith("'Maximilian' is set ")
    assert " % narrower, to fit 160 mm, and its strokes and gaps with it; a box " in told[0]
