"""Pieces, overlaps and stacks: fewest films, a valid order, and the same as pair by pair."""

from __future__ import annotations

import math
from collections import Counter
from itertools import combinations

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from svgelements import Path as SvgPath

from advisor.artwork.overlay import artwork_places, overlaps
from advisor.artwork.piecing import Paint, as_pieces, group_shapes
from advisor.artwork.reader import (
    Artwork,
    ArtworkError,
    read_artwork,
)
from advisor.artwork.records import Overlap
from advisor.artwork.svg.area import Pen, fill_area, stroke_area
from advisor.artwork.svg.outline import Affine, flatten
from advisor.job.demo import DEMO_FOLDER

LOOKS = ("#ff0000", "#00ff00", "#0000ff", "#ffffff")
BOXES = st.lists(
    st.tuples(st.sampled_from(LOOKS), st.integers(0, 12), st.integers(0, 12))
    .flatmap(lambda at: st.tuples(st.just(at), st.integers(2, 9), st.integers(2, 9))),
    min_size=1,
    max_size=12,
)  # fmt: skip


def paints_of(boxes: list[tuple[tuple[str, int, int], int, int]]) -> list[Paint]:
    return [
        Paint(fill, 1.0, shapely.box(x, y, x + wide, y + high))
        for (fill, x, y), wide, high in boxes
    ]


def artwork_of(paints: list[Paint]) -> Artwork:
    return Artwork(name="boxes", width_mm=22, height_mm=22, pieces=as_pieces(paints))


@pytest.mark.slow
@settings(max_examples=80, deadline=None)
@given(boxes=BOXES)
def test_pieces_show_what_the_shapes_show(
    boxes: list[tuple[tuple[str, int, int], int, int]],
) -> None:
    paints = paints_of(boxes)
    pieces = as_pieces(paints)
    for x, y in np.mgrid[0.5:21:1, 0.5:21:1].reshape(2, -1).T:
        place = shapely.Point(x, y)
        painted = [paint.fill for paint in paints if paint.area.contains(place)]
        laid = [piece.fill for piece in pieces if piece.shape.contains(place)]
        seen = [piece.fill for piece in pieces if piece.visible.contains(place)]
        assert laid[-1:] == painted[-1:] == seen


@pytest.mark.slow
@settings(max_examples=80, deadline=None)
@given(boxes=BOXES)
def test_overlaps_and_stacks_equal_the_plain_pairwise_answer(
    boxes: list[tuple[tuple[str, int, int], int, int]],
) -> None:
    artwork = artwork_of(paints_of(boxes))
    assert overlaps(artwork) == _overlaps_naive(artwork)
    cells: Counter[tuple[str, ...]] = Counter()
    for x, y in np.mgrid[0.5:21:1, 0.5:21:1].reshape(2, -1).T:
        place = shapely.Point(x, y)
        cells[tuple(piece.id for piece in artwork.pieces if piece.shape.contains(place))] += 1
    del cells[()]
    assert {place.stack: place.area_mm2 for place in artwork_places(artwork)} == cells


def _overlaps_naive(artwork: Artwork) -> tuple[Overlap, ...]:
    found = []
    for one, other in combinations(artwork.pieces, 2):
        common = one.shape.intersection(other.shape)
        edge = one.shape.boundary.intersection(other.shape.boundary)
        if one.shape.distance(other.shape) >= 0.05 or not (common.area or edge.length):
            # Apart, or meeting in a point.
            continue
        between = [
            piece
            for piece in artwork.pieces[one.order + 1 : other.order]
            if piece.shape.intersection(common).area > 0
        ]
        cover = shapely.union_all([piece.shape for piece in between])
        found.append(
            Overlap(
                lower=one.id,
                upper=other.id,
                area_mm2=common.area,
                direct=common.difference(cover).area > 0,
                touching=not common.area,
            )
        )
    return tuple(found)


def test_two_films_that_meet_in_a_point_are_no_joint() -> None:
    corner = artwork_of(paints_of([(("#1b3a5c", 0, 0), 9, 9), (("#f2c14e", 9, 9), 9, 9)]))
    assert overlaps(corner) == ()
    edge = artwork_of(paints_of([(("#1b3a5c", 0, 0), 9, 9), (("#f2c14e", 9, 0), 9, 9)]))
    assert [pair.touching for pair in overlaps(edge)] == [True]


