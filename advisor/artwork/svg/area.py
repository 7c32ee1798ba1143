"""Outlines to areas: what a path fills by SVG's two rules, and what a pen covers along it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import cast

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.outline import FARTHEST_MM, Points, Subpath

__all__ = ["Pen", "fill_area", "stroke_area"]

# Limits that keep any path within bounded time and memory.
MOST_CROSSINGS = 50_000
MOST_TESTED = 20_000_000
LONGEST_LINE = 256


def fill_area(subpaths: Iterable[Subpath], *, evenodd: bool = False) -> BaseGeometry:
    """Return the area that a path fills; open runs are closed as SVG does.

    Args:
        evenodd: the fill rule; False is ``nonzero`` (SVG 1.1 §11.3).

    Raises:
        ArtworkError: the path crosses itself so often that no cutter could follow it.

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
    head, tail = _edges(rings)
    _refuse_scribble(head, tail)
    faces = np.array(shapely.get_parts(shapely.polygonize([shapely.node(outlines)])), dtype=object)
    if not faces.size:
        return shapely.Polygon()
    turns = _winding(shapely.get_coordinates(shapely.point_on_surface(faces)), head, tail)
    filled = faces[turns % 2 == 1] if evenodd else faces[turns != 0]
    # Faces meet edge to edge, so the quick union of a coverage will do.
    return shapely.coverage_union_all(filled)


def _edges(runs: Sequence[Points]) -> tuple[Points, Points]:
    """Where the edges of closed runs begin and end."""
    return np.concatenate(runs), np.concatenate([np.roll(run, -1, axis=0) for run in runs])


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


