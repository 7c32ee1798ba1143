"""What separation must keep true: laid down in press order, the pieces show the artwork."""

from __future__ import annotations

import time

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from advisor.artwork.fineness import thin_places
from advisor.artwork.piecing import visible_parts
from advisor.artwork.reader import Artwork, read_artwork
from advisor.artwork.records import Piece
from advisor.cutting.detail import fine_places
from advisor.cutting.outlines import CUTTER_MM
from advisor.cutting.records.cut import Separation
from advisor.cutting.separation import Bulk, separate
from advisor.job.records.plan import PlannedJoint
from rules.catalogue import load_catalogue
from rules.errors import BadInputError
from tests.advisor.cutting.cut_plans import (
    MOON,
    SKY,
    SUN,
    badge,
    hidden_pairs,
    joint,
    press_ranks,
    real_designs,
    some_joints,
)
from tests.advisor.cutting.separate_plainly import separate_plainly

# Where two outlines cross at a slant, the cutting grid of 0.001 mm moves the crossing a little.
GRID_MM = 0.02
RANKS = {SKY: 1, SUN: 2, MOON: 2}


def as_opaque(artwork: Artwork) -> Artwork:
    """The artwork as films show it: no film lets through what is under it."""
    pieces = artwork.pieces
    visible = visible_parts([piece.shape for piece in pieces], [True] * len(pieces))
    return Artwork(
        artwork.name,
        artwork.width_mm,
        artwork.height_mm,
        tuple(
            Piece(piece.id, piece.fill, 1.0, piece.shape, seen, piece.order)
            for piece, seen in zip(pieces, visible, strict=True)
        ),
    )


def seen_from_above(made: Separation, ranks: dict[str, int]) -> dict[str, BaseGeometry]:
    """Lay the pieces down one after another: what shows of each at the end."""
    shown: dict[str, BaseGeometry] = {}
    for piece in sorted(made.pieces, key=lambda piece: ranks[piece.id]):
        for below in shown:
            shown[below] = shown[below].difference(piece.shape)
        shown[piece.id] = piece.shape
    return shown


def beyond_a_cutter(area: BaseGeometry) -> BaseGeometry:
    """Without the hairs that are mended: slits and slivers finer than a cutter follows."""
    return area.buffer(-(CUTTER_MM + GRID_MM) / 2)


def at_butts(artwork: Artwork, joints: tuple[PlannedJoint, ...]) -> BaseGeometry:
    """Where gaps may show: half a gap on either side of the upper piece's edge."""
    shapes = {piece.id: piece.shape for piece in artwork.pieces}
    return shapely.union_all(
        [shapes[j.upper].boundary.buffer(j.gap_mm / 2 + 0.1) for j in joints if j.meets == "butt"]
    )


@pytest.mark.parametrize("design", range(0, len(real_designs()), 2))
def test_laid_down_in_press_order_the_pieces_show_the_artwork_colour_by_colour(design: int) -> None:
    artwork = as_opaque(real_designs()[design])
    joints, ranks = some_joints(artwork, seed=design)
    made = separate(artwork, joints, ranks=ranks, hidden=hidden_pairs(artwork))
    gaps = at_butts(artwork, joints)
    for piece_id, shown in seen_from_above(made, ranks).items():
        wrong = beyond_a_cutter(shown.symmetric_difference(made.piece(piece_id).visible))
        assert wrong.difference(gaps).area < 0.01, piece_id
    whole = shapely.union_all([piece.shape for piece in made.pieces])
    drawn = shapely.union_all([piece.visible for piece in made.pieces])
    assert beyond_a_cutter(whole.symmetric_difference(drawn)).difference(gaps).area < 0.01


@pytest.mark.parametrize("design", range(0, len(real_designs()), 3))
def test_separation_agrees_with_the_plain_way(design: int) -> None:
    artwork = real_designs()[design]
    joints, ranks = some_joints(artwork, seed=100 + design)
    made = separate(artwork, joints, ranks=ranks, hidden=hidden_pairs(artwork))
    for piece_id, plain in separate_plainly(artwork, joints, ranks, hidden_pairs(artwork)).items():
        apart = made.piece(piece_id).shape.symmetric_difference(plain)
        # Offsets with rounder corners differ by up to a fiftieth of the trap, mended hairs more.
        assert beyond_a_cutter(apart).area < 0.01, piece_id


