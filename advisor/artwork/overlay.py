"""Overlay: where the pieces of an artwork lie over one another, measured on their shapes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from advisor.artwork.records import Artwork, Overlap
from advisor.job.records.print import EVERY_WAY, Meeting, Place

__all__ = [
    "TOUCH_GAP_MM",
    "artwork_pairs",
    "artwork_places",
    "close_pairs",
    "faces_of",
    "is_real_overlap",
    "overlaps",
]

# A gap or a sliver thinner than this cannot be cut, let alone be placed by hand: the two
# pieces meet at an edge (common practice, no source).
TOUCH_GAP_MM = 0.05


SEEN_EDGE_MM = 1.0
"""Two colours that meet along less than this meet in a point to the eye. Generic."""


def artwork_pairs(artwork: Artwork, *, faces: Faces | None = None) -> tuple[Meeting, ...]:
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
    visible = {piece.id: piece.visible for piece in artwork.pieces}
    for overlap in overlaps(artwork, faces=faces):
        hidden = not (overlap.touching or overlap.direct)
        meeting = Meeting(
            upper=overlap.upper,
            lower=overlap.lower,
            area_mm2=overlap.area_mm2,
            touching=overlap.touching,
            hidden=hidden,
            ways=EVERY_WAY,
            seen=not hidden and _side_by_side(visible[overlap.upper], visible[overlap.lower]),
        )
        found.append(replace(meeting, ways=meeting.open_ways))
    return tuple(found)


def artwork_places(artwork: Artwork, *, faces: Faces | None = None) -> tuple[Place, ...]:
    """The distinct stacks of pieces over the artwork, deepest first, each with its area.

    Stacks that are nowhere wider than hands can register are left out; but a piece, or a pair that
    overlaps, that others cut into such slivers alone lies somewhere all the same.

    >>> from advisor.artwork.reader import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="20" height="10" fill="#1b3a5c"/>
    ...     <rect x="5" width="10" height="10" fill="#f2c14e"/></svg>''')
    >>> [(place.stack, round(place.area_mm2)) for place in artwork_places(art)]
    [(('fill-1b3a5c', 'fill-f2c14e'), 100), (('fill-1b3a5c',), 100)]
    """
    pieces = sorted(artwork.pieces, key=lambda piece: piece.order)
    if not pieces:
        return ()
    faces = faces or faces_of(artwork)
    places = (
        Place(tuple(pieces[rank].id for rank in ranks), area_mm2)
        for ranks, area_mm2 in faces.stacks.items()
    )
    return tuple(sorted(places, key=lambda place: (-len(place.stack), place.stack)))


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
            # Left apart, as the nearest two count: outlines that nearly cross may not unite.
            shapely.MultiPolygon([shapely.Polygon(part.exterior) for part in piece.shape.geoms])
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


def overlaps(artwork: Artwork, *, faces: Faces | None = None) -> tuple[Overlap, ...]:
    """List every pair of pieces that lie over one another or touch.

    They come in paint order of the lower piece, then of the upper one.

    >>> from advisor.artwork.reader import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="20" height="10" fill="#1b3a5c"/>
    ...     <rect x="5" width="10" height="10" fill="#f2c14e"/>
    ...     <rect x="20" width="10" height="10" fill="#ffffff"/></svg>''')
    >>> for pair in overlaps(art):
    ...     print(pair.lower, pair.upper, round(pair.area_mm2, 6), pair.touching)
    fill-1b3a5c fill-f2c14e 100.0 False
    fill-1b3a5c fill-ffffff 0.0 True
    >>> overlaps(Artwork(name="bare", width_mm=10, height_mm=10, pieces=()))
    ()
    """
    pieces = sorted(artwork.pieces, key=lambda piece: piece.order)
    if len(pieces) < 2:
        return ()
    shapes = np.array([piece.shape for piece in pieces], dtype=object)
    faces = faces or faces_of(artwork)
    one, other = STRtree(shapes).query(shapes, predicate="dwithin", distance=TOUCH_GAP_MM)
    above = one < other
    lower, upper = one[above], other[above]
    by_rank = np.lexsort((upper, lower))
    lower, upper = lower[by_rank], upper[by_rank]
    shared = faces.shared_mm2()
    direct = {pair for stack in faces.stacks for pair in pairwise(stack)}
    real = faces.real[lower, upper]
    return tuple(
        Overlap(
            lower=pieces[under].id,
            upper=pieces[over].id,
            area_mm2=float(shared[under, over]) if counts else 0.0,
            direct=counts and (under, over) in direct,
            touching=not counts,
        )
        for under, over, counts in zip(lower.tolist(), upper.tolist(), real.tolist(), strict=True)
        # Two that meet in a point share no edge that could be trapped, or that anyone sees.
        if counts or _share_an_edge(shapes[over], shapes[under])
    )


def _side_by_side(upper: BaseGeometry, lower: BaseGeometry) -> bool:
    """Whether what shows of two pieces shares an edge that the eye follows."""
    if upper.is_empty or not shapely.dwithin(upper, lower, TOUCH_GAP_MM):
        return False
    return _share_an_edge(upper, lower)


def _share_an_edge(upper: BaseGeometry, lower: BaseGeometry) -> bool:
    """Whether two shapes that touch do so along an edge, and not in a point."""
    beside = shapely.intersection(
        shapely.boundary(upper), shapely.buffer(lower, TOUCH_GAP_MM, quad_segs=2)
    )
    return bool(beside.length >= SEEN_EDGE_MM)


def is_real_overlap(
    common: NDArray[np.object_], *, least_mm: float = TOUCH_GAP_MM
) -> NDArray[np.bool_]:
    """Tell which intersections are an overlap and which only a sliver along a shared edge.

    An area whose largest inscribed circle is narrower than ``least_mm`` is a sliver. As the
    inradius is at least area / perimeter, most areas are settled without an offset.

    >>> is_real_overlap(np.array([shapely.box(0, 0, 9, 0.01), shapely.box(0, 0, 9, 1)]))
    array([False,  True])
    """
    area = shapely.area(common)
    perimeter = shapely.length(common)
    real: NDArray[np.bool_] = area > perimeter * (least_mm / 2)
    unsure = np.flatnonzero(~real & (area > 0))
    if unsure.size:
        cores = shapely.buffer(common[unsure], -least_mm / 2, quad_segs=2)
        real[unsure] = ~shapely.is_empty(cores)
    return real


@dataclass(frozen=True)
class Faces:
    """The smallest areas that all outlines cut the plane into, and which shapes hold each.

    Attributes:
        wide: shape (faces,); false for slivers.
        holds: shape (faces, shapes).
        real: shape (shapes, shapes); whether two overlap by more than slivers. Where others cut
            an overlap into slivers, the whole of it decides.
    """

    area_mm2: NDArray[np.float64]
    wide: NDArray[np.bool_]
    holds: NDArray[np.bool_]
    real: NDArray[np.bool_]

    def lying_only_in_slivers(self) -> list[list[int]]:
        """For each shape, or two that really overlap, that lie in no wide face: what lies there."""
        wide = self.holds[self.wide]
        found = []
        lone = [[rank] for rank in np.flatnonzero(~wide.any(axis=0)).tolist()]
        together = _counted_together(wide)
        for among in (*np.argwhere(np.triu(self.real & (together == 0), 1)).tolist(), *lone):
            faces = np.flatnonzero(self.holds[:, among].all(axis=1))
            largest = faces[np.argsort(-self.area_mm2[faces])][:1]
            for rank in np.flatnonzero(self.holds[largest].any(axis=0)).tolist():
                if rank not in among and self.real[rank, among].all():
                    among.append(rank)
            found.append(sorted(among))
        return found

    def shared_mm2(self) -> NDArray[np.float64]:
        """The area that each pair of shapes shares."""
        return _counted_together(self.holds, self.area_mm2)

    @cached_property
    def stacks(self) -> dict[tuple[int, ...], float]:
        """What lies over one another, bottom first, with the area, wherever it is wide enough."""
        areas: dict[tuple[int, ...], float] = {}
        found: dict[tuple[int, ...], float] = {}
        for holds, area_mm2, wide in zip(self.holds, self.area_mm2, self.wide, strict=True):
            stack = tuple(np.flatnonzero(holds).tolist())
            areas[stack] = areas.get(stack, 0.0) + float(area_mm2)
            if wide and stack:
                found[stack] = 0.0
        found |= {stack: areas[stack] for stack in found}
        for among in self.lying_only_in_slivers():
            within = self.holds[:, among].all(axis=1)
            found[tuple(among)] = areas.get(tuple(among)) or float(self.area_mm2[within].sum())
        return found


def faces_of(artwork: Artwork) -> Faces:
    """Cut the plane along all outlines, and look each face up by a place inside it.

    The shapes are the pieces in paint order.
    """
    pieces = sorted(artwork.pieces, key=lambda piece: piece.order)
    shapes = np.array([piece.shape for piece in pieces], dtype=object)
    lines: BaseGeometry = shapely.union_all(shapely.boundary(shapes))
    faces = np.array(shapely.get_parts(shapely.polygonize([lines])), dtype=object)
    shapely.prepare(shapes)
    face, rank = STRtree(shapes).query(shapely.point_on_surface(faces), predicate="within")
    holds = np.zeros((len(faces), len(shapes)), dtype=bool)
    holds[face, rank] = True
    wide = is_real_overlap(faces)
    real = _counted_together(holds[wide]) > 0
    unsure = np.argwhere(np.triu(~real & (_counted_together(holds) > 0), 1))
    if unsure.size:
        common = shapely.intersection(shapes[unsure[:, 0]], shapes[unsure[:, 1]])
        real[unsure[:, 0], unsure[:, 1]] = is_real_overlap(common)
    return Faces(shapely.area(faces), wide, holds, real | real.T)


def _counted_together(
    holds: NDArray[np.bool_], counts: NDArray[np.float64] | float = 1.0
) -> NDArray[np.float64]:
    """How often, or how much, each two shapes lie in the same face."""
    held = holds.astype(np.float64)
    weights = np.broadcast_to(counts, len(held))
    together: NDArray[np.float64] = (held * weights[:, None]).T @ held
    return together
