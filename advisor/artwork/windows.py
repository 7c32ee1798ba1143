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

__all__ = ["WINDOW_FROM_MM", "Alike", "Join", "joined"]

WINDOW_FROM_MM = 1.5
"""The narrowest window, and the narrowest rim beside one, that everyday films weed and hold, mm.
Common practice, no source."""

RIM_MM = 2.0
"""How far a piece goes on under one that is cut round it, mm, where the artwork is widest: twice
the trap that hides what hands miss, for sizes half as large. Common practice, no source."""

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
    What is drawn between the two and lies under the upper alone, or over the lower alone, is still
    under or over both when they are one.

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
                (lower, whole)
                for lower in range(at - 1, -1, -1)
                if alike(left[at], left[lower])
                and _may_join(left[at], left[lower], kept_apart)
                and (whole := _whole(left, at, lower, kept_apart, least_mm)) is not None
            ),
            None,
        )
        if found is None:
            at += 1
            continue
        lower, whole = found
        said.append(Join(left[at], left[lower], whole.windows))
        left = list(whole.pieces)
    if not said:
        return tuple(pieces), ()
    shows = visible_parts([piece.shape for piece in left], [piece.opacity >= 1 for piece in left])
    return tuple(
        replace(piece, visible=visible, order=order)
        for order, (piece, visible) in enumerate(zip(left, shows, strict=True))
    ), tuple(said)


@dataclass(frozen=True, slots=True)
class _Whole:
    """All pieces with two of them as one; ``windows`` are those that got a window for it."""

    pieces: tuple[Piece, ...]
    windows: tuple[Piece, ...] = ()


def _may_join(over: Piece, under: Piece, kept_apart: Alike) -> bool:
    return (
        over.opacity == under.opacity == 1
        and bool(shapely.dwithin(over.shape, under.shape, TOUCH_GAP_MM))
        and not kept_apart(over, under)
    )


def _whole(
    pieces: Sequence[Piece], upper: int, lower: int, kept_apart: Alike, least_mm: float
) -> _Whole | None:
    """The pieces with two as one; ``None`` where what lies between allows no window."""
    over, under = pieces[upper], pieces[lower]
    one = replace(under, shape=areas_only(shapely.union(under.shape, over.shape)))
    between = [n for n in range(lower + 1, upper) if _is_real(pieces[n].shape, over.shape)]
    above = _above(pieces, lower, upper) if between else list(range(lower + 1, upper))
    if not set(above) & set(between):
        return _Whole(_reordered(pieces, upper, lower, one, above))
    cut = _windows(pieces, upper, lower, between, kept_apart, least_mm)
    if cut is None:
        return _notched(pieces, upper, lower, above, kept_apart, least_mm)
    left = {**{n: replace(pieces[n], shape=shape) for n, shape in cut.items()}, lower: one}
    changed = (left.get(n, piece) for n, piece in enumerate(pieces) if n != upper)
    return _Whole(
        tuple(piece for piece in changed if not piece.shape.is_empty),
        tuple(pieces[n] for n in between),
    )


def _above(pieces: Sequence[Piece], lower: int, upper: int) -> list[int]:
    """What is drawn between two and lies over the lower one, or over what lies over it."""
    found = [lower]
    for n in range(lower + 1, upper):
        if any(_is_real(pieces[n].shape, pieces[m].shape) for m in found):
            found.append(n)
    return found[1:]


def _below(pieces: Sequence[Piece], upper: int, among: Sequence[int]) -> list[int]:
    """Which of these lie under a piece, or under what lies under it."""
    found = [upper]
    for n in reversed(among):
        if any(_is_real(pieces[n].shape, pieces[m].shape) for m in found):
            found.append(n)
    return found[:0:-1]