@pytest.mark.parametrize("design", range(1, len(real_designs()), 4))
def test_pieces_that_all_lap_are_cut_as_they_are_drawn(design: int) -> None:
    artwork = real_designs()[design]
    ranks = {piece.id: piece.order + 1 for piece in artwork.pieces}
    for piece in separate(artwork, (), ranks=ranks).pieces:
        assert piece.shape.symmetric_difference(piece.drawn).buffer(-0.001).is_empty


def test_inset_over_leaves_a_window_smaller_by_the_trap_on_each_side() -> None:
    made = separate(badge(), [joint(SUN, SKY, "inset-over", 1.5)], ranks=RANKS)
    assert made.piece(SUN).shape.equals(shapely.box(20, 20, 70, 60))
    window = made.piece(SKY).shape.geoms[0].interiors[0]
    assert Polygon(window).equals(shapely.box(21.5, 21.5, 68.5, 58.5))


def test_inset_under_leaves_the_window_as_drawn_and_grows_the_upper_piece() -> None:
    ranks = {SKY: 2, SUN: 1, MOON: 3}
    made = separate(badge(), [joint(SUN, SKY, "inset-under", 1.5)], ranks=ranks)
    window = made.piece(SKY).shape.geoms[0].interiors[0]
    assert Polygon(window).equals(shapely.box(20, 20, 70, 60))
    assert made.piece(SUN).shape.bounds == (18.5, 18.5, 71.5, 61.5)
    overlap = made.piece(SUN).shape.intersection(made.piece(SKY).shape)
    # A band 1.5 mm wide round 180 mm, and four quarter rounds at the corners.
    assert overlap.area == pytest.approx(180 * 1.5 + np.pi * 1.5**2, rel=0.005)


def test_an_upper_piece_is_not_grown_where_nothing_covers_its_rim() -> None:
    art = read_artwork(
        """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
        <rect width="30" height="40" fill="#1b3a5c"/>
        <rect x="20" y="10" width="20" height="20" fill="#f2c14e"/></svg>"""
    )
    made = separate(art, [joint(SUN, SKY, "inset-under")], ranks={SKY: 2, SUN: 1})
    assert made.piece(SUN).shape.bounds == (19, 9, 40, 31)


@pytest.mark.parametrize("gap_mm", [0.4, 1.0])
def test_a_butt_takes_half_its_gap_from_either_side(gap_mm: float) -> None:
    made = separate(badge(), [joint(SUN, SKY, "butt", gap_mm)], ranks={SKY: 1, SUN: 1, MOON: 2})
    sun, sky = made.piece(SUN).shape, made.piece(SKY).shape
    assert shapely.distance(sun, sky) == pytest.approx(gap_mm, abs=0.02)
    assert sun.area == pytest.approx((50 - gap_mm) * (40 - gap_mm), abs=0.1)


def test_pieces_that_only_share_an_edge_are_trapped_beneath_it() -> None:
    art = read_artwork(
        """<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="20mm" viewBox="0 0 40 20">
        <rect width="20" height="20" fill="#1b3a5c"/>
        <rect x="20" width="20" height="20" fill="#f2c14e"/></svg>"""
    )
    over = separate(art, [joint(SUN, SKY, "inset-over")], ranks={SKY: 1, SUN: 2})
    assert over.piece(SKY).shape.bounds == (0, 0, 21, 20)
    assert over.piece(SUN).shape.bounds == (20, 0, 40, 20)
    under = separate(art, [joint(SUN, SKY, "inset-under")], ranks={SKY: 2, SUN: 1})
    assert under.piece(SUN).shape.bounds == (19, 0, 40, 20)


def test_a_trap_is_as_wide_as_the_plan_asks_for_shrink() -> None:
    narrow = separate(badge(), [joint(SUN, SKY, "inset-over", 1.0)], ranks=RANKS)
    wide = separate(badge(), [joint(SUN, SKY, "inset-over", 1.4)], ranks=RANKS)
    more = wide.piece(SKY).shape.area - narrow.piece(SKY).shape.area
    assert more == pytest.approx(48 * 38 - 47.2 * 37.2)


