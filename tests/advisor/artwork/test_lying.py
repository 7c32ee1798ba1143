"""Places and meetings say the same of every artwork, also where others cut a piece into slivers."""

from __future__ import annotations

import random
from itertools import combinations

import pytest
import shapely
from shapely import MultiPolygon, Polygon
from shapely.affinity import translate

from advisor import plan
from advisor.artwork.lying import lying
from advisor.artwork.overlay import artwork_pairs, artwork_places, close_pairs
from advisor.artwork.reader import read_artwork
from advisor.artwork.records import Artwork, Piece
from advisor.job.records.job import Job

NAVY, GOLD, WHITE, RED = "#1b2a49", "#d4a017", "#fbfbf8", "#c8102e"


def drawn(*boxes: tuple[str, float, float, float, float]) -> bytes:
    rects = "".join(
        f'<rect x="{x}" y="{y}" width="{w}" height="{h}" fill="{fill}"/>'
        for fill, x, y, w, h in boxes
    )
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
    return f'{head}viewBox="0 0 100 100">{rects}</svg>'.encode()


# A bar of 0.08 mm over the seam of two others: each half of it is finer than hands lay.
SEAM = ((NAVY, 0, 0, 50, 100), (GOLD, 50, 0, 50, 100), (WHITE, 49.96, 10, 0.08, 80))
# A lap of 0.08 mm that a seam beneath it cuts in two.
CUT_LAP = (
    (NAVY, 0, 0, 50, 100),
    (GOLD, 50, 0, 50, 100),
    (WHITE, 20, 20, 30.04, 60),
    (RED, 49.96, 20, 30, 60),
)


def refuse_what_does_not_fit(artwork: Artwork) -> None:
    """Every piece lies somewhere, and two lie over one another just where a meeting says so."""
    found = lying(artwork, widths_mm=[artwork.width_mm], margin_mm=3, misses_mm=0.5)
    somewhere = {piece for place in found.places for piece in place.stack}
    assert somewhere == {piece.id for piece in artwork.pieces}
    over = {(up, low) for place in found.places for low, up in combinations(place.stack, 2)}
    met = {meeting.pair: meeting for meeting in found.meetings}
    assert over <= set(met)
    assert {pair for pair in set(met) - over if not met[pair].touching} == set()
    assert all(place.area_mm2 > 0 for place in found.places)


@pytest.mark.parametrize("boxes", [SEAM, CUT_LAP])
def test_what_a_seam_cuts_into_slivers_lies_somewhere(
    boxes: tuple[tuple[str, float, float, float, float], ...],
) -> None:
    svg = drawn(*boxes)
    artwork = read_artwork(svg, width_mm=100)
    assert len(artwork.pieces) == len(boxes)
    refuse_what_does_not_fit(artwork)
    job = Job.model_validate(
        {
            "job": "seam",
            "artwork": "seam.svg",
            "looks": {"default": {"finish": "matte"}},
            "garments": [{"garment": "adult-tee", "artwork_width_mm": 100}],
        }
    )
    made = plan(job, svg=svg)
    assert made.status == "planned"
    # No film holds a bar of 0.08 mm, and no one sees it: it is told, and may be left out.
    hair = boxes is SEAM
    assert hair == any("no one would see it" in str(finding.message) for finding in made.findings)
    whole = job.model_copy(update={"leave_out": (WHITE,)})
    assert plan(whole, svg=svg).status == "planned"


def test_a_lap_that_a_seam_cuts_in_two_is_a_place() -> None:
    artwork = read_artwork(drawn(*CUT_LAP), width_mm=100)
    stacks = [place.stack for place in artwork_places(artwork)]
    assert any({"fill-fbfbf8", "fill-c8102e"} <= set(stack) for stack in stacks)


