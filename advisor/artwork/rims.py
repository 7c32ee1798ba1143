"""Rims: how wide a piece shows along the edge of another that is laid over it."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.closing import SEEN_FROM_MM, opened
from advisor.artwork.overlay import TOUCH_GAP_MM
from advisor.artwork.piecing import areas_only
from advisor.artwork.records import Artwork, Piece
from advisor.job.records.print import NAMES_PIECE, Meeting, Pair
from rules.book.colour_difference import ALIKE_BELOW_DELTA_E, colour_difference

__all__ = ["thin_rims"]

MOSTLY = 0.5
"""A rim is thin where it is so along more than this share of the edge: what only tapers off looks
as it should wherever it ends. Generic."""


DRAWN_FROM_MM = 0.1
"""A rim finer than this, mm, is two edges that were meant to be one. Generic."""


def thin_rims(
    artwork: Artwork, meetings: Sequence[Meeting], *, below_mm: float
) -> dict[Pair, float]:
    """How wide the lower piece shows along the upper one, mm, where that is less than a width.

    A rim ends at the edge of its own piece, or at a third piece. A slot in the upper piece is no
    rim: both its edges are cut from one film. Nor is what the eye does not tell from the upper one.

    Args:
        below_mm: rims at least so wide are passed over, mm.

    >>> from advisor.artwork.overlay import artwork_pairs
    >>> from advisor.artwork.reader import read_artwork
    >>> ring = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm"
    ...     viewBox="0 0 40 40"><circle cx="20" cy="20" r="20" fill="#1b2a49"/>
    ...     <circle cx="20" cy="20" r="19.8" fill="#d4a017"/></svg>''')
    >>> found = thin_rims(ring, artwork_pairs(ring), below_mm=0.5)
    >>> {pair: round(mm, 1) for pair, mm in found.items()}
    {('fill-d4a017', 'fill-1b2a49'): 0.2}
    """
    pieces = {piece.id: piece for piece in artwork.pieces}
    thin: dict[str, BaseGeometry] = {}
    found: dict[Pair, float] = {}
    for meeting in meetings:
        if meeting.touching or not meeting.seen or meeting.upper == NAMES_PIECE:
            continue
        lower, upper = pieces[meeting.lower], pieces[meeting.upper]
        if colour_difference(lower.fill, upper.fill) < ALIKE_BELOW_DELTA_E:
            continue
        if lower.id not in thin:
            thin[lower.id] = _thin(lower, below_mm)
        width_mm = _rim_mm(thin[lower.id], lower, upper, below_mm)
        if width_mm is not None:
            found[meeting.pair] = width_mm
    return found


def _thin(piece: Piece, below_mm: float) -> BaseGeometry:
    # Corners, which an opening rounds off, stay with the rest.
    rest = shapely.buffer(opened(piece.visible, below_mm), below_mm / 4, quad_segs=2)
    return areas_only(shapely.difference(piece.visible, rest))


def _rim_mm(thin: BaseGeometry, lower: Piece, upper: Piece, below_mm: float) -> float | None:
    """The mean width of a rim, where most of what shows along the upper piece is thin."""
    if thin.is_empty or not shapely.dwithin(thin, upper.shape, TOUCH_GAP_MM):
        return None
    edge = _beside(shapely.boundary(upper.shape), lower.visible)
    thinly = _beside(edge, thin)
    if thinly.length < max(MOSTLY * edge.length, SEEN_FROM_MM):
        return None
    rim = areas_only(shapely.intersection(thin, shapely.buffer(thinly, below_mm, quad_segs=2)))
    far = shapely.difference(
        shapely.boundary(rim), shapely.buffer(upper.shape, TOUCH_GAP_MM, quad_segs=2)
    )
    slot = far.length < MOSTLY * thinly.length
    width_mm = float(rim.area / thinly.length)
    return None if slot or width_mm < DRAWN_FROM_MM else width_mm


def _beside(line: BaseGeometry, area: BaseGeometry) -> BaseGeometry:
    """The stretches of a line that run along an area."""
    along = shapely.intersection(line, shapely.buffer(area, TOUCH_GAP_MM / 2, quad_segs=1))
    parts = shapely.get_parts(along)
    # Where they only touch in a point, nothing runs along.
    return shapely.MultiLineString(
        parts[(shapely.get_type_id(parts) == 1) & ~shapely.is_empty(parts)].tolist()
    )
