"""How fine a piece of artwork is, for weeding: its thinnest stroke, narrowest gap, least parts.

A disc that fits in the material and touches two walls marks a *stroke* as wide as the disc when the
two walls face each other there, that is when they run within ``FACING_DEG`` of parallel (or when
the walls come nearest to each other at a corner that juts in, as in a notched neck). This is the
medial axis with its corner branches left off: at a corner of angle c the walls of every inscribed
disc lie c apart, so no corner blunter than ``FACING_DEG`` is ever thin, at any scale, and a bump
is a stroke only when it stands out by about half its width or more. Two additions make it whole:

* a needle (a corner sharper than ``FACING_DEG``) has no width of its own, as its tip goes to
  nothing: it counts at half of the width that it grows to before its walls part or stop widening;
* a part of the piece none of whose walls face each other (a triangle, say) counts at the width
  of its largest inscribed disc.

A *gap* is the same with material and background exchanged: between parts, across a slot or a notch,
across a hole. The idea of a disc touching at two ends is Blum's (H. Blum, "A transformation for
extracting new descriptors of shape", 1967; from memory), and the angle between the two contacts as
the measure of what is not a corner is the usual pruning of that axis (from memory).
"""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from advisor.artwork.facing_walls import (
    FACING_DEG,
    GAP,
    STROKE,
    clear_of_walls,
    least_discs,
    narrow_discs,
)
from advisor.artwork.records import Fineness
from advisor.artwork.walls import Geometries, hole_areas, walls_of
from rules.errors import BadInputError

__all__ = [
    "FACING_DEG",
    "Fineness",
    "fineness",
    "narrow_gaps",
    "narrow_places",
    "simplified",
    "small_islands",
    "thin_places",
]

# Enough for every random drawing tried; a round that finds nothing ends the work.
_MOST_ROUNDS = 12


def fineness(shape: BaseGeometry, *, up_to_mm: float = 6.0, tolerance_mm: float = 0.05) -> Fineness:
    """Measure the thinnest stroke, the narrowest gap and the parts and holes of a shape.

    Args:
        shape: in millimetres. An invalid outline is repaired; what has no area is passed over.
        up_to_mm: strokes and gaps at least this wide are not reported.
        tolerance_mm: how exactly to measure. Details finer than half of it may be missed.

    Raises:
        BadInputError: ``up_to_mm`` is not a positive number, or ``tolerance_mm`` is negative.

    >>> bar_and_block = shapely.union(shapely.box(0, 0, 20, 1.5), shapely.box(20, -10, 40, 10))
    >>> fineness(bar_and_block).least_stroke_mm
    1.5
    >>> two_blocks = shapely.union(shapely.box(0, 0, 20, 20), shapely.box(20.8, 0, 40, 20))
    >>> round(fineness(two_blocks).least_gap_mm, 3)
    0.8
    >>> fineness(shapely.Polygon())
    Fineness(least_stroke_mm=None, least_gap_mm=None, island_areas_mm2=(), hole_areas_mm2=())
    """
    _refuse_unless_positive(up_to_mm, "up_to_mm")
    if not (math.isfinite(tolerance_mm) and tolerance_mm >= 0):
        raise BadInputError(f"{tolerance_mm} mm: give 0 or more", field="tolerance_mm")
    areas = _areas(shape)
    if not areas.size:
        return Fineness(None, None, (), ())
    holes = hole_areas(areas)
    walls = walls_of(areas, tolerance_mm / 2)
    stroke, gap = least_discs(walls, up_to_mm) if walls else (math.inf, math.inf)
    # A disc in a hole that no walls face in is still the widest place of that hole.
    stroke = _least_whole(areas, min(stroke, up_to_mm / 0.98), tolerance_mm)
    gap = _least_whole(holes, min(gap, up_to_mm / 0.98), tolerance_mm)
    return Fineness(
        least_stroke_mm=stroke if stroke < up_to_mm else None,
        least_gap_mm=gap if gap < up_to_mm else None,
        island_areas_mm2=tuple(np.sort(shapely.area(areas)).tolist()),
        hole_areas_mm2=tuple(np.sort(shapely.area(holes)).tolist()),
    )


def _refuse_unless_positive(value: float, field: str) -> None:
    if not (math.isfinite(value) and value > 0):
        raise BadInputError(f"{value}: give a number above 0", field=field)


def _areas(shape: BaseGeometry) -> Geometries:
    """The valid polygons of any geometry, also of a broken one."""
    if shape is None or shape.is_empty or not np.isfinite(shapely.get_coordinates(shape)).all():
        return np.array([], dtype=object)
    if not shape.is_valid:
        shape = shapely.make_valid(shape)
    parts: Geometries = shapely.get_parts(shapely.get_parts(shape))
    kept: Geometries = parts[shapely.area(parts) > 0]
    return kept