@pytest.mark.parametrize("seed", range(20))
def test_places_and_meetings_fit_on_drawings_full_of_slivers(seed: int) -> None:
    dice = random.Random(seed)
    colours = [NAVY, GOLD, WHITE, RED, "#1f4fa3", "#f26d5b"]
    boxes = []
    for colour in colours:
        wide = dice.choice([0.07, 0.09, 0.5, 20, 40])
        tall = dice.choice([0.08, 5, 30, 60])
        # Near the same few lines, so that outlines run just beside one another.
        x = dice.choice([10, 30, 50]) + dice.choice([0, 0.02, 0.03, -0.04])
        y = dice.choice([10, 20, 40]) + dice.choice([0, 0.02, -0.03])
        boxes.append((colour, x, y, wide, tall))
    refuse_what_does_not_fit(read_artwork(drawn(*boxes), width_mm=100))


def test_lying_is_what_is_said_of_pairs_places_and_carriers_one_by_one() -> None:
    artwork = read_artwork(drawn(*CUT_LAP, (WHITE, 90, 90, 5, 5)), width_mm=200)
    found = lying(artwork, widths_mm=[200, 50], margin_mm=3, misses_mm=0.5)
    assert found.meetings == artwork_pairs(artwork)
    assert found.places == artwork_places(artwork)
    smallest = close_pairs(artwork.scaled(width_mm=50), margin_mm=3)
    assert {frozenset(pair) for pair in found.close} == smallest
    assert shapely.area(artwork.pieces[0].shape) > 0


def test_a_shape_stays_sound_where_moving_it_crosses_its_points() -> None:
    dice = random.Random(1)
    crossed = 0
    for _ in range(400):
        # A spike whose two sides all but coincide, far from where it is moved to.
        x, y, far = dice.uniform(1, 9), dice.uniform(1, 9), dice.uniform(300, 900)
        tip = (x + 5e-14 * dice.randrange(9), y + 3)
        spike = MultiPolygon([Polygon([(0, 0), (x, y), tip, (x + 2e-14, y + 1e-14), (20, 0)])])
        if not spike.is_valid:
            continue
        crossed += not translate(spike, far, far).is_valid
        piece = Piece("spike", NAVY, 1.0, spike, spike, 0)
        start = MultiPolygon([shapely.box(-far, -far, 1 - far, 1 - far)])
        corner = Piece("corner", GOLD, 1.0, start, start, 1)
        moved = Artwork("spike", 1000, 1000, (piece, corner)).trimmed()
        assert all(one.shape.is_valid and one.visible.is_valid for one in moved.pieces)
        assert moved.pieces[0].shape.area == pytest.approx(spike.area, rel=1e-6)
    assert crossed


CREST = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="120mm"
viewBox="0 0 100 120">
<path d="M5 5 H95 V60 C95 90 70 108 50 116 C30 108 5 90 5 60Z" fill="#0b2545"/>
<path d="M10 10 H90 V60 C90 86 68 103 50 110 C32 103 10 86 10 60Z" fill="#d4a017"/>
<path d="M14 14 H86 V60 C86 83 66 99 50 106 C34 99 14 83 14 60Z" fill="#0b2545"/>
<path d="M50 22 L57 42 H78 L61 55 L67 75 L50 63 L33 75 L39 55 L22 42 H43Z" fill="#ffffff"/>
BARS</svg>"""
BARS = """<rect x="30" y="82" width="40" height="1" fill="#d4a017"/>
<rect x="30" y="86" width="40" height="0.4" fill="#d4a017"/>"""


def test_a_crest_as_small_as_a_coin_lies_somewhere_and_its_lost_lines_are_told() -> None:
    job = Job.model_validate(
        {
            "job": "crest",
            "artwork": "crest.svg",
            "looks": {
                "#d4a017": {"finish": "sparkle", "colour": "gold"},
                "default": {"finish": "matte"},
            },
            "garments": [{"garment": "polo", "colour": "navy", "artwork_width_mm": 20}],
        }
    )
    made = plan(job, svg=CREST.replace("BARS", BARS).encode())
    # Two lines of 0.22 and 0.09 mm, where the finest sparkle weeds from 1.3 mm.
    assert made.verdict == "stop"
    assert [clash.rule for clash in made.conflict] == ["least-stroke"]
    assert "wide in the mean" in made.conflict[0].message
    assert [change.kind for changes in made.repairs for change in changes] == ["size", "drop"]
