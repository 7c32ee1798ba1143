"""Leaving out: pieces of the artwork that are not to be cut, and what then shows instead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from advisor.artwork.piecing import visible_parts
from advisor.artwork.records import ArtworkError, Piece
from rules.errors import MOST_NAMED, nearest_names

__all__ = ["leaving_out"]


def leaving_out(pieces: Sequence[Piece], names: Sequence[str]) -> tuple[Piece, ...]:
    """The pieces that are left, bottom first; what lay under the others shows.

    Args:
        names: fills (``"#1b3a5c"``, all pieces of that colour) or pieces (``"fill-1b3a5c-2"``).

    Raises:
        ArtworkError: nothing would be left, or a name is none of the artwork's; the nearest are
            offered.

    >>> import shapely
    >>> base, sun = (shapely.MultiPolygon([shapely.box(0, 0, w, 4)]) for w in (9, 3))
    >>> below = base.difference(sun)
    >>> drawn = [Piece("fill-1b3a5c", "#1b3a5c", 1.0, base, shapely.MultiPolygon([below]), 0),
    ...          Piece("fill-f2c14e", "#f2c14e", 1.0, sun, sun, 1)]
    >>> [(piece.id, piece.visible.area) for piece in leaving_out(drawn, ["#f2c14e"])]
    [('fill-1b3a5c', 36.0)]
    """
    known = list(dict.fromkeys(name for piece in pieces for name in (piece.fill, piece.id)))
    for name in names:
        if name.lower() not in known:
            near = nearest_names(name, known) or known
            raise ArtworkError(
                f"the artwork has no fill or piece {name!r}; it has {', '.join(near[:MOST_NAMED])}",
                field="leave_out",
            )
    gone = {name.lower() for name in names}
    left = [piece for piece in pieces if not gone & {piece.fill, piece.id}]
    if not left:
        raise ArtworkError("leaves nothing of the artwork to press", field="leave_out")
    if len(left) == len(pieces):
        return tuple(pieces)
    shows = visible_parts([piece.shape for piece in left], [piece.opacity >= 1 for piece in left])
    return tuple(
        replace(piece, visible=visible, order=order)
        for order, (piece, visible) in enumerate(zip(left, shows, strict=True))
    )