def _least_whole(areas: Geometries, least_mm: float, tolerance_mm: float) -> float:
    """The width of the largest disc in the slimmest area, if that is less than ``least_mm``."""
    # No area is slimmer than twice its area over its perimeter, so few need an offset.
    bound = 2 * shapely.area(areas) / shapely.length(areas)
    slim = areas[bound < 0.98 * least_mm]
    slim = slim[_vanishing(slim, 0.98 * least_mm)]
    if not slim.size:
        return least_mm
    low, high = float(bound.min()), 0.98 * least_mm
    while high - low > max(0.01 * high, tolerance_mm / 4):
        middle = (low + high) / 2
        gone = _vanishing(slim, middle)
        if gone.any():
            slim, high = slim[gone], middle
        else:
            low = middle
    return (low + high) / 2


def _vanishing(areas: Geometries, least_mm: float) -> NDArray[np.bool_]:
    """Tell which areas hold no disc of this width."""
    gone: NDArray[np.bool_] = shapely.is_empty(shapely.buffer(areas, -least_mm / 2, quad_segs=4))
    return gone


def thin_places(shape: BaseGeometry, *, least_mm: float) -> MultiPolygon:
    """Return the parts of a shape that are thinner than ``least_mm``.

    They are what opening (eroding, then growing back) takes away, without what it takes from
    corners: a residue counts only if it holds a stroke or a needle as the module defines them, or
    is a whole part of the piece. A neck between two corners has no length for an opening to take:
    it is given as the disc in it.

    Raises:
        BadInputError: ``least_mm`` is not a positive number.

    >>> lollipop = shapely.union(shapely.Point(0, 0).buffer(9), shapely.box(8, -0.5, 30, 0.5))
    >>> [round(edge, 1) for edge in thin_places(lollipop, least_mm=1.2).bounds]
    [9.0, -0.5, 30.0, 0.5]
    >>> thin_places(lollipop, least_mm=0.9).is_empty
    True
    """
    _refuse_unless_positive(least_mm, "least_mm")
    return _polygons(np.concatenate(_fine_places(_areas(shape), STROKE, least_mm)))


def narrow_gaps(shape: BaseGeometry, *, least_mm: float) -> MultiPolygon:
    """Return the gaps between parts, and across slots and holes, narrower than ``least_mm``.

    They are what closing (growing, then eroding back) fills, without what it fills in corners.

    Raises:
        BadInputError: ``least_mm`` is not a positive number.

    >>> two_blocks = shapely.union(shapely.box(0, 0, 20, 20), shapely.box(20.8, 0, 40, 20))
    >>> round(narrow_gaps(two_blocks, least_mm=1).area, 1)
    15.8
    >>> narrow_gaps(two_blocks, least_mm=0.7).is_empty
    True
    """
    _refuse_unless_positive(least_mm, "least_mm")
    return _polygons(np.concatenate(_fine_places(_areas(shape), GAP, least_mm)))


def narrow_places(
    shape: BaseGeometry, kind: Literal["stroke", "gap"], *, least_mm: float
) -> list[tuple[Polygon, float]]:
    """The thin places of a shape, or its narrow gaps, each with its least width.

    Raises:
        BadInputError: ``least_mm`` is not a positive number.

    >>> lollipop = shapely.union(shapely.Point(0, 0).buffer(9), shapely.box(8, -0.5, 30, 0.5))
    >>> [round(width, 2) for _, width in narrow_places(lollipop, "stroke", least_mm=1.2)]
    [1.0]
    >>> narrow_places(lollipop, "gap", least_mm=1.2)
    []
    """
    side, find = (STROKE, thin_places) if kind == "stroke" else (GAP, narrow_gaps)
    parts = [part for part in find(shape, least_mm=least_mm).geoms if part.area > 0]
    if not parts:
        return []
    widths = np.full(len(parts), math.inf)
    walls = walls_of(_areas(shape), least_mm / 100)
    if walls is not None:
        discs = narrow_discs(walls, least_mm, sides=(side,))
        discs = discs.of(clear_of_walls(walls, discs))
        at, disc = STRtree(np.asarray(shapely.points(discs.centre), dtype=object)).query(
            np.array(parts, dtype=object), predicate="dwithin", distance=0.01 * least_mm
        )
        np.minimum.at(widths, at, discs.counted_mm[disc])
    for nth in np.flatnonzero(~np.isfinite(widths)):
        widths[nth] = 2 * shapely.maximum_inscribed_circle(parts[nth], tolerance=0.01).length
    return list(zip(parts, widths.tolist(), strict=True))