def _reordered(
    pieces: Sequence[Piece], upper: int, lower: int, one: Piece, above: Sequence[int]
) -> tuple[Piece, ...]:
    """The pieces with two as ``one``, and these of what lies between over it, the rest under it."""
    below = (n for n in range(upper) if n != lower and n not in above)
    order = [*(pieces[n] for n in below), one, *(pieces[n] for n in above)]
    return (*order, *pieces[upper + 1 :])


def _notched(
    pieces: Sequence[Piece],
    upper: int,
    lower: int,
    above: Sequence[int],
    kept_apart: Alike,
    least_mm: float,
) -> _Whole | None:
    """The lower piece as one with the upper, in front, with notches in which the rest is seen.

    What is seen there is cut `RIM_MM` larger, so that the notch need not be laid to a line.
    ``None`` where the two are not seen side by side, or a notch or what is left gets too fine.
    """
    over, under = pieces[upper], pieces[lower]
    seen = _below(pieces, upper, above)
    if any(
        pieces[n].opacity < 1 or kept_apart(over, pieces[n]) or kept_apart(pieces[n], under)
        for n in seen
    ):
        return None
    lying = shapely.union_all([pieces[n].shape for n in seen])
    left = areas_only(shapely.difference(under.shape, lying))
    beside = shapely.buffer(over.shape, TOUCH_GAP_MM, quad_segs=1)
    if shapely.intersection(left.boundary, beside).length < least_mm:
        return None
    whole = areas_only(shapely.union(left, over.shape))
    notch = areas_only(shapely.difference(shapely.intersection(under.shape, lying), over.shape))
    if _has_thin(notch, least_mm) or _is_thinned(whole, under.shape, least_mm):
        return None
    made = list(pieces)
    for n in seen:
        in_notch = shapely.intersection(pieces[n].shape, notch)
        rim = shapely.intersection(shapely.buffer(in_notch, RIM_MM), whole)
        made[n] = replace(pieces[n], shape=areas_only(shapely.union(pieces[n].shape, rim)))
    still = [n for n in above if n not in seen]
    order = _reordered(made, upper, lower, replace(under, shape=whole), still)
    return _Whole(order)


def _windows(
    pieces: Sequence[Piece],
    upper: int,
    lower: int,
    between: Sequence[int],
    kept_apart: Alike,
    least_mm: float,
) -> dict[int, MultiPolygon] | None:
    """The pieces between two, each with a window for the upper one; ``None`` where that fails."""
    over, under = pieces[upper], pieces[lower]
    if any(pieces[n].opacity < 1 or kept_apart(over, pieces[n]) for n in between):
        return None
    lying = shapely.union_all([pieces[n].shape for n in between])
    window = areas_only(shapely.intersection(over.shape, lying))
    beyond = areas_only(shapely.difference(window, under.shape))
    if is_real_overlap(np.array([beyond], dtype=object))[0] or _has_thin(window, least_mm):
        return None
    cut = {n: areas_only(shapely.difference(pieces[n].shape, over.shape)) for n in between}
    for n, shape in cut.items():
        if _is_thinned(shape, pieces[n].shape, least_mm):
            return None
    return cut


def _is_thinned(shape: MultiPolygon, drawn: MultiPolygon, least_mm: float) -> bool:
    """Whether a shape is thin where it is not drawn thin."""
    made_thin = thin_places(shape, least_mm=least_mm)
    drawn_thin = shapely.buffer(thin_places(drawn, least_mm=least_mm), least_mm / 4)
    return _is_real_area(shapely.difference(made_thin, drawn_thin))


def _has_thin(shape: MultiPolygon, least_mm: float) -> bool:
    return _is_real_area(thin_places(shape, least_mm=least_mm))


def _is_real(one: BaseGeometry, other: BaseGeometry) -> bool:
    return bool(shapely.intersects(one, other)) and _is_real_area(shapely.intersection(one, other))


def _is_real_area(area: BaseGeometry) -> bool:
    return bool(is_real_overlap(np.array([areas_only(area)], dtype=object))[0])
