"""A job prepared: what planning is told of a list of names is what will be cut, name by name."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.answers.prepared_job import prepared_job
from advisor.artwork.fineness import fineness
from advisor.cutting.lettering import letter_names, names_fineness
from advisor.job.records.job import Job
from advisor.job.records.print import NAMES_PIECE
from advisor.layering.judged import artwork_pieces
from advisor.layering.preparation import PreparedJob
from rules.facts.finding import Finding
from rules.facts.subjects import ArtworkPiece
from rules.knowledge import load_knowledge
from tests.advisor.cutting.cut_plans import BADGE

# The short name stands in the middle; only the long one reaches the moon: both are in the piece.
CREW = "name,size\nII,adult-tee\nANNEMARIE-LUISE,child-tee\nJIL,child-tee\n"


FINE = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="40mm"
viewBox="0 0 100 40"><path fill="#102030" d="M0 0H100V10H0z M10 10H10.8V30H10z M20 10H26V30H20z
M26.9 10H36V30H26.9z M40 20H40.9V20.9H40z M90 38H100V40H90z"/></svg>"""


def prepared(
    folder: Path, crew: str = CREW, *, svg: str = BADGE, width_mm: float = 200
) -> PreparedJob:
    (folder / "badge.svg").write_text(svg, encoding="utf-8")
    (folder / "crew.csv").write_text(crew, encoding="utf-8")
    job = Job.model_validate(
        {
            "job": "badges",
            "artwork": "badge.svg",
            "looks": {"default": {"finish": "matte"}},
            "garments": [
                {"garment": "adult-tee", "quantity": 1, "artwork_width_mm": width_mm},
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


def test_a_garment_that_gets_no_name_is_told(tmp_path: Path) -> None:
    assert not [note for note in prepared(tmp_path).artwork.notes if "no lettering" in note]
    job = prepared(tmp_path, "name,size\nII,adult-tee\nANNEMARIE-LUISE,child-tee\n")
    assert [note for note in job.artwork.notes if "no lettering" in note] == [
        "1 of 2 child-tee gets no lettering: the list has none for it"
    ]


@pytest.mark.parametrize("name", ["least-stroke", "least-gap", "lost-islands"])
def test_the_width_of_print_that_is_advised_is_enough_and_one_less_is_not(
    tmp_path: Path, name: str
) -> None:
    """The job takes the print's width, not a piece's: what is advised can be typed there."""
    rule, film = load_knowledge().rules.rule(name), load_knowledge().catalogue.film("matte-smooth")

    def found(width_mm: float) -> Finding | None:
        made = prepared(tmp_path, svg=FINE, width_mm=width_mm).print
        (looked_at,) = artwork_pieces(made.pieces[0], film, None, lines=[0])
        return rule.judge(looked_at)

    advised = found(60)
    assert advised is not None
    told = re.search(r"print it at least (\d+) mm wide", str(advised.instead))
    assert told is not None
    assert found(int(told[1])) is None
    assert found(int(told[1]) - 1) is not None


def test_a_width_that_the_print_area_does_not_take_is_not_advised() -> None:
    film = load_knowledge().catalogue.film("matte-smooth")
    held = ArtworkPiece(
        "wave", film, 60, 20, film.least_stroke_mm / 2.95, print_width_mm=90, room_mm=120
    )
    found = load_knowledge().rules.rule("least-stroke").judge(held)
    assert found is not None
    assert str(found.instead).startswith(
        "its print area takes a print 120 mm wide, and it weeds from 266 mm wide: thicken"
    )
