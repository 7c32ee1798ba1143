"""What is too fine for a film: found where it is, measured, and made simpler."""

from __future__ import annotations

import pytest
import shapely
from shapely import MultiPolygon

from advisor.artwork.fineness import fineness
from advisor.artwork.reader import Artwork, read_artwork
from advisor.cutting.detail import fine_places, simplified_artwork, smallest_width_mm
from advisor.cutting.records.cut import CutPiece, Separation
from advisor.cutting.separation import separate
from rules.catalogue import load_catalogue
from rules.errors import BadInputError
from tests.advisor.cutting.cut_plans import SKY, SUN, badge, joint, plan_for

FILM = load_catalogue().film("matte-smooth")
COARSE = max(load_catalogue().films.values(), key=lambda film: film.least_stroke_mm)


def drawing(*shapes: str, width: float = 60) -> Artwork:
    body = "".join(f'<path d="{shape}" fill="#1b3a5c"/>' for shape in shapes)
    return read_artwork(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="40mm" '
        f'viewBox="0 0 {width} 40">{body}</svg>'
    )


def found_in(artwork: Artwork) -> list[tuple[str, float, bool]]:
    films = {piece.id: FILM for piece in artwork.pieces}
    made = separate(artwork, (), ranks={piece.id: 1 for piece in artwork.pieces})
    details = (place.detail for place in fine_places(made, films, width_mm=artwork.width_mm))
    return [(one.kind, one.measure_mm, one.by_separation) for one in details]


def test_matte_smooth_is_the_film_these_tests_reckon_with() -> None:
    assert (FILM.least_stroke_mm, FILM.least_gap_mm) == (1.0, 0.8)


def test_a_thin_stroke_is_found_with_its_width_and_its_place() -> None:
    art = drawing("M0,0H20V19H40V19.6H20V40H0z")
    made = separate(art, (), ranks={SKY: 1})
    (place,) = fine_places(made, {SKY: FILM}, width_mm=60)
    detail = place.detail
    assert (detail.kind, detail.measure_mm, detail.least_mm) == ("stroke", 0.6, 1.0)
    assert place.area.bounds == pytest.approx((20, 19, 40, 19.6), abs=0.1)
    assert (detail.x_mm, detail.y_mm) == (pytest.approx(30, abs=5), pytest.approx(19.3, abs=0.1))


def test_a_neck_is_measured_at_its_narrowest() -> None:
    art = drawing("M0,0H20L25,9.8 30,0H50V20H30L25,10.2 20,20H0z")
    ((kind, measure_mm, _),) = found_in(art)
    assert (kind, measure_mm) == ("stroke", pytest.approx(0.4, abs=0.03))


def test_a_narrow_gap_is_found_with_its_width() -> None:
    assert found_in(drawing("M0,0H20V40H0z M20.5,0H40V40H20.5z")) == [("gap", 0.5, False)]


def test_a_dot_is_an_island_that_weeding_loses() -> None:
    kinds = [kind for kind, _, _ in found_in(drawing("M0,0H20V20H0z M30,10H30.8V10.8H30z"))]
    assert kinds == ["island"]


def test_what_holds_is_not_marked() -> None:
    assert found_in(drawing("M0,0H20V19H40V20.1H20V40H0z M50,0H55V40H50z")) == []


def test_what_a_window_makes_thin_is_told_from_what_is_drawn_thin() -> None:
    art = read_artwork(
        """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
        <path d="M0,0H30V19H60V19.5H30V40H0z" fill="#1b3a5c"/>
        <rect x="0.4" y="8" width="20" height="14" fill="#f2c14e"/></svg>"""
    )
    made = separate(art, [joint(SUN, SKY, "butt", 0.2)], ranks={SKY: 1, SUN: 1})
    places = fine_places(made, {SKY: FILM, SUN: FILM}, width_mm=60)
    made_thin = {(place.detail.measure_mm, place.detail.by_separation) for place in places}
    assert made_thin == {(0.5, False), (0.3, True)}


@pytest.mark.parametrize("film", [FILM.id, COARSE.id])
def test_the_smallest_width_holds_when_measured_and_a_smaller_one_does_not(film: str) -> None:
    art = drawing("M0,0H20V19H40V21.5H20V40H0z M50,0H58V40H50z M45,2H47V4H45z")
    known = load_catalogue()
    limit = smallest_width_mm(plan_for(art, film=film), art, catalogue=known)
    assert limit is not None
    for width_mm, holds in ((limit.width_mm, True), (limit.width_mm - 2, False)):
        shape = art.scaled(width_mm=width_mm).pieces[0].shape
        fine = fineness(shape, up_to_mm=50, tolerance_mm=0.01)
        wide = (fine.least_stroke_mm or 99) >= known.film(film).least_stroke_mm - 0.02
        apart = (fine.least_gap_mm or 99) >= known.film(film).least_gap_mm - 0.02
        whole = fine.island_areas_mm2[0] >= (known.film(film).least_stroke_mm - 0.02) ** 2
        assert (wide and apart and whole) is holds


