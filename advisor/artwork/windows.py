"""Windows: pieces of one look that lie over one another are one piece, seen through windows."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.geometry.base import BaseGeometry

from advisor.artwork.fineness import thin_places
from advisor.artwork.overlay import TOUCH_GAP_MM, is_real_overlap
from advisor.artwork.piecing import areas_only, visible_parts
from advisor.artwork.records import Piece

__all__ = ["WINDOW_FROM_MM", "Join", "joined"]

WINDOW_FROM_MM = 1.5
"""The narrowest window, and the narrowest rim beside one, that everyday films weed and hold, mm.
Common practice, no source."""

Alike = Callable[[Piece, Piece], bool]


@dataclass(frozen=True, slots=True)
class Join:
    """An upper piece that is one with a lower one.

    Attributes:
        windows: the pieces between, in whose windows it is seen.
    """

    upper: Piece
    lower: Piece
    windows: tuple[Piece, ...]

    @property
    def sentence(self) -> str:
        """What is said of it."""
        one = f"{self.upper.id} is one piece with {self.lower.id}"
        names = " and in ".join(piece.id for piece in self.windows)
        return f"{one}, seen through a window in {names}" if names else one


def joined(
    pieces: Sequence[Piece], *, alike: Alike, kept_apart: Alike, least_mm: float = WINDOW_FROM_MM
) -> tuple[tuple[Piece, ...], tuple[Join, ...]]:
    """The pieces with those of one look that meet as one piece, and what was joined.

    Where a piece of another look lies between, it gets a window: gold on navy on gold is one gold
    under a navy with a window. A window opens only over the piece that is to be seen in it, so
    that nothing has to be laid to a line, and only where it and the rims beside it are wide enough.

    Args:
        alike: whether an upper and a lower piece share a look.
        kept_apart: whether an upper piece is to lie on a lower one, whatever else.
        least_mm: the narrowest window and rim at the scale of the pieces, mm.

    >>> gold, navy, name = (MultiPolygon([shapely.box(20 - w, 20 - w, 20 + w, 20 + w)])
    ...                     for w in (20, 15, 5))
    >>> drawn = [Piece("fill-d4a017", "#d4a017", 1.0, gold, gold, 0),
    ...          Piece("fill-1b2a49", "#1b2a49", 1.0, navy, navy, 1),
    ...          Piece("fill-d4a017-2", "#d4a017", 1.0, name, name, 2)]
    >>> made, said = joined(drawn, alike=lambda one, other: one.fill == other.fill,
    ...                     kept_apart=lambda one, other: False)
    >>> [(piece.id, piece.shape.area) for piece in made], said[0].sentence
    ([('fill-d4a017', 1600.0), ('fill-1b2a49', 800.0)], 'fill-d4a017-2 is one piece with
    fill-d4a017, seen through a window in fill-1b2a49')
    """
    left, said = list(pieces), list[Join]()
    at = 1
    while at < len(left):
        found = next(
            (
                (lower, windows)
                for lower in range(at - 1, -1, -1)
                if alike(left[at], left[lower])
                and (windows := _windows(left, at, lower, kept_apart, least_mm)) is not None
            ),
            None,
        )
        if found is None:
            at += 1
            continue
        lower, windows = found
        said.append(Join(left[at], left[lower], tuple(left[n] for n in windows)))
        left = _joined(left, at, lower, windows)
    if not said:
        return tuple(pieces), ()
    shows = visible_parts([piece.shape for piece in left], [piece.opacity >= 1 for piece in left])
    return tuple(
        replace(piece, visible=visible, order=order)
        for order, (piece, visible) in enumerate(zip(left, shows, strict=True))
    ), tuple(said)


def _windows(
    pieces: Sequence[Piece], upper: int, lower: int, kept_apart: Alike, least_mm: float
) -> dict[int, MultiPolygon] | None:
    """The pieces between two, each with a window for the upper one; ``None`` where that fails."""
    over, under = pieces[upper], pieces[lower]
    between = [n for n in range(lower + 1, upper) if _is_real(pieces[n].shape, over.shape)]
    meet = shapely.dwithin(over.shape, under.shape, TOUCH_GAP_MM)
    if not meet or any(pieces[n].opacity < 1 for n in (*between, upper, lower)):
        return None
    if kept_apart(over, under) or any(kept_apart(over, pieces[n]) for n in between):
        return None
    if not between:
        return {}
    lying = shapely.union_all([pieces[n].shape for n in between])
    window = areas_only(shapely.intersection(over.shape, lying))
    beyond = areas_only(shapely.difference(window, under.shape))
    if is_real_overlap(np.array([beyond], dtype=object))[0] or _has_thin(window, least_mm):
        return None
    cut = {n: areas_only(shapely.difference(pieces[n].shape, over.shape)) for n in between}
    for n, shape in cut.items():
        made_thin = thin_places(shape, least_mm=least_mm)
        drawn_thin = shapely.buffer(thin_places(pieces[n].shape, least_mm=least_mm), least_mm / 4)
        if _is_real_area(shapely.difference(made_thin, drawn_thin)):
            return None
    return cut


def _joined(
    pieces: Sequence[Piece], upper: int, lower: int, windows: dict[int, MultiPolygon]
) -> list[Piece]:
    whole = areas_only(shapely.union(pieces[lower].shape, pieces[upper].shape))
    changed = {**windows, lower: whole}
    return [
        replace(piece, shape=changed.get(n, piece.shape))
        for n, piece in enumerate(pieces)
        if n != upper and not changed.get(n, piece.shape).is_empty
    ]


def _has_thin(shape: MultiPolygon, least_mm: float) -> bool:
    return _is_real_area(thin_places(shape, least_mm=least_mm))


def _is_real(one: BaseGeometry, other: BaseGeometry) -> bool:
    return bool(shapely.intersects(one, other)) and _is_real_area(shapely.intersection(one, other))


def _is_real_area(area: BaseGeometry) -> bool:
    return bool(is_real_overlap(np.array([areas_only(area)], dtype=object))[0])
