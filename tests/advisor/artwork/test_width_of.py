"""The width asked is that of the drawing that is cut; where its page is wider, both are told."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import pytest

from advisor.answers.prints import jobs_of
from advisor.artwork.job_artwork import artwork_in, job_artwork
from advisor.artwork.reader import read_artwork
from advisor.job.records.job import Job
from advisor.job.records.order import Order
from rules.facts.units import Units
from rules.knowledge import load_knowledge

DISC = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100">'
    '<circle cx="60" cy="50" r="40" fill="#1b3a5c"/>'
    '<rect x="110" y="40" width="70" height="10" fill="#f2c14e"/></svg>'
)


def job(**more: object) -> Job:
    return Job.model_validate(
        {
            "job": "disc",
            "artwork": "disc.svg",
            "looks": {"default": {"finish": "matte"}},
            "garments": [{"garment": "adult-tee", "artwork_width_mm": 160}],
            **more,
        }
    )


def test_the_drawing_is_as_wide_as_asked_and_its_page_is_told() -> None:
    artwork = job_artwork(job(), DISC.encode())
    assert artwork.extent_mm == pytest.approx((0, 0, 160, 80), abs=0.02)
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((160, 80), abs=0.02)
    assert artwork.notes[0] == (
        "the drawing is cut 160 × 80 mm, its page would be 200 × 100 mm; to give the page the "
        "size asked say `width_of: page`"
    )
    # Curves are as fine as at any other size: the disc, within the reader's 0.05 mm.
    assert artwork.pieces[0].shape.area == pytest.approx(5026.5, rel=2e-3)


@pytest.mark.parametrize("width_of", ["drawing", "page"])
def test_a_hairline_at_the_edge_is_not_told_for_the_size_of_what_stays(width_of: str) -> None:
    """Asked 200 mm wide, with a frame of hairlines: no cutter leaves the frame, and the badge in
    it is 120 mm wide on the tee."""
    framed = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
        '<rect x="20" y="30" width="60" height="40" fill="#1b3a5c"/>'
        '<path d="M0.005 0V100M99.995 0V100" stroke="#f2c14e" stroke-width="0.01"/></svg>'
    )
    garments = [{"garment": "adult-tee", "artwork_width_mm": 200}]
    artwork = job_artwork(job(width_of=width_of, garments=garments), framed.encode())
    assert artwork.width_mm == pytest.approx(200)
    assert artwork.notes[0] == (
        "at its edge the drawing has lines finer than 0.05 mm, of which nothing stays: the rest of "
        "it is 120 × 80 mm; draw them wider or take them out"
    )
    inside = framed.replace("M0.005 0V100M99.995 0V100", "M25 30V70")
    artwork = job_artwork(job(width_of=width_of, garments=garments), inside.encode())
    assert not any("at its edge" in note for note in artwork.notes)


def test_a_page_that_only_is_higher_than_the_drawing_is_not_worth_a_word() -> None:
    higher = DISC.replace("0 0 200 100", "20 0 160 100")
    artwork = job_artwork(job(), higher.encode())
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((160, 80), abs=0.02)
    assert not any("its page" in note for note in artwork.notes)


def test_the_page_is_as_wide_as_asked_where_the_job_says_so() -> None:
    artwork = job_artwork(job(width_of="page"), DISC.encode())
    assert (artwork.width_mm, artwork.height_mm) == (160, 80)
    assert artwork.extent_mm == pytest.approx((16, 8, 144, 72), abs=0.05)
    assert "the page is 160 × 80 mm and the drawing on it 128 × 64 mm" in artwork.notes[0]


@pytest.mark.parametrize(
    ("width_of", "other", "told"),
    [
        ("drawing", "page", "the drawing is cut 140 × 70 mm, its page would be 175 × 105 mm"),
        ("page", "drawing", "the page is 117 × 70 mm and the drawing on it 93 × 47 mm"),
    ],
)
def test_a_print_asked_by_its_height_is_told_of_a_change_that_keeps_to_the_height(
    tmp_path: Path, width_of: str, other: str, told: str
) -> None:
    """Asked 70 mm high, the page's width is nobody's wish: only the size asked may be named."""
    (tmp_path / "disc.svg").write_text(DISC.replace("0 0 200 100", "0 0 200 120"), "utf-8")
    printed = {"at": "front", "artwork": "disc.svg", "height_mm": 70}
    order = {
        "job": "disc",
        "looks": {"default": {"finish": "matte"}},
        "width_of": width_of,
        "garments": [{"garment": "adult-tee", "prints": [printed]}],
    }
    _, (one,) = jobs_of(Order.model_validate(order), folder=tmp_path, knowledge=load_knowledge())
    note = artwork_in(tmp_path, one.job).notes[0]
    assert note.startswith(told)
    assert note.endswith(f"; to give the {other} the size asked say `width_of: {other}`")


def test_what_is_left_out_does_not_count() -> None:
    artwork = job_artwork(job(leave_out=["#f2c14e"]), DISC.encode())
    assert artwork.extent_mm == pytest.approx((0, 0, 160, 160), abs=0.05)


@pytest.mark.parametrize("width_of", ["drawing", "page"])
def test_a_drawing_as_large_as_its_page_needs_no_word(
    width_of: Literal["drawing", "page"],
) -> None:
    source = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0H9V9H0z"/></svg>'
    )
    artwork = read_artwork(source, width_mm=90, width_of=width_of)
    assert artwork.notes == ()
    assert artwork.extent_mm == (0, 0, 90, 90)


def test_the_note_is_told_in_the_readers_units() -> None:
    note = job_artwork(job(), DISC.encode()).notes[0]
    assert "6.3 × 3.15 in" in note.shown(Units(inches=True))  # type: ignore[attr-defined]
