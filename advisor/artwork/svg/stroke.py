"""Strokes as areas: the outline that a cutter follows, with SVG's joins, caps and mitre limit."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.fill import refuse_scribble
from advisor.artwork.svg.outline import FARTHEST_MM, Points, Subpath

__all__ = ["Pen", "stroke_area"]

LONGEST_LINE = 256


@dataclass(frozen=True, slots=True)
class Pen:
    """How a line is drawn, in SVG's words; ``width`` in the units of the path.

    Attributes
    ----------
    cap : str
        ``butt``, ``round`` or ``square``.
    join : str
        ``miter``, ``round`` or ``bevel``.
    mitre_limit : float
        Greatest ratio of mitre length to stroke width before a mitre becomes a bevel.
    """

    width: float
    cap: str = "butt"
    join: str = "miter"
    mitre_limit: float = 4.0


def stroke_area(subpaths: Iterable[Subpath], pen: Pen, *, tolerance: float) -> BaseGeometry:
    """Return the area that a pen covers along a path (SVG 1.1 §11.4, SVG 2 §13.5).

    Parameters
    ----------
    subpaths : iterable of Subpath
    pen : Pen
    tolerance : float
        Greatest distance between a round join or cap and its chord.

    Examples
    --------
    >>> from svgelements import Path
    >>> from advisor.artwork.svg.outline import Affine, flatten
    >>> bend = flatten(Path("M0,0 H10 V10"), onto=Affine(), tolerance=0.05)
    >>> for join in ("miter", "bevel"):
    ...     print(stroke_area(bend, Pen(width=2, join=join), tolerance=0.05).area)
    40.0
    39.5
    """
    half = pen.width / 2
    if not half > 0:
        return shapely.Polygon()
    if half > FARTHEST_MM:
        raise ArtworkError("its stroke is wider than 1 km; check stroke-width")
    step = 2 * math.acos(max(-1.0, 1 - min(tolerance, half) / half))
    quad_segs = min(64, max(2, math.ceil(math.pi / 2 / step)))
    bodies: list[BaseGeometry] = []
    runs = list(subpaths)
    if runs:
        refuse_scribble([run.points for run in runs])
    for run in runs:
        if len(run.points) == 1:
            bodies.append(_dot(run.points[0], half, pen.cap, quad_segs))
        elif pen.join == "round":
            for part in _short_lines(_closed_points(run)):
                line = shapely.LineString(part)
                bodies.append(line.buffer(half, quad_segs=quad_segs, cap_style="flat"))
            if run.closed:
                # A flat closed line is no ring to the library: its turning points are set in.
                bodies.extend(
                    shapely.Point(place).buffer(half, quad_segs=quad_segs)
                    for place in _turning_points(run.points)
                )
            else:
                bodies.extend(_caps(run.points, half, pen.cap, quad_segs))
        else:
            bodies.extend(_sharp(run, pen, half, quad_segs))
    return shapely.union_all(bodies)


def _closed_points(run: Subpath) -> Points:
    return np.vstack([run.points, run.points[:1]]) if run.closed else run.points


def _turning_points(points: Points) -> Points:
    """Where a closed line turns back by more than a right angle."""
    along = np.roll(points, -1, axis=0) - points
    back: Points = points[(along * np.roll(along, 1, axis=0)).sum(axis=1) < 0]
    return back


def _dot(place: Points, half: float, cap: str, quad_segs: int) -> BaseGeometry:
    """A run of no length: a dot for round caps, a square for square ones (SVG 1.1 §11.4)."""
    if cap == "round":
        return shapely.Point(place).buffer(half, quad_segs=quad_segs)
    if cap == "square":
        x, y = place
        square: BaseGeometry = shapely.box(x - half, y - half, x + half, y + half)
        return square
    return shapely.Polygon()


def _sharp(run: Subpath, pen: Pen, half: float, quad_segs: int) -> list[BaseGeometry]:
    """Mitred and bevelled joins.

    The geometry library cuts a mitre over the limit short, where SVG asks for a bevel: so the run
    is parted at every corner that needs one, and the bevel's triangle is set in.
    """
    points, corner = run.points, run.corner
    if run.closed:
        along = np.roll(points, -1, axis=0) - points
        before, after = np.roll(along, 1, axis=0), along
        inner = np.arange(len(points))
    else:
        along = np.diff(points, axis=0)
        before, after = along[:-1], along[1:]
        inner = np.arange(1, len(points) - 1)
    before, after = _unit(before), _unit(after)
    # cos(turn / 2) = sin(angle between the legs / 2) = 1 / mitre ratio.
    cosine = np.clip((before * after).sum(axis=1), -1.0, 1.0)
    inverse_ratio = np.sqrt((1 + cosine) / 2)
    if pen.join == "bevel":
        bevelled = inverse_ratio < 1 - 1e-9
    else:
        bevelled = inverse_ratio * pen.mitre_limit < 1 - 1e-9
    bevelled &= corner[inner]
    parting = inner[bevelled]
    bodies = [
        _bevel(points[at], before[k], after[k], half)
        for k, at in zip(np.flatnonzero(bevelled), parting, strict=True)
    ]
    limit = max(1.0, pen.mitre_limit)
    for part in _parts(run, parting):
        for short in _short_lines(part):
            line = shapely.LineString(short)
            bodies.append(
                line.buffer(half, cap_style="flat", join_style="mitre", mitre_limit=limit)
            )
    if not run.closed:
        bodies.extend(_caps(points, half, pen.cap, quad_segs))
    return bodies


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


def _caps(points: Points, half: float, cap: str, quad_segs: int) -> list[BaseGeometry]:
    """Both ends of an open run."""
    ends = _unit(np.array([points[0] - points[1], points[-1] - points[-2]]))
    return [
        body
        for place, outward in ((points[0], ends[0]), (points[-1], ends[1]))
        for body in _cap(place, outward, half, cap, quad_segs)
    ]


def _parts(run: Subpath, parting: NDArray[np.intp]) -> list[Points]:
    """Cut a run at the given vertices; a closed run is turned to begin at the first of them."""
    points = run.points
    if run.closed:
        if not parting.size:
            return [_closed_points(run)]
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
