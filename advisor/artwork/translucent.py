"""Translucent: shapes that let through what lies under them, which no opaque film does."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.overlay import is_real_overlap
from advisor.artwork.piecing import Paint, areas_only, as_pieces, visible_parts
from advisor.artwork.records import Piece
from rules.book.drawn.faint_overlay import HALF
from rules.facts.subjects import AsDrawn

__all__ = ["mixed", "without_overlays"]


def without_overlays(pieces: Sequence[Piece]) -> tuple[tuple[Piece, ...], tuple[AsDrawn, ...]]:
    """The pieces that a film can be, and what is said of those that let others through.

    What is fainter than half, and what lies over several pieces that all shine through, would hide
    them as a film: it is left out, unless nothing else is drawn. What covers one piece, or the
    garment, is pressed as it is.

    >>> face, shade = (shapely.MultiPolygon([shapely.box(0, 0, w, 4)]) for w in (9, 3))
    >>> drawn = [Piece("face", "#f2c14e", 1.0, face, face, 0),
    ...          Piece("shade", "#000000", 0.3, shade, shade, 1)]
    >>> [piece.id for piece in without_overlays(drawn)[0]]
    ['face']
    """
    kept: list[Piece] = []
    said: list[AsDrawn] = []
    for piece in pieces:
        if piece.opacity >= 1:
            kept.append(piece)
            continue
        under = [other for other in kept if _overlap(piece.shape, other.visible)]
        pressed = piece.opacity >= HALF and len({other.fill for other in under}) < 2
        over = tuple(other.id for other in under)
        said.append(AsDrawn(piece.id, piece.opacity, over=over, pressed=pressed))
        if pressed:
            kept.append(piece)
    if not kept:
        return tuple(pieces), tuple(replace(one, pressed=True) for one in said)
    return tuple(kept), tuple(said)


def mixed(pieces: Sequence[Piece]) -> tuple[Piece, ...]:
    """The pieces with each translucent one as the colours that the eye sees there.

    Colours mix by share in coded sRGB, as a browser lays them. Beyond all other pieces, where the
    garment would shine through, only what is at least half opaque stays, in its own colour.

    >>> face, shade = (shapely.MultiPolygon([shapely.box(0, 0, w, 4)]) for w in (9, 3))
    >>> drawn = [Piece("fill-ffffff", "#ffffff", 1.0, face, face, 0),
    ...          Piece("fill-000000", "#000000", 0.2, shade, shade, 1)]
    >>> [piece.id for piece in mixed(drawn)]
    ['fill-ffffff', 'fill-cccccc']
    """
    if all(piece.opacity >= 1 for piece in pieces):
        return tuple(pieces)
    paints: list[Paint] = []
    for piece in pieces:
        if piece.opacity >= 1:
            paints.append(Paint(piece.fill, 1.0, piece.shape))
            continue
        below = list(paints)
        shows = visible_parts([areas_only(one.area) for one in below], [True] * len(below))
        for one, visible in zip(below, shows, strict=True):
            if not _overlap(piece.shape, visible):
                continue
            area = areas_only(shapely.intersection(piece.shape, visible))
            paints.append(Paint(_mix(piece.fill, one.fill, piece.opacity), 1.0, area))
            if not _real(shapely.difference(visible, piece.shape)):
                paints.remove(one)
        bare: BaseGeometry = piece.shape
        if below:
            bare = shapely.difference(bare, shapely.union_all([one.area for one in below]))
        if piece.opacity >= HALF and _real(bare):
            paints.append(Paint(piece.fill, 1.0, areas_only(bare)))
    return as_pieces(paints)


def _overlap(one: BaseGeometry, other: BaseGeometry) -> bool:
    return bool(shapely.intersects(one, other)) and _real(shapely.intersection(one, other))


def _real(area: BaseGeometry) -> bool:
    return bool(is_real_overlap(np.array([areas_only(area)], dtype=object))[0])


def _mix(over: str, under: str, share: float) -> str:
    levels = (
        round(share * int(over[i : i + 2], 16) + (1 - share) * int(under[i : i + 2], 16))
        for i in (1, 3, 5)
    )
    return "#" + "".join(f"{level:02x}" for level in levels)