def test_the_smallest_width_follows_the_thinnest_stroke_in_proportion() -> None:
    art = drawing("M0,0H20V19H40V21H20V40H0z")
    limit = smallest_width_mm(plan_for(art), art, catalogue=load_catalogue())
    # A stroke of 2 mm in 60 mm is 1 mm, the least that the film holds, in 30 mm.
    assert limit is not None
    assert (limit.width_mm, limit.kind, limit.measure_mm) == (30, "stroke", 1.0)
    assert limit.as_cut_mm == limit.width_mm


def test_windows_ask_for_a_larger_width_than_the_drawing() -> None:
    art = badge()
    plan = plan_for(art, (joint(SUN, SKY, "butt", 2.0),))
    limit = smallest_width_mm(plan, art, catalogue=load_catalogue())
    lapped = smallest_width_mm(plan_for(art), art, catalogue=load_catalogue())
    assert limit is not None
    assert lapped is not None
    assert lapped.as_cut_mm == lapped.width_mm == limit.width_mm
    assert limit.as_cut_mm is not None
    assert limit.as_cut_mm > limit.width_mm


def test_a_simpler_piece_holds_and_says_how_its_area_changes() -> None:
    art = drawing("M0,0H20V19H40V19.5H20V40H0z")
    simple, (proposal,) = simplified_artwork(art, {SKY: FILM})
    assert proposal.before_mm2 == pytest.approx(810)
    assert proposal.after_mm2 == pytest.approx(800, abs=1)
    assert proposal.change_pct == pytest.approx(100 * -10 / 810, abs=0.1)
    assert found_in(simple) == []


@pytest.mark.parametrize(
    ("path", "what", "size", "at"),
    [
        ("M0,0H30V20H0z M5,30H36V30.47H5z", "part", (31, 0.47), (20.5, 30.2)),
        ("M0,0H20V19H40V19.6H20V40H0z", "limb", (20, 0.6), (30, 19.3)),
        ("M0,0H30V30H0z M10,10V10.5H20V10z", "hole", (10, 0.5), (15, 10.25)),
        ("M0,0H20V9.8H22V0H40V20H22V10.2H20V20H0z", "split", (40, 20), None),
    ],
)
def test_what_a_simpler_piece_loses_is_told_by_size_and_place(
    path: str, what: str, size: tuple[float, float], at: tuple[float, float] | None
) -> None:
    _, (proposal,) = simplified_artwork(drawing(path), {SKY: FILM})
    (loss,) = proposal.losses
    assert loss.what == what
    assert (loss.length_mm, loss.across_mm) == pytest.approx(size, abs=0.05)
    if at is not None:
        assert (loss.x_mm, loss.y_mm) == pytest.approx(at, abs=6)
        assert abs(loss.y_mm - at[1]) < 0.5
    assert f"{loss.length_mm:g} × {loss.across_mm:g} mm" in proposal.lost


def test_a_notch_closed_and_a_corner_rounded_are_no_loss() -> None:
    art = drawing("M0,0H20V10H20.5V0H40V20H0z")
    _, (proposal,) = simplified_artwork(art, {SKY: FILM})
    assert proposal.losses == ()


def test_a_bit_that_a_filled_gap_joins_to_its_neighbour_is_not_lost() -> None:
    art = drawing("M0,0H20V20H0z M20.5,0H40V20H20.5z")
    _, (proposal,) = simplified_artwork(art, {SKY: FILM})
    assert proposal.losses == ()


def test_coarse_artwork_is_left_as_it_is() -> None:
    art = badge()
    assert simplified_artwork(art, dict.fromkeys((p.id for p in art.pieces), FILM)) == (art, ())


def test_a_piece_of_which_nothing_could_be_kept_is_not_proposed() -> None:
    art = drawing("M0,0H40V0.5H0z")
    assert simplified_artwork(art, {SKY: FILM})[1] == ()


def test_broken_and_empty_pieces_are_borne() -> None:
    nothing = MultiPolygon()
    bow = shapely.make_valid(shapely.Polygon([(0, 0), (20, 20), (20, 0), (0, 20)]))
    pieces = (CutPiece("a", nothing, nothing, nothing), CutPiece("b", bow, bow, bow))
    assert fine_places(Separation(pieces), {"a": FILM}, width_mm=20) == ()
    with pytest.raises(BadInputError, match="no piece that the plan gives a film"):
        smallest_width_mm(
            plan_for(badge()), Artwork("none", 60, 40, ()), catalogue=load_catalogue()
        )
