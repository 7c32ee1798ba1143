"""Broken, hostile and uncuttable files: an answer or one clear line, in bounded time."""

from __future__ import annotations

import math
import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.artwork.reader import ArtworkError, read_artwork
from advisor.artwork.svg.canvas import Canvas
from rules.errors import BadInputError

SPACE = 'xmlns="http://www.w3.org/2000/svg"'


def svg(body: str, board: str = 'viewBox="0 0 100 100"') -> str:
    return f"<svg {SPACE} {board}>{body}</svg>"


def scribble(points: int) -> str:
    chance = random.Random(3)
    return " ".join(
        f"{chance.random() * 100:.2f},{chance.random() * 100:.2f}" for _ in range(points)
    )


DEFS = "".join(
    f'<g id="u{level}">' + f'<use href="#u{level - 1}"/>' * 10 + "</g>" for level in range(1, 9)
)
SQUARE = '<rect width="50" height="50"/>'
REFUSALS = {
    "live text": (svg('<text id="name">CREW</text>'), 'text id="name".*convert text to outlines'),
    "bitmap": (svg('<image href="data:x"/>'), "<image> number 1.*trace the bitmap"),
    "mask": (
        svg(
            '<mask id="m"><rect width="9" height="9" fill="#888"/></mask>'
            '<rect mask="url(#m)" width="9" height="9"/>'
        ),
        '<rect> number 2.*masked by #888888 of <mask id="m">.*half',
    ),
    "mask in a circle": (
        svg(
            '<mask id="m"><rect mask="url(#m)" width="9" height="9" fill="#fff"/></mask>'
            '<rect mask="url(#m)" width="9" height="9"/>'
        ),
        "masks itself",
    ),
    "endless dashes": (
        svg('<path d="M0 0H90" stroke="red" stroke-dasharray="0.001"/>'),
        "more than 20,000 dashes",
    ),
    "filter": (svg('<g filter="url(#f)"/>'), "<g> number 1.*filter"),
    "pattern": (svg('<pattern id="p"/><path fill="url(#p)" d="M0 0H9V9z"/>'), "pattern.*flat fill"),
    "bad colour": (svg('<rect width="5" height="5" fill="navyish"/>'), "'navyish' is no colour"),
    "bad transform": (svg('<g transform="turn(3)"/>'), "transform 'turn.3.' cannot be read"),
    "entity bomb": (f'<!DOCTYPE svg [<!ENTITY a "aa">]><svg {SPACE}>&a;</svg>', "entities"),
    "outside entity": (
        f'<!DOCTYPE svg [<!ENTITY a SYSTEM "file:///etc/hosts">]><svg {SPACE}>&a;</svg>',
        "entities",
    ),
    "other file": (svg('<use href="other.svg#a"/>'), "another file"),
    "not XML": (b"\x89PNG\r\n", "not readable XML"),
    "web page": ("<html><body/></html>", "no SVG: it begins with <html>"),
    "empty": (b"  ", "empty"),
    "nothing drawn": (svg("<title>Crew</title>"), "draws nothing"),
    "not a number": (svg('<path d="M1e400 0 L1 1 0 5z"/>'), "not a number or lies more than 1 km"),
    "far away": (svg('<rect x="-1e9" width="2e9" height="9"/>'), "more than 1 km"),
    "huge transform": (svg(f'<g transform="scale(1e200)">{SQUARE}</g>'), "beyond reason"),
    "vanishing viewBox": (svg(SQUARE, 'viewBox="0 0 1e-300 1e-300"'), "beyond reason"),
    "no width": (svg(SQUARE, 'width="0" height="5"'), "width is '0'"),
    "huge stroke": (svg('<path d="M0 0H9" stroke="red" stroke-width="1e9"/>'), "wider than 1 km"),
    "scribble": (svg(f'<path d="M{scribble(20_000)}z"/>'), "crosses or follows itself"),
    "stroked scribble": (
        svg(f'<polyline points="{scribble(20_000)}" fill="none" stroke="red"/>'),
        "crosses or follows itself",
    ),
    "deep groups": (svg("<g>" * 5000 + SQUARE + "</g>" * 5000), "nested more than 200 deep"),
    "use bomb": (
        svg(f'<defs><g id="u0">{SQUARE}</g>{DEFS}</defs><use href="#u8"/>'),
        "repeats its symbols",
    ),
    "a field of dots": (
        svg('<rect width="1" height="1"/>' * 10_500),
        "has 10,500 shapes and groups, more than the 10,000 that are read; unite shapes of one",
    ),
    "clip loop": (
        svg(
            f'<clipPath id="a" clip-path="url(#a)">{SQUARE}</clipPath>'
            f'<g clip-path="url(#a)">{SQUARE}</g>'
        ),
        "clips itself",
    ),
    "too many numbers": (svg('<path d="M0 0' + "h1v1" * 400_000 + '"/>'), "600,000 numbers"),
    "photograph": (
        svg("".join(f'<path fill="#{n:03x}" d="M{n % 90} 0h9v9z"/>' for n in range(300))),
        "300 colours",
    ),
    "too large": (b"<svg>" + b" " * 9_000_000, "9.0 MB is more than the 8 MB"),
    "compressed": (b"\x1f\x8b\x08", "compressed"),
    "odd encoding": (b'<?xml version="1.0" encoding="klingon"?><svg/>', "encoding"),
}


