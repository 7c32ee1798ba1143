"""What hands miss: hairline gaps that are drawn shut, and rims too thin to stay on every side."""

from __future__ import annotations

import math
import random

import numpy as np
import pytest
import shapely
from shapely import MultiPolygon
from shapely.geometry import Point

from advisor.answers.plan import plan
from advisor.artwork.closing import closed
from advisor.artwork.overlay import artwork_pairs
from advisor.artwork.piecing import visible_parts
from advisor.artwork.reader import read_artwork
from advisor.artwork.records import Piece
from advisor.artwork.rims import thin_rims
from advisor.job.records.job import Job
from rules.knowledge import Knowledge, load_knowledge

NAVY, GOLD, WHITE, RED = "#1b2a49", "#d4a017", "#fbfbf8", "#c8102e"


@pytest.fixture(scope="module")
def knowledge() -> Knowledge:
    return load_knowledge()


def drawn(*shapes: str) -> bytes:
    head = '<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm" '
    return f'{head} viewBox="0 0 200 200">{"".join(shapes)}</svg>'.encode()


def box(fill: str, x: float, y: float, width: float, height: float) -> str:
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}"/>'


def disc(fill: str, r: float, x: float = 100, y: float = 100) -> str:
    return f'<circle cx="{x}" cy="{y}" r="{r}" fill="{fill}"/>'


def job(*widths: float, **more: object) -> Job:
    lines = [{"garment": "adult-tee", "quantity": 9, "artwork_width_mm": mm} for mm in widths]
    looks = {"default": {"finish": "matte"}}
    document = {"job": "hands", "artwork": "d.svg", "width_of": "page", "looks": looks}
    return Job.model_validate(document | {"garments": lines} | more)


def laid(*shapes: MultiPolygon) -> list[Piece]:
    shows = visible_parts(shapes, [True] * len(shapes))
    colours = [f"#{40 * n:02x}{90 + 30 * n:02x}55" for n in range(len(shapes))]
    return [Piece(f"p{n}", colours[n], 1.0, shape, shows[n], n) for n, shape in enumerate(shapes)]


def rect(x: float, y: float, width: float, height: float) -> MultiPolygon:
    return MultiPolygon([shapely.box(x, y, x + width, y + height)])


@pytest.mark.parametrize(
    ("apart", "shut"), [(0.02, False), (0.1, True), (0.2, True), (0.29, True), (0.31, False)]
)
def test_two_pieces_a_hairline_apart_meet(apart: float, shut: bool) -> None:
    left, right = laid(rect(0, 0, 50, 100), rect(50 + apart, 0, 50, 100))
    made, said = closed([left, right])
    beyond = shapely.distance(made[0].shape, made[1].shape)
    # Edges nearer than 0.05 mm meet as they are drawn.
    assert (len(said) == 1) == shut
    assert beyond == pytest.approx(0 if shut else apart, abs=0.001)
    # The piece in front stays as it is drawn.
    assert made[1].shape.equals(right.shape)


def test_a_hairline_of_the_piece_below_is_shut_and_one_in_front_is_left() -> None:
    below, one, other = rect(0, 0, 120, 120), rect(10, 10, 40, 80), rect(50.2, 10, 40, 80)
    made, said = closed(laid(below, one, other))
    assert said
    assert made[1].shape.area == pytest.approx(40.2 * 80, abs=3)
    assert made[0].shape.equals(below)
    # A stripe that is drawn over two others is no gap between them.
    line = rect(49.9, 0, 0.2, 120)
    assert closed(laid(below, rect(10, 10, 40, 80), rect(50, 10, 40, 80), line))[1] == ()


def test_what_only_runs_together_is_left_as_drawn() -> None:
    wedge = MultiPolygon([shapely.Polygon([(0, 0), (50, 0), (50, -40), (0, -40)])])
    slope = MultiPolygon([shapely.Polygon([(0, 0), (50, 4), (50, 40), (0, 40)])])
    assert closed(laid(wedge, slope)) == (tuple(laid(wedge, slope)), ())
    # A slot in one piece is cut in one film: no hand moves its edges.
    slotted = rect(0, 0, 50, 50).difference(shapely.box(10, 20, 40, 20.2))
    assert closed(laid(MultiPolygon([slotted]), rect(60, 0, 9, 9)))[1] == ()


@pytest.mark.parametrize("seed", range(25))
def test_shutting_gaps_changes_nothing_but_hairlines(seed: int) -> None:
    dice = random.Random(seed)
    shapes = [
        rect(dice.randrange(40) + 0.1 * dice.randrange(5), dice.randrange(40),
             dice.randrange(6, 30) + 0.1 * dice.randrange(5), dice.randrange(6, 30))
        for _ in range(dice.randint(2, 6))
    ]  # fmt: skip
    before = laid(*shapes)
    made, said = closed(before)
    after = laid(*(piece.shape for piece in made))
    changed = shapely.union_all(
        [
            one.visible.symmetric_difference(two.visible)
            for one, two in zip(before, after, strict=True)
        ]
    )
    # Nothing wider than a hairline changes hands, and what was there stays.
    assert changed.buffer(-0.16).is_empty
    assert (changed.area > 0) == bool(said)
    for one, two in zip(before, made, strict=True):
        assert one.shape.difference(two.shape).area < 1e-9
        assert two.shape.difference(one.shape.buffer(0.33, join_style="mitre")).area < 1e-6


def rim_by_rays(lower: float, upper: float, dx: float) -> list[float]:
    """How wide a disc shows round another that lies off by dx, seen from the upper one's middle."""
    widths = []
    for angle in np.linspace(0, 2 * math.pi, 720, endpoint=False):
        # From the upper centre (dx, 0) along the ray to the lower circle round the origin.
        along = dx * math.cos(angle)
        reach = -along + math.sqrt(along**2 - dx**2 + lower**2)
        widths.append(reach - upper)
    return widths


