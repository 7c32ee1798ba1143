"""Told: a plan says of its names what the cut makes of them."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Any

import pytest

import advisor.artwork.reader
from advisor import plan
from advisor.cutting.loads import OneSize
from advisor.job.records.job import Job
from tests.advisor.command.command_line import run_json, write_job

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


def test_a_planned_job_is_read_once_and_laid_out_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its tape and the film to buy are told of the same sheets."""
    often: Counter[str] = Counter()

    def counted(what: str, of: Any) -> Any:
        def call(*args: Any, **more: Any) -> Any:
            often[what] += 1
            return of(*args, **more)

        return call

    read = advisor.artwork.reader.read_document
    monkeypatch.setattr(advisor.artwork.reader, "read_document", counted("read", read))
    monkeypatch.setattr(OneSize, "shared_out", counted("laid out", OneSize.shared_out))
    run_json("shelf", "set", "matte-smooth", "metres", "0.1", "--store", tmp_path / "s.sqlite")
    made = run_json("plan", write_job(tmp_path), "--store", tmp_path / "s.sqlite")
    assert any("0.10 m on the shelf" in note for note in made["notes"])
    assert often == {"read": 1, "laid out": 1}