def _refuse_scribble(head: Points, tail: Points) -> None:
    """Refuse edges that cross each other more often than anyone can weed.

    Edges whose boxes meet are taken a few at a time and tested, so that the count stops early and
    memory stays small.
    """
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


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn, in SVG's words; ``width`` in the units of the path.

    Attributes:
        cap: ``butt``, ``round`` or ``square``.
        join: ``miter``, ``round`` or ``bevel``.
        mitre_limit: greatest ratio of mitre length to width before a mitre becomes a bevel.
    """

    width: float
    cap: str = "butt"
    join: str = "miter"
    mitre_limit: float = 4.0


def stroke_area(subpaths: Iterable[Subpath], pen: Pen, *, tolerance: float) -> BaseGeometry:
    """Return the area that a pen covers along a path (SVG 1.1 §11.4, SVG 2 §13.5).

    Args:
        tolerance: greatest distance between a round join or cap and its chord.

    >>> from svgelements import Path
    >>> from advisor.artwork.svg.outline import Affine, flatten
    >>> bend = flatten(Path("M0,0 H10 V10"), onto=Affine(), tolerance=0.05)
    >>> for join in ("miter", "bevel"):
    ...     print(stroke_area(bend, Pen(width=2, join=join), tolerance=0.05).area)
    40.0
    39.5
    """
    half = pen.width / 2
    runs = list(subpaths)
    if not (half > 0 and runs):
        return shapely.Polygon()
    if half > FARTHEST_MM:
        raise ArtworkError("its stroke is wider than 1 km; check stroke-width")
    _refuse_scribble(*_edges([run.points for run in runs]))
    step = 2 * math.acos(max(-1.0, 1 - min(tolerance, half) / half))
    quad_segs = min(64, max(2, math.ceil(math.pi / 2 / step)))
    bodies: list[BaseGeometry] = []
    for run in runs:
        points = run.points
        if len(points) == 1:
            # A run of no length is a dot or a square (SVG 1.1 §11.4).
            bodies.extend(_cap(points[0], _RIGHT, half, pen.cap, quad_segs))
            bodies.extend(_cap(points[0], -_RIGHT, half, pen.cap, quad_segs))
            continue
        bodies.extend(_round(run, half, quad_segs) if pen.join == "round" else _sharp(run, pen))
        if not run.closed:
            for place, inner in ((points[0], points[1]), (points[-1], points[-2])):
                outward = _unit((place - inner)[None])[0]
                bodies.extend(_cap(place, outward, half, pen.cap, quad_segs))
    return shapely.union_all(bodies)


_RIGHT = np.array([1.0, 0.0])


def _round(run: Subpath, half: float, quad_segs: int) -> list[BaseGeometry]:
    """A line with round joins."""
    bodies: list[BaseGeometry] = [
        shapely.LineString(part).buffer(half, quad_segs=quad_segs, cap_style="flat")
        for part in _short_lines(_all_points(run))
    ]
    if run.closed:
        # A flat closed line is no ring to the library: where it turns back, rounds are set in.
        along = np.roll(run.points, -1, axis=0) - run.points
        turning = run.points[(along * np.roll(along, 1, axis=0)).sum(axis=1) < 0]
        bodies.extend(shapely.Point(place).buffer(half, quad_segs=quad_segs) for place in turning)
    return bodies


def _sharp(run: Subpath, pen: Pen) -> list[BaseGeometry]:
    """A line with mitred and bevelled joins.

    The geometry library cuts a mitre over the limit short, where SVG asks for a bevel: so the run
    is parted at every corner that needs one, and the bevel's triangle is set in.
    """
    points, half = run.points, pen.width / 2
    along = _unit(np.diff(_all_points(run), axis=0))
    if run.closed:
        before, after, inner = np.roll(along, 1, axis=0), along, np.arange(len(points))
    else:
        before, after, inner = along[:-1], along[1:], np.arange(1, len(points) - 1)
    # cos(turn / 2) = sin(angle between the legs / 2) = 1 / mitre ratio.
    cosine = np.clip((before * after).sum(axis=1), -1.0, 1.0)
    most_ratio = 1.0 if pen.join == "bevel" else pen.mitre_limit
    over_limit = np.sqrt((1 + cosine) / 2) * most_ratio < 1 - 1e-9
    bevelled = np.flatnonzero(over_limit & run.corner[inner])
    bodies = [_bevel(points[inner[k]], before[k], after[k], half) for k in bevelled]
    for part in _parts(run, inner[bevelled]):
        bodies.extend(
            shapely.LineString(short).buffer(
                half, cap_style="flat", join_style="mitre", mitre_limit=max(1.0, pen.mitre_limit)
            )
            for short in _short_lines(part)
        )
    return bodies


def _all_points(run: Subpath) -> Points:
    """The points of a run, the first again at the end of a closed one."""
    return np.vstack([run.points, run.points[:1]]) if run.closed else run.points


def _short_lines(points: Points) -> list[Points]:
    """Cut a long line into parts that overlap by one leg.

    The outline of one long line is worked out in a time that grows with all crossings of its two
    edges, that of short parts and their union is not. A closed line loses the join at its start
    when it is cut, so its first leg is drawn again.
    """
    if len(points) <= LONGEST_LINE:
        return [points]
    if (points[0] == points[-1]).all():
        points = np.vstack([points, points[1:2]])
    return [
        points[begin : begin + LONGEST_LINE]
        for begin in range(0, len(points) - 2, LONGEST_LINE - 2)
    ]


def _parts(run: Subpath, parting: NDArray[np.intp]) -> list[Points]:
    """Cut a run at the given vertices; a closed run is turned to begin at the first of them."""
    points = run.points
    if run.closed:
        if not parting.size:
            return [_all_points(run)]
        points = np.roll(points, -parting[0], axis=0)
        # The library would join a line that ends where it begins: so it is also cut half way
        # along its first leg, where a cut does not show.
        middle = (points[:1] + points[1:2]) / 2
        points = np.vstack([points[:1], middle, points[1:], points[:1]])
        parting = np.array([1, *(parting[1:] - parting[0] + 1)])
    edges = [0, *parting.tolist(), len(points) - 1]
    return [points[begin : end + 1] for begin, end in pairwise(edges) if end > begin]


def _unit(vectors: Points) -> Points:
    length = np.hypot(vectors[:, 0], vectors[:, 1])[:, None]
    unit: Points = vectors / np.where(length > 0, length, 1.0)
    return unit


def _bevel(place: Points, before: Points, after: Points, half: float) -> BaseGeometry:
    """The triangle between the outer edges of two legs."""
    side = -1.0 if before[0] * after[1] - before[1] * after[0] > 0 else 1.0
    outer = [
        place + half * side * np.array([-direction[1], direction[0]])
        for direction in (before, after)
    ]
    return shapely.Polygon([place, *outer])


def _cap(
    place: Points, outward: Points, half: float, cap: str, quad_segs: int
) -> list[BaseGeometry]:
    """What a cap adds beyond the end of a line."""
    if cap == "round":
        return [shapely.Point(place).buffer(half, quad_segs=quad_segs)]
    if cap == "square":
        across = np.array([-outward[1], outward[0]]) * half
        ahead = outward * half
        return [
            shapely.Polygon(
                [place + across, place + across + ahead, place - across + ahead, place - across]
            )
        ]
    return []