RELATIONS = st.integers(1, 8).flatmap(
    lambda size: st.tuples(
        st.lists(st.integers(0, 2), min_size=size, max_size=size),
        st.lists(st.booleans(), min_size=size * size, max_size=size * size),
    )
)


@settings(max_examples=150, deadline=None)
@given(drawing=RELATIONS)
def test_grouping_is_an_order_of_the_fewest_groups(
    drawing: tuple[list[int], list[bool]],
) -> None:
    numbers, dice = drawing
    looks = [(f"#00000{number}", 1.0) for number in numbers]
    below = [
        [one for one in range(two) if dice[one * len(looks) + two] and looks[one] != looks[two]]
        for two in range(len(looks))
    ]
    groups = group_shapes(looks, below)
    rank = {shape: at for at, group in enumerate(groups) for shape in group}
    assert sorted(rank) == list(range(len(looks)))
    assert all(len({looks[shape] for shape in group}) == 1 for group in groups)
    assert all(rank[one] < rank[two] for two, lowers in enumerate(below) for one in lowers)
    assert len(groups) == _fewest_groups(looks, below)


def _fewest_groups(looks: list[tuple[str, float]], below: list[list[int]]) -> int:
    """Breadth first over what is laid: the exact answer, for small drawings."""
    states, steps = {frozenset[int]()}, 0
    while frozenset(range(len(looks))) not in states:
        steps += 1
        following = set()
        for laid in states:
            for look in set(looks):
                group = {
                    shape
                    for shape in range(len(looks))
                    if looks[shape] == look and laid.issuperset(below[shape])
                }
                following.add(laid | group)
        states = following
    return steps


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(
    numbers=st.lists(st.integers(-60, 60), min_size=6, max_size=6),
    scale=st.floats(0.05, 20),
    tolerance=st.sampled_from([0.01, 0.05, 0.2]),
    kind=st.sampled_from(["C", "Q", "A"]),
)
def test_curves_stay_within_the_tolerance_at_final_size(
    numbers: list[int], scale: float, tolerance: float, kind: str
) -> None:
    if kind == "A":
        radii = f"{abs(numbers[0]) + 1},{abs(numbers[1]) + 1} {numbers[2]}"
        d = f"M0,0 A{radii} {numbers[3] % 2} {numbers[4] % 2} {numbers[5]},40"
    elif kind == "Q":
        d = f"M0,0 Q{numbers[0]},{numbers[1]} {numbers[2]},{numbers[3]}"
    else:
        d = "M0,0 C" + " ".join(map(str, numbers))
    path = SvgPath(d)
    onto = Affine(a=scale, b=0.3 * scale, c=-0.2 * scale, d=0.8 * scale, e=5, f=-3)
    runs = flatten(path, onto=onto, tolerance=tolerance)
    curve = np.asarray(path[1].npoint(np.linspace(0, 1, 2000)), dtype=float)
    if len(runs[0].points) < 2:
        assert np.ptp(curve, axis=0).max() * scale < tolerance
        return
    dense = shapely.points(onto.on_points(curve))
    chords = shapely.LineString(runs[0].points)
    assert shapely.distance(chords, dense).max() <= tolerance * 1.001


@settings(max_examples=40, deadline=None)
@given(
    points=st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=3, max_size=9),
    evenodd=st.booleans(),
)
def test_fill_rules_equal_a_ray_from_every_cell(
    points: list[tuple[int, int]], evenodd: bool
) -> None:
    d = "M" + " ".join(f"{x},{y}" for x, y in points) + "z"
    area = fill_area(flatten(SvgPath(d), onto=Affine(), tolerance=0.05), evenodd=evenodd)
    for x, y in np.random.default_rng(5).uniform(-1, 41, (60, 2)):
        turns = 0
        for (ax, ay), (bx, by) in zip(points, points[1:] + points[:1], strict=True):
            if (ay <= y) != (by <= y) and ax + (y - ay) / (by - ay) * (bx - ax) > x:
                turns += 1 if by > ay else -1
        assert area.contains(shapely.Point(x, y)) == (turns % 2 == 1 if evenodd else turns != 0)


