"""Outlines to areas: SVG's two fill rules for paths that cross themselves."""

from __future__ import annotations

from collections.abc import Iterable
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.outline import Points, Subpath

__all__ = ["fill_area", "refuse_scribble"]

# Limits that keep any path within bounded time and memory.
MOST_CROSSINGS = 50_000
MOST_TESTED = 20_000_000


def fill_area(subpaths: Iterable[Subpath], *, evenodd: bool = False) -> BaseGeometry:
    """Return the area that a path fills; open runs are closed as SVG does.

    Parameters
    ----------
    subpaths : iterable of Subpath
    evenodd : bool
        The fill rule: False is ``nonzero`` (SVG 1.1 §11.3).

    Raises
    ------
    ArtworkError
        When the path crosses itself so often that no cutter could follow it.

    Examples
    --------
    A square drawn twice the same way round is a hole for one rule and solid for the other.

    >>> from svgelements import Path
    >>> from advisor.artwork.svg.outline import Affine, flatten
    >>> twice = flatten(Path("M0,0H9V9H0z M3,3H6V6H3z"), onto=Affine(), tolerance=0.05)
    >>> fill_area(twice).area, fill_area(twice, evenodd=True).area
    (81.0, 72.0)
    >>> fill_area([]).is_empty
    True
    """
    rings = [run.points for run in subpaths if len(run.points) >= 3]
    if not rings:
        return shapely.Polygon()
    polygons = [shapely.Polygon(ring) for ring in rings]
    if len(rings) == 1 and polygons[0].is_valid:
        return polygons[0]
    outlines = shapely.multilinestrings([polygon.exterior for polygon in polygons])
    head = np.concatenate(rings)
    tail = np.concatenate([np.roll(ring, -1, axis=0) for ring in rings])
    refuse_scribble(rings)
    faces = np.array(shapely.get_parts(shapely.polygonize([shapely.node(outlines)])), dtype=object)
    if not faces.size:
        return shapely.Polygon()
    turns = _winding(shapely.get_coordinates(shapely.point_on_surface(faces)), head, tail)
    filled = faces[turns % 2 == 1] if evenodd else faces[turns != 0]
    # Faces meet edge to edge, so the quick union of a coverage will do.
    return shapely.coverage_union_all(filled)


def _winding(places: Points, head: Points, tail: Points) -> NDArray[np.int64]:
    """How often the edges head→tail turn round each place (SVG 1.1 §11.3, by a ray to the right).

    Places are taken in bands of similar height, so that each band meets few edges.
    """
    turns = np.zeros(len(places), dtype=np.int64)
    by_height = np.argsort(places[:, 1], kind="stable")
    low, high = np.minimum(head[:, 1], tail[:, 1]), np.maximum(head[:, 1], tail[:, 1])
    for begin in range(0, len(places), 64):
        band = by_height[begin : begin + 64]
        x, y = places[band, 0, None], places[band, 1, None]
        near = (low <= y.max()) & (high >= y.min())
        ax, ay, bx, by = head[near, 0], head[near, 1], tail[near, 0], tail[near, 1]
        side = (bx - ax) * (y - ay) - (x - ax) * (by - ay)
        rising = (ay <= y) & (by > y) & (side > 0)
        falling = (ay > y) & (by <= y) & (side < 0)
        turns[band] = rising.sum(axis=1) - falling.sum(axis=1)
    return turns


def refuse_scribble(runs: Iterable[Points]) -> None:
    """Refuse lines that cross each other more often than anyone can weed.

    Edges whose boxes meet are taken a few at a time and tested, so that the count stops early and
    memory stays small.

    Raises
    ------
    ArtworkError
        Beyond 50,000 crossings.

    Examples
    --------
    >>> refuse_scribble([np.array([[0.0, 0.0], [9.0, 9.0], [9.0, 0.0], [0.0, 9.0]])])
    """
    heads, tails = zip(*((run, np.roll(run, -1, axis=0)) for run in runs), strict=True)
    head, tail = np.concatenate(heads), np.concatenate(tails)
    # Fewer edges than this cannot cross too often.
    if len(head) ** 2 / 2 <= MOST_CROSSINGS:
        return
    edges = cast("NDArray[np.object_]", shapely.linestrings(np.stack([head, tail], axis=1)))
    tree = shapely.STRtree(edges)
    met, tested, begin, batch = 0, 0, 0, 16
    while begin < len(edges):
        one, other = tree.query(edges[begin : begin + batch])
        one += begin
        later = other > one
        one, other = one[later], other[later]
        tested += len(one)
        met += int(np.count_nonzero(_cross(head, tail, one, other)))
        if met > MOST_CROSSINGS or tested > MOST_TESTED:
            raise ArtworkError(
                f"a path crosses or follows itself more than {MOST_CROSSINGS:,} times; "
                "unite the shape in the drawing program and save again"
            )
        begin += batch
        # Aim at half a million pairs a time.
        batch = int(min(4096, max(16, batch * 5e5 / max(len(later), 1))))


def _cross(
    head: Points, tail: Points, one: NDArray[np.intp], other: NDArray[np.intp]
) -> NDArray[np.bool_]:
    """Whether pairs of edges properly cross: each has its ends on both sides of the other."""

    def side(first: NDArray[np.intp], ends: Points) -> Points:
        along, across = tail[first] - head[first], ends - head[first]
        turn: Points = along[:, 0] * across[:, 1] - along[:, 1] * across[:, 0]
        return turn

    apart = side(one, head[other]) * side(one, tail[other]) < 0
    crossed: NDArray[np.bool_] = apart & (side(other, head[one]) * side(other, tail[one]) < 0)
    return crossed
