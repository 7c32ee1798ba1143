"""Separation the plain way: every joint against every other piece, nothing indexed or narrowed."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.reader import Artwork
from advisor.job.records.plan import PlannedJoint
from advisor.job.records.print import Pair


def without_hairlines(shape: BaseGeometry) -> BaseGeometry:
    """Leave out parts in which no disc 0.05 mm wide finds room."""
    parts = [part for part in shapely.get_parts(shape) if not part.buffer(-0.025).is_empty]
    return shapely.MultiPolygon(parts)


def separate_plainly(
    artwork: Artwork,
    joints: Sequence[PlannedJoint],
    ranks: Mapping[str, int],
    hidden: Collection[Pair],
) -> dict[str, BaseGeometry]:
    shapes = {piece.id: piece.shape for piece in artwork.pieces}
    visible = {piece.id: piece.visible for piece in artwork.pieces}
    met = {frozenset((j.upper, j.lower)) for j in joints}
    knocking = [j for j in joints if j.meets != "lap" and (j.upper, j.lower) not in hidden]
    kept = {}
    for name, shape in shapes.items():
        kept[name] = shape
        for j in knocking:
            if j.lower == name:
                kept[name] = shapely.difference(kept[name], shapes[j.upper])
        kept[name] = without_hairlines(kept[name])
    drawn_back = dict(kept)
    for j in knocking:
        if j.meets == "butt":
            for one, other in ((j.upper, j.lower), (j.lower, j.upper)):
                strip = shapely.buffer(kept[other], j.gap_mm / 2)
                drawn_back[one] = without_hairlines(shapely.difference(drawn_back[one], strip))
    cut = dict(drawn_back)
    for j in knocking:
        if j.meets == "butt":
            continue
        over_it = j.meets == "inset-over"
        under, over = (j.lower, j.upper) if over_it else (j.upper, j.lower)
        room = shapes[over] if over_it else drawn_back[over]
        rim = shapely.intersection(shapely.buffer(drawn_back[under], j.trap_mm), room)
        # Pieces that meet along less than a millimetre meet in a point, and a point needs no trap.
        beside = shapely.buffer(drawn_back[under], 0.002)
        if shapely.intersection(shapely.boundary(room), beside).length < 1:
            continue
        for other in shapes:
            if other in {under, over}:
                continue
            if ranks[other] <= ranks[under]:
                rim = shapely.difference(rim, visible[other])
            if ranks[other] < ranks[over] and frozenset((other, under)) not in met:
                rim = shapely.difference(rim, drawn_back[other])
        cut[under] = shapely.union(cut[under], rim)
    return cut