def four_deep() -> Artwork:
    squares = "".join(
        f'<rect x="{inset}" y="{inset}" width="{100 - 2 * inset}" height="{100 - 2 * inset}" '
        f'fill="{fill}"/>'
        for inset, fill in ((0, "#111111"), (5, "#222222"), (10, "#333333"), (20, "#444444"))
    )
    return read_artwork(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        f'viewBox="0 0 100 100">{squares}</svg>'
    )


def test_what_lies_under_three_layers_is_left_out_but_for_a_rim() -> None:
    art = four_deep()
    ranks = {piece.id: piece.order + 1 for piece in art.pieces}
    everywhere = frozenset(ranks)
    made = separate(art, (), ranks=ranks, bulk=Bulk(rim_mm=2, on_fabric=everywhere))
    lowest = made.piece("fill-111111")
    assert lowest.bulk_mm2 == pytest.approx(56**2)
    assert lowest.shape.area == pytest.approx(100**2 - 56**2)
    assert [piece.bulk_mm2 for piece in made.pieces[1:]] == [0, 0, 0]


def test_bulk_stays_where_the_film_above_may_not_lie_on_the_fabric() -> None:
    art = four_deep()
    ranks = {piece.id: piece.order + 1 for piece in art.pieces}
    made = separate(art, (), ranks=ranks, bulk=Bulk(rim_mm=2, on_fabric=frozenset({"fill-111111"})))
    assert made.piece("fill-111111").bulk_mm2 == 0


def test_a_cover_that_also_runs_along_an_edge_hides_what_it_lies_on() -> None:
    """The first film over the ground lies on it in one place and meets its edge in another."""
    squares = "".join(
        f'<rect x="{x}" y="{y}" width="{wide}" height="{high}" fill="{fill}"/>'
        for x, y, wide, high, fill in (
            (0, 0, 80, 80, "#111111"), (10, 10, 60, 60, "#222222"), (80, 0, 20, 80, "#222222"),
            (10, 10, 60, 60, "#333333"), (10, 10, 60, 60, "#444444"),
        )
    )  # fmt: skip
    art = read_artwork(
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" '
        f'viewBox="0 0 100 80">{squares}</svg>'
    )
    ranks = {piece.id: piece.order + 1 for piece in art.pieces}
    made = separate(art, (), ranks=ranks, bulk=Bulk(rim_mm=2, on_fabric=frozenset(ranks)))
    assert made.piece("fill-111111").bulk_mm2 == pytest.approx(56**2)


def ring(width_mm: float) -> Artwork:
    """A piece that shows as a thin frame round the one in front of it."""
    return read_artwork(
        f"""<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm" viewBox="0 0 60 60">
        <rect x="10" y="10" width="40" height="40" fill="#1b3a5c"/>
        <rect x="{10 + width_mm}" y="{10 + width_mm}" width="{40 - 2 * width_mm}"
        height="{40 - 2 * width_mm}" fill="#f2c14e"/></svg>"""
    )


def test_a_frame_made_too_thin_is_widened_out_of_sight() -> None:
    made = separate(
        ring(0.3),
        [joint(SUN, SKY, "inset-over", 1.0)],
        ranks={SKY: 1, SUN: 2},
        least_stroke_mm={SKY: 2.0, SUN: 2.0},
    )
    assert thin_places(made.piece(SKY).shape, least_mm=1.9).is_empty
    assert made.piece(SUN).shape.equals(shapely.box(10.3, 10.3, 49.7, 49.7))
    frame = made.piece(SKY).shape
    assert frame.buffer(-0.95).area > 0
    assert frame.difference(made.piece(SKY).drawn).area < 1e-9


def test_a_frame_that_cannot_be_widened_is_reported_with_its_place() -> None:
    made = separate(
        ring(0.3),
        [joint(SUN, SKY, "butt", 0.2)],
        ranks={SKY: 1, SUN: 1},
        least_stroke_mm={SKY: 2.0, SUN: 2.0},
    )
    film = load_catalogue().film("matte-smooth").model_copy(update={"least_stroke_mm": 2.0})
    places = fine_places(made, {SKY: film}, width_mm=60)
    assert {
        (one.detail.piece, one.detail.least_mm, one.detail.by_separation) for one in places
    } == {(SKY, 2.0, True)}
    whole = shapely.total_bounds([place.area for place in places])
    assert whole == pytest.approx((10, 10, 50, 50), abs=0.01)