@pytest.mark.slow
@pytest.mark.parametrize(("source", "told"), REFUSALS.values(), ids=REFUSALS)
def test_it_is_refused_with_one_line_that_says_why(source: str | bytes, told: str) -> None:
    with pytest.raises(BadInputError, match=told) as refusal:
        read_artwork(source, width_mm=200)
    assert isinstance(refusal.value, ArtworkError)
    assert "\n" not in str(refusal.value)
    assert len(str(refusal.value)) < 300


def test_a_missing_file_and_a_folder_are_named(tmp_path: Path) -> None:
    with pytest.raises(ArtworkError, match=r"absent\.svg: the file cannot be read"):
        read_artwork(tmp_path / "absent.svg")
    with pytest.raises(ArtworkError, match="cannot be read"):
        read_artwork(tmp_path)


def test_a_large_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "large.svg"
    with path.open("wb") as file:
        file.truncate(50_000_000)
    with pytest.raises(ArtworkError, match=r"large\.svg: 50\.0 MB is more than the 8 MB"):
        read_artwork(path)


TORN = {
    "a wrong letter": (
        '<path id="kite" d="M10 30H90V60z M20 70 X 40 90z M60 70H90V95z"/>',
        "M20 70 X 40 90z",
    ),
    "a stray sign": (
        '<path id="kite" d="M10 30H90V60z M20 70 40 90 ; 60 70z"/>',
        "20 70 40 90 ; 60 70z",
    ),
    "a number too few": ('<path id="kite" d="M10 30H90V60z M20 70 L 40z"/>', "L 40z"),
    "no number": ('<path id="kite" d="M10 30 L NaN 30 40 40z"/>', "NaN 30 40 40z"),
    "no beginning": ('<path id="kite" d="L10 30H90V60z"/>', "L10 30H90V60z"),
    "a letter among points": ('<polygon id="kite" points="10,30 90,30 90,60 x 10,60"/>', "x 10,60"),
    "a command among points": ('<polygon id="kite" points="10,30 90,30 9,6 M 10,60"/>', "M 10,60"),
    "a point without its height": (
        '<polyline id="kite" points="10,30 90,30 90"/>',
        "10,30 90,30 90",
    ),
}


@pytest.mark.parametrize(("body", "lost"), TORN.values(), ids=TORN)
def test_a_shape_that_cannot_be_read_to_its_end_is_never_cut_without_the_rest(
    body: str, lost: str
) -> None:
    told = (
        f"id=\"kite\">: its outline cannot be read at '[^']*{lost}[^']*', .*missing from the film"
    )
    with pytest.raises(ArtworkError, match=told):
        read_artwork(svg(SQUARE + body), width_mm=100)


@pytest.mark.parametrize("end", [";", " L", " none"])
def test_an_error_that_takes_nothing_of_a_shape_is_told_and_the_shape_cut(end: str) -> None:
    artwork = read_artwork(svg(f'<path d="M0 0H50V50H0z{end}"/>'), width_mm=100)
    assert artwork.pieces[0].shape.area == pytest.approx(2500)
    assert "shapes with an error that takes nothing of their outline: 1" in artwork.notes


@pytest.mark.parametrize("width_mm", [0, -5, math.nan, math.inf, 20_000])
def test_a_width_that_no_garment_has_is_refused(width_mm: float) -> None:
    with pytest.raises(ArtworkError, match="width_mm"):
        read_artwork(svg(SQUARE), width_mm=width_mm)


@pytest.mark.slow
def test_a_hundred_thousand_points_are_read() -> None:
    turns = [index / 100_000 * math.tau for index in range(100_000)]
    points = " ".join(f"{50 + 40 * math.cos(t):.5f},{50 + 40 * math.sin(t):.5f}" for t in turns)
    artwork = read_artwork(svg(f'<polygon points="{points}"/>'), width_mm=100)
    assert artwork.pieces[0].shape.area == pytest.approx(math.pi * 1600, rel=1e-5)


