"""How long measuring the fineness of a whole design takes, against rays and against openings."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.fineness import fineness
from tests.advisor.artwork.fineness_by_rays import narrowest_by_rays
from tests.bench.ratios import hold_ratio, least_s

UP_TO_MM = 6.0


def wavy(points: int, radius_mm: float, lobes: int, share: float) -> shapely.Polygon:
    turn = np.linspace(0, 2 * np.pi, points, endpoint=False)
    radius = radius_mm * (1 + share * np.sin(lobes * turn))
    return shapely.Polygon(np.stack([radius * np.cos(turn), radius * np.sin(turn)], axis=1))


def lettering(letters: int, pen_mm: float, size_mm: float) -> BaseGeometry:
    """Rows of pen-drawn letters with round ends."""
    forms = [
        [(0, 0), (0, 1), (0.6, 0.5), (0.6, 0)],
        [(0, 1), (0.3, 0), (0.6, 1)],
        [(0.6, 0.9), (0.1, 0.9), (0.1, 0.5), (0.5, 0.5), (0.5, 0.05), (0, 0.05)],
    ]
    drawn = []
    for k in range(letters):
        corner = np.array([k % 14, -1.4 * (k // 14)])
        line = shapely.LineString((np.array(forms[k % 3]) + corner) * size_mm)
        drawn.append(line.buffer(pen_mm / 2, quad_segs=8))
    return shapely.union_all(drawn)


def design() -> list[BaseGeometry]:
    """Eight pieces of 300 to 2,000 vertices: badges, a rim, lettering, dots, petals, a fringe."""
    dots = [shapely.Point(x, y).buffer(1.2, 12) for x in range(0, 30, 4) for y in range(0, 16, 4)]
    return [
        wavy(2000, 60, 24, 0.04),
        wavy(1200, 50, 9, 0.15) - wavy(800, 40, 9, 0.15),
        lettering(28, 1.6, 10),
        lettering(14, 2.4, 16),
        lettering(40, 0.9, 6),
        shapely.union_all(dots),
        wavy(300, 8, 5, 0.4),
        wavy(1500, 30, 60, 0.1),
    ]


def by_openings(shape: BaseGeometry) -> float:
    """The first thing to try: halve the range until an opening leaves no more residue.

    It takes corners for strokes, so it answers a lesser question, and still takes longer.
    """
    shape = shapely.simplify(shape, 0.025)
    low, high = 0.0, UP_TO_MM
    while high - low > 0.05:
        middle = (low + high) / 2
        opened = shape.buffer(-middle / 2, quad_segs=4).buffer(1.02 * middle / 2, quad_segs=4)
        if shapely.difference(shape, opened).area > 0.2 * middle**2:
            high = middle
        else:
            low = middle
    return high


def test_a_whole_design(benchmark: Any) -> None:
    pieces = design()
    found = benchmark.pedantic(
        lambda: [fineness(piece, up_to_mm=UP_TO_MM) for piece in pieces],
        rounds=10,
        warmup_rounds=1,
    )
    benchmark.extra_info["vertices"] = int(sum(map(shapely.get_num_coordinates, pieces)))
    # pens of 1.6, 2.4 and 0.9 mm and dots 2.4 mm wide
    strokes = [found[k].least_stroke_mm for k in (2, 3, 4, 5)]
    assert strokes == pytest.approx([1.6, 2.4, 0.9, 2.4], rel=0.05)
    hold_ratio(
        benchmark,
        "openings ÷ fineness",
        lambda: least_s(lambda: [by_openings(piece) for piece in pieces], 1),
        lambda: least_s(lambda: [fineness(piece) for piece in pieces]),
        above=1,
    )


def test_one_piece_of_lettering_against_rays(benchmark: Any) -> None:
    piece = lettering(6, 1.6, 10)
    found = benchmark.pedantic(lambda: fineness(piece), rounds=10, warmup_rounds=1)
    stroke_mm, _ = narrowest_by_rays(piece, step_mm=0.4)
    assert found.least_stroke_mm == pytest.approx(stroke_mm, rel=0.05)
    hold_ratio(
        benchmark,
        "rays ÷ fineness",
        lambda: least_s(lambda: narrowest_by_rays(piece, step_mm=0.4), 1),
        lambda: least_s(lambda: fineness(piece)),
        above=1,
    )
