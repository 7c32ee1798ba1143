"""Discs that fit between two facing walls of an outline: where it is narrow, inside and out.

The corner-free part of the medial axis, found without building the axis: pairs of straight walls
that run within ``FACING_DEG`` of antiparallel, and corners that jut towards a wall or towards
another corner, each give a few discs; a disc counts when no other wall cuts into it. Only the
narrowest are ever tried, so the cost is that of finding the pairs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

__all__ = [
    "FACING_DEG",
    "GAP",
    "STROKE",
    "Discs",
    "Geometries",
    "Walls",
    "clear_of_walls",
    "hole_areas",
    "least_discs",
    "narrow_discs",
    "walls_of",
]

# Walls further than this from parallel make a corner, not a stroke (common practice, no source).
FACING_DEG = 20.0
STROKE, GAP = 1, -1

_FACING = math.radians(FACING_DEG)
# A turn less than this is a bend of a wall and is judged as a wall.
_JUTTING = math.radians(10.0)
# An inscribed disc may be cut into by this share of its radius: drawn curves are chains of chords.
_SLACK = 0.04

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Geometries = NDArray[np.object_]


def hole_areas(areas: Geometries) -> Geometries:
    """Return the holes of some polygons, each as a polygon of its own.

    >>> import numpy as np, shapely
    >>> washer = shapely.box(0, 0, 9, 9) - shapely.box(3, 3, 5, 5)
    >>> [hole.area for hole in hole_areas(np.array([washer]))]
    [4.0]
    """
    rings, owner = shapely.get_rings(areas, return_index=True)
    hole = np.append(False, owner[1:] == owner[:-1])
    holes: Geometries = shapely.polygons(rings[hole])
    return holes


@dataclass(frozen=True, slots=True)
class Walls:
    """The n straight edges of an outline, in millimetres, ring after ring.

    Attributes
    ----------
    start, end : array, shape (n, 2)
    along, inward : array, shape (n, 2)
        Unit vectors along each edge and into the material.
    length : array, shape (n,)
    previous, following : array of int, shape (n,)
        The neighbouring edges on the same ring.
    turn : array, shape (n,)
        At the start of each edge, in radians; above 0 where the material is convex.
    jut : array, shape (n, 2)
        Unit vector in which the corner at the start of each edge points.
    tree : STRtree
        Of the edges.
    """

    start: Floats
    end: Floats
    along: Floats
    length: Floats
    inward: Floats
    previous: Ints
    following: Ints
    turn: Floats
    jut: Floats
    tree: STRtree


def walls_of(areas: Geometries, tolerance_mm: float) -> Walls | None:
    """Return the walls of some valid polygons, thinned out within a tolerance.

    None if the tolerance leaves nothing of them.

    >>> import numpy as np, shapely
    >>> walls_of(np.array([shapely.box(0, 0, 4, 2)]), 0.01).length
    array([2., 4., 2., 4.])
    """
    rings, owner = shapely.get_rings(areas, return_index=True)
    hole = np.append(False, owner[1:] == owner[:-1])
    side = np.where(shapely.is_ccw(rings) != hole, 1.0, -1.0)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    # As open lines, rings need not stay valid, and are thinned out several times as fast.
    thinned = shapely.simplify(
        shapely.linestrings(points, indices=ring), tolerance_mm, preserve_topology=False
    )
    points, ring = shapely.get_coordinates(thinned, return_index=True)
    step = points[1:] - points[:-1]
    real = (ring[1:] == ring[:-1]) & (np.abs(step).max(axis=1) > 0)
    start, end, step, ring = points[:-1][real], points[1:][real], step[real], ring[:-1][real]
    if not ring.size:
        return None
    length = np.hypot(step[:, 0], step[:, 1])
    along = step / length[:, None]
    inward = np.stack([-along[:, 1], along[:, 0]], axis=1) * side[ring][:, None]
    at = np.arange(len(ring))
    first = np.flatnonzero(np.append(True, ring[1:] != ring[:-1]))
    last = np.append(first[1:], len(ring)) - 1
    previous, following = at - 1, at + 1
    previous[first], following[last] = last, first
    before = along[previous]
    turn = np.arctan2(_cross(before, along), _dot(before, along)) * side[ring]
    jut = before - along
    size = np.hypot(jut[:, 0], jut[:, 1])
    jut = np.where(size[:, None] > 1e-3, jut / np.maximum(size, 1e-3)[:, None], inward)
    tree = STRtree(np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object))
    return Walls(start, end, along, length, inward, previous, following, turn, jut, tree)


def _dot(one: Floats, other: Floats) -> Floats:
    product: Floats = one[:, 0] * other[:, 0] + one[:, 1] * other[:, 1]
    return product


def _cross(one: Floats, other: Floats) -> Floats:
    product: Floats = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return product


@dataclass(frozen=True, slots=True)
class Discs:
    """Discs that touch two facing walls; not yet known to be clear of all other walls.

    Attributes
    ----------
    side : array of int, shape (n,)
        ``STROKE`` for a disc in the material, ``GAP`` for one beside it.
    counted_mm : array, shape (n,)
        The width that the place counts as: the disc's, or that of the needle it lies in.
    radius : array, shape (n,)
    centre : array, shape (n, 2)
    """

    side: NDArray[np.int8]
    counted_mm: Floats
    radius: Floats
    centre: Floats

    def of(self, chosen: NDArray[np.bool_] | Ints) -> Discs:
        """Return some of the discs, by a mask or by their places."""
        return Discs(
            self.side[chosen], self.counted_mm[chosen], self.radius[chosen], self.centre[chosen]
        )


def narrow_discs(walls: Walls, reach_mm: float) -> Discs:
    """Return every disc worth a look that counts as narrower than ``reach_mm``.

    >>> import numpy as np, shapely
    >>> walls = walls_of(np.array([shapely.box(0, 0, 4, 2)]), 0.01)
    >>> set(narrow_discs(walls, 3).counted_mm.tolist())
    {2.0}
    """
    found = [_between_walls(walls, reach_mm), _at_corners(walls, reach_mm)]
    discs = Discs(
        np.concatenate([one.side for one in found]),
        np.concatenate([one.counted_mm for one in found]),
        np.concatenate([one.radius for one in found]),
        np.concatenate([one.centre for one in found]),
    )
    return discs.of((discs.counted_mm < reach_mm) & (discs.radius > 0))


def _near(walls: Walls, low: Floats, high: Floats, reach_mm: float) -> tuple[Ints, Ints]:
    """Pairs of a given box and a wall not further apart than ``reach_mm`` along x and along y."""
    low, high = low - reach_mm, high + reach_mm
    boxes = shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])
    one, other = walls.tree.query(boxes)
    return one, other


def _between_walls(walls: Walls, reach_mm: float) -> Discs:
    low, high = np.minimum(walls.start, walls.end), np.maximum(walls.start, walls.end)
    one, other = _near(walls, low, high, reach_mm)
    facing = (one < other) & (_dot(walls.along[one], walls.along[other]) <= -math.cos(_FACING))
    one, other = one[facing], other[facing]
    # Across the pair, distances are taken square to the line half-way between the two walls.
    axis = walls.along[one] - walls.along[other]
    axis /= np.hypot(axis[:, 0], axis[:, 1])[:, None]
    across = np.stack([-axis[:, 1], axis[:, 0]], axis=1)
    across *= np.sign(_dot(across, walls.inward[one]))[:, None]
    lean = _dot(walls.along[one], axis)
    from_one = walls.start[one]
    to_start, to_end = walls.start[other] - from_one, walls.end[other] - from_one
    low_t = np.maximum(0.0, _dot(to_end, axis))
    high_t = np.minimum(walls.length[one] * lean, _dot(to_start, axis))
    slope_one = _dot(walls.along[one], across) / lean
    slope_other = _dot(walls.along[other], across) / _dot(walls.along[other], axis)
    level_other = _dot(to_start, across) - slope_other * _dot(to_start, axis)
    widening = slope_other - slope_one
    low_w, high_w = level_other + widening * low_t, level_other + widening * high_t
    side = np.where(low_w + high_w > 0, STROKE, GAP).astype(np.int8)
    low_w, high_w = low_w * side, high_w * side
    narrow = np.minimum(low_w, high_w)
    keep = (high_t > low_t) & (narrow < reach_mm)
    narrow = np.maximum(narrow, 0.0)
    # The disc fits at the narrow end, or clear of a wall that closes that end, or further on.
    span = high_t - low_t
    offset = np.stack([0 * span, 0.6 * narrow, 1.2 * narrow, 2.4 * narrow, span / 2, span], axis=1)
    offset = np.clip(offset, 0.0, np.maximum(span, 0.0)[:, None])
    from_low = (low_w <= high_w)[:, None]
    t = np.where(from_low, low_t[:, None] + offset, high_t[:, None] - offset)[keep]
    width = (level_other[keep, None] + widening[keep, None] * t) * side[keep, None]
    middle = slope_one[keep, None] * t + width * side[keep, None] / 2
    centre = (
        from_one[keep, None, :]
        + axis[keep, None, :] * t[:, :, None]
        + across[keep, None, :] * middle[:, :, None]
    )
    radius = (width * lean[keep, None] / 2).ravel()
    floor = _needle_floor(walls, one[keep], other[keep])
    return Discs(
        np.repeat(side[keep], 6),
        np.maximum(2 * radius, np.repeat(floor, 6)),
        radius,
        centre.reshape(-1, 2),
    )


def _needle_floor(walls: Walls, one: Ints, other: Ints) -> Floats:
    """Half the width that a needle grows to, for pairs of walls of one needle; else 0."""
    tips = np.flatnonzero(np.abs(walls.turn) > math.pi - _FACING)
    if not tips.size:
        return np.zeros(len(one))
    half = np.zeros(len(tips) + 1)
    before = np.full(len(walls.length), -1, dtype=np.intp)
    after = before.copy()
    for number, tip in enumerate(tips.tolist()):
        left, right = int(walls.previous[tip]), tip
        left_mm, right_mm = float(walls.length[left]), float(walls.length[right])
        widest = 0.0
        while left != right and float(walls.along[left] @ walls.along[right]) < -math.cos(_FACING):
            before[left] = after[right] = number
            walked = min(left_mm, right_mm)
            on_left = walls.start[left] + walls.along[left] * (left_mm - walked)
            on_right = walls.end[right] - walls.along[right] * (right_mm - walked)
            width = math.dist(on_left, on_right)
            if width <= widest * 1.01:
                break
            widest = width
            if left_mm <= right_mm:
                left = int(walls.previous[left])
                left_mm += float(walls.length[left])
            else:
                right = int(walls.following[right])
                right_mm += float(walls.length[right])
        half[number] = widest / 2
    shared = np.where(before[one] == after[other], before[one], -1)
    shared = np.where((before[other] == after[one]) & (shared < 0), before[other], shared)
    return half[shared]


def _at_corners(walls: Walls, reach_mm: float) -> Discs:
    """Discs that touch a corner jutting into them, and a wall or another such corner."""
    corner = np.flatnonzero(np.abs(walls.turn) > _JUTTING)
    one, wall = _near(walls, walls.start[corner], walls.start[corner], reach_mm)
    corner = corner[one]
    apart = (wall != corner) & (wall != walls.previous[corner])
    corner, wall = corner[apart], wall[apart]
    side = np.where(walls.turn[corner] < 0, STROKE, GAP).astype(np.int8)
    tip = walls.start[corner]
    t = np.clip(_dot(tip - walls.start[wall], walls.along[wall]), 0.0, walls.length[wall])
    chord = walls.start[wall] + walls.along[wall] * t[:, None] - tip
    width = np.hypot(chord[:, 0], chord[:, 1])
    keep = (width > 0) & (width < reach_mm)
    corner, wall, side, tip = corner[keep], wall[keep], side[keep], tip[keep]
    t, chord, width = t[keep], chord[keep], width[keep]
    unit = chord / width[:, None]
    aside = _aside(unit, walls.jut[corner], walls.turn[corner])
    at_start, at_end = t <= 0, t >= walls.length[wall]
    met = np.where(at_end, walls.following[wall], wall)
    jutting = (at_start | at_end) & (walls.turn[met] * side < 0)
    aside += np.where(
        jutting,
        _aside(-unit, walls.jut[met], walls.turn[met]),
        _aside(-unit, walls.inward[wall] * side[:, None], np.zeros(len(wall))),
    )
    facing = aside <= _FACING
    width = width[facing] * np.cos(aside[facing] / 2)
    return Discs(side[facing], width, width / 2, (tip + chord / 2)[facing])


def _aside(unit: Floats, middle: Floats, turn: Floats) -> Floats:
    """How far, in radians, a direction lies outside the fan of square directions of a corner."""
    off = np.arccos(np.clip(_dot(unit, middle), -1.0, 1.0))
    aside: Floats = np.maximum(0.0, off - np.abs(turn) / 2)
    return aside


def clear_of_walls(walls: Walls, discs: Discs) -> NDArray[np.bool_]:
    """Tell which discs no wall cuts into.

    >>> import numpy as np, shapely
    >>> walls = walls_of(np.array([shapely.box(0, 0, 4, 2)]), 0.01)
    >>> discs = narrow_discs(walls, 3)
    >>> set(discs.centre[clear_of_walls(walls, discs), 1].tolist())
    {1.0}
    """
    cut, _ = walls.tree.query(
        shapely.points(discs.centre), predicate="dwithin", distance=discs.radius * (1 - _SLACK)
    )
    clear = np.ones(len(discs.radius), dtype=np.bool_)
    clear[cut] = False
    return clear


def least_discs(walls: Walls, up_to_mm: float) -> tuple[float, float]:
    """Return the width of the least stroke and least gap that discs show; infinity for none.

    >>> import numpy as np, shapely
    >>> least_discs(walls_of(np.array([shapely.box(0, 0, 4, 2)]), 0.01), 6.0)
    (2.0, inf)
    """
    least = {STROKE: math.inf, GAP: math.inf}
    # Most artwork has something fine, and a short reach makes far fewer pairs.
    for reach_mm in (up_to_mm / 4, up_to_mm):
        discs = narrow_discs(walls, reach_mm)
        for side in [side for side, width in least.items() if width == math.inf]:
            least[side] = _least_clear(walls, discs.of(discs.side == side))
        if max(least.values()) < math.inf:
            break
    return least[STROKE], least[GAP]


def _least_clear(walls: Walls, discs: Discs) -> float:
    order = np.argsort(discs.counted_mm, kind="stable")
    done, batch = 0, 16
    while done < len(order):
        tried = discs.of(order[done : done + batch])
        clear = clear_of_walls(walls, tried)
        if clear.any():
            return float(tried.counted_mm[clear].min())
        done, batch = done + batch, batch * 4
    return math.inf
