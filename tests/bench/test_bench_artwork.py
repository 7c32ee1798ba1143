"""How long reading a busy artwork and finding its overlaps takes, against pair-by-pair geometry."""

from __future__ import annotations

import random
from itertools import combinations
from typing import Any

import pytest
import shapely

from advisor.artwork.overlay import overlaps
from advisor.artwork.reader import Artwork, read_artwork
from tests import DRAWINGS
from tests.bench.ratios import hold_ratio, least_s


def busy_artwork() -> str:
    """Draw 400 shapes in 45 colours, half of them curved."""
    chance = random.Random(11)
    shapes = []
    for _ in range(400):
        x, y, size = chance.uniform(0, 270), chance.uniform(0, 270), chance.uniform(4, 24)
        fill = f"#{chance.randrange(45) * 5:02x}4080"
        shapes.append(
            chance.choice(
                (
                    f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{size:.1f}" fill="{fill}"/>',
                    f'<path d="M{x:.1f},{y:.1f}c{size:.1f},9 -9,{size:.1f} {size:.1f},{size:.1f}'
                    f'l9,-{size:.1f}z" fill="{fill}"/>',
                )
            )
        )
    body = "".join(shapes)
    return f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 300 300">{body}</svg>'


def overlaps_pair_by_pair(artwork: Artwork) -> int:
    """The plain way: intersect every pair, and every piece between with the overlap."""
    met = 0
    for one, other in combinations(artwork.pieces, 2):
        if one.shape.distance(other.shape) >= 0.05:
            continue
        common = one.shape.intersection(other.shape)
        beside = other.shape.boundary.intersection(one.shape.buffer(0.05))
        if common.buffer(-0.025).is_empty and beside.length < 1:
            # They meet in a point, or in a sliver there.
            continue
        between = [
            piece.shape
            for piece in artwork.pieces[one.order + 1 : other.order]
            if piece.shape.intersection(common).area > 0
        ]
        common.difference(shapely.union_all(between))
        met += 1
    return met


@pytest.mark.benchmark(group="artwork")
def test_overlaps_of_a_busy_artwork_against_pair_by_pair(benchmark: Any) -> None:
    artwork = read_artwork(busy_artwork(), width_mm=300)
    found = benchmark(overlaps, artwork)
    benchmark.extra_info["pairs"] = len(found)
    assert len(found) == overlaps_pair_by_pair(artwork)
    hold_ratio(
        benchmark,
        "pair by pair ÷ overlaps",
        lambda: least_s(lambda: overlaps_pair_by_pair(artwork), 1),
        lambda: least_s(lambda: overlaps(artwork)),
        above=1,
    )


@pytest.mark.benchmark(group="artwork")
def test_reading_a_busy_artwork(benchmark: Any) -> None:
    source = busy_artwork()
    artwork = benchmark(read_artwork, source, width_mm=300)
    assert len({piece.fill for piece in artwork.pieces}) == 45


@pytest.mark.benchmark(group="artwork")
def test_reading_forty_designs_with_their_overlaps(benchmark: Any) -> None:
    def read_all() -> int:
        artworks = [read_artwork(path, width_mm=200, flatten=True) for path in DRAWINGS]
        return sum(len(overlaps(artwork)) for artwork in artworks)

    assert benchmark(read_all) > 40
