"""The straight walls of an outline as arrays: where they run and turn, where material lies."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

from advisor.artwork.contacts import POINT_MM, contacts_of

__all__ = ["Floats", "Geometries", "Ints", "Walls", "cross", "dot", "hole_areas", "walls_of"]

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
Geometries = NDArray[np.object_]


def hole_areas(areas: Geometries) -> Geometries:
    """Return the holes of some polygons, each as a polygon of its own.

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

    Attributes:
        along, inward: unit vectors along each edge and into the material.
        previous, following: the neighbouring edges on the same ring.
        turn: at the start of each edge, in radians; above 0 where the material is convex.
        jut: unit vector in which the corner at the start of each edge points.
        tree: of the edges.
        contacts: the points in which outlines meet.
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
    contacts: Floats


def walls_of(areas: Geometries, tolerance_mm: float) -> Walls | None:
    """Return the walls of some valid polygons, thinned out within a tolerance.

    None if the tolerance leaves nothing of them.

    >>> walls_of(np.array([shapely.box(0, 0, 4, 2)]), 0.01).length
    array([2., 4., 2., 4.])
    """
    rings, owner = shapely.get_rings(areas, return_index=True)
    hole = np.append(False, owner[1:] == owner[:-1])
    side = np.where(shapely.is_ccw(rings) != hole, 1.0, -1.0)
    points, ring = shapely.get_coordinates(rings, return_index=True)
    # As open lines, rings need not stay valid, and are thinned out several times as fast.
    contacts = contacts_of(areas)
    thinned = shapely.simplify(
        shapely.linestrings(points, indices=ring),
        np.where(_meeting(rings, contacts), tolerance_mm / 10, tolerance_mm),
        preserve_topology=False,
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
    turn = np.arctan2(cross(before, along), dot(before, along)) * side[ring]
    jut = before - along
    size = np.hypot(jut[:, 0], jut[:, 1])
    jut = np.where(size[:, None] > 1e-3, jut / np.maximum(size, 1e-3)[:, None], inward)
    tree = STRtree(np.asarray(shapely.linestrings(np.stack([start, end], axis=1)), dtype=object))
    return Walls(start, end, along, length, inward, previous, following, turn, jut, tree, contacts)


def _meeting(rings: Geometries, contacts: Floats) -> NDArray[np.bool_]:
    """Tell which rings meet another: thinned out, they would run side by side there."""
    meets = np.zeros(len(rings), dtype=np.bool_)
    points = np.asarray(shapely.points(contacts), dtype=object)
    meets[STRtree(rings).query(points, predicate="dwithin", distance=2 * POINT_MM)[1]] = True
    return meets


def dot(one: Floats, other: Floats) -> Floats:
    """Return the dot products of two rows of vectors, each of shape (n, 2).

    >>> dot(np.array([[1.0, 2.0]]), np.array([[3.0, 4.0]]))
    array([11.])
    """
    product: Floats = one[:, 0] * other[:, 0] + one[:, 1] * other[:, 1]
    return product


def cross(one: Floats, other: Floats) -> Floats:
    """Return the cross products of two rows of vectors: above 0 for a turn to the left.

    >>> cross(np.array([[1.0, 0.0]]), np.array([[0.0, 2.0]]))
    array([2.])
    """
    product: Floats = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return product
