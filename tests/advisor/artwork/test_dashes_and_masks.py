"""Dashed lines are cut as their dashes, masks of plain white as clips: beside a renderer."""

from __future__ import annotations

import io

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from PIL import Image
from resvg_py import svg_to_bytes

from advisor.artwork.fineness import fineness
from advisor.artwork.reader import read_artwork

PX = 800


def document(body: str) -> str:
    board = 'width="100mm" height="100mm" viewBox="0 0 100 100"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {board}>{body}</svg>'


def ink(png: bytes) -> NDArray[np.float64]:
    """How much of each pixel is drawn on, from 0 to 1."""
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGBA"), dtype=float)[..., 3] / 255


def as_cut(source: str) -> NDArray[np.float64]:
    """The pieces as read, drawn again as plain filled areas."""
    area = shapely.union_all(
        [piece.shape for piece in read_artwork(source, tolerance_mm=0.005).pieces]
    )
    rings = [ring for part in shapely.get_parts(area) for ring in (part.exterior, *part.interiors)]
    data = "".join("M" + " ".join(f"{x},{y}" for x, y in ring.coords) + "z" for ring in rings)
    return ink(
        svg_to_bytes(
            svg_string=document(f'<path fill-rule="evenodd" d="{data}"/>'), width=PX, dpi=96
        )
    )


LINE = 'fill="none" stroke="black" stroke-width="6"'
DASHED = {
    "straight": f'<path d="M5,50 H95" {LINE} stroke-dasharray="10 4"/>',
    "odd list": f'<path d="M5,50 H95" {LINE} stroke-dasharray="10,3,5"/>',
    "offset": f'<path d="M5,50 H95" {LINE} stroke-dasharray="10 4" stroke-dashoffset="7"/>',
    "backward": f'<path d="M5,50 H95" {LINE} stroke-dasharray="10 4" stroke-dashoffset="-3"/>',
    "dots": f'<path d="M9,50 H95" {LINE} stroke-dasharray="0 10" stroke-linecap="round"/>',
    "squares": f'<path d="M9,50 H95" {LINE} stroke-dasharray="0 12" stroke-linecap="square"/>',
    "round": f'<path d="M9,50 H95" {LINE} stroke-dasharray="8 12" stroke-linecap="round"/>',
    "corners": f'<path d="M10,10 H90 V90 H10z" {LINE} stroke-dasharray="17 9"/>',
    "circle": f'<circle cx="50" cy="50" r="40" {LINE} stroke-dasharray="12 5"/>',
    "two runs": f'<path d="M5,30 H95 M5,70 H95" {LINE} stroke-dasharray="20 7"/>',
    "skewed": f'<path d="M5,30 H70" {LINE} stroke-dasharray="9 5" transform="skewY(20)"/>',
    "inherited": f'<g stroke-dasharray="9 5" stroke-dashoffset="4"><path d="M5,9 H70" {LINE}/></g>',
    "longer than the line": f'<path d="M5,50 H95" {LINE} stroke-dasharray="500 4"/>',
}


@pytest.mark.parametrize("name", DASHED)
def test_a_dashed_line_is_cut_as_others_draw_it(name: str) -> None:
    source = document(DASHED[name])
    other = ink(svg_to_bytes(svg_string=source, width=PX, dpi=96))
    assert np.abs(as_cut(source) - other).sum() < 0.01 * other.sum()


def test_dashes_are_counted_in_the_length_that_the_line_is_said_to_have() -> None:
    # SVG 2 §9.6.1: a line of 90 said to be 9 long has dashes of 10, five of them.
    line = f'<path d="M5,50 H95" {LINE} stroke-dasharray="1 1" pathLength="9"/>'
    shape = read_artwork(document(line)).pieces[0].shape
    assert [part.bounds for part in shape.geoms] == [
        pytest.approx((x, 47, x + 10, 53)) for x in (5, 25, 45, 65, 85)
    ]


@pytest.mark.parametrize("pattern", ["none", "0", "0 0", "4 -1", "4 big", ""])
def test_a_pattern_that_says_nothing_draws_a_solid_line(pattern: str) -> None:
    solid = read_artwork(document(f'<path d="M5,50 H95" {LINE} stroke-dasharray="{pattern}"/>'))
    assert solid.pieces[0].shape.area == pytest.approx(90 * 6)
    assert not any("dashed" in note for note in solid.notes)


SHOWN = '<rect width="100" height="100" fill="#1b3a5c" mask="url(#m)"/>'
MASKS = {
    "plain white": '<mask id="m"><circle cx="50" cy="50" r="30" fill="#fff"/></mask>',
    "two that overlap": '<mask id="m"><circle cx="40" cy="50" r="30" fill="#fff"/>'
    '<rect x="50" y="50" width="40" height="30" fill="white"/></mask>',
    "black on white": '<mask id="m"><rect width="100" height="100" fill="#fff"/>'
    '<circle cx="50" cy="50" r="30"/></mask>',
    "a stroke": '<mask id="m"><circle cx="50" cy="50" r="30" fill="none" stroke="#fff" '
    'stroke-width="9"/></mask>',
    "by what is drawn": '<mask id="m" style="mask-type:alpha">'
    '<circle cx="50" cy="50" r="30" fill="#D9D9D9"/></mask>',
    "in shares of the box": '<mask id="m" maskContentUnits="objectBoundingBox">'
    '<rect x=".2" y=".3" width=".5" height=".5" fill="#fff"/></mask>',
    "trimmed to its own place": '<mask id="m" maskUnits="userSpaceOnUse" x="30" y="40" width="20" '
    'height="20"><rect width="100" height="100" fill="#fff"/></mask>',
}


@pytest.mark.parametrize("name", MASKS)
def test_a_mask_of_plain_white_is_a_clip(name: str) -> None:
    source = document(MASKS[name] + SHOWN)
    other = ink(svg_to_bytes(svg_string=source, width=PX, dpi=96))
    assert np.abs(as_cut(source) - other).sum() < 0.01 * other.sum()


def test_a_mask_moves_with_what_it_masks() -> None:
    moved = SHOWN.replace("<rect", '<rect transform="translate(20 10) scale(.5)"')
    source = document(MASKS["plain white"] + moved)
    assert read_artwork(source).pieces[0].shape.bounds == pytest.approx((30, 20, 60, 50), abs=0.1)


def test_a_mask_that_is_missing_is_told_and_hides_nothing() -> None:
    artwork = read_artwork(document(SHOWN))
    assert artwork.pieces[0].shape.area == pytest.approx(10_000)
    assert any("masked by '#m', which the file lacks" in note for note in artwork.notes)


@pytest.mark.parametrize("width_mm", [100, 80, 118.0])
def test_an_offset_far_away_leaves_no_sliver_of_a_dash(width_mm: float) -> None:
    frame = (
        '<rect x="10" y="10" width="80" height="80" fill="none" stroke="#c00" stroke-width="5" '
        'stroke-dasharray="10" stroke-dashoffset="-1e9"/>'
    )
    (piece,) = read_artwork(document(frame), width_mm=width_mm).pieces
    assert len(piece.shape.geoms) == 16
    shortest = fineness(piece.shape, up_to_mm=20).least_stroke_mm
    assert shortest is not None
    assert shortest > 1
