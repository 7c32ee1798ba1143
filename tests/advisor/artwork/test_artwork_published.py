"""What the SVG and CSS specifications say a drawing looks like, section by section."""

from __future__ import annotations

import math

import pytest
import shapely

from advisor.artwork.reader import Artwork, ArtworkError, Piece, read_artwork
from advisor.artwork.svg.colour import css_colour

SPACE = 'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink"'
FINE_MM = 0.002


def drawn(body: str, board: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"') -> Artwork:
    return read_artwork(f"<svg {SPACE} {board}>{body}</svg>", tolerance_mm=FINE_MM)


def only(artwork: Artwork) -> Piece:
    (piece,) = artwork.pieces
    return piece


def area(body: str) -> float:
    return only(drawn(body)).shape.area


def box(
    body: str, board: str = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
) -> list[float]:
    return [round(value, 4) for value in only(drawn(body, board)).shape.bounds]


STAR = "M50,5 L76.45,86.41 7.2,36.09 92.8,36.09 23.55,86.41z"


def test_star_is_solid_by_nonzero_and_hollow_by_evenodd() -> None:
    # SVG 1.1 §11.3, 'fill-rule': the five-pointed star of the figures.
    solid = only(drawn(f'<path d="{STAR}"/>')).shape
    hollow = only(drawn(f'<path fill-rule="evenodd" d="{STAR}"/>')).shape
    middle = shapely.Point(50, 50)
    assert solid.contains(middle)
    assert not hollow.contains(middle)
    # The inner pentagon of a pentagram has 1/φ⁴ of the area of the pentagon round it.
    golden = (1 + math.sqrt(5)) / 2
    pentagon = 2.5 * 45**2 * math.sin(math.radians(72))
    assert solid.area - hollow.area == pytest.approx(pentagon / golden**4, rel=2e-3)


@pytest.mark.parametrize(
    ("inner", "rule", "holes"),
    [
        ("a20,20 0 1,0 40,0 a20,20 0 1,0 -40,0", "nonzero", 0),
        ("a20,20 0 1,1 40,0 a20,20 0 1,1 -40,0", "nonzero", 1),
        ("a20,20 0 1,0 40,0 a20,20 0 1,0 -40,0", "evenodd", 1),
        ("a20,20 0 1,1 40,0 a20,20 0 1,1 -40,0", "evenodd", 1),
    ],
)
def test_nested_circles_follow_the_fill_rule(inner: str, rule: str, holes: int) -> None:
    # SVG 1.1 §11.3, 'fill-rule': circles drawn in the same and in opposite directions.
    outer = "M10,50 a40,40 0 1,0 80,0 a40,40 0 1,0 -80,0z"
    shape = only(drawn(f'<path fill-rule="{rule}" d="{outer} M30,50 {inner}z"/>')).shape
    assert len(shape.geoms[0].interiors) == holes
    assert shape.area == pytest.approx(math.pi * (40**2 - holes * 20**2), rel=1e-3)


def test_closed_forms_of_areas() -> None:
    # Circle πr², ellipse πab, rounded rectangle wh − (4 − π) r², half disc, parabola 2/3 bh.
    assert area('<circle cx="50" cy="50" r="40"/>') == pytest.approx(math.pi * 1600, rel=2e-4)
    ellipse = '<ellipse cx="50" cy="50" rx="40" ry="10" transform="rotate(30 50 50)"/>'
    assert area(ellipse) == pytest.approx(math.pi * 400, rel=5e-4)
    rounded = '<rect x="10" y="10" width="60" height="40" rx="10"/>'
    assert area(rounded) == pytest.approx(2400 - (4 - math.pi) * 100, rel=2e-4)
    assert area('<path d="M10,50 A40,40 0 0 1 90,50z"/>') == pytest.approx(math.pi * 800, rel=2e-4)
    assert area('<path d="M10,60 Q50,20 90,60z"/>') == pytest.approx(2 / 3 * 80 * 20, rel=2e-4)


def test_arc_radii_too_small_are_scaled_up() -> None:
    # SVG 1.1 §F.6.6: 10 is too small for a chord of 80, so a half circle of radius 40 is drawn.
    assert area('<path d="M10,50 A10,10 0 0 1 90,50z"/>') == pytest.approx(math.pi * 800, rel=2e-4)


@pytest.mark.parametrize(
    "width", ["96px", "96", "1in", "2.54cm", "25.4mm", "72pt", "6pc", "101.6q"]
)
def test_one_inch_in_every_unit(width: str) -> None:
    # CSS Values and Units 4 §6.2: 1in = 2.54cm = 96px, 1pt = 1/72in, 1pc = 12pt, 1Q = 1/40cm.
    board = f'width="{width}" height="10mm"'
    artwork = drawn('<rect width="100%" height="100%"/>', board)
    assert artwork.width_mm == pytest.approx(25.4, rel=1e-9)
    assert only(artwork).shape.area == pytest.approx(254, rel=1e-9)


@pytest.mark.parametrize(
    ("align", "expected"),
    [
        ("", [50, 0, 150, 100]),
        ("xMinYMid meet", [0, 0, 100, 100]),
        ("xMaxYMid", [100, 0, 200, 100]),
        ("none", [0, 0, 200, 100]),
        ("xMidYMid slice", [0, 0, 200, 100]),
    ],
)
def test_preserve_aspect_ratio(align: str, expected: list[float]) -> None:
    # SVG 1.1 §7.8: a square viewBox in a viewport twice as wide as high.
    board = f'width="200mm" height="100mm" viewBox="0 0 10 10" preserveAspectRatio="{align}"'
    assert box('<rect width="10" height="10"/>', board) == expected


@pytest.mark.parametrize(
    ("limit", "tip"), [(3.8, False), (1 / math.sin(math.radians(15)) + 0.01, True)]
)
def test_mitre_longer_than_its_limit_becomes_a_bevel(limit: float, tip: bool) -> None:
    # SVG 1.1 §11.4, 'stroke-miterlimit': miterLength / stroke-width = 1 / sin(θ / 2), here θ = 30°.
    x, y = 80 * math.cos(math.radians(15)), 80 * math.sin(math.radians(15))
    d = f"M{90 - x},{50 - y} L90,50 L{90 - x},{50 + y}"
    pen = f'fill="none" stroke="black" stroke-width="2" stroke-miterlimit="{limit}"'
    right = only(drawn(f'<path d="{d}" {pen}/>')).shape.bounds[2]
    reach = 1 / math.sin(math.radians(15)) if tip else math.sin(math.radians(15))
    assert right == pytest.approx(90 + reach, abs=1e-3)


def test_closed_stroke_with_one_sharp_corner_keeps_its_limit() -> None:
    # SVG 1.1 §11.4: the drop's only corner turns back on itself; a mitre would shoot far out.
    drop = '<path d="M50,10 C60,70 40,70 50,10z" fill="none" stroke="black" stroke-width="4"/>'
    assert box(drop)[1] == pytest.approx(10 - 2 * math.sin(math.atan(1 / 6)), abs=0.01)


@pytest.mark.parametrize(
    ("cap", "expected"),
    [("butt", 40 * 4), ("square", 44 * 4), ("round", 40 * 4 + math.pi * 4)],
)
def test_line_caps(cap: str, expected: float) -> None:
    # SVG 1.1 §11.4, 'stroke-linecap'.
    line = f'<path d="M10,50h40" stroke="black" stroke-width="4" stroke-linecap="{cap}"/>'
    assert area(line) == pytest.approx(expected, rel=1e-3)


def test_stroke_of_a_circle_is_a_ring_and_lies_over_its_fill() -> None:
    both = drawn('<circle cx="50" cy="50" r="30" stroke-width="4" stroke="red" fill="blue"/>')
    disc, ring = both.pieces
    assert (disc.fill, ring.fill) == ("#0000ff", "#ff0000")
    assert ring.shape.area == pytest.approx(math.pi * (32**2 - 28**2), rel=1e-3)
    assert disc.visible.area == pytest.approx(math.pi * 28**2, rel=1e-3)


def test_stroke_is_stretched_with_its_shape() -> None:
    # SVG 1.1 §7.4: a transform changes the coordinate system, the pen's with it.
    line = '<path d="M5,2v6" transform="scale(8 2)" stroke="black" stroke-width="1"/>'
    assert box(line) == [36, 4, 44, 16]
    held = line.replace("/>", ' vector-effect="non-scaling-stroke"/>')
    # SVG 2 §13.5.2, 'non-scaling-stroke': one px of the page, 25.4 / 96 mm, whatever the viewBox.
    assert box(held) == [39.8677, 4, 40.1323, 16]


def test_use_places_symbols_and_groups() -> None:
    # SVG 1.1 §5.6: translate(x, y) follows the transform; a symbol's viewBox fits width and height.
    group = '<defs><rect id="a" width="10" height="10"/></defs>'
    assert box(f'{group}<use xlink:href="#a" transform="scale(2)" x="5" y="10"/>') == [
        10,
        20,
        30,
        40,
    ]
    symbol = '<symbol id="a" viewBox="0 0 4 4"><rect width="8" height="4"/></symbol>'
    # §14.3.4: a symbol's content is clipped to its viewport.
    assert box(f'{symbol}<use href="#a" x="10" y="20" width="40" height="40"/>') == [10, 20, 50, 60]


def test_clip_path_units_and_rule() -> None:
    # SVG 1.1 §14.3.5.
    clip = '<clipPath id="c" {}><path clip-rule="evenodd" d="{}"/></clipPath>'
    frame = clip.format("", "M0,0H40V40H0z M10,10H30V30H10z")
    target = '<rect clip-path="url(#c)" x="20" y="20" width="40" height="40"/>'
    assert area(frame + target) == pytest.approx(20 * 20 - 10 * 10)
    half = clip.format('clipPathUnits="objectBoundingBox"', "M0,0H.5V1H0z")
    assert box(half + target) == [20, 20, 40, 60]


def test_what_is_not_rendered_is_left_out() -> None:
    # SVG 1.1 §11.5; a child of a hidden group may show itself, a child of display none may not.
    hidden = '<g visibility="hidden"><rect width="9" height="9"/>{}</g>'
    shown = '<rect x="50" width="9" height="9" visibility="visible"/>'
    gone = f'<g display="none">{shown}</g><rect width="3" height="3" opacity="0"/>'
    assert box(hidden.format(shown) + gone) == [50, 0, 59, 9]


def test_group_opacity_hides_what_the_group_covers() -> None:
    # SVG 1.1 §14.5: the group is composed first, so the lower disc does not shine through.
    body = (
        '<g opacity="0.5"><rect width="50" height="50" fill="red"/>'
        '<rect x="20" width="50" height="50" fill="blue"/></g>'
    )
    red, blue = drawn(body).pieces
    assert (red.opacity, blue.opacity) == (0.5, 0.5)
    assert red.shape.area == pytest.approx(20 * 50)


@pytest.mark.parametrize(
    ("sheet", "attributes", "fill"),
    [
        ("", 'fill="red"', "#ff0000"),
        ("rect {fill: lime}", 'fill="red"', "#00ff00"),
        (".a {fill: blue} rect {fill: lime}", 'class="a b"', "#0000ff"),
        ("#r {fill: navy} .a {fill: blue}", 'class="a" id="r"', "#000080"),
        ("#r {fill: navy}", 'id="r" style="fill: teal"', "#008080"),
        ("rect {fill: lime !important}", 'style="fill: teal"', "#00ff00"),
        ("g > rect {fill: lime} svg g rect {fill: teal}", "", "#008080"),
        ("", 'fill="currentColor" color="olive"', "#808000"),
    ],
)
def test_style_precedence(sheet: str, attributes: str, fill: str) -> None:
    # SVG 1.1 §6.4 and CSS 2.2 §6.4.3: attribute < tag < class < id < inline < !important.
    rect = f'<style>{sheet}</style><g><rect {attributes} width="9" height="9"/></g>'
    assert only(drawn(rect)).fill == fill


def test_named_colours_that_the_parser_has_wrong() -> None:
    # CSS Color 4 §6.1: aliceblue is #f0f8ff, rebeccapurple #663399.
    assert css_colour("aliceblue") == css_colour("#f0f8ff")
    assert css_colour("rebeccapurple") == css_colour("#639") == css_colour("rgb(40% 20% 60%)")


def test_gradient_mean_is_weighted_by_stop_offsets() -> None:
    # SVG 1.1 §13.2.4: black up to 50 %, then straight to white: mean (0 + 0.5) / 2.
    body = (
        '<linearGradient id="g"><stop offset="50%"/><stop offset="1" stop-color="#fff"/>'
        '</linearGradient><rect fill="url(#g)" width="9" height="9"/>'
    )
    source = f"<svg {SPACE} viewBox='0 0 9 9'>{body}</svg>"
    with pytest.raises(ArtworkError, match="gradient"):
        read_artwork(source)
    assert only(read_artwork(source, flatten=True)).fill == "#404040"


def test_error_in_a_path_draws_it_up_to_the_error() -> None:
    # SVG 1.1 §F.2; an error that takes corners of the shape with it is refused instead.
    broken = drawn('<path d="M10,10H50V50H10z L"/>')
    assert only(broken).shape.area == pytest.approx(1600)
    assert any("error" in note for note in broken.notes)


def test_shape_on_the_edge_of_the_artboard_is_trimmed() -> None:
    # SVG 1.1 §14.3.3: the outermost viewport clips.
    trimmed = drawn('<rect x="90" y="40" width="60" height="10"/>')
    assert only(trimmed).shape.area == pytest.approx(100)
    assert any("artboard" in note for note in trimmed.notes)
