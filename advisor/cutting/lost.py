"""Lost: what of a drawing is gone where its pieces are made coarse enough for their films."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import dist
from typing import Literal

import shapely
from shapely import MultiPolygon, Polygon, STRtree
from shapely.geometry.base import BaseGeometry

from advisor.cutting.records.report import SimplerLoss
from rules.facts.text import Text
from rules.facts.units import Quantity, show_spot

__all__ = ["lost_by", "lost_told"]

MOST_TOLD = 3

LIMB = 5.0
"""A thin part that is longer than this many times the film's least is drawn to be seen. Generic."""


def lost_by(
    before: MultiPolygon, after: MultiPolygon, *, least_mm: float
) -> tuple[SimplerLoss, ...]:
    """What of a piece nobody would see any more, or in two; the largest first."""
    remaining = list(after.geoms)
    tree = STRtree(remaining)
    found = []
    for part in before.geoms:
        kept = [remaining[nth] for nth in tree.query(part, predicate="intersects")]
        # What only fills a gap beside the part has not kept it.
        kept = [one for one in kept if one.intersection(part).area > 0.1 * min(one.area, part.area)]
        if not kept:
            found.append(_loss("part", part))
            continue
        if len(kept) > 1:
            found.append(_loss("split", part))
        left = shapely.union_all(kept).buffer(least_mm / 100)
        limbs = [_loss("limb", one) for one in _polygons_in(part.difference(left))]
        found += [one for one in limbs if one.length_mm > LIMB * least_mm]
    holes = shapely.union_all(
        [Polygon(ring) for part in after.geoms for ring in part.interiors]
    ).buffer(least_mm / 10)
    for part in before.geoms:
        within = (Polygon(ring).difference(before) for ring in part.interiors)
        found += [
            _loss("hole", hole) for hole in within if not hole.intersects(holes) and hole.area
        ]
    return tuple(sorted(found, key=lambda one: (-one.length_mm, one.y_mm, one.x_mm)))


def _loss(what: Literal["part", "limb", "hole", "split"], area: BaseGeometry) -> SimplerLoss:
    around = shapely.oriented_envelope(area)
    corners = list(around.exterior.coords) if isinstance(around, Polygon) else [(0, 0)] * 3
    sides = sorted(dist(*corners[nth : nth + 2]) for nth in (0, 1))
    middle = area.representative_point()
    return SimplerLoss(
        what=what,
        length_mm=round(sides[1], 2),
        across_mm=round(sides[0], 2),
        x_mm=round(middle.x, 2),
        y_mm=round(middle.y, 2),
    )


def _polygons_in(area: BaseGeometry) -> Iterator[Polygon]:
    return (one for one in shapely.get_parts(area) if isinstance(one, Polygon) and one.area > 0)


_WORDS = {
    "part": ("the whole part of", "is gone"),
    "limb": ("the thin part of", "is gone"),
    "hole": ("the hole of", "is filled"),
    "split": ("the part of", "falls into several"),
}


def lost_told(losses: Sequence[SimplerLoss]) -> Text:
    """What a simpler piece loses, by size and place.

    >>> bar = SimplerLoss(what="part", length_mm=31, across_mm=0.47, x_mm=35, y_mm=62)
    >>> lost_told([bar])
    'the whole part of 31 × 0.47 mm at 35, 62 mm is gone'
    >>> lost_told([])
    ''
    """
    told = []
    for loss in losses[:MOST_TOLD]:
        subject, fate = _WORDS[loss.what]
        told.append(
            f"{subject} {Quantity('length', (loss.length_mm, loss.across_mm), ' × ', 'g')} at "
            f"{show_spot(loss.x_mm, loss.y_mm)} {fate}"
        )
    if len(losses) > MOST_TOLD:
        told.append(f"{len(losses) - MOST_TOLD} more, in the cut list, are lost")
    return Text(", ".join(told))