@pytest.mark.parametrize(
    ("lower", "upper", "dx"),
    [(60, 59.85, 0), (60, 59.6, 0), (60, 59.45, 0), (60, 58, 1.8), (60, 59.6, 0.35), (3, 2.8, 0),
     (60, 50, 0), (60, 55, 4.9)],
)  # fmt: skip
def test_a_rim_is_as_thin_as_rays_see_it(lower: float, upper: float, dx: float) -> None:
    art = read_artwork(drawn(disc(NAVY, lower), disc(GOLD, upper, 100 + dx)), width_mm=200)
    found = thin_rims(art, artwork_pairs(art), below_mm=0.5)
    widths = rim_by_rays(lower, upper, dx)
    thin = [mm for mm in widths if mm < 0.5]
    if len(thin) > len(widths) / 2:
        assert found[("fill-d4a017", "fill-1b2a49")] == pytest.approx(np.mean(thin), abs=0.05)
    else:
        assert not found


def test_a_rim_is_measured_at_every_size(knowledge: Knowledge) -> None:
    art = drawn(disc(NAVY, 60), disc(GOLD, 59.4))
    assert plan(job(200), svg=art, knowledge=knowledge).verdict == "go"
    made = plan(job(200, 100), svg=art, knowledge=knowledge)
    assert [round(mm, 2) for mm in made.print.meetings[0].rims_mm] == [0.6, 0.3]
    assert [finding.rule for finding in made.findings if finding.severity == "sample"] == [
        "thin-rim"
    ]


@pytest.mark.parametrize(
    ("shapes", "verdict"),
    [
        ((disc(NAVY, 60), disc(GOLD, 59.85)), "sample"),
        ((disc(NAVY, 60), disc(GOLD, 59)), "go"),
        # An outline of 0.8 mm laid over the edge of the disc: half of it laps, hands miss less.
        ((disc(GOLD, 60), f'<circle cx="100" cy="100" r="60" fill="none" stroke="{NAVY}" '
          'stroke-width="1.2"/>'), "go"),
        ((disc(WHITE, 70), disc(NAVY, 60), disc(GOLD, 59.8)), "sample"),
        # Two reds that nobody tells apart have no rim.
        ((disc("#c8102e", 60), disc("#c8112e", 59.8)), "go"),
    ],
)  # fmt: skip
def test_a_rim_thinner_than_hands_miss_asks_for_a_sample(
    knowledge: Knowledge, shapes: tuple[str, ...], verdict: str
) -> None:
    made = plan(job(200), svg=drawn(*shapes), knowledge=knowledge)
    assert made.verdict == verdict
    found = [finding for finding in made.findings if finding.rule == "thin-rim"]
    assert len(found) == (verdict == "sample")


def test_a_gap_that_is_shut_is_trapped_and_said(knowledge: Knowledge) -> None:
    svg = drawn(box(NAVY, 0, 0, 50, 100), box(RED, 50.2, 0, 50, 100))
    made = plan(job(200), svg=svg, knowledge=knowledge)
    assert [(joint.meets, joint.trap_mm) for joint in made.joints] in (
        [("inset-under", 1.0)],
        [("inset-over", 1.0)],
    )
    assert any("are drawn to meet" in str(note) for note in made.notes)
    # A shop that lays to a tenth is believed: the rim is judged by its own figure.
    rim = drawn(disc(NAVY, 60), disc(GOLD, 59.8))
    assert plan(job(200, registration_mm=0.1), svg=rim, knowledge=knowledge).verdict == "go"


def test_the_oracle_sees_a_point_in_the_shut_gap() -> None:
    made, _ = closed(laid(rect(0, 0, 50, 100), rect(50.2, 0, 50, 100)))
    assert made[0].shape.covers(Point(50.1, 50))
    assert not made[0].shape.covers(Point(50.1, 101))


@pytest.mark.parametrize(
    ("gap_mm", "registration_mm", "told"),
    [
        (0.2, 0.5, False),  # It is drawn to meet, which is said elsewhere.
        (0.31, 0.5, True),
        (0.49, 0.5, True),
        (0.55, 0.5, False),
        (0.49, 0.4, False),
        (0.9, 1.0, True),
    ],
)
def test_films_drawn_apart_by_less_than_hands_hold_are_told(
    knowledge: Knowledge, gap_mm: float, registration_mm: float, told: bool
) -> None:
    svg = drawn(box(NAVY, 0, 0, 50, 100), box(RED, 50 + gap_mm, 0, 150 - gap_mm, 100))
    made = plan(job(200, registration_mm=registration_mm), svg=svg, knowledge=knowledge)
    notes = [str(note) for note in made.notes if "as far as hands miss" in str(note)]
    assert len(notes) == told
    if told:
        assert f"draw them {2 * registration_mm:g} mm apart" in notes[0]


def test_a_gap_within_one_film_is_no_matter_of_registration(knowledge: Knowledge) -> None:
    svg = drawn(box(NAVY, 0, 0, 50, 100), box(NAVY, 50.4, 0, 149.6, 100))
    made = plan(job(200), svg=svg, knowledge=knowledge)
    assert not any("as far as hands miss" in str(note) for note in made.notes)


def test_a_lone_piece_is_not_searched_for_gaps_to_others(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError

    monkeypatch.setattr("advisor.artwork.closing._gaps", refuse)
    (lone,) = read_artwork(drawn(box(NAVY, 0, 0, 50, 100))).pieces
    assert closed([lone]) == ((lone,), ())
