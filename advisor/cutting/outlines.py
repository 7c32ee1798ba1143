"""Cut outlines: shapes grown, mended and rid of what no blade follows."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, STRtree
from shapely.geometry.base import BaseGeometry

from advisor.artwork.overlay import SEEN_EDGE_MM, TOUCH_GAP_MM, is_real_overlap
from advisor.artwork.piecing import areas_only

__all__ = [
    "CORNER_SEGMENTS", "CUTTER_MM", "CUT_GRID_MM", "LEAST_LOST_MM2", "along_edges",
    "beyond_a_cutter", "grown", "is_real", "near", "plain_outline", "without_dust",
]  # fmt: skip

CUT_GRID_MM = 0.001
"""Cut shapes lie on this grid: the files' last decimal, far finer than any blade."""

CUTTER_MM = 0.1
"""How exactly a cutter repeats a place. Common practice, no source."""

LEAST_LOST_MM2 = 0.01
MOST_GROWTH = 2.5
CORNER_SEGMENTS = 4
_LARGEST_TOUCH = 30.0
_MANY_POINTS = 2000
_OFFSET_SLACK_MM = 0.02


def plain_outline(shape: BaseGeometry, slack_mm: float = _OFFSET_SLACK_MM) -> BaseGeometry:
    """The shape with fewer points where it has very many, for measuring and offsetting it.

    Offsets of a long outline drawn in tiny steps cross themselves everywhere, which takes minutes.

    >>> plain_outline(shapely.box(0, 0, 1, 1)).area
    1.0
    """
    if shapely.get_num_coordinates(shape) <= _MANY_POINTS:
        return shape
    plain: BaseGeometry = shapely.simplify(shape, slack_mm)
    return plain


def grown(shape: BaseGeometry, by_mm: float) -> BaseGeometry:
    """The shape with a rim of so much all round."""
    plain = plain_outline(shape, min(_OFFSET_SLACK_MM, by_mm / 5))
    larger: BaseGeometry = shapely.buffer(plain, by_mm, quad_segs=CORNER_SEGMENTS)
    return larger


def beyond_a_cutter(shape: BaseGeometry, by_mm: float) -> MultiPolygon:
    """What moving an outline out by so much and back again fills, or in and back takes off.

    The tip of a needle, or of a notch that runs to a point, stays: without it the rest would end
    blunt. What is twice as wide there holds more than twice as much.
    """
    fine = _filled_or_lost(shape, by_mm)
    if not fine.size:
        return MultiPolygon()
    coarse = _filled_or_lost(shape, 2 * by_mm)
    part, around = STRtree(coarse).query(fine, predicate="intersects")
    whole = np.bincount(part, shapely.area(coarse)[around], minlength=len(fine))
    return MultiPolygon(fine[whole < MOST_GROWTH * shapely.area(fine)].tolist())


def _filled_or_lost(shape: BaseGeometry, by_mm: float) -> NDArray[np.object_]:
    there = shapely.buffer(shape, by_mm, join_style="mitre")
    back = shapely.buffer(there, -by_mm, join_style="mitre")
    changed = shapely.difference(back, shape) if by_mm > 0 else shapely.difference(shape, back)
    parts: NDArray[np.object_] = shapely.get_parts(areas_only(changed))
    return parts[shapely.area(parts) > LEAST_LOST_MM2]


def along_edges(reach: BaseGeometry, kept: BaseGeometry, trap_mm: float) -> BaseGeometry:
    """A rim, or none where two pieces meet in a mere point.

    Such a rim hangs on a neck of no width, beside notches that nobody weeds, and hides nothing.
    """
    if shapely.area(reach) > _LARGEST_TOUCH * trap_mm**2:
        return reach
    slack_mm = 2 * CUT_GRID_MM
    shared = shapely.intersection(shapely.buffer(reach, slack_mm, quad_segs=1), kept)
    return MultiPolygon() if shared.area < SEEN_EDGE_MM * slack_mm else reach


def is_real(area: BaseGeometry) -> bool:
    """Whether an area is more than what arithmetic makes where edges meet."""
    return bool(is_real_overlap(np.array([area], dtype=object))[0])


def near(shape: BaseGeometry, other: BaseGeometry, within_mm: float) -> BaseGeometry:
    """The separate parts of a shape that lie near enough to another to matter."""
    parts = shapely.get_parts(shape)
    there = parts[shapely.dwithin(parts, other, within_mm)]
    return shape if len(there) == len(parts) else MultiPolygon(there.tolist())


def without_dust(shape: BaseGeometry) -> MultiPolygon:
    """Leave out parts so thin that only arithmetic made them."""
    parts = shapely.get_parts(areas_only(shape))
    return MultiPolygon(parts[is_real_overlap(parts, least_mm=TOUCH_GAP_MM)].tolist())
