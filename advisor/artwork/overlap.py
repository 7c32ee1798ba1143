"""Which pieces lie over which: pairwise overlaps, touching edges and the deepest stacks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from advisor.artwork.records import Artwork, Overlap

__all__ = ["TOUCH_GAP_MM", "deepest_stacks", "is_real_overlap", "overlaps"]

# A gap or a sliver thinner than this cannot be cut, let alone be placed by hand: the two
# pieces meet at an edge (common practice, no source).
TOUCH_GAP_MM = 0.05
# Places smaller than either of these are not counted as a stack.
LEAST_PLACE_MM2 = 1.0
LEAST_PLACE_SHARE = 1e-4


def is_real_overlap(
    common: NDArray[np.object_], *, least_mm: float = TOUCH_GAP_MM
) -> NDArray[np.bool_]:
    """Tell which intersections are an overlap and which only a sliver along a shared edge.

    An area whose largest inscribed circle is narrower than ``least_mm`` is a sliver. As the
    inradius is at least area / perimeter, most areas are settled without an offset.

    Parameters
    ----------
    common : array of geometries, shape (n,)
    least_mm : float
        Least width of a real overlap.

    Examples
    --------
    >>> import numpy as np, shapely
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


def overlaps(artwork: Artwork) -> tuple[Overlap, ...]:
    """List every pair of pieces that lie over one another or touch.

    Returns
    -------
    tuple of Overlap
        In paint order of the lower piece, then of the upper one.

    Examples
    --------
    >>> from advisor.artwork.reader import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="20" height="10" fill="#1b3a5c"/>
    ...     <rect x="5" width="10" height="10" fill="#f2c14e"/>
    ...     <rect x="20" width="10" height="10" fill="#ffffff"/></svg>''')
    >>> for pair in overlaps(art):
    ...     print(pair.lower, pair.upper, round(pair.area_mm2, 6), pair.touching)
    fill-1b3a5c fill-f2c14e 100.0 False
    fill-1b3a5c fill-ffffff 0.0 True
    >>> from advisor.artwork.reader import Artwork
    >>> overlaps(Artwork(name="bare", width_mm=10, height_mm=10, pieces=()))
    ()
    """
    pieces = sorted(artwork.pieces, key=lambda piece: piece.order)
    if len(pieces) < 2:
        return ()
    shapes = np.array([piece.shape for piece in pieces], dtype=object)
    faces = _cut_into_faces(shapes)
    one, other = STRtree(shapes).query(shapes, predicate="dwithin", distance=TOUCH_GAP_MM)
    above = one < other
    lower, upper = one[above], other[above]
    by_rank = np.lexsort((upper, lower))
    lower, upper = lower[by_rank], upper[by_rank]
    shared = faces.shared_mm2()
    direct = faces.direct_mm2()
    real = (faces.wide_only().shared_mm2() > 0)[lower, upper]
    # Where others cut an overlap into slivers, the whole of it decides.
    unsure = np.flatnonzero(~real & (shared[lower, upper] > 0))
    if unsure.size:
        common = shapely.intersection(shapes[lower[unsure]], shapes[upper[unsure]])
        real[unsure] = is_real_overlap(common)
    between = _between(shapes, faces)
    found: list[Overlap] = []
    for under, over, counts in zip(lower.tolist(), upper.tolist(), real.tolist(), strict=True):
        middle = between.get((under, over), ()) if counts else ()
        area = float(shared[under, over]) if counts else 0.0
        found.append(
            Overlap(
                lower=pieces[under].id,
                upper=pieces[over].id,
                area_mm2=area,
                direct_mm2=float(direct[under, over]) if middle else area,
                between=tuple(pieces[rank].id for rank in middle),
                touching=not counts,
            )
        )
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Faces:
    """The smallest areas that all outlines cut the plane into, and which shapes hold each.

    Attributes
    ----------
    area_mm2 : array, shape (faces,)
    wide : array of bool, shape (faces,)
        False for slivers.
    holds : array of bool, shape (faces, shapes)
    """

    area_mm2: NDArray[np.float64]
    wide: NDArray[np.bool_]
    holds: NDArray[np.bool_]

    def wide_only(self) -> _Faces:
        return _Faces(self.area_mm2[self.wide], self.wide[self.wide], self.holds[self.wide])

    def shared_mm2(self) -> NDArray[np.float64]:
        """The area that each pair of shapes shares."""
        holds = self.holds.astype(np.float64)
        shared: NDArray[np.float64] = (holds * self.area_mm2[:, None]).T @ holds
        return shared

    def direct_mm2(self) -> NDArray[np.float64]:
        """The area where each pair lies one on the other with no shape between."""
        face, rank = np.nonzero(self.holds)
        next_up = np.flatnonzero(face[1:] == face[:-1])
        direct = np.zeros((self.holds.shape[1],) * 2)
        np.add.at(direct, (rank[next_up], rank[next_up + 1]), self.area_mm2[face[next_up]])
        return direct


