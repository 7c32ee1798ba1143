"""Closing: what lies apart by less than hands lay meets, so that no hairline shows between."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, takewhile

import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from advisor.artwork.overlay import SEEN_EDGE_MM, TOUCH_GAP_MM
from advisor.artwork.piecing import areas_only
from advisor.artwork.records import Piece
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = ["CLOSED_UP_TO_MM", "SEEN_FROM_MM", "closed", "hardly_apart", "opened"]

CLOSED_UP_TO_MM = 0.3
"""A gap between two films, mm, that hands leave open here and shut there: no one means it to be
seen, and a decorator draws it shut. Common practice, no source."""

SEEN_FROM_MM = 5.0
"""A hairline shorter than this, mm, such as where two edges run into each other, goes unseen.
Common practice, no source."""

MOST_NAMED = 3
SLACK_MM = 0.02


@dataclass(frozen=True, slots=True)
class _Gap:
    """A hairline between pieces.

    Attributes:
        above: rank of what shows in it, -1 for the garment.
    """

    area: BaseGeometry
    above: int


def closed(
    pieces: Sequence[Piece], *, up_to_mm: float = CLOSED_UP_TO_MM
) -> tuple[tuple[Piece, ...], tuple[str, ...]]:
    """The pieces with hairline gaps between them shut, and what is said of that.

    The one behind grows into the gap; where another piece shows in it, over that.

    Args:
        pieces: in paint order, each with what shows of it.
        up_to_mm: the widest gap that is shut, mm.

    >>> left, right = (shapely.MultiPolygon([shapely.box(x, 0, x + 9, 9)]) for x in (0, 9.2))
    >>> made, said = closed([Piece("navy", "#1b2a49", 1.0, left, left, 0),
    ...                      Piece("gold", "#d4a017", 1.0, right, right, 1)])
    >>> round(made[0].shape.area, 1), str(said[0])
    (82.8, 'navy and gold, less than 0.3 mm apart, are drawn to meet: hands leave a gap so fine
    open here and shut there')
    """
    if len(pieces) < 2:
        return tuple(pieces), ()
    grown: dict[int, list[BaseGeometry]] = {}
    met: dict[tuple[int, int], None] = {}
    for gap in _gaps(pieces, up_to_mm):
        beside = _beside(gap, pieces)
        left = gap.area
        for n, rank in enumerate(beside[:-1]):
            others = shapely.union_all([pieces[other].visible for other in beside[n + 1 :]])
            near = _within(left, pieces[rank].visible, up_to_mm)
            part = _within(near, others, up_to_mm)
            if part.length < 2 * SEEN_FROM_MM:
                continue
            filling = shapely.difference(shapely.buffer(part, SLACK_MM, quad_segs=1), others)
            grown.setdefault(rank, []).append(filling)
            left = areas_only(shapely.difference(left, part))
            for other in beside[n + 1 :]:
                if shapely.dwithin(part, pieces[other].visible, TOUCH_GAP_MM):
                    met[rank, other] = None
    if not grown:
        return tuple(pieces), ()
    wider = [
        replace(piece, shape=areas_only(shapely.union_all([piece.shape, *grown[rank]])))
        if rank in grown
        else piece
        for rank, piece in enumerate(pieces)
    ]
    return tuple(wider), (_said([(pieces[i].id, pieces[j].id) for i, j in met], up_to_mm),)


def hardly_apart(
    pieces: Sequence[Piece],
    *,
    alike: Callable[[Piece, Piece], bool],
    registration_mm: float,
    scale: float = 1.0,
) -> tuple[str, ...]:
    """What is said of pieces of two films that are drawn apart by less than hands hold.

    Of the order's sizes the least counts, as the gap is narrowest there.

    Args:
        pieces: in paint order, with what meets already shut.
        alike: whether an upper and a lower piece are cut from one film, in one go.
        registration_mm: how far hands miss, mm.
        scale: how many times as large as at the least size the pieces are.

    >>> left, right = (shapely.MultiPolygon([shapely.box(x, 0, x + 9, 9)]) for x in (0, 9.4))
    >>> two = [Piece("navy", "#1b2a49", 1.0, left, left, 0),
    ...        Piece("gold", "#d4a017", 1.0, right, right, 1)]
    >>> print(hardly_apart(two, alike=lambda upper, lower: False, registration_mm=0.5)[0])
    navy and gold lie less than 0.5 mm apart, as far as hands miss: the gap between them comes out \
wider here and shut there; draw them 1 mm apart, or let them meet
    >>> hardly_apart(two, alike=lambda upper, lower: True, registration_mm=0.5)
    ()
    """
    reach_mm = registration_mm * scale
    near: dict[tuple[int, int], None] = {}
    if len(pieces) > 1:
        for gap in takewhile(lambda gap: gap.above < 0, _gaps(pieces, reach_mm)):
            for pair in pairwise(_beside(gap, pieces)):
                if not alike(*(pieces[rank] for rank in reversed(pair))):
                    near[pair] = None
    if not near:
        return ()
    return (
        Text(
            f"{_named([(pieces[one].id, pieces[other].id) for one, other in near])} lie less than "
            f"{show_mm(registration_mm)} apart, as far as hands miss: the gap between them comes "
            f"out wider here and shut there; draw them {show_mm(2 * registration_mm)} apart, or "
            "let them meet"
        ),
    )


def opened(shape: BaseGeometry, width_mm: float) -> BaseGeometry:
    """What is left of a shape without all that is narrower than a width.

    >>> flag = shapely.union(shapely.box(0, 0, 9, 9), shapely.box(9, 4, 20, 4.4))
    >>> round(opened(flag, 0.5).area)
    81
    """
    core = shapely.buffer(shape, -width_mm / 2, quad_segs=4)
    wide: BaseGeometry = shapely.buffer(core, width_mm / 2, quad_segs=4)
    return wide


def _gaps(pieces: Sequence[Piece], up_to_mm: float) -> Iterator[_Gap]:
    """Where garment or a piece shows in a hairline, each connected one by itself."""
    outlines = shapely.union_all([piece.shape for piece in pieces])
    wide = shapely.buffer(outlines, up_to_mm / 2, quad_segs=4)
    filled = shapely.buffer(wide, -up_to_mm / 2, quad_segs=4)
    for area in shapely.get_parts(areas_only(shapely.difference(filled, outlines))):
        yield _Gap(area, -1)
    for rank, piece in enumerate(pieces[:-2]):
        if not piece.visible.is_empty:
            thin = shapely.difference(piece.visible, opened(piece.visible, up_to_mm))
            for area in shapely.get_parts(areas_only(thin)):
                yield _Gap(area, rank)


def _beside(gap: _Gap, pieces: Sequence[Piece]) -> list[int]:
    """The pieces in front of what shows in a gap that run along it, the hindmost first."""
    mean_mm = 2 * gap.area.area / gap.area.length
    if gap.area.length < 2 * SEEN_FROM_MM or mean_mm < TOUCH_GAP_MM:
        return []
    shapes = [piece.visible for piece in pieces]
    near = STRtree(shapes).query(gap.area, predicate="dwithin", distance=TOUCH_GAP_MM)
    rim = shapely.boundary(gap.area)
    return [
        rank
        for rank in sorted(near.tolist())
        if rank > gap.above
        and shapely.intersection(
            rim, shapely.buffer(shapes[rank], TOUCH_GAP_MM / 2, quad_segs=1)
        ).length
        >= SEEN_EDGE_MM
    ]


def _within(area: BaseGeometry, shape: BaseGeometry, distance_mm: float) -> shapely.MultiPolygon:
    return areas_only(shapely.intersection(area, shapely.buffer(shape, distance_mm, quad_segs=2)))


def _said(met: Sequence[tuple[str, str]], up_to_mm: float) -> str:
    return Text(
        f"{_named(met)}, less than {show_mm(up_to_mm)} apart, are drawn to meet: hands leave a gap "
        "so fine open here and shut there"
    )


def _named(met: Sequence[tuple[str, str]]) -> str:
    named = ", ".join(f"{one} and {other}" for one, other in met[:MOST_NAMED])
    return named + (f" (and {len(met) - MOST_NAMED} pairs more)" if len(met) > MOST_NAMED else "")
