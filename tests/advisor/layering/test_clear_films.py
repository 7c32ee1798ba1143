"""Clear films: taken where clear is wished for, and never for a colour that somebody is to see."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.answers.prepared_job import prepared_job
from advisor.job.records.job import Job
from rules.facts.finding import Finding
from rules.knowledge import load_knowledge

SQUARE = """<svg xmlns="http://www.w3.org/2000/svg" width="80mm" height="80mm" viewBox="0 0 80 80">
<rect width="80" height="80" fill="{fill}"/></svg>"""


def options(folder: Path, fill: str, **wish: str) -> dict[str, tuple[Finding, ...]]:
    (folder / "square.svg").write_text(SQUARE.format(fill=fill), encoding="utf-8")
    asked = {
        "job": "square",
        "artwork": "square.svg",
        "looks": {"default": wish},
        "garments": [{"garment": "adult-tee", "quantity": 1, "artwork_width_mm": 80}],
    }
    made = prepared_job(Job.model_validate(asked), folder=folder, knowledge=load_knowledge())
    (piece,) = made.problem.pieces
    return {option.film.id: option.findings for option in piece.options}


@pytest.mark.parametrize("fill", ["#ffffff", "#f4f4f2", "#1b3a5c"])
def test_a_gloss_in_a_colour_is_no_clear_gloss(tmp_path: Path, fill: str) -> None:
    known = load_knowledge().catalogue
    found = options(tmp_path, fill, finish="gloss")
    assert found
    assert not [film for film in found if "clear" in known.film(film).finishes]


@pytest.mark.parametrize("wish", [{"finish": "clear"}, {"film": "clear-gloss"}])
def test_a_clear_film_that_was_asked_for_is_told_to_lack_the_drawn_colour(
    tmp_path: Path, wish: dict[str, str]
) -> None:
    found = options(tmp_path, "#1b3a5c", **wish)
    assert "clear-gloss" in found
    (told,) = [one for one in found["clear-gloss"] if one.rule == "colour-match"]
    assert told.severity == "note"
    assert "shows what lies below it" in str(told.message)
