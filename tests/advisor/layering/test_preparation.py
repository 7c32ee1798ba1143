"""A job prepared: what planning is told of a list of names is what will be cut, name by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.answers.prepared_job import prepared_job
from advisor.artwork.fineness import fineness
from advisor.cutting.lettering import letter_names, names_fineness
from advisor.job.records.job import Job
from advisor.job.records.print import NAMES_PIECE
from advisor.layering.preparation import PreparedJob
from rules.knowledge import load_knowledge
from tests.advisor.cutting.cut_plans import BADGE

# The short name stands in the middle; only the long one reaches the moon: both are in the piece.
CREW = "name,size\nII,adult-tee\nANNEMARIE-LUISE,child-tee\nJIL,child-tee\n"


def prepared(folder: Path) -> PreparedJob:
    (folder / "badge.svg").write_text(BADGE, encoding="utf-8")
    (folder / "crew.csv").write_text(CREW, encoding="utf-8")
    job = Job.model_validate(
        {
            "job": "badges",
            "artwork": "badge.svg",
            "looks": {"default": {"finish": "matte"}},
            "garments": [
                {"garment": "adult-tee", "quantity": 1, "artwork_width_mm": 200},
                {"garment": "child-tee", "quantity": 2, "artwork_width_mm": 100},
            ],
            "names": {"file": "crew.csv", "box_mm": (0, 16, 200, 28), "look": {"finish": "matte"}},
        }
    )
    return prepared_job(job, folder=folder, knowledge=load_knowledge())


def test_names_are_measured_one_by_one_at_every_size(tmp_path: Path) -> None:
    made = prepared(tmp_path)
    assert made.job.names is not None
    measured = made.print.piece(NAMES_PIECE)
    each = letter_names(made.job.names, made.artwork, folder=tmp_path)
    worst = names_fineness(each)
    for size, fine in zip(measured.sizes, (worst, worst.scaled(0.5)), strict=True):
        assert size.least_stroke_mm == fine.least_stroke_mm
        assert size.least_gap_mm == fine.least_gap_mm
        assert size.island_areas_mm2[0] == min(fine.island_areas_mm2)
    each_mm = [one.fineness.least_stroke_mm for one in each]
    least_mm = min(stroke_mm for stroke_mm in each_mm if stroke_mm is not None)
    assert [size.least_stroke_mm for size in measured.sizes] == pytest.approx(
        [least_mm, least_mm / 2]
    )


def test_where_two_names_cross_in_the_piece_is_no_detail_of_any(tmp_path: Path) -> None:
    made = prepared(tmp_path)
    assert made.job.names is not None
    piece = next(piece for piece in made.artwork.pieces if piece.id == NAMES_PIECE)
    least_mm2 = min(
        area
        for one in letter_names(made.job.names, made.artwork, folder=tmp_path)
        for area in one.fineness.island_areas_mm2
    )
    fine = made.print.piece(NAMES_PIECE).sizes[0]
    assert min(fine.island_areas_mm2) == pytest.approx(least_mm2)
    joined = fineness(piece.shape)
    assert fine.least_gap_mm != pytest.approx(joined.least_gap_mm)


def test_artwork_is_measured_as_it_is_drawn(tmp_path: Path) -> None:
    made = prepared(tmp_path)
    for piece in made.artwork.pieces:
        if piece.id != NAMES_PIECE:
            drawn, size = fineness(piece.shape), made.print.piece(piece.id).sizes[0]
            assert size.least_stroke_mm == drawn.least_stroke_mm
            assert size.least_gap_mm == drawn.least_gap_mm