def _cut_into_faces(shapes: NDArray[np.object_]) -> _Faces:
    """Cut the plane along all outlines, and look each face up by a place inside it."""
    lines: BaseGeometry = shapely.union_all(shapely.boundary(shapes))
    faces = np.array(shapely.get_parts(shapely.polygonize([lines])), dtype=object)
    shapely.prepare(shapes)
    face, rank = STRtree(shapes).query(shapely.point_on_surface(faces), predicate="within")
    holds = np.zeros((len(faces), len(shapes)), dtype=bool)
    holds[face, rank] = True
    return _Faces(shapely.area(faces), is_real_overlap(faces), holds)


def _between(shapes: NDArray[np.object_], faces: _Faces) -> dict[tuple[int, int], tuple[int, ...]]:
    """For each pair of ranks, the ranks that lie between the two somewhere in their overlap."""
    met = _between_masks(faces)
    sure = _between_masks(faces.wide_only())
    for pair, ranks in met.items():
        # Where others cut the place into slivers, the whole of it decides.
        for inner in _bits(ranks & ~sure.get(pair, 0)):
            common = shapely.intersection_all(shapes[[pair[0], inner, pair[1]]])
            if is_real_overlap(np.array([common], dtype=object))[0]:
                sure[pair] = sure.get(pair, 0) | 1 << inner
    return {pair: tuple(_bits(ranks)) for pair, ranks in sure.items()}


def _between_masks(faces: _Faces) -> dict[tuple[int, int], int]:
    """For each pair of ranks that shares a face, the ranks between as the bits of a number."""
    masks: dict[tuple[int, int], int] = {}
    # Packed in bits, equal stacks are found faster.
    for packed in np.unique(np.packbits(faces.holds, axis=1), axis=0):
        stack = np.flatnonzero(np.unpackbits(packed)).tolist()
        for at, lower in enumerate(stack):
            inner = 0
            for upper in stack[at + 1 :]:
                if inner:
                    masks[lower, upper] = masks.get((lower, upper), 0) | inner
                inner |= 1 << upper
    return masks


def _bits(mask: int) -> list[int]:
    """The places of the bits that are set, lowest first."""
    return [place for place in range(mask.bit_length()) if mask >> place & 1]


def deepest_stacks(artwork: Artwork) -> tuple[tuple[str, ...], ...]:
    """List the distinct stacks of pieces that lie over one another at one place.

    Only stacks that are not part of a deeper one are listed. A place counts when it is at least
    1 mm² or at least 0.01 % of the artboard, so that a small artwork is judged as well.

    Returns
    -------
    tuple of tuple of str
        Piece ids, bottom first; deepest stack first, then in paint order.

    Examples
    --------
    >>> from advisor.artwork.reader import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="20" height="10" fill="#1b3a5c"/>
    ...     <rect x="5" width="10" height="10" fill="#f2c14e"/>
    ...     <rect x="22" width="8" height="10" fill="#ffffff"/></svg>''')
    >>> deepest_stacks(art)
    (('fill-1b3a5c', 'fill-f2c14e'), ('fill-ffffff',))
    """
    pieces = sorted(artwork.pieces, key=lambda piece: piece.order)
    if not pieces:
        return ()
    # Slivers along edges that nearly coincide are no place to press anything.
    faces = _cut_into_faces(np.array([piece.shape for piece in pieces], dtype=object)).wide_only()
    place_mm2: dict[tuple[int, ...], float] = {}
    for held, area in zip(faces.holds, faces.area_mm2.tolist(), strict=True):
        stack = tuple(np.flatnonzero(held).tolist())
        if stack:
            place_mm2[stack] = place_mm2.get(stack, 0.0) + area
    least = min(LEAST_PLACE_MM2, LEAST_PLACE_SHARE * artwork.width_mm * artwork.height_mm)
    counted = sorted(
        (stack for stack, area in place_mm2.items() if area >= least),
        key=lambda stack: (-len(stack), stack),
    )
    deepest: list[tuple[int, ...]] = []
    for stack in counted:
        if not any(set(stack) < set(deeper) for deeper in deepest):
            deepest.append(stack)
    return tuple(tuple(pieces[rank].id for rank in stack) for stack in deepest)
