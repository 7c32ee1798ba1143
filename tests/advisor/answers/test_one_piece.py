"""What is one colour of one film and meets is one piece: in the plan, in the cut, in one tack."""

from __future__ import annotations

from typing import Any

import pytest
import shapely

from advisor import check, plan
from advisor.artwork.job_artwork import as_planned, job_artwork
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan

RED, NAVY, NEARLY_RED = "#c8102e", "#1b2a49", "#e8563a"
RED_MATTE = {"film": "matte-smooth", "colour": "red"}


def box(fill: str, x: float, y: float, width: float, height: float) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}"/>'


def drawn(*shapes: str) -> bytes:
    body = "".join(shapes)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        f'viewBox="0 0 100 100">{body}</svg>'
    ).encode()


def job_of(**more: Any) -> Job:
    document = {
        "job": "one piece",
        "artwork": "a.svg",
        "looks": {"default": {"film": "matte-smooth"}},
        "garments": [{"garment": "adult-tee", "quantity": 5, "artwork_width_mm": 200}],
        "width_of": "page",
    }
    return Job.model_validate(document | more)


def planned(svg: bytes, **more: Any) -> Plan:
    return plan(job_of(**more), svg=svg)


def presses_of(made: Plan, piece: str) -> int:
    return sum(
        step.action == "press" and step.purpose == "tack" and piece in step.pieces
        for step in made.steps
    )


ACROSS = (box(RED, 0, 20, 50, 60), box(NAVY, 40, 10, 20, 40), box(RED, 50, 20, 30, 60))
"""Navy lies on the left red and under the right one, and the two reds meet below it."""


def test_two_reds_that_meet_beside_what_lies_between_them_are_cut_and_tacked_as_one() -> None:
    made = planned(drawn(*ACROSS))
    assert made.status == "planned"
    assert [piece.id for piece in made.pieces] == ["fill-1b2a49", "fill-c8102e"]
    assert [joint.meets for joint in made.joints] == ["lap"]
    assert all(presses_of(made, piece.id) <= 1 for piece in made.pieces)


def test_what_is_seen_in_a_notch_goes_on_under_its_edge_further_than_hands_miss() -> None:
    artwork = job_artwork(job_of(), drawn(*ACROSS))
    navy, red = artwork.pieces
    # The navy as drawn, at twice the drawing's size; the red is cut away where it is seen.
    seen = shapely.difference(shapely.box(80, 20, 120, 100), shapely.box(100, 40, 160, 160))
    assert shapely.area(shapely.symmetric_difference(navy.visible, seen)) < 1
    line = shapely.buffer(shapely.boundary(seen), 0.01)
    edge = shapely.intersection(shapely.boundary(red.shape), line)
    assert shapely.length(edge) > 100
    under_red = shapely.intersection(shapely.buffer(edge, 1), red.shape)
    assert shapely.area(shapely.difference(under_red, navy.shape)) < 1


def test_two_reds_that_do_not_meet_in_sight_stay_two() -> None:
    hidden = (box(RED, 0, 0, 100, 30), box(NAVY, 10, 10, 80, 80), box(RED, 40, 30, 20, 20))
    assert len(job_artwork(job_of(), drawn(*hidden)).pieces) == 3


@pytest.mark.parametrize(
    "between",
    [(box(NAVY, 60, 10, 40, 40),), (box(NAVY, 10, 10, 20, 40), box("#ffffff", 60, 10, 40, 40))],
)
def test_two_fills_of_one_film_and_colour_are_one_whatever_is_drawn_between(
    between: tuple[str, ...],
) -> None:
    svg = drawn(box(RED, 0, 20, 50, 60), *between, box(NEARLY_RED, 50, 20, 30, 60))
    looks = {"default": {"film": "matte-smooth"}, RED: RED_MATTE, NEARLY_RED: RED_MATTE}
    made = planned(svg, looks=looks)
    assert made.status == "planned"
    assert [piece.id for piece in made.pieces if piece.colour == "red"] == ["fill-c8102e"]
    assert {joint.meets for joint in made.joints} == {"lap"}


def test_what_is_cut_is_what_was_planned() -> None:
    svg = drawn(*ACROSS[:2], box(NEARLY_RED, 50, 20, 30, 60))
    looks = {"default": {"film": "matte-smooth"}, RED: RED_MATTE, NEARLY_RED: RED_MATTE}
    made, job = planned(svg, looks=looks), job_of(looks=looks)
    cut = as_planned(job_artwork(job, svg), made.print, job=job)
    assert [piece.id for piece in cut.pieces] == [piece.id for piece in made.print.pieces]
    for piece, known in zip(cut.pieces, made.print.pieces, strict=True):
        left, low, right, high = piece.shape.bounds
        assert (right - left, high - low) == pytest.approx(
            (known.sizes[0].width_mm, known.sizes[0].height_mm)
        )


def test_a_colour_that_no_film_has_is_one_sample_however_many_pieces_it_is_cut_in() -> None:
    apart = (box(RED, 0, 0, 100, 30), box(NAVY, 10, 10, 80, 80), box(RED, 40, 40, 20, 20))
    looks = {"default": {"film": "matte-smooth"}, RED: {"film": "reflective-beaded"}}
    made = planned(drawn(*apart), looks=looks)
    assert [piece.id for piece in made.pieces] == ["fill-c8102e", "fill-1b2a49", "fill-c8102e-2"]
    for findings in (made.findings, check(made).findings):
        assert sum(one.rule == "colour-match" for one in findings) == 1
    assert made.proof.objective is not None
    assert made.proof.objective[0] == 1


def test_two_reds_whose_seam_lies_under_a_third_film_are_one_piece() -> None:
    seam = (box(RED, 0, 20, 52, 60), box(NEARLY_RED, 48, 20, 52, 60), box(NAVY, 35, 20, 30, 60))
    looks = {"default": {"film": "matte-smooth"}, RED: RED_MATTE, NEARLY_RED: RED_MATTE}
    made = planned(drawn(*seam), looks=looks)
    assert [piece.id for piece in made.pieces] == ["fill-c8102e", "fill-1b2a49"]
    apart = [{"upper": NEARLY_RED, "lower": RED, "meets": "lap"}]
    kept = planned(drawn(*seam), looks=looks, joints=apart)
    assert len(kept.pieces) == 3
    other = planned(drawn(*seam), looks=looks | {NEARLY_RED: {"film": "gloss-smooth"}})
    assert len(other.pieces) == 3
