"""The artwork of a job as films can show it: windows, what nobody sees, what lets others through.

The oracle is a plain painter: points are coloured by the last shape that covers them.
"""

from __future__ import annotations

import random
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
from shapely.geometry import Point

from advisor.artwork.job_artwork import job_artwork
from advisor.artwork.reader import read_artwork
from advisor.artwork.records import Artwork, Piece
from advisor.job.records.job import Job
from rules.book.colour_difference import colour_difference

GOLD, NAVY, WHITE = "#d4a017", "#1b2a49", "#ffffff"


def drawn(*shapes: str) -> bytes:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        f'viewBox="0 0 100 100">{"".join(shapes)}</svg>'
    ).encode()


def box(fill: str, x: float, y: float, width: float, height: float, more: str = "") -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}" {more}/>'


def cut(*shapes: str, widths: Sequence[float] = (100,), **more: object) -> Artwork:
    document = {
        "job": "as pressed",
        "artwork": "a.svg",
        "looks": {"default": {"finish": "matte"}},
        "garments": [{"garment": "adult-tee", "artwork_width_mm": width} for width in widths],
        "width_of": "page",
    }
    return job_artwork(Job.model_validate(document | more), drawn(*shapes))


def ids(artwork: Artwork) -> list[str]:
    return [piece.id for piece in artwork.pieces]


def colour_at(pieces: Sequence[Piece], x: float, y: float) -> str | None:
    """What a painter who lays the pieces in order leaves at a point."""
    at = [piece.fill for piece in pieces if piece.shape.covers(Point(x, y))]
    return at[-1] if at else None


GOLD_NAVY_GOLD = (box(GOLD, 0, 0, 100, 100), box(NAVY, 20, 20, 60, 60), box(GOLD, 40, 40, 20, 20))


def test_gold_on_navy_on_gold_is_one_gold_under_a_navy_with_a_window() -> None:
    made = cut(*GOLD_NAVY_GOLD)
    assert [(piece.fill, round(piece.shape.area)) for piece in made.pieces] == [
        (GOLD, 10_000),
        (NAVY, 3_200),
    ]
    assert made.notes == (
        "fill-d4a017-2 is one piece with fill-d4a017, seen through a window in fill-1b2a49",
    )


def test_a_way_of_meeting_that_is_wished_keeps_the_upper_gold_a_piece() -> None:
    wished = [{"upper": GOLD, "lower": NAVY, "meets": "lap"}]
    assert len(cut(*GOLD_NAVY_GOLD, joints=wished).pieces) == 3


def test_two_looks_of_one_fill_are_never_joined_with_another_s() -> None:
    looks = {GOLD: {"finish": "matte"}, "#d4a018": {"finish": "gloss"}, NAVY: {"finish": "matte"}}
    shapes = (*GOLD_NAVY_GOLD[:2], box("#d4a018", 40, 40, 20, 20))
    assert len(cut(*shapes, looks=looks).pieces) == 3
    assert len(cut(*shapes).pieces) == 2


@pytest.mark.parametrize(
    ("side", "widths", "pieces"),
    [(1.4, [100], 3), (1.6, [100], 2), (1.6, [100, 80], 3), (2.0, [100, 80], 2)],
)
def test_a_window_is_as_wide_as_a_film_weeds_at_every_size(
    side: float, widths: list[float], pieces: int
) -> None:
    window = box(GOLD, 40, 40, 20, side)
    assert len(cut(*GOLD_NAVY_GOLD[:2], window, widths=widths).pieces) == pieces


def test_a_window_leaves_no_rim_that_is_too_thin_to_hold() -> None:
    assert len(cut(*GOLD_NAVY_GOLD[:2], box(GOLD, 40, 21, 20, 20)).pieces) == 3
    assert len(cut(*GOLD_NAVY_GOLD[:2], box(GOLD, 40, 22, 20, 20)).pieces) == 2
    # At the very edge there is no rim.
    assert len(cut(*GOLD_NAVY_GOLD[:2], box(GOLD, 40, 10, 20, 20)).pieces) == 2


def test_a_window_opens_only_over_the_piece_that_is_to_be_seen_in_it() -> None:
    # The upper gold lies on navy where no gold lies below: it would have to be laid to a line.
    shapes = (box(GOLD, 0, 0, 50, 100), box(NAVY, 20, 20, 60, 60), box(GOLD, 40, 40, 20, 20))
    assert len(cut(*shapes).pieces) == 3


def test_neighbours_that_the_artwork_hardly_tells_apart_are_one_piece() -> None:
    made = cut(box("#1b2a49", 0, 0, 50, 100), box("#1c2b4b", 50, 0, 50, 100))
    assert [(piece.id, round(piece.shape.area)) for piece in made.pieces] == [
        ("fill-1b2a49", 10_000)
    ]
    assert len(cut(box("#1b2a49", 0, 0, 50, 100), box("#2b3a59", 50, 0, 50, 100)).pieces) == 2


