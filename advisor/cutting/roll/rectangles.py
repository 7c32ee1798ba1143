"""Nesting by bounding rectangles: at once, exact, and never far from the film it must take."""

from __future__ import annotations

import bisect
import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from shapely import affinity

from advisor.cutting.roll.layout import Placement, Strip
from advisor.cutting.roll.shapes import turned_size

__all__ = ["Rectangle", "Spot", "lay_parts", "lay_rectangles"]

MANY_KINDS = 300
"""More kinds of rectangle than this are laid by the three quickest ways only."""
# What sums of sizes lose in double precision, so that a perfect fit still fits.
NEAR_MM = 1e-9


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A size to lay, ``quantity`` times, in one of several stances.

    ``stances`` are (length along the roll, width across it) in mm.
    """

    stances: tuple[tuple[float, float], ...]
    quantity: int = 1


@dataclass(frozen=True, slots=True)
class Spot:
    """One rectangle laid: which, in which stance, and its corner nearest the start, mm."""

    rectangle: int
    stance: int
    x_mm: float
    y_mm: float


_Order = Callable[[tuple[float, float]], tuple[float, ...]]
_ORDERS: tuple[_Order, ...] = (
    lambda size: (size[1], size[0]),
    lambda size: (size[0], size[1]),
    lambda size: (size[0] * size[1], size[1]),
)


def lay_rectangles(rectangles: Sequence[Rectangle], *, width_mm: float) -> tuple[Spot, ...]:
    """Lay rectangles on a roll so that the length is short; the best of seven quick ways.

    Six are the best-fit skyline (Burke, Kendall & Whitwell, *Operations Research* 52(4), 2004:
    the lowest gap takes the rectangle that fits it best), by width, length and area, each
    with the wall or the taller neighbour as its side. The seventh lays rows by falling length
    (Coffman, Garey, Johnson & Tarjan, *SIAM J. Comput.* 9, 1980), whose length is at most twice
    the area over the width, plus the longest rectangle: so that holds for the answer too.

    Raises nothing: sizes wider than the roll are the caller's to refuse.

    >>> tags = Rectangle(((30.0, 20.0), (20.0, 30.0)), 4)
    >>> [(spot.x_mm, spot.y_mm) for spot in lay_rectangles([tags], width_mm=60)]
    [(0.0, 0.0), (0.0, 30.0), (20.0, 0.0), (20.0, 30.0)]
    >>> lay_rectangles([], width_mm=60)
    ()
    """
    fitting = [
        [
            (size, index, stance)
            for stance, size in enumerate(rectangle.stances)
            if size[1] <= width_mm + NEAR_MM
        ]
        for index, rectangle in enumerate(rectangles)
    ]
    ways = [_rows(fitting, rectangles, width_mm)]
    # Only the first order finds its rectangle without looking at all of them.
    orders = _ORDERS if len(rectangles) <= MANY_KINDS else _ORDERS[:1]
    for order in orders:
        ways.extend(_skyline(fitting, rectangles, width_mm, order, tall) for tall in (False, True))
    best = min(ways, key=lambda spots: round(_end(spots, rectangles), 6))
    return tuple(sorted(best, key=lambda spot: (spot.x_mm, spot.y_mm)))


def _end(spots: Iterable[Spot], rectangles: Sequence[Rectangle]) -> float:
    return max(
        (spot.x_mm + rectangles[spot.rectangle].stances[spot.stance][0] for spot in spots),
        default=0.0,
    )


_Stance = tuple[tuple[float, float], int, int]


def _rows(
    fitting: Sequence[Sequence[_Stance]], rectangles: Sequence[Rectangle], width_mm: float
) -> list[Spot]:
    chosen = [min(stances) for stances in fitting]
    chosen.sort(key=lambda choice: (-choice[0][0], -choice[0][1], choice[1]))
    spots: list[Spot] = []
    row_mm, next_mm, across_mm = 0.0, 0.0, math.inf
    for (length_mm, wide_mm), index, stance in chosen:
        for _ in range(rectangles[index].quantity):
            if across_mm + wide_mm > width_mm + NEAR_MM:
                row_mm, across_mm = next_mm, 0.0
                next_mm = row_mm + length_mm
            spots.append(Spot(index, stance, row_mm, across_mm))
            across_mm += wide_mm
    return spots


def _skyline(
    fitting: Sequence[Sequence[_Stance]],
    rectangles: Sequence[Rectangle],
    width_mm: float,
    order: _Order,
    beside_taller: bool,
) -> list[Spot]:
    stances = sorted(
        (choice for choices in fitting for choice in choices),
        key=lambda choice: (choice[0][1], *order(choice[0]), -choice[1], -choice[2]),
    )
    widths = [size[1] for size, _, _ in stances]
    left = [rectangle.quantity for rectangle in rectangles]
    count = sum(left)
    kinds, used_up = len(left), 0
    spots: list[Spot] = []
    # Segments of the skyline across the roll: [start across, width, length reached].
    line: list[list[float]] = [[0.0, width_mm, 0.0]]
    while count:
        at = min(range(len(line)), key=lambda i: (line[i][2], line[i][0]))
        start_mm, gap_mm, reached_mm = line[at]
        before_mm = line[at - 1][2] if at else math.inf
        after_mm = line[at + 1][2] if at + 1 < len(line) else math.inf
        chosen: _Stance | None = None
        for place in range(bisect.bisect_right(widths, gap_mm + NEAR_MM) - 1, -1, -1):
            choice = stances[place]
            if not left[choice[1]]:
                continue
            if chosen is None or order(choice[0]) > order(chosen[0]):
                chosen = choice
            if order is _ORDERS[0]:
                break
        if chosen is None:
            # Nothing fits the gap: it is given up and raised to its lower neighbour.
            line[at][2] = min(before_mm, after_mm)
            _merge(line)
            continue
        (length_mm, wide_mm), index, stance = chosen
        far_side = beside_taller and after_mm > before_mm
        y_mm = start_mm + max(gap_mm - wide_mm, 0.0) if far_side else start_mm
        spots.append(Spot(index, stance, reached_mm, y_mm))
        left[index] -= 1
        count -= 1
        used_up += 0 if left[index] else 1
        if 2 * used_up > kinds:
            stances = [choice for choice in stances if left[choice[1]]]
            widths = [size[1] for size, _, _ in stances]
            kinds, used_up = kinds - used_up, 0
        laid = [y_mm, min(wide_mm, gap_mm), reached_mm + length_mm]
        rest_mm = gap_mm - wide_mm
        rest = [[start_mm if far_side else start_mm + wide_mm, rest_mm, reached_mm]]
        kept = rest if rest_mm > NEAR_MM else []
        line[at : at + 1] = [*kept, laid] if far_side else [laid, *kept]
        _merge(line)
    return spots


def _merge(line: list[list[float]]) -> None:
    i = 0
    while i + 1 < len(line):
        if abs(line[i][2] - line[i + 1][2]) <= NEAR_MM:
            line[i][1] = line[i + 1][0] + line[i + 1][1] - line[i][0]
            line[i][2] = max(line[i][2], line[i + 1][2])
            del line[i + 1]
        else:
            i += 1


def lay_parts(strip: Strip, quantities: Mapping[str, int]) -> tuple[Placement, ...]:
    """Lay parts of a strip by the bounding rectangles of their outlines, its spacing apart.

    >>> import shapely
    >>> from advisor.cutting.roll.shapes import Part
    >>> tag = Part("tag", shapely.box(0, 0, 20, 10), 2)
    >>> for spot in lay_parts(Strip({"tag": tag}, 50, 3), {"tag": 2}):
    ...     print(spot)
    Placement(part='tag', copy=1, rotation_deg=90.0, x_mm=10.0, y_mm=0.0)
    Placement(part='tag', copy=2, rotation_deg=90.0, x_mm=10.0, y_mm=23.0)
    """
    ordered = [part for part in strip.parts.values() if quantities.get(part.id, 0)]
    angles: list[list[float]] = []
    rectangles = []
    for part in ordered:
        by_size: dict[tuple[float, float], float] = {}
        for angle in part.turns:
            along_mm, across_mm = turned_size(part.outline, angle)
            size = (round(along_mm + strip.spacing_mm, 9), round(across_mm + strip.spacing_mm, 9))
            by_size.setdefault(size, angle)
        angles.append(list(by_size.values()))
        rectangles.append(Rectangle(tuple(by_size), quantities[part.id]))
    copies: Counter[str] = Counter()
    placements = []
    for spot in lay_rectangles(rectangles, width_mm=strip.roll_width_mm + strip.spacing_mm):
        part = ordered[spot.rectangle]
        angle = angles[spot.rectangle][spot.stance]
        left, top, _, _ = affinity.rotate(part.outline, angle, origin=(0, 0)).bounds
        copies[part.id] += 1
        placements.append(
            Placement(part.id, copies[part.id], angle, spot.x_mm - left, spot.y_mm - top)
        )
    return tuple(placements)
