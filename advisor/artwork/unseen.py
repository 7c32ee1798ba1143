"""Unseen: pieces that lie wholly under others, which nobody will see."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from advisor.artwork.overlay import is_real_overlap
from advisor.artwork.records import Piece
from rules.facts.subjects import AsDrawn

__all__ = ["without_unseen"]


def without_unseen(
    pieces: Sequence[Piece], *, wanted: Callable[[str], bool]
) -> tuple[tuple[Piece, ...], tuple[AsDrawn, ...]]:
    """The pieces that the eye sees, and what is said of the others.

    Args:
        wanted: whether the job gives a fill a look of its own. Where no piece of that fill shows,
            it can only be meant to lie under the others, and is pressed.
    """
    shapes = np.array([piece.visible for piece in pieces], dtype=object)
    whole = np.array([piece.shape for piece in pieces], dtype=object)
    # What is too fine to press is not hidden for that: its fineness is what is to be told of it.
    seen = (
        is_real_overlap(shapes) | (shapely.area(shapes) > shapely.area(whole) / 2)
        if len(pieces)
        else shapes
    )
    shown = {piece.fill for piece, shows in zip(pieces, seen, strict=True) if shows}
    kept: list[Piece] = []
    said: list[AsDrawn] = []
    for piece, shows in zip(pieces, seen, strict=True):
        pressed = bool(shows) or (wanted(piece.fill) and piece.fill not in shown)
        if pressed:
            kept.append(piece)
        if not shows:
            said.append(AsDrawn(piece.id, piece.opacity, seen=False, pressed=pressed))
    return tuple(kept), tuple(said)
