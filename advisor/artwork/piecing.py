"""Shapes to pieces: as few pieces of one look as the paint order allows, and what shows of each."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, STRtree
from shapely.geometry.base import BaseGeometry

from advisor.artwork.overlay import is_real_overlap
from advisor.artwork.records import ArtworkError, Piece

__all__ = ["Paint", "areas_only", "as_pieces", "group_shapes", "visible_parts"]

# Dust left by arithmetic: smaller than a cutter's blade can mark.
DUST_MM2 = 1e-6
# No shelf holds so many films, and no hands lay so many pieces: this is a traced photograph.
MOST_LOOKS = 256
MOST_PAIRS = 100_000
# Shapes times states that the search for fewer groups keeps: a tenth of a second at most.
MOST_STATES = 20_000
# Shapes times groups beyond which that search would take seconds and is left out.
MOST_TRIED = 1_000_000


@dataclass(frozen=True, slots=True)
class Paint:
    """One flat coat of colour, as the drawing lays it: ``fill`` "#rrggbb" over ``area`` in mm."""

    fill: str
    opacity: float
    area: BaseGeometry
    is_stroke: bool = False


def areas_only(geometry: BaseGeometry) -> MultiPolygon:
    """Keep the polygons of a geometry; lines, points and dust fall away.

    >>> areas_only(shapely.union_all([shapely.box(0, 0, 2, 2), shapely.Point(5, 5)])).area
    4.0
    """
    parts = shapely.get_parts(shapely.get_parts(geometry))
    polygons = parts[(shapely.get_type_id(parts) == 3) & (shapely.area(parts) > DUST_MM2)]
    return MultiPolygon(polygons.tolist())


def as_pieces(paints: Sequence[Paint]) -> tuple[Piece, ...]:
    """Join shapes of the same look into pieces and rank them from the bottom.

    A shape joins a piece of its look unless something painted in between would then have to lie
    both over and under that piece.

    Args:
        paints: in paint order, bottom first; every area is a valid polygon or multipolygon.

    >>> box = shapely.box
    >>> red, blue = "#ff0000", "#0000ff"
    >>> apart = as_pieces([Paint(red, 1, box(0, 0, 9, 9)), Paint(blue, 1, box(2, 2, 7, 7)),
    ...                    Paint(red, 1, box(20, 0, 29, 9))])
    >>> [piece.id for piece in apart]
    ['fill-ff0000', 'fill-0000ff']
    >>> sandwich = as_pieces([Paint(red, 1, box(0, 0, 9, 9)), Paint(blue, 1, box(2, 2, 7, 7)),
    ...                       Paint(red, 1, box(3, 3, 5, 5))])
    >>> [piece.id for piece in sandwich]
    ['fill-ff0000', 'fill-0000ff', 'fill-ff0000-2']
    >>> as_pieces([])
    ()
    """
    if not paints:
        return ()
    looks = [(paint.fill, paint.opacity) for paint in paints]
    if len(set(looks)) > MOST_LOOKS:
        raise ArtworkError(
            f"the drawing has {len(set(looks)):,} colours, more than the {MOST_LOOKS} that are "
            "read; reduce its colours to those of your films"
        )
    areas = np.array([paint.area for paint in paints], dtype=object)
    groups = group_shapes(looks, _paint_order(areas, looks))
    shapes = [
        areas_only(shapely.union_all(areas[group]) if len(group) > 1 else areas[group[0]])
        for group in groups
    ]
    opaque = [paints[group[0]].opacity >= 1 for group in groups]
    visible = visible_parts(shapes, opaque)
    used: dict[str, int] = {}
    pieces: list[Piece] = []
    for rank, group in enumerate(groups):
        paint = paints[group[0]]
        nth = used[paint.fill] = used.get(paint.fill, 0) + 1
        name = f"fill-{paint.fill[1:]}"
        pieces.append(
            Piece(
                id=name if nth == 1 else f"{name}-{nth}",
                fill=paint.fill,
                opacity=paint.opacity,
                shape=shapes[rank],
                visible=visible[rank],
                order=rank,
            )
        )
    return tuple(pieces)


def _paint_order(areas: NDArray[np.object_], looks: Sequence[tuple[str, float]]) -> list[list[int]]:
    """For each shape, the earlier shapes of another look that it overlaps."""
    look_no = {look: at for at, look in enumerate(dict.fromkeys(looks))}
    number = np.array([look_no[look] for look in looks])
    shapely.prepare(areas)
    later, earlier = STRtree(areas).query(areas, predicate="intersects")
    kept = (earlier < later) & (number[earlier] != number[later])
    later, earlier = later[kept], earlier[kept]
    if len(later) > MOST_PAIRS:
        raise ArtworkError(
            f"shapes of different colours lie over one another in more than {MOST_PAIRS:,} pairs; "
            "unite the shapes of one colour and save again"
        )
    inside = shapely.contains_properly(areas[earlier], areas[later])
    real = inside.copy()
    unsure = np.flatnonzero(~inside)
    real[unsure] = is_real_overlap(
        shapely.intersection(areas[earlier[unsure]], areas[later[unsure]])
    )
    below: list[list[int]] = [[] for _ in looks]
    for upper, lower in zip(later[real], earlier[real], strict=True):
        below[upper].append(int(lower))
    return [sorted(lowers) for lowers in below]


def group_shapes(
    looks: Sequence[tuple[str, float]], below: Sequence[Sequence[int]]
) -> list[list[int]]:
    """Group shapes by look so that the groups can be laid one after the other.

    Shapes are joined one by one, each to the newest group that it can. Where a chain of shapes
    shows that fewer groups might do, whole looks are laid one after the other in a search that
    keeps only the most promising states: exact where it keeps all, as on a drawing of a dozen
    shapes. (On many it cannot be: the exact answer is as hard as the shortest common
    supersequence.)

    Args:
        looks: the look of each shape, in paint order.
        below: for each shape, the earlier shapes of another look that must lie under it.

    Returns:
        Groups from the bottom up; each holds shape numbers in paint order.

    >>> red, blue = ("#ff0000", 1.0), ("#0000ff", 1.0)
    >>> group_shapes([red, blue, red], [[], [0], []])
    [[0, 2], [1]]
    >>> group_shapes([red, blue, red], [[], [0], [1]])
    [[0], [1], [2]]
    """
    one_by_one = _join_one_by_one(looks, below)
    if len(one_by_one) == len(set(looks)):
        return one_by_one
    return _lay_whole_looks(looks, below, len(one_by_one)) or one_by_one


def _join_one_by_one(
    looks: Sequence[tuple[str, float]], below: Sequence[Sequence[int]]
) -> list[list[int]]:
    """Walk in paint order; join the newest group of the look that leaves no cycle."""
    group_of: list[int] = []
    members: list[list[int]] = []
    # Bit masks over groups: what must lie under each group, directly or through others.
    under: list[int] = []
    for shape, look in enumerate(looks):
        direct = 0
        for lower in below[shape]:
            direct |= 1 << group_of[lower]
        for group in range(len(members) - 1, -1, -1):
            if looks[members[group][0]] != look:
                continue
            own = 1 << group
            beneath = _closure(direct & ~own, under)
            if not beneath & own:
                break
        else:
            group = len(members)
            members.append([])
            under.append(0)
            own, beneath = 1 << group, _closure(direct, under)
        members[group].append(shape)
        group_of.append(group)
        if beneath & ~under[group]:
            under[group] |= beneath
            under = [mask | under[group] if mask & own else mask for mask in under]
    return [members[group] for group in _bottom_up(members, under)]


def _closure(direct: int, under: Sequence[int]) -> int:
    """The groups in a mask together with all that lies under them."""
    reached, left = direct, direct
    while left:
        lowest = left & -left
        left ^= lowest
        reached |= under[lowest.bit_length() - 1]
    return reached


def _bottom_up(members: Sequence[Sequence[int]], under: Sequence[int]) -> list[int]:
    """Order groups so that each follows all that lies under it; earliest painted first."""
    waiting = sorted(range(len(members)), key=lambda group: members[group][0])
    placed, order = 0, list[int]()
    while waiting:
        group = next(group for group in waiting if not under[group] & ~placed)
        waiting.remove(group)
        placed |= 1 << group
        order.append(group)
    return order


def _lay_whole_looks(
    looks: Sequence[tuple[str, float]], below: Sequence[Sequence[int]], known: int
) -> list[list[int]] | None:
    """Lay all that is free of one look at a time, in fewer groups than ``known``, or None.

    States with equally many groups are compared by the fewest that could follow; the best are
    kept, as many as a drawing of this size leaves time for.
    """
    if len(looks) * known > MOST_TRIED:
        return None
    number = {look: at for at, look in enumerate(dict.fromkeys(looks))}
    of_look: list[list[int]] = [[] for _ in number]
    for shape, its_look in enumerate(looks):
        of_look[number[its_look]].append(shape)
    own = [sum(1 << shape for shape in shapes) for shapes in of_look]
    under = [sum(1 << lower for lower in lowers) for lowers in below]
    everything = (1 << len(looks)) - 1
    needed = _groups_above([number[look] for look in looks], below)
    # For each look, and for 1, 2, … of its groups: the shapes from which so many are needed.
    needing = [
        [
            sum(1 << shape for shape in shapes if needed[shape] >= count)
            for count in range(1, max(needed[shape] for shape in shapes) + 1)
        ]
        for shapes in of_look
    ]

    def to_come(look: int, laid: int) -> int:
        return bisect_left(needing[look], True, key=lambda level: not level & ~laid)

    first = sum(to_come(look, 0) for look in range(len(own)))
    states: dict[int, tuple[int, tuple[int, ...]]] = {0: (first, ())}
    for so_far in range(1, known):
        following: dict[int, tuple[int, tuple[int, ...]]] = {}
        for laid, (least, groups) in states.items():
            for look, shapes in enumerate(of_look):
                if not own[look] & ~laid:
                    continue
                free = sum(1 << shape for shape in shapes if not under[shape] & ~laid) & ~laid
                after = least - to_come(look, laid) + to_come(look, laid | free)
                if free and so_far + after < known:
                    following.setdefault(laid | free, (after, (*groups, free)))
        if everything in following:
            return [
                [shape for shape in range(len(looks)) if group >> shape & 1]
                for group in following[everything][1]
            ]
        promising = sorted(following, key=lambda laid: (following[laid][0], -laid.bit_count()))
        states = {laid: following[laid] for laid in promising[: max(1, MOST_STATES // len(looks))]}
    return None


def _groups_above(look_no: Sequence[int], below: Sequence[Sequence[int]]) -> list[int]:
    """For each shape, the most shapes of its look on a chain from it upwards, itself included."""
    chains = np.zeros((len(look_no), max(look_no) + 1), dtype=np.int32)
    needed = [0] * len(look_no)
    for shape in range(len(look_no) - 1, -1, -1):
        chains[shape, look_no[shape]] += 1
        needed[shape] = int(chains[shape, look_no[shape]])
        for lower in below[shape]:
            np.maximum(chains[lower], chains[shape], out=chains[lower])
    return needed


def visible_parts(shapes: Sequence[MultiPolygon], opaque: Sequence[bool]) -> list[MultiPolygon]:
    """Return what shows of each shape when they are laid in order, bottom first.

    >>> under, over = (MultiPolygon([shapely.box(0, 0, width, 4)]) for width in (4, 2))
    >>> [part.area for part in visible_parts([under, over], [True, True])]
    [8.0, 8.0]
    """
    array = np.array(shapes, dtype=object)
    lower, upper = STRtree(array).query(array, predicate="intersects")
    hides = (upper > lower) & np.array(opaque, dtype=bool)[upper]
    covered = set(lower[hides].tolist())
    visible = list(shapes)
    cover: BaseGeometry = shapely.Polygon()
    for rank in range(len(shapes) - 1, -1, -1):
        if rank in covered:
            visible[rank] = areas_only(shapely.difference(shapes[rank], cover))
        if opaque[rank]:
            cover = shapely.union(cover, shapes[rank])
    return visible
