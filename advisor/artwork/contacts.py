"""Contacts: points in which parts of one film meet, and so hang together by nothing.

Weeded, the parts come apart there or tear, and each stays or comes off by itself; a gap that runs
out into such a point opens from nothing, and its waste lifts with the waste beside it. Common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

from advisor.artwork.records import Piece
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = ["POINT_MM", "contacts_of", "meetings_told"]

POINT_MM = 0.01
"""Outlines nearer to each other than this, mm, meet: no blade parts them."""

_LONGEST_MM = 2.0
"""Outlines that meet along more than this, mm, have a slit between them, not a point."""

_BESIDE_MM = 1.0
_MOST_PLACES = 3


def contacts_of(areas: NDArray[np.object_]) -> NDArray[np.float64]:
    """The points in which outlines of valid polygons meet, one row each, in order of x.

    >>> contacts_of(np.array([shapely.box(0, 0, 4, 4), shapely.box(4, 4, 9, 9)])).tolist()
    [[4.002, 4.002]]
    >>> contacts_of(np.array([shapely.box(0, 0, 4, 4)])).shape
    (0, 2)
    """
    rings = shapely.get_rings(areas)
    one, other = STRtree(rings).query(rings, predicate="dwithin", distance=POINT_MM)
    once = one < other
    one, other = one[once], other[once]
    if not one.size:
        return np.empty((0, 2))
    near = shapely.buffer(rings[one], POINT_MM, quad_segs=2)
    runs = shapely.get_parts(shapely.line_merge(shapely.intersection(near, rings[other])))
    short = shapely.length(runs) <= _LONGEST_MM
    middles = shapely.get_coordinates(shapely.centroid(runs[short]))
    return np.unique(np.round(middles, 3), axis=0)


def meetings_told(pieces: Sequence[Piece]) -> tuple[str, ...]:
    """What is said of each piece whose parts meet in points with bare garment beside them.

    Where other films fill the corners, the print holds together there.

    Args:
        pieces: one film each.

    >>> corners = shapely.MultiPolygon([shapely.box(0, 0, 4, 4), shapely.box(4, 4, 9, 9)])
    >>> print(*meetings_told([Piece("navy", "#1b2a49", 1.0, corners, corners, 0)]))
    parts of navy meet in a single point, at (4 mm, 4 mm): they part there when it is weeded; draw \
them apart, or overlapping
    """
    said = []
    every = shapely.union_all([piece.shape for piece in pieces])
    for piece in pieces:
        points = contacts_of(np.array(piece.shape.geoms, dtype=object))
        rounds = shapely.buffer(shapely.points(points), _BESIDE_MM)
        bare = shapely.area(shapely.difference(rounds, every)) > 0.001 * shapely.area(rounds)
        points = points[bare]
        if not len(points):
            continue
        places = ", ".join(
            f"({show_mm(round(x, 1)):g}, {show_mm(round(y, 1)):g})"
            for x, y in points[:_MOST_PLACES].tolist()
        )
        more = f" and {len(points) - _MOST_PLACES} more" if len(points) > _MOST_PLACES else ""
        how = "a single point" if len(points) == 1 else f"{len(points)} points"
        said.append(
            Text(
                f"parts of {piece.id} meet in {how}, at {places}{more}: they part there when it is "
                "weeded; draw them apart, or overlapping"
            )
        )
    return tuple(said)
