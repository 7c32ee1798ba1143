"""How long real designs take from file to cut pieces, against separating them the plain way."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from shapely.affinity import translate

from advisor.artwork.overlay import artwork_pairs
from advisor.artwork.reader import Artwork, Piece, read_artwork
from advisor.cutting.separation import separate
from advisor.job.records.plan import PlannedJoint
from tests import DRAWINGS
from tests.advisor.cutting.cut_plans import joint, press_ranks, real_designs
from tests.advisor.cutting.separate_plainly import separate_plainly
from tests.bench.ratios import hold_ratio, least_s

DESIGNS = 300


def inset_joints(artwork: Artwork) -> tuple[PlannedJoint, ...]:
    """Every pair inset with the rim over, but where it only overlaps under a third piece."""
    return tuple(
        joint(m.upper, m.lower, "lap" if m.hidden else "inset-over") for m in artwork_pairs(artwork)
    )


def files() -> list[Path]:
    readable = {artwork.name for artwork in real_designs()}
    return [path for path in DRAWINGS if path.stem in readable]


def test_three_hundred_real_designs_are_read_met_and_separated(benchmark: Any) -> None:
    kept = files()
    # Each once says what comes out; again and again says how long three hundred take.
    todo = kept if benchmark.disabled else [kept[at % len(kept)] for at in range(DESIGNS)]

    def all_of_it() -> int:
        pieces = 0
        for path in todo:
            artwork = read_artwork(path, width_mm=200, flatten=True)
            joints = inset_joints(artwork)
            ranks = press_ranks(artwork, {(j.upper, j.lower): j.meets for j in joints})
            if ranks is None:
                raise AssertionError("laps and insets with the rim over always have an order")
            pieces += len(separate(artwork, joints, ranks=ranks).pieces)
        return pieces

    pieces = benchmark.pedantic(all_of_it, rounds=1)
    assert pieces > len(todo)
    if benchmark.stats:
        benchmark.extra_info["seconds_for_300"] = round(benchmark.stats.stats.min, 2)


def side_by_side(artworks: Sequence[Artwork]) -> Artwork:
    """Several designs as one artwork, 250 mm apart."""
    pieces: list[Piece] = []
    for nth, artwork in enumerate(artworks):
        for piece in artwork.pieces:
            pieces.append(
                replace(
                    piece,
                    id=f"{nth}-{piece.id}",
                    shape=translate(piece.shape, 250 * nth),
                    visible=translate(piece.visible, 250 * nth),
                    order=len(pieces),
                )
            )
    return Artwork("side by side", 250 * len(artworks), 200, tuple(pieces))


@pytest.mark.parametrize("together", [1, 20])
def test_separation_against_the_plain_way(benchmark: Any, together: int) -> None:
    # Where nothing is measured, enough to see that both ways still agree.
    designs = real_designs()[: 20 if benchmark.disabled else 40]
    todo = []
    for first in range(0, len(designs), together):
        artwork = side_by_side(designs[first : first + together])
        joints = inset_joints(artwork)
        ranks = press_ranks(artwork, {(j.upper, j.lower): j.meets for j in joints}) or {}
        todo.append((artwork, joints, ranks))
    assert all(ranks for _, _, ranks in todo)

    def separate_all() -> list[int]:
        return [
            len(separate(artwork, joints, ranks=ranks).pieces) for artwork, joints, ranks in todo
        ]

    def plainly() -> list[int]:
        return [
            len(separate_plainly(artwork, joints, ranks, ())) for artwork, joints, ranks in todo
        ]

    assert benchmark.pedantic(separate_all, rounds=1) == plainly()
    hold_ratio(
        benchmark,
        "the plain way ÷ separation",
        lambda: least_s(plainly, 1),
        lambda: least_s(separate_all, 1),
    )