NOTED = {
    "open paths": '<path d="M0 0H9V9"/>',
    "without area": f'{SQUARE}<path d="M0 0L9 9z"/>',
    "scripts": f"<script>alert(1)</script>{SQUARE}",
    "animations": '<rect width="9" height="9"><animate attributeName="x"/></rect>',
    "dashed": '<path d="M0 5H90" stroke="red" stroke-dasharray="4 2"/>',
    "the file lacks": f'{SQUARE}<use href="#absent"/>',
    "refers to itself": f'<g id="a">{SQUARE}<use href="#a"/></g>',
    "not understood": f"<style>rect:hover {{fill: red}}</style>{SQUARE}",
}


@pytest.mark.parametrize(("note", "body"), NOTED.items(), ids=NOTED)
def test_what_is_changed_or_left_out_is_told(note: str, body: str) -> None:
    # The reader draws a nested animation's shape, so every case still gives a piece.
    artwork = read_artwork(svg(body), width_mm=100)
    assert artwork.pieces
    assert any(note in told for told in artwork.notes)


def test_a_file_without_a_size_is_measured() -> None:
    artwork = read_artwork(svg('<rect x="40" y="20" width="96" height="48"/>', ""))
    assert (artwork.width_mm, artwork.height_mm) == pytest.approx((25.4, 12.7))
    assert artwork.pieces[0].shape.bounds == pytest.approx((0, 0, 25.4, 12.7))
    assert any("no size" in note for note in artwork.notes)


PATH_TEXT = st.text("MmLlHhVvCcSsQqTtAaZz 0123456789.,-+eE", max_size=60)


@settings(max_examples=150, deadline=None)
@given(d=PATH_TEXT, transform=st.text("matrixscalerotate(), 0123456789.-e", max_size=30))
def test_no_path_or_transform_text_crashes_the_reader(d: str, transform: str) -> None:
    source = svg(f'<path d="{d}" stroke="red" transform="{transform}"/>{SQUARE}')
    try:
        artwork = read_artwork(source, width_mm=100)
    except ArtworkError as error:
        told = str(error)
        shapes = []
    else:
        told = ""
        shapes = [piece.shape for piece in artwork.pieces]
    assert "\n" not in told
    assert told or shapes
    assert all(shape.is_valid for shape in shapes)


CSS_PARTS = (
    "rect", ".a", "#b", "{", "}", ";", ":", "fill", "red", "(", ")", "[", "]", ",", ">", "|", "~",
    "@media", "!important", "/*", "*/", "\\", "'", '"', ":not(", ":nth-child(", "2n+1", "*", "url(",
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(parts=st.lists(st.sampled_from(CSS_PARTS), max_size=25))
def test_no_style_sheet_crashes_the_reader(parts: list[str]) -> None:
    sheet = " ".join(parts)
    inline = sheet.replace('"', "'")
    styled = f'<rect style="{inline}" width="9" height="9"/>'.replace("'", "&apos;")
    source = svg(f"<style><![CDATA[{sheet}]]></style>{SQUARE}{styled}")
    try:
        answer = [piece.id for piece in read_artwork(source, width_mm=100).pieces]
    except ArtworkError as error:
        answer = [str(error)]
    assert answer
    assert all("\n" not in line for line in answer)


@pytest.mark.parametrize(
    "sheet",
    [
        "(" * 50_000 + "{fill: red}",
        "rect {fill: " + "(" * 50_000 + "}",
        ":not(" * 3_000 + "rect" + ")" * 3_000 + "{fill: red}",
        "g " * 20_000 + "{fill: red}",
    ],
    ids=["brackets", "value", "nested", "long"],
)
def test_a_hostile_style_rule_is_left_out(sheet: str) -> None:
    artwork = read_artwork(svg(f"<style>{sheet}</style>{SQUARE}"), width_mm=100)
    assert [piece.fill for piece in artwork.pieces] == ["#000000"]


@pytest.mark.parametrize("within", ["{}", "<g>{}</g>", '<a><g fill="red">{}</g></a>'])
def test_more_shapes_than_are_read_are_refused_before_the_first_is_drawn(
    within: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    def drawn(*_: object) -> None:
        raise AssertionError("a shape was drawn")

    monkeypatch.setattr(Canvas, "runs", drawn)
    with pytest.raises(ArtworkError, match=r"has 1[01],[0-9]{3} shapes and groups"):
        read_artwork(svg(within.format(SQUARE * 10_998)))


def test_shapes_on_layers_that_are_hidden_are_not_too_many() -> None:
    hidden = f'<g style="display:none">{SQUARE * 10_500}</g><g opacity="0">{SQUARE * 10_500}</g>'
    assert len(read_artwork(svg(hidden + SQUARE)).pieces) == 1
