"""The slow twin of the fineness measure: rays from points of the outline to the wall opposite."""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

FACING_DEG = 20.0


def narrowest_by_rays(
    shape: BaseGeometry, *, up_to_mm: float = 6.0, step_mm: float = 0.1
) -> tuple[float | None, float | None]:
    """The least stroke and the least gap of a valid shape without needles, by brute force.

    From every sample of the outline, a ray goes square to it, inwards for strokes and outwards for
    gaps; from every corner, a fan of rays. A ray counts if it meets the wall opposite within 20° of
    square and the disc on it is free of other walls.
    """
    start, end, left = _edges(shape)
    along = end - start
    length = np.hypot(*along.T)
    along = along / length[:, None]
    inward = np.stack([-along[:, 1], along[:, 0]], axis=1) * left[:, None]
    least: list[float | None] = []
    for side in (1.0, -1.0):
        origins, directions = [], []
        for k in range(len(start)):
            count = max(1, math.ceil(length[k] / step_mm))
            at = (np.arange(count) + 0.5) / count * length[k]
            origins.append(start[k] + at[:, None] * along[k])
            directions.append(np.tile(inward[k] * side, (count, 1)))
            (before,) = np.flatnonzero((end == start[k]).all(axis=1))
            turn = float(np.cross([*along[before], 0], [*along[k], 0])[2]) * left[k] * side
            if turn < -1e-9:
                share = np.linspace(0, 1, 41)[1:-1, None]
                fan = (inward[before] * (1 - share) + inward[k] * share) * side
                origins.append(np.tile(start[k], (len(fan), 1)))
                directions.append(fan / np.hypot(*fan.T)[:, None])
        widths = [
            _width(origin, direction, start, along, length, inward * side, up_to_mm)
            for origin, direction in zip(
                np.concatenate(origins), np.concatenate(directions), strict=True
            )
        ]
        narrowest = min(widths)
        least.append(narrowest if narrowest < up_to_mm else None)
    return least[0], least[1]


def _edges(shape: BaseGeometry) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    starts, ends, left = [], [], []
    for polygon in shapely.get_parts(shape):
        for number, ring in enumerate([polygon.exterior, *polygon.interiors]):
            points = np.asarray(ring.coords)
            starts.append(points[:-1])
            ends.append(points[1:])
            inside = 1.0 if ring.is_ccw == (number == 0) else -1.0
            left.append(np.full(len(points) - 1, inside))
    return np.concatenate(starts), np.concatenate(ends), np.concatenate(left)


def _width(
    origin: np.ndarray,
    direction: np.ndarray,
    start: np.ndarray,
    along: np.ndarray,
    length: np.ndarray,
    inward: np.ndarray,
    up_to_mm: float,
) -> float:
    """How far one ray goes before it meets a wall that faces it; infinity if it meets none."""
    to_wall = start - origin
    cross = direction[0] * along[:, 1] - direction[1] * along[:, 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        reach = (to_wall[:, 0] * along[:, 1] - to_wall[:, 1] * along[:, 0]) / cross
        on_wall = (to_wall[:, 0] * direction[1] - to_wall[:, 1] * direction[0]) / cross
    slack = 1e-9 * length
    met = (reach > 1e-7) & (on_wall >= -slack) & (on_wall <= length + slack)
    if not met.any():
        return math.inf
    nearest = float(reach[met].min())
    if nearest >= up_to_mm:
        return math.inf
    walls = np.flatnonzero(met & (reach <= nearest + 1e-9))
    squareness = -(inward[walls] @ direction)
    if squareness.max() < math.cos(math.radians(FACING_DEG)):
        return math.inf
    middle = origin + direction * nearest / 2
    at = np.clip(((middle - start) * along).sum(axis=1), 0, length)
    clearance = np.hypot(*(start + along * at[:, None] - middle).T).min()
    return nearest if clearance >= 0.9 * nearest / 2 else math.inf