def small_islands(shape: BaseGeometry, *, least_mm: float) -> MultiPolygon:
    """Return the separate parts too small to weed around.

    A part is too small when it holds no disc ``least_mm`` wide, or has less area than a square of
    that side.

    Raises:
        BadInputError: ``least_mm`` is not a positive number.

    >>> dotted = shapely.union(shapely.box(0, 0, 2, 20), shapely.box(0, 22, 0.8, 22.8))
    >>> round(small_islands(dotted, least_mm=1).area, 2)
    0.64
    >>> small_islands(shapely.Point(0, 0), least_mm=1).is_empty
    True
    """
    _refuse_unless_positive(least_mm, "least_mm")
    areas = _areas(shape)
    return MultiPolygon(
        areas[(shapely.area(areas) < least_mm**2) | _vanishing(areas, least_mm)].tolist()
    )


def simplified(shape: BaseGeometry, *, least_mm: float) -> MultiPolygon:
    """Return what of a shape can be cut when nothing may be finer than ``least_mm``.

    Small islands and thin places are taken away, then narrow gaps are filled (a filling that would
    itself be thin is thickened): an opening and a closing that leave corners as sharp as drawn.

    Raises:
        BadInputError: ``least_mm`` is not a positive number.

    >>> lollipop = shapely.union(shapely.box(0, 0, 9, 9), shapely.box(9, 4, 30, 4.5))
    >>> round(simplified(lollipop, least_mm=1).area, 1)
    81.0
    """
    _refuse_unless_positive(least_mm, "least_mm")
    kept = _polygons(_areas(shape))
    # Taking one thing away, or filling one, can lay bare or bring about another.
    for _ in range(_MOST_ROUNDS):
        thin, _ = _fine_places(_areas(kept), STROKE, least_mm)
        gone = np.append(thin, shapely.get_parts(small_islands(kept, least_mm=least_mm)))
        if shapely.is_empty(gone).all():
            break
        kept = _without_hairs(shapely.difference(kept, shapely.union_all(gone)), least_mm)
    for _ in range(_MOST_ROUNDS):
        gaps = narrow_gaps(kept, least_mm=least_mm)
        if not gaps.is_empty:
            kept = _without_hairs(shapely.union(kept, gaps), least_mm)
        weak = thin_places(kept, least_mm=least_mm)
        if gaps.is_empty and weak.is_empty:
            break
        if not weak.is_empty:
            kept = _without_hairs(shapely.union(kept, _offset(weak, least_mm / 4)), least_mm)
    return kept


def _offset(area: BaseGeometry, by_mm: float) -> BaseGeometry:
    grown: BaseGeometry = shapely.buffer(area, by_mm, quad_segs=8)
    # Now and then an offset crosses itself, and no overlay takes that.
    return grown if grown.is_valid else shapely.make_valid(grown)


def _without_hairs(area: BaseGeometry, least_mm: float) -> MultiPolygon:
    """Take off the spikes and cracks that cutting and joining leave by rounding of numbers."""
    for by_mm in (-least_mm / 500, least_mm / 250, -least_mm / 500):
        area = shapely.buffer(area, by_mm, join_style="mitre", mitre_limit=10)
    return MultiPolygon(_areas(area).tolist())


def _polygons(shapes: Geometries) -> MultiPolygon:
    return MultiPolygon(_areas(shapely.union_all(shapes)).tolist())


def _fine_places(areas: Geometries, side: int, least_mm: float) -> tuple[Geometries, Geometries]:
    """The strokes, or the gaps, finer than ``least_mm``: their areas, then the mere points.

    A neck between two corners has a width but no length, and an opening takes nothing from it; its
    place is then the disc in it.
    """
    nothing = np.array([], dtype=object)
    walls = walls_of(areas, least_mm / 100) if areas.size else None
    if walls is None:
        return areas, nothing
    discs = narrow_discs(walls, least_mm, sides=(side,))
    discs = discs.of(clear_of_walls(walls, discs))
    wholes = areas if side == STROKE else hole_areas(areas)
    wholes = wholes[_vanishing(wholes, least_mm)]
    if not discs.radius.size:
        return wholes, nothing
    shape = shapely.union_all(areas)
    opened = _offset(_offset(shape, -side * least_mm / 2), side * least_mm / 2)
    residue = shapely.get_parts(
        shapely.difference(shape, opened) if side == STROKE else shapely.difference(opened, shape)
    )
    residue = residue[shapely.area(residue) > 0]
    middles = np.asarray(shapely.points(discs.centre), dtype=object)
    rounds = np.asarray(shapely.buffer(middles, discs.radius, quad_segs=8), dtype=object)
    tree = STRtree(residue)
    # Less than the whole disc, lest it reach the corners beside it.
    disc, held = tree.query(middles, predicate="dwithin", distance=0.9 * discs.radius)
    point = np.setdiff1d(np.arange(len(middles)), disc)
    return np.append(residue[np.unique(held)], wholes), rounds[point]
