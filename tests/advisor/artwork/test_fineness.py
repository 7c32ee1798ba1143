"""The fineness of artwork: known widths, no false alarm at corners, and a slow twin that agrees."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from advisor.artwork.contacts import contacts_of
from advisor.artwork.fineness import (
    Fineness,
    fineness,
    narrow_gaps,
    simplified,
    small_islands,
    thin_places,
)
from rules.errors import BadInputError
from tests.advisor.artwork.fineness_by_rays import narrowest_by_rays

TOLERANCE_MM = 0.05


def disc(x_mm: float, radius_mm: float) -> shapely.Polygon:
    return shapely.Point(x_mm, 0).buffer(radius_mm, quad_segs=48)


def strokes(*lines: list[tuple[float, float]], size_mm: float, width_mm: float) -> BaseGeometry:
    """A letter drawn with a pen: lines on a unit grid, with square ends and corners."""
    drawn = shapely.multilinestrings([np.array(line) * size_mm for line in lines])
    return shapely.buffer(drawn, width_mm / 2, cap_style="square", join_style="mitre")


def star(points: int, outer_mm: float, inner_mm: float) -> shapely.Polygon:
    turn = np.arange(2 * points) * math.pi / points
    radius = np.where(np.arange(2 * points) % 2 == 0, outer_mm, inner_mm)
    return shapely.Polygon(np.stack([radius * np.sin(turn), radius * np.cos(turn)], axis=1))


def ring(outer_mm: float, inner_mm: float) -> BaseGeometry:
    return disc(0, outer_mm) - disc(0, inner_mm)


def dumb_bell(neck_mm: float) -> BaseGeometry:
    return shapely.union_all(
        [disc(0, 9), disc(25, 9), shapely.box(0, -neck_mm / 2, 25, neck_mm / 2)]
    )


def hourglass(neck_mm: float) -> BaseGeometry:
    block = shapely.box(-15, -10, 15, 10)
    for way in (1, -1):
        notch = shapely.Polygon([(0, way * neck_mm / 2), (-8, way * 11), (8, way * 11)])
        block = block - notch
    return block


def wedge(blunt_mm: float, wide_mm: float, long_mm: float) -> shapely.Polygon:
    return shapely.Polygon(
        [(0, -blunt_mm / 2), (long_mm, -wide_mm / 2), (long_mm, wide_mm / 2), (0, blunt_mm / 2)]
    )


E = [[(0, 0), (0, 1)], [(0, 0), (0.6, 0)], [(0, 0.5), (0.5, 0.5)], [(0, 1), (0.6, 1)]]
H = [[(0, 0), (0, 1)], [(0.7, 0), (0.7, 1)], [(0, 0.5), (0.7, 0.5)]]
Z = [[(0, 1), (0.7, 1), (0, 0), (0.7, 0)]]

# name: shape, thinnest stroke, narrowest gap (None: nothing below 6 mm)
KNOWN: dict[str, tuple[BaseGeometry, float | None, float | None]] = {
    "bar": (shapely.box(0, 0, 40, 1.5), 1.5, None),
    "ring": (ring(4, 2.5), 1.5, 5.0),
    "wide ring with a pinhole": (ring(12, 0.4), None, 0.8),
    "cross": (shapely.union(shapely.box(-9, -1, 9, 1), shapely.box(-1, -9, 1, 9)), 2.0, None),
    "two discs": (shapely.union(disc(0, 10), disc(20.7, 10)), None, 0.7),
    "two blocks corner to corner": (
        shapely.union(shapely.box(0, 0, 9, 9), shapely.box(9.3, 9.4, 20, 20)),
        None,
        0.5,
    ),
    "dumb-bell": (dumb_bell(1.0), 1.0, None),
    "notched neck": (hourglass(2.5), 2.5, None),
    "block with a slot": (shapely.box(0, 0, 30, 30) - shapely.box(10, 10, 11.2, 31), None, 1.2),
    "hole near an edge": (shapely.box(0, 0, 30, 30) - shapely.box(2.1, 10, 20, 20), 2.1, None),
    "small square": (shapely.box(0, 0, 3, 3), 3.0, None),
    "small disc": (disc(0, 1.5), 3.0, None),
    # the disc in an equilateral triangle of side s is s / √3 wide
    "small triangle": (shapely.Polygon([(0, 0), (3, 0), (1.5, 1.5 * 3**0.5)]), 3**0.5, None),
    "triangular hole": (
        shapely.box(-20, -20, 20, 20) - shapely.Polygon([(0, 0), (3, 0), (1.5, 1.5 * 3**0.5)]),
        None,
        3**0.5,
    ),
    "letter E": (strokes(*E, size_mm=12, width_mm=1.8), 1.8, 4.2),
    "letter H": (strokes(*H, size_mm=12, width_mm=2.2), 2.2, 4.9 + 1.3),
    "letter Z": (strokes(*Z, size_mm=20, width_mm=1.4), 1.4, None),
}


def agrees(found: float | None, known: float | None, *, up_to_mm: float = 6.0) -> bool:
    if known is None or known >= up_to_mm:
        return found is None
    return found is not None and abs(found - known) <= max(TOLERANCE_MM, 0.05 * known)


@pytest.mark.parametrize("turn_deg", [0, 17, 45, 90, 203])
@pytest.mark.parametrize("name", KNOWN)
def test_known_widths_are_found_however_the_piece_is_turned(name: str, turn_deg: float) -> None:
    shape, stroke, gap = KNOWN[name]
    found = fineness(affinity.rotate(shape, turn_deg, origin=(3, 7)))
    assert agrees(found.least_stroke_mm, stroke)
    assert agrees(found.least_gap_mm, gap)


@pytest.mark.parametrize("scale", [0.3, 1.9, 7])
@pytest.mark.parametrize("name", KNOWN)
def test_a_piece_drawn_larger_is_as_much_less_fine(name: str, scale: float) -> None:
    shape, stroke, gap = KNOWN[name]
    found = fineness(affinity.scale(shape, scale, scale, origin=(0, 0)), up_to_mm=6 * scale)
    assert agrees(found.least_stroke_mm, stroke and stroke * scale, up_to_mm=6 * scale)
    assert agrees(found.least_gap_mm, gap and gap * scale, up_to_mm=6 * scale)


@pytest.mark.parametrize(
    "shape",
    [
        shapely.box(0, 0, 40, 30),
        shapely.box(0, 0, 40, 30).buffer(0.4, quad_segs=16),
        shapely.box(0, 0, 40, 30).buffer(6, quad_segs=16),
        star(5, 20, 7.64),
        star(8, 20, 13),
        disc(0, 20),
        shapely.Polygon([(0, 0), (40, 0), (20, 34)]),
        shapely.Polygon([(0, 0), (60, 0), (55, 22)]),  # the sharpest corner is 21.8°
        shapely.box(0, 0, 40, 30) - shapely.Polygon([(10, 31), (20, 14), (30, 31)]),
    ],
)
def test_corners_are_never_thin(shape: BaseGeometry) -> None:
    for scale in (0.6, 1, 4):
        drawn = affinity.scale(shape, scale, scale)
        found = fineness(drawn, up_to_mm=5)
        assert found.least_stroke_mm is None
        assert found.least_gap_mm is None
        assert thin_places(drawn, least_mm=3).is_empty
        assert narrow_gaps(drawn, least_mm=3).is_empty


def test_a_blunt_wedge_counts_at_the_disc_that_its_end_holds() -> None:
    blunt, wide, long = 1.0, 5.0, 30.0
    half = math.atan((wide - blunt) / 2 / long)
    # the disc touching the end and both walls: r = (blunt/2 + r tan)·cos
    disc_mm = blunt * math.cos(half) / (1 - math.sin(half))
    found = fineness(wedge(blunt, wide, long)).least_stroke_mm
    assert found == pytest.approx(disc_mm, rel=0.03)


def test_a_wedge_that_opens_more_than_twenty_degrees_is_no_stroke() -> None:
    # 2·atan(10/50) = 22.6°; its largest disc is far above 6 mm
    assert fineness(wedge(1.0, 21.0, 50.0)).least_stroke_mm is None


@pytest.mark.parametrize("scale", [0.5, 1, 2])
def test_a_needle_counts_at_half_of_what_it_grows_to(scale: float) -> None:
    needle = affinity.scale(wedge(0, 3, 20), scale, scale, origin=(0, 0))
    flag = shapely.union(needle, shapely.box(20 * scale, -15 * scale, 50 * scale, 15 * scale))
    assert fineness(flag).least_stroke_mm == pytest.approx(1.5 * scale, rel=0.03)
    assert not thin_places(flag, least_mm=1.8 * scale).is_empty
    assert thin_places(flag, least_mm=1.4 * scale).is_empty


def test_a_curved_needle_counts_at_half_of_what_it_grows_to() -> None:
    # two arcs of one lens, 1.95 mm at the middle, meeting at 21°
    lens = disc(0, 60) & disc(120 - 1.95, 60)
    assert fineness(lens).least_stroke_mm == pytest.approx(1.95 / 2, rel=0.05)


def test_a_shallow_bump_is_no_stroke_and_a_tall_one_is() -> None:
    block = shapely.box(0, 0, 30, 20)
    assert fineness(shapely.union(block, shapely.box(10, 20, 12, 20.6))).least_stroke_mm is None
    assert fineness(
        shapely.union(block, shapely.box(10, 20, 12, 22))
    ).least_stroke_mm == pytest.approx(2)
    assert fineness(block - shapely.box(10, 19.4, 12, 20)).least_gap_mm is None
    assert fineness(block - shapely.box(10, 18, 12, 20)).least_gap_mm == pytest.approx(2)


# No ray finds what is narrow only between two corners, or has no facing walls.
NOT_BY_RAYS = {
    "notched neck",
    "two blocks corner to corner",
    "small triangle",
    "triangular hole",
}


@pytest.mark.slow
@pytest.mark.parametrize("name", [name for name in KNOWN if name not in NOT_BY_RAYS])
def test_the_slow_twin_agrees(name: str) -> None:
    shape, *_ = KNOWN[name]
    shape = affinity.rotate(shape, 31)
    stroke, gap = narrowest_by_rays(shape, step_mm=0.25)
    found = fineness(shape)
    assert agrees(found.least_stroke_mm, stroke)
    assert agrees(found.least_gap_mm, gap)


blobs = st.builds(
    lambda seed, count: _blobs(seed, count),
    st.integers(min_value=0, max_value=10**6),
    st.integers(min_value=2, max_value=5),
)


def _blobs(seed: int, count: int) -> BaseGeometry:
    """Pen strokes and discs thrown at random, with round ends."""
    chance = np.random.default_rng(seed)
    parts: list[BaseGeometry] = []
    for _ in range(count):
        line = shapely.LineString(chance.uniform(0, 30, (3, 2)))
        parts.append(line.buffer(chance.uniform(0.5, 2.5), quad_segs=12))
        parts.append(shapely.Point(chance.uniform(0, 30, 2)).buffer(chance.uniform(1, 4)))
    return shapely.union_all(parts)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(blobs, st.floats(0.5, 2.5))
def test_a_bar_added_is_never_missed(artwork: BaseGeometry, width_mm: float) -> None:
    bar = shapely.box(-60, 0, -40, width_mm)
    found = fineness(shapely.union(artwork, bar), up_to_mm=3).least_stroke_mm
    assert found is not None
    assert found <= width_mm + 1e-9


def contacts_in(shape: BaseGeometry) -> int:
    return len(contacts_of(shapely.get_parts(shape)))


@settings(max_examples=25, deadline=None, derandomize=True)
@given(blobs, st.floats(0, 360), st.floats(0.4, 3))
def test_turning_changes_nothing_and_drawing_larger_scales(
    artwork: BaseGeometry, turn_deg: float, scale: float
) -> None:
    exact = fineness(artwork, tolerance_mm=0)
    drawn = affinity.scale(affinity.rotate(artwork, turn_deg), scale, scale)
    # What is nearer than any blade parts meets in a point, and that does not scale.
    assume(contacts_in(artwork) == contacts_in(drawn))
    larger = fineness(drawn, up_to_mm=6 * scale, tolerance_mm=0)
    expected = exact.scaled(scale)
    for found, wanted in (
        (larger.least_stroke_mm, expected.least_stroke_mm),
        (larger.least_gap_mm, expected.least_gap_mm),
    ):
        assert (found is None) == (wanted is None)
        assert found is None or found == pytest.approx(wanted, rel=0.01)
    assert larger.island_areas_mm2 == pytest.approx(expected.island_areas_mm2)
    assert larger.hole_areas_mm2 == pytest.approx(expected.hole_areas_mm2)


@settings(max_examples=25, deadline=None, derandomize=True)
@given(blobs, st.floats(0.6, 3))
def test_thin_places_exist_just_when_the_least_stroke_says_so(
    artwork: BaseGeometry, least_mm: float
) -> None:
    found = fineness(artwork, tolerance_mm=least_mm / 50)
    for width, places in (
        (found.least_stroke_mm, thin_places(artwork, least_mm=least_mm)),
        (found.least_gap_mm, narrow_gaps(artwork, least_mm=least_mm)),
    ):
        if width is None or abs(width - least_mm) > 0.1 * least_mm:
            assert places.is_empty == (width is None or width >= least_mm)


@pytest.mark.slow
@settings(max_examples=25, deadline=None, derandomize=True)
@given(blobs, st.floats(0.6, 3))
def test_what_is_simplified_can_be_cut(artwork: BaseGeometry, least_mm: float) -> None:
    plain = simplified(artwork, least_mm=least_mm)
    assert plain.is_valid
    assert small_islands(plain, least_mm=0.97 * least_mm).is_empty
    left = fineness(plain, tolerance_mm=least_mm / 50)
    assert left.least_stroke_mm is None or left.least_stroke_mm >= 0.9 * least_mm
    assert left.least_gap_mm is None or left.least_gap_mm >= 0.9 * least_mm


def test_what_needs_no_simplifying_keeps_its_corners() -> None:
    sign = shapely.union(shapely.box(0, 0, 30, 20), star(5, 12, 6))
    assert simplified(sign, least_mm=2).equals(sign)


def test_thin_places_are_the_stick_of_a_lollipop_and_not_its_head() -> None:
    stick = shapely.box(8, -0.5, 30, 0.5)
    places = thin_places(shapely.union(disc(0, 9), stick), least_mm=1.5)
    assert len(places.geoms) == 1
    assert places.difference(stick.buffer(0.01)).is_empty
    assert places.area == pytest.approx(21, rel=0.03)


def test_narrow_gaps_are_the_slot_and_not_the_notch() -> None:
    slot = shapely.box(10, 10, 11.2, 30)
    notch = shapely.Polygon([(15, 31), (20, 15), (25, 31)])
    gaps = narrow_gaps(shapely.box(0, 0, 30, 30) - slot - notch, least_mm=2)
    assert gaps.area == pytest.approx(slot.area, rel=0.06)
    assert gaps.difference(slot.buffer(0.01)).is_empty


def test_small_islands_are_those_no_disc_fits_in_or_of_little_area() -> None:
    hair, crumb, sound = shapely.box(0, 0, 20, 0.8), disc(30, 0.54), shapely.box(40, 0, 42, 2)
    small = small_islands(shapely.MultiPolygon([hair, crumb, sound]), least_mm=1)
    assert small.equals(shapely.MultiPolygon([hair, crumb]))


def test_islands_and_holes_are_listed_smallest_first() -> None:
    found = fineness(
        shapely.union_all(
            [shapely.box(0, 0, 9, 9) - shapely.box(1, 1, 4, 4), shapely.box(20, 0, 22, 2)]
        )
    )
    assert found.island_areas_mm2 == pytest.approx((4, 72))
    assert found.hole_areas_mm2 == pytest.approx((9,))


NOTHING = [
    shapely.Polygon(),
    shapely.MultiPolygon(),
    shapely.Point(1, 2),
    shapely.LineString([(0, 0), (5, 5)]),
    shapely.Polygon([(0, 0), (1, 1), (2, 2)]),
    None,
    shapely.GeometryCollection([shapely.Point(0, 0)]),
]


@pytest.mark.parametrize("shape", NOTHING, ids=str)
def test_what_has_no_area_has_no_detail(shape: BaseGeometry | None) -> None:
    assert fineness(shape) == Fineness(None, None, (), ())
    for places in (thin_places, narrow_gaps, small_islands, simplified):
        assert places(shape, least_mm=1).is_empty


def test_an_outline_that_runs_off_to_nowhere_has_no_detail() -> None:
    with np.errstate(invalid="ignore"):
        lost = shapely.from_wkt("POLYGON ((0 0, NaN 1, 2 2, 0 0))")
    assert fineness(lost) == Fineness(None, None, (), ())
    assert thin_places(lost, least_mm=1).is_empty


def test_a_bow_tie_is_judged_as_its_two_halves() -> None:
    bow_tie = shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 10)])
    found = fineness(bow_tie)
    assert found.island_areas_mm2 == pytest.approx((25, 25))
    # the disc in a triangle is 4·area / perimeter wide
    assert found.least_stroke_mm == pytest.approx(4 * 25 / (10 + 2 * 50**0.5), rel=0.03)
    assert simplified(bow_tie, least_mm=1).area == pytest.approx(50)


def test_a_speck_finer_than_the_tolerance_is_still_an_answer() -> None:
    found = fineness(shapely.union(shapely.box(0, 0, 1e-3, 1e-3), shapely.box(20, 0, 50, 30)))
    assert found.least_stroke_mm is not None
    assert found.least_stroke_mm < TOLERANCE_MM


@pytest.mark.parametrize("limit", [0, -1, math.nan, math.inf])
def test_nonsense_limits_are_refused(limit: float) -> None:
    square = shapely.box(0, 0, 9, 9)
    with pytest.raises(BadInputError, match="up_to_mm"):
        fineness(square, up_to_mm=limit)
    with pytest.raises(BadInputError, match="least_mm"):
        thin_places(square, least_mm=limit)
    with pytest.raises(BadInputError, match="factor"):
        fineness(square).scaled(limit)
    if limit != 0:
        with pytest.raises(BadInputError, match="tolerance_mm"):
            fineness(square, tolerance_mm=limit)