@settings(max_examples=40, deadline=None)
@given(
    points=st.lists(st.tuples(st.integers(0, 40), st.integers(0, 40)), min_size=2, max_size=300),
    closed=st.booleans(),
)
def test_a_round_stroke_is_all_places_within_half_its_width(
    points: list[tuple[int, int]], closed: bool
) -> None:
    d = "M" + " ".join(f"{x},{y}" for x, y in points) + ("z" if closed else "")
    runs = flatten(SvgPath(d), onto=Affine(), tolerance=0.01)
    area = stroke_area(runs, Pen(width=4, cap="round", join="round"), tolerance=0.01)
    line = shapely.LineString(points + points[:1] if closed else points)
    places = shapely.points(np.random.default_rng(5).uniform(-4, 44, (200, 2)))
    far = np.asarray(shapely.distance(line, places))
    sure = abs(far - 2) > 0.03
    assert (np.asarray(shapely.contains(area, places))[sure] == (far < 2)[sure]).all()


def demo(name: str) -> Artwork:
    return read_artwork(DEMO_FOLDER / f"{name}.svg")


def test_the_front_print_has_five_films_on_one_navy_base() -> None:
    kite = demo("kite")
    assert (kite.width_mm, kite.height_mm, kite.notes) == (240.0, 150.0, ())
    assert {piece.fill for piece in kite.pieces} == {
        "#1b3a5c", "#2a9d8f", "#ffffff", "#f2c14e", "#e4572e",
    }  # fmt: skip
    assert len(kite.pieces) == 5
    base = kite.pieces[0]
    assert base.fill == "#1b3a5c"
    assert all(base.shape.buffer(1e-6).covers(piece.shape) for piece in kite.pieces)
    pairs = {(pair.lower, pair.upper): pair for pair in overlaps(kite)}
    # The kite's gold and the crew's white lie side by side: one press can tack both.
    assert ("fill-ffffff", "fill-f2c14e") not in pairs
    assert pairs["fill-f2c14e", "fill-e4572e"].touching
    assert pairs["fill-1b3a5c", "fill-ffffff"].direct
    assert artwork_places(kite)[0].stack == ("fill-1b3a5c", "fill-2a9d8f", "fill-ffffff")


@pytest.mark.parametrize(("name", "films"), [("kite", 5), ("badge", 3), ("bag", 3)])
@pytest.mark.parametrize("share", [1.0, 0.625])
def test_demo_strokes_and_gaps_can_be_weeded(name: str, films: int, share: float) -> None:
    """Strokes of 1.2 mm and gaps of 1 mm: what opening or closing takes is corner tips only."""
    artwork = demo(name)
    artwork = artwork.scaled(width_mm=artwork.width_mm * share)
    assert len(artwork.pieces) == films
    for piece in artwork.pieces:
        opened = piece.shape.buffer(-0.6).buffer(0.63)
        closed = piece.shape.buffer(0.5).buffer(-0.53)
        assert max(shapely.area(_parts(piece.shape.difference(opened)))) < 1.2**2
        assert max(shapely.area(_parts(closed.difference(piece.shape)))) < 1.0


def _parts(geometry: shapely.Geometry) -> list[shapely.Geometry]:
    return [*shapely.get_parts(geometry), shapely.Polygon()]


def test_scaling_keeps_shape_and_order() -> None:
    kite = demo("kite")
    small = kite.scaled(width_mm=60)
    assert small.height_mm == pytest.approx(37.5)
    for large, little in zip(kite.pieces, small.pieces, strict=True):
        assert (large.id, large.order) == (little.id, little.order)
        assert little.shape.area == pytest.approx(large.shape.area / 16)
        assert little.visible.area == pytest.approx(large.visible.area / 16)
    with pytest.raises(ArtworkError, match="width_mm"):
        kite.scaled(width_mm=math.inf)


def test_reading_twice_gives_the_same_artwork() -> None:
    one, two = demo("kite"), demo("kite")
    assert [piece.id for piece in one.pieces] == [piece.id for piece in two.pieces]
    for first, second in zip(one.pieces, two.pieces, strict=True):
        assert first.shape.equals_exact(second.shape, 0)
