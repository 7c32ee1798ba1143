"""Which pieces lie over which: pairwise overlaps, touching edges and the deepest stacks."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from advisor.artwork_model import Artwork, Overlap

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
    >>> from advisor.artwork import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="20" height="10" fill="#1b3a5c"/>
    ...     <rect x="5" width="10" height="10" fill="#f2c14e"/>
    ...     <rect x="20" width="10" height="10" fill="#ffffff"/></svg>''')
    >>> for pair in overlaps(art):
    ...     print(pair.lower, pair.upper, round(pair.area_mm2, 6), pair.touching)
    fill-1b3a5c fill-f2c14e 100.0 False
    fill-1b3a5c fill-ffffff 0.0 True
    >>> from advisor.artwork import Artwork
    >>> overlaps(Artwork(name="bare", width_mm=10, height_mm=10, pieces=()))
    ()
    """
    pieces = sorted(artwork.pieces, key=lambda piece: piece.order)
    if len(pieces) < 2:
        return ()
    shapes = np.array([piece.shape for piece in pieces], dtype=object)
    shapely.prepare(shapes)
    tree = STRtree(shapes)
    one, other = tree.query(shapes, predicate="dwithin", distance=TOUCH_GAP_MM)
    above = one < other
    lower, upper = one[above], other[above]
    by_rank = np.lexsort((upper, lower))
    lower, upper = lower[by_rank], upper[by_rank]
    common = shapes[upper].copy()
    partly = np.flatnonzero(~shapely.contains_properly(shapes[lower], shapes[upper]))
    common[partly] = shapely.intersection(shapes[lower[partly]], shapes[upper[partly]])
    real = is_real_overlap(common)
    area = np.where(real, shapely.area(common), 0.0)
    between = _between(tree, common, lower, upper, real)
    found: list[Overlap] = []
    for at in range(len(lower)):
        middle = between.get(at, ())
        direct = float(area[at])
        if middle:
            cover = shapely.union_all(shapes[list(middle)])
            direct = float(shapely.difference(common[at], cover).area)
        found.append(
            Overlap(
                lower=pieces[lower[at]].id,
                upper=pieces[upper[at]].id,
                area_mm2=float(area[at]),
                direct_mm2=direct,
                between=tuple(pieces[rank].id for rank in middle),
                touching=not bool(real[at]),
            )
        )
    return tuple(found)


def _between(
    tree: STRtree,
    common: NDArray[np.object_],
    lower: NDArray[np.intp],
    upper: NDArray[np.intp],
    real: NDArray[np.bool_],
) -> dict[int, tuple[int, ...]]:
    """For each real overlap, the ranks of the pieces that lie between the two in it."""
    places = np.flatnonzero(real)
    pair, rank = tree.query(common[places], predicate="intersects")
    pair = places[pair]
    inside = (rank > lower[pair]) & (rank < upper[pair])
    pair, rank = pair[inside], rank[inside]
    if not pair.size:
        return {}
    truly = is_real_overlap(shapely.intersection(common[pair], tree.geometries[rank]))
    middle: dict[int, list[int]] = {}
    for at, between in zip(pair[truly], rank[truly], strict=True):
        middle.setdefault(int(at), []).append(int(between))
    return {at: tuple(sorted(ranks)) for at, ranks in middle.items()}


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
    >>> from advisor.artwork import read_artwork
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
    shapes = np.array([piece.shape for piece in pieces], dtype=object)
    faces = _faces(shapes)
    # Slivers along edges that nearly coincide are no place to press anything.
    faces = faces[is_real_overlap(faces)]
    shapely.prepare(shapes)
    face, rank = STRtree(shapes).query(shapely.point_on_surface(faces), predicate="within")
    members: dict[int, list[int]] = {}
    for at, piece in zip(face, rank, strict=True):
        members.setdefault(int(at), []).append(int(piece))
    face_area = shapely.area(faces)
    place_mm2: dict[tuple[int, ...], float] = {}
    for at, ranks in members.items():
        stack = tuple(sorted(ranks))
        place_mm2[stack] = place_mm2.get(stack, 0.0) + float(face_area[at])
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


def _faces(shapes: NDArray[np.object_]) -> NDArray[np.object_]:
    """The smallest areas that the outlines of all shapes cut the plane into."""
    lines: BaseGeometry = shapely.union_all(shapely.boundary(shapes))
    return np.array(shapely.get_parts(shapely.polygonize([lines])), dtype=object)
