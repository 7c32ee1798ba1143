"""Parts of one film that meet in a point: told, and no gap too fine beside the point."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import Point, affinity, box
from shapely.geometry.base import BaseGeometry

from advisor.answers.plan import plan
from advisor.artwork.contacts import contacts_of
from advisor.artwork.fineness import fineness, narrow_gaps
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.knowledge import Knowledge, load_knowledge

TWO = box(0, 0, 9, 9)


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge()


def discs(radius: float, *, apart_mm: float = 0.0, segments: int = 16) -> BaseGeometry:
    ends = Point(0, 0), Point(2 * radius + apart_mm, 0)
    return shapely.union_all([end.buffer(radius, quad_segs=segments) for end in ends])


def corners(apart_mm: float = 0.0) -> BaseGeometry:
    return shapely.union(TWO, affinity.translate(TWO, 9 + apart_mm, 9 + apart_mm))


def chequers(side: int) -> BaseGeometry:
    fields = [(x, y) for x in range(side) for y in range(side) if (x + y) % 2 == 0]
    return shapely.union_all([affinity.translate(TWO, 9 * x, 9 * y) for x, y in fields])


def ring(x: float) -> BaseGeometry:
    return Point(x, 0).buffer(10) - Point(x, 0).buffer(6)


BOW_TIE = shapely.make_valid(shapely.Polygon([(0, 0), (20, 20), (20, 0), (0, 20)]))
IN_POINTS = {
    "small discs": (discs(1), 1),
    "discs": (discs(10), 1),
    "discs of many corners": (discs(10, segments=64), 1),
    "large discs": (discs(100), 1),
    "discs of two sizes": (shapely.union(Point(0, 0).buffer(10), Point(12, 0).buffer(2)), 1),
    "squares at a corner": (corners(), 1),
    "bow-tie": (BOW_TIE, 1),
    "chequers": (chequers(6), 25),
    "figure of eight": (shapely.union(ring(0), ring(20)), 1),
}


@pytest.mark.parametrize("name", IN_POINTS)
@pytest.mark.parametrize("turn_deg", [0, 33])
def test_parts_that_meet_in_points_have_no_gap_there(name: str, turn_deg: float) -> None:
    drawn, wanted = IN_POINTS[name]
    shape = affinity.rotate(drawn, turn_deg)
    assert len(contacts_of(shapely.get_parts(shape))) == wanted
    assert (fineness(shape).least_gap_mm or 9) > 1.6
    assert narrow_gaps(shape, least_mm=1.6).is_empty


def test_what_hardly_meets_or_hardly_parts_is_measured_as_it_is() -> None:
    for lapping, stroke_mm in ((corners(-0.02), 0.028), (discs(10, apart_mm=-0.02), 0.407)):
        assert not contacts_of(shapely.get_parts(lapping)).size
        found = fineness(lapping, up_to_mm=4).least_stroke_mm
        assert found == pytest.approx(stroke_mm, abs=0.001)
    for apart, gap_mm in ((corners(0.02), 0.028), (discs(10, apart_mm=0.02), 0.02)):
        assert not contacts_of(shapely.get_parts(apart)).size
        assert fineness(apart).least_gap_mm == pytest.approx(gap_mm, abs=0.001)


def test_a_slit_that_runs_out_into_a_point_is_still_too_narrow() -> None:
    up, down = (shapely.Polygon([(0, 0), (40, side), (30, 12 * side)]) for side in (1, -1))
    assert contacts_of(np.array([up, down])).size
    found = fineness(shapely.union(up, down)).least_gap_mm
    assert found is not None
    assert found < 1.1


def test_a_slot_beside_a_point_is_still_too_narrow() -> None:
    slot = box(1, 2, 8, 2.3)
    found = fineness(corners() - slot).least_gap_mm
    assert found == pytest.approx(0.3, abs=0.02)
    assert narrow_gaps(corners() - slot, least_mm=0.6).intersects(slot)
    tooth = shapely.Polygon([(20, 0), (19.9, 0.3), (20.1, 0.3)])
    slotted = shapely.union_all([box(0, -9, 40, 0), tooth, box(0, 0.3, 40, 9)])
    found = fineness(slotted).least_gap_mm
    assert found is not None
    assert found <= 0.31


NAVY = "#1b2a49"


def box_of(fill: str, x: float, y: float) -> str:
    return f'<rect x="{x}" y="{y}" width="60" height="60" fill="{fill}"/>'


def disc_of(fill: str, x: float) -> str:
    return f'<circle cx="{x}" cy="100" r="40" fill="{fill}"/>'


def planned(knowledge: Knowledge, *shapes: str) -> Plan:
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" '
    svg = f'{head} viewBox="0 0 200 200">{"".join(shapes)}</svg>'
    lines = [{"garment": "adult-tee", "quantity": 9, "artwork_width_mm": 200}]
    document = {"job": "points", "artwork": "d.svg", "width_of": "page", "garments": lines}
    job = Job.model_validate(document | {"looks": {"default": {"finish": "matte"}}})
    return plan(job, svg=svg.encode(), knowledge=knowledge)


@pytest.mark.parametrize(
    "shapes",
    [
        (box_of(NAVY, 20, 20), box_of(NAVY, 80, 80)),
        (disc_of(NAVY, 60), disc_of(NAVY, 140)),
        (f'<path d="M20 20 L180 180 V20 L20 180 Z" fill="{NAVY}"/>',),
    ],
)
def test_parts_of_one_film_that_meet_in_a_point_are_told_and_go(
    knowledge: Knowledge, shapes: tuple[str, ...]
) -> None:
    made = planned(knowledge, *shapes)
    assert made.verdict == "go"
    (said,) = [str(note) for note in made.notes if "single point" in str(note)]
    assert "they part there when it is weeded; draw them apart, or overlapping" in said
    assert not [finding for finding in made.findings if finding.rule == "least-gap"]