def test_what_is_thin_in_the_drawing_is_no_sliver_of_separation() -> None:
    art = read_artwork(
        """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
        <path d="M0,0H30V19H60V19.5H30V40H0z" fill="#1b3a5c"/>
        <rect x="8" y="8" width="14" height="14" fill="#f2c14e"/></svg>"""
    )
    joints, ranks = [joint(SUN, SKY, "inset-over")], {SKY: 1, SUN: 2}
    least_mm = {SKY: 1.0, SUN: 1.0}
    made = separate(art, joints, ranks=ranks, least_stroke_mm=least_mm)
    assert made == separate(art, joints, ranks=ranks)


def test_a_rim_is_left_out_where_it_would_cover_a_piece_laid_before() -> None:
    art = read_artwork(
        """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
        <rect width="30" height="40" fill="#1b3a5c"/>
        <rect x="30" width="30" height="20" fill="#f2c14e"/>
        <rect x="30" y="20" width="30" height="20" fill="#ffffff"/></svg>"""
    )
    joints = (joint(SUN, SKY, "inset-over"), joint(MOON, SUN, "butt", 0.2))
    # The sky's rim under the sun would round the corner onto the moon, which lies there already.
    made = separate(art, joints, ranks={MOON: 1, SKY: 2, SUN: 3})
    assert made.piece(SKY).shape.intersection(made.piece(MOON).visible).area < 1e-6


def test_a_plan_for_other_artwork_is_refused() -> None:
    with pytest.raises(BadInputError, match="joins the piece fill-000000, which the artwork lacks"):
        separate(badge(), [joint("fill-000000", SKY, "lap")], ranks=RANKS)
    with pytest.raises(BadInputError, match="has the piece fill-ffffff, which the plan does not"):
        separate(badge(), (), ranks={SKY: 1, SUN: 2})
    with pytest.raises(BadInputError, match="twice"):
        separate(badge(), [joint(SUN, SKY, "lap"), joint(SUN, SKY, "butt")], ranks=RANKS)


@pytest.mark.slow
def test_a_path_of_thirty_thousand_points_is_separated_in_bounded_time() -> None:
    turn = np.linspace(0, 2 * np.pi, 30_000, endpoint=False)
    radius = 60 + 0.2 * np.sin(900 * turn)
    wavy = Polygon(np.stack([100 + radius * np.cos(turn), 100 + radius * np.sin(turn)], axis=1))
    under = MultiPolygon([shapely.box(0, 0, 200, 200)])
    pieces = (
        Piece(SKY, "#1b3a5c", 1, under, MultiPolygon([under.difference(wavy)]), 0),
        Piece(SUN, "#f2c14e", 1, MultiPolygon([wavy]), MultiPolygon([wavy]), 1),
    )
    art = Artwork("wavy", 200, 200, pieces)
    begun = time.process_time()
    made = separate(art, [joint(SUN, SKY, "inset-over")], ranks={SKY: 1, SUN: 2})
    # Three times what it takes, and far below what the square of the points would.
    assert time.process_time() - begun < 9
    assert made.piece(SKY).shape.area > 200**2 - wavy.area


def test_press_ranks_of_the_tests_follow_the_ways_of_meeting() -> None:
    art = badge()
    assert press_ranks(art, {(SUN, SKY): "inset-under", (MOON, SKY): "lap"}) == {
        SKY: 2,
        SUN: 1,
        MOON: 3,
    }


@pytest.mark.parametrize("meets", ["inset-over", "inset-under"])
def test_discs_that_touch_in_a_point_get_no_rim_on_a_neck(meets: str) -> None:
    art = read_artwork(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
        '<circle cx="25" cy="50" r="25" fill="#c00"/><circle cx="75" cy="50" r="25" fill="#00c"/>'
        "</svg>",
        width_mm=100,
    )
    lower, upper = (piece.id for piece in art.pieces)
    made = PlannedJoint.model_validate(
        {"upper": upper, "lower": lower, "meets": meets, "trap_mm": 1}
    )
    cut = separate(art, [made], ranks={lower: 1, upper: 2})
    film = load_catalogue().film("matte-smooth")
    assert fine_places(cut, {lower: film, upper: film}, width_mm=100) == ()
    for piece in cut.pieces:
        # The cutting grid of 0.001 mm moves an outline of 157 mm by no more than this; a rim has 6.
        assert piece.shape.symmetric_difference(piece.drawn).area < 0.16