@pytest.mark.parametrize("seed", range(30))
def test_whatever_is_joined_or_left_out_the_painter_sees_the_same(seed: int) -> None:
    dice = random.Random(seed)
    shapes = []
    for _ in range(dice.randint(3, 8)):
        x, y, width, height = (dice.randrange(0, 60), dice.randrange(0, 60),
                               dice.randrange(8, 60), dice.randrange(8, 60))  # fmt: skip
        shapes.append(box(dice.choice([GOLD, NAVY, WHITE, "#d5a118"]), x, y, width, height))
    before = read_artwork(drawn(*shapes), width_mm=100).pieces
    after = cut(*shapes).pieces
    assert len(after) <= len(before)
    for _ in range(200):
        x, y = dice.uniform(0, 100), dice.uniform(0, 100)
        was, now = colour_at(before, x, y), colour_at(after, x, y)
        assert (was is None) == (now is None)
        if was is not None and now is not None:
            assert colour_difference(was, now) < 3
    hidden = np.array([piece.visible for piece in after], dtype=object)
    assert not shapely.is_empty(hidden).any()


def test_what_nobody_sees_is_left_out_and_said() -> None:
    made = cut(box(GOLD, 20, 20, 20, 20), box(NAVY, 10, 10, 60, 60))
    assert ids(made) == ["fill-1b2a49"]
    assert [(one.piece, one.seen, one.pressed) for one in made.set_aside] == [
        ("fill-d4a017", False, False)
    ]


def test_a_base_with_a_look_of_its_own_is_pressed_though_nobody_sees_it() -> None:
    looks = {WHITE: {"family": "dye-blocking"}, "default": {"finish": "matte"}}
    shapes = (box(WHITE, 20, 20, 20, 20), box(NAVY, 10, 10, 60, 60))
    made = cut(*shapes, looks=looks)
    assert ids(made) == ["fill-ffffff", "fill-1b2a49"]
    assert [(one.seen, one.pressed) for one in made.set_aside] == [(False, True)]
    # Where its fill shows elsewhere too, the look is meant for that.
    both = cut(*shapes, box(WHITE, 80, 80, 10, 10), looks=looks)
    assert both.set_aside == ()


FACE, EYE = box("#f2c14e", 10, 10, 80, 80), box("#804040", 30, 30, 10, 10)


@pytest.mark.parametrize(
    ("overlay", "pressed"),
    [
        (box("#000000", 20, 20, 40, 40, 'opacity="0.3"'), False),
        (box("#000000", 20, 20, 40, 40, 'opacity="0.7"'), False),
        (box("#000000", 60, 60, 20, 20, 'opacity="0.7"'), True),
        (box("#000000", 60, 60, 20, 20, 'opacity="0.49"'), False),
    ],
    ids=["faint", "over face and eye", "over the face alone", "just faint"],
)
def test_a_face_never_disappears_under_an_overlay(overlay: str, pressed: bool) -> None:
    made = cut(FACE, EYE, overlay)
    assert ids(made) == ["fill-f2c14e", "fill-804040"] + ["fill-000000"] * pressed
    (said,) = made.set_aside
    assert (said.piece, said.pressed) == ("fill-000000", pressed)
    assert colour_at(made.pieces, 35, 35) == "#804040"


def test_flattened_an_overlay_becomes_the_colours_that_the_eye_sees() -> None:
    made = cut(FACE, EYE, box("#000000", 20, 20, 40, 40, 'opacity="0.25"'), flatten=True)
    assert made.set_aside == ()
    # A quarter of black over each, in coded sRGB: 0xf2 · ¾ = 181.5, 0xc1 · ¾ = 144.75 and so on.
    assert colour_at(made.pieces, 25, 25) == "#b6913a"
    assert colour_at(made.pieces, 35, 35) == "#603030"
    assert colour_at(made.pieces, 70, 70) == "#f2c14e"


def test_flattened_a_shadow_on_the_garment_is_left_out_where_it_is_faint() -> None:
    faint = box("#000000", 10, 92, 80, 6, 'opacity="0.2"')
    assert ids(cut(FACE, faint, flatten=True)) == ["fill-f2c14e"]
    strong = box("#000000", 10, 92, 80, 6, 'opacity="0.8"')
    assert ids(cut(FACE, strong, flatten=True)) == ["fill-f2c14e", "fill-000000"]


def test_a_drawing_that_is_faint_all_over_is_pressed_after_a_sample() -> None:
    made = cut(box("#000000", 20, 20, 40, 40, 'opacity="0.3"'))
    assert ids(made) == ["fill-000000"]
    assert [one.pressed for one in made.set_aside] == [True]
