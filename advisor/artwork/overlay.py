"""Overlay: where the pieces of an artwork lie over one another, measured on their shapes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.overlap import is_real_overlap
from advisor.artwork.reader import Artwork, overlaps
from advisor.job.records.print import EVERY_WAY, Meeting, Place
from rules.facts.step import Meets

__all__ = ["artwork_pairs", "artwork_places", "close_pairs", "open_ways"]


def artwork_pairs(artwork: Artwork) -> tuple[Meeting, ...]:
    """Every two pieces that overlap or touch, with the ways in which they may meet.

    Pieces that overlap only under a third one stay whole (a lap); pieces that share an edge may
    butt, or be trapped with a rim over or under. Which of these the films bear is not asked here.

    >>> from advisor.artwork.reader import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="20" height="10" fill="#1b3a5c"/>
    ...     <rect x="5" width="10" height="10" fill="#f2c14e"/></svg>''')
    >>> [(m.lower, m.upper, m.ways) for m in artwork_pairs(art)]
    [('fill-1b3a5c', 'fill-f2c14e', ('lap', 'inset-under', 'inset-over', 'butt'))]
    """
    found = []
    for overlap in overlaps(artwork):
        hidden = not overlap.touching and overlap.direct_mm2 < 0.01 * overlap.area_mm2
        meeting = Meeting(
            upper=overlap.upper,
            lower=overlap.lower,
            area_mm2=overlap.area_mm2,
            touching=overlap.touching,
            hidden=hidden,
            ways=EVERY_WAY,
        )
        found.append(replace(meeting, ways=open_ways(meeting)))
    return tuple(found)


def artwork_places(artwork: Artwork) -> tuple[Place, ...]:
    """The distinct stacks of pieces over the artwork, deepest first, each with its area.

    Slivers narrower than hands can register are left out.

    >>> from advisor.artwork.reader import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="20" height="10" fill="#1b3a5c"/>
    ...     <rect x="5" width="10" height="10" fill="#f2c14e"/></svg>''')
    >>> [(place.stack, round(place.area_mm2)) for place in artwork_places(art)]
    [(('fill-1b3a5c', 'fill-f2c14e'), 100), (('fill-1b3a5c',), 100)]
    """
    cells: list[tuple[tuple[str, ...], BaseGeometry]] = []
    for piece in sorted(artwork.pieces, key=lambda piece: piece.order):
        shape: BaseGeometry = piece.shape
        geometries = np.array([cell[1] for cell in cells], dtype=object)
        common = shapely.intersection(geometries, shape)
        real = is_real_overlap(common) if len(cells) else np.zeros(0, dtype=bool)
        split: list[tuple[tuple[str, ...], BaseGeometry]] = []
        bare = shape
        for (stack, geometry), shared, meets in zip(cells, common, real, strict=True):
            if not meets:
                split.append((stack, geometry))
                continue
            split.append(((*stack, piece.id), shared))
            left = geometry.difference(shape)
            if is_real_overlap(np.array([left], dtype=object))[0]:
                split.append((stack, left))
        if cells:
            bare = shape.difference(shapely.union_all(geometries[real]))
        if is_real_overlap(np.array([bare], dtype=object))[0]:
            split.append(((piece.id,), bare))
        cells = split
    areas: dict[tuple[str, ...], float] = {}
    for stack, geometry in cells:
        areas[stack] = areas.get(stack, 0.0) + geometry.area
    deepest_first = sorted(areas, key=lambda stack: (-len(stack), stack))
    return tuple(Place(stack, areas[stack]) for stack in deepest_first)


def open_ways(meeting: Meeting) -> tuple[Meets, ...]:
    """The ways that the artwork leaves open, whatever was wished.

    Pieces that overlap only under a third one stay whole, and so does a piece that shows nowhere:
    knocked out, nothing of it would be left.

    >>> open_ways(Meeting("word", "sea", 9.0, touching=True, hidden=False, ways=("butt",)))
    ('butt', 'inset-over', 'inset-under')
    """
    if meeting.hidden or (meeting.covered and not meeting.touching):
        return ("lap",)
    if meeting.touching:
        return ("butt", "inset-over", "inset-under")
    return EVERY_WAY


def close_pairs(artwork: Artwork, *, margin_mm: float) -> frozenset[frozenset[str]]:
    """Which pieces are too close for their carriers to be trimmed apart.

    Each carrier is trimmed ``margin_mm`` outside its piece; its windows are not cut out, since a
    carrier is trimmed with scissors from the outside.

    >>> from advisor.artwork.reader import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="10" height="10" fill="#1b3a5c"/>
    ...     <rect x="20" width="10" height="10" fill="#f2c14e"/></svg>''')
    >>> close_pairs(art, margin_mm=3), len(close_pairs(art, margin_mm=6))
    (frozenset(), 1)
    """
    if len(artwork.pieces) < 2:
        return frozenset()
    outlines = np.array(
        [
            shapely.union_all([shapely.Polygon(part.exterior) for part in piece.shape.geoms])
            for piece in artwork.pieces
        ],
        dtype=object,
    )
    one, other = shapely.STRtree(outlines).query(
        outlines, predicate="dwithin", distance=2 * margin_mm
    )
    return frozenset(
        frozenset((artwork.pieces[i].id, artwork.pieces[j].id))
        for i, j in zip(one, other, strict=True)
        if i < j
    )
