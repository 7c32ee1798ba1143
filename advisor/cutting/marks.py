"""Registration marks: where they lie so that each film is laid on what is down, and cost least.

Two crosses to a carrier fix it, and lie on two of the first carrier's in one place alone. They lie
inside its weeding border, on bare garment, and on the first carrier of the print too, so that every
later one is laid with its crosses on those of the first. Tape under them keeps them off the
garment. A carrier for which crosses would cost more film than a ruler costs time has none, and is
laid by hand. So is one that shares the press of the first, whose crosses would lie on the spots of
its own; and no crosses make a carrier lie over another of its press.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from advisor.cutting.carriers import BORDER_MM

__all__ = ["MARK_MM", "Station", "by_ruler", "cross", "laid_order", "placed_marks"]

MARK_MM = 8.0
"""Size of a registration mark, a cross. Common practice, no source."""

BY_HAND_S = 20.0
"""Seconds more to lay a carrier with a ruler than by its crosses. Generic."""

CROSS_S = 4.0
"""Seconds to weed one more cross and tape under it. Generic."""

MOST_TIMES = 6.0
"""Crosses make a carrier at most this many times as large: a dot is laid by hand. Generic."""

ASKEW_MM = MARK_MM / 2
"""Two crosses of which one lies this far beside another are seen not to lie on it. Generic."""

_CLEAR_MM = 1.5
_STEP_MM = 6.0
_MOST_STEPS = 20
_ROUNDING_MM = 1e-6
_LEAST_BASE = 0.5
"""Crosses lie at least this share of the piece's larger side apart, lest it turns."""

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Station:
    """A carrier of a print as it is laid.

    Attributes:
        press: the press in which it goes down.
        shapes: all that it may bear, in artwork coordinates: of every name, where there are names.
        price_mm2: what a square millimetre of its film costs.
        roll_mm: how wide a carrier its roll takes; ``one_way`` where it cannot be turned to fit.
    """

    press: int
    shapes: tuple[MultiPolygon, ...]
    price_mm2: float
    roll_mm: float = math.inf
    one_way: bool = False

    @property
    def box(self) -> Numbers:
        """Left, top, right and bottom of what it bears, mm."""
        bounds: Numbers = shapely.total_bounds(np.array(self.shapes, dtype=object))
        return bounds


def placed_marks(
    stations: Sequence[Station], *, arm_mm: float, rate_per_s: float
) -> list[tuple[Polygon, ...]]:
    """The crosses of each carrier, in artwork coordinates; none where it is laid by hand.

    Args:
        stations: everything that is laid at one size.
        arm_mm: width of the crosses' arms; at least what the coarsest film holds.
        rate_per_s: what a second costs, in the shop's currency.

    >>> square = MultiPolygon([shapely.box(0, 0, 100, 50)])
    >>> base, top = (Station(press, (square,), 1e-5) for press in (1, 2))
    >>> [len(marks) for marks in placed_marks([base], arm_mm=2, rate_per_s=0.01)]
    [0]
    >>> [len(marks) for marks in placed_marks([base, top], arm_mm=2, rate_per_s=0.01)]
    [2, 2]
    """
    chosen: list[tuple[Polygon, ...]] = [()] * len(stations)
    spots = _clear_spots([shape for one in stations for shape in one.shapes])
    first, *_ = laid_order(stations)
    base_press = stations[first].press
    if len(spots) < 2:
        return chosen
    pairs = np.array([*combinations(range(len(spots)), 2)])
    apart = np.hypot(*(spots[pairs[:, 0]] - spots[pairs[:, 1]]).T)
    boxes, kept = [one.box for one in stations], dict[tuple[float, float], Polygon]()
    laid_by: list[Numbers] = []
    for n in sorted(range(len(stations)), key=lambda n: -_area(stations[n].box)):
        one = stations[n]
        if one.press == base_press:
            continue
        free, new = _free_and_new(kept, spots)
        far = free[pairs].all(axis=1) & (
            apart >= max(_LEAST_BASE * max(one.box[2:] - one.box[:2]), 2 * MARK_MM)
        )
        cost, fits = _growth(one, one.box, spots[pairs])
        on_first, fits_first = _growth(stations[first], boxes[first], spots[pairs])
        far &= fits & fits_first & (cost < (MOST_TIMES - 1) * one.price_mm2 * _area(one.box))
        for grown in (n, first):
            around = _around(boxes[grown], spots[pairs])
            for other in range(len(stations)):
                if other != grown and stations[other].press == stations[grown].press:
                    far &= _beside(around, boxes[grown], boxes[other], marked=bool(chosen[other]))
        far[far] = _fit_once(spots[pairs[far]], new[pairs[far]], [*kept], laid_by)
        cost = cost + on_first + CROSS_S * rate_per_s * new[pairs].sum(axis=1)
        at = int(np.argmin(np.where(far, cost, np.inf)))
        if not far[at] or cost[at] > BY_HAND_S * rate_per_s:
            continue
        centres = [(x, y) for x, y in spots[pairs[at]].tolist()]
        kept |= {centre: cross(*centre, arm_mm) for centre in centres}
        laid_by.append(spots[pairs[at, 1]] - spots[pairs[at, 0]])
        chosen[n] = tuple(kept[centre] for centre in centres)
        for grown in (n, first):
            boxes[grown] = _around(boxes[grown], spots[pairs[at : at + 1]])[0]
    chosen[first] = tuple(kept.values())
    return chosen


def laid_order(stations: Sequence[Station]) -> list[int]:
    """The carriers as they are laid: press by press, the largest of each first.

    The first of them bears the crosses of all others.
    """
    return sorted(range(len(stations)), key=lambda n: (stations[n].press, -_area(stations[n].box)))


def by_ruler(shapes: Sequence[MultiPolygon], down: Sequence[tuple[str, MultiPolygon]]) -> str:
    """Where the film's own edge lies, measured from the edges that are seen when it is laid.

    Args:
        shapes: of the film that is laid.
        down: what lies there already, each shape with what it is called.

    >>> base, eye = (MultiPolygon([shapely.box(*box)]) for box in ((4, 9, 90, 90), (4, 2, 8, 6)))
    >>> by_ruler([eye], [("black matte-smooth", base)])
    'film to film, not carriers: lay its left edge flush with the left edge and its top edge 7 mm
    above the top edge of black matte-smooth'
    """
    leftmost = min(down, key=lambda one: one[1].bounds[0])
    topmost = min(down, key=lambda one: one[1].bounds[1])
    left_mm, top_mm = shapely.total_bounds(shapes)[:2].tolist()
    across = _from_edge(left_mm - leftmost[1].bounds[0], "left of", "right of")
    along = _from_edge(top_mm - topmost[1].bounds[1], "above", "below")
    other = "" if leftmost[0] == topmost[0] else f" of {leftmost[0]}"
    return (
        f"film to film, not carriers: lay its left edge {across} the left edge{other} and its top "
        f"edge {along} the top edge of {topmost[0]}"
    )


def _from_edge(by_mm: float, before: str, beyond: str) -> str:
    """How far from an edge, to the half millimetre that a ruler shows."""
    read_mm = round(2 * by_mm) / 2
    if read_mm == 0:
        return "flush with"
    return f"{abs(read_mm):g} mm {before if read_mm < 0 else beyond}"


def cross(x_mm: float, y_mm: float, arm_mm: float) -> Polygon:
    """A cross around a point."""
    half, arm = MARK_MM / 2, min(arm_mm, MARK_MM / 2) / 2
    corner = [(arm, half), (arm, arm), (half, arm)]
    ring = list[tuple[float, float]]()
    for turn in range(4):
        for across, along in corner:
            for _ in range(turn):
                across, along = along, -across
            ring.append((x_mm + across, y_mm + along))
    return Polygon(ring)


def _clear_spots(shapes: Sequence[MultiPolygon]) -> Numbers:
    """Places for a cross around and between all pieces, on a grid, clear of them all."""
    every = np.array(shapes, dtype=object)
    box = shapely.total_bounds(every)
    reach = MARK_MM / 2 + _CLEAR_MM
    steps = [
        np.linspace(
            low - reach, high + reach, int(np.clip((high - low) / _STEP_MM, 3, _MOST_STEPS))
        )
        for low, high in zip(box[:2], box[2:], strict=True)
    ]
    grid = np.array([(x, y) for y in steps[1] for x in steps[0]])
    # What only touches is clear.
    around = shapely.box(*(grid - reach + _ROUNDING_MM).T, *(grid + reach - _ROUNDING_MM).T)
    taken = shapely.STRtree(shapely.get_parts(every)).query(around, predicate="intersects")[0]
    clear: Numbers = np.delete(grid, taken, axis=0)
    return clear


def _free_and_new(
    kept: Collection[tuple[float, float]], spots: Numbers
) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Which places keep clear of the crosses already chosen or are theirs, and which are not."""
    if not kept:
        everywhere = np.ones(len(spots), dtype=bool)
        return everywhere, everywhere
    aside = np.abs(spots[:, None, :] - np.array([*kept])[None, :, :]).max(axis=2)
    clear = (aside == 0) | (aside >= MARK_MM + _CLEAR_MM)
    return clear.all(axis=1), (aside > 0).all(axis=1)


def _fit_once(
    pairs: Numbers,
    new: NDArray[np.bool_],
    kept: Sequence[tuple[float, float]],
    laid_by: Sequence[Numbers],
) -> NDArray[np.bool_]:
    """Which pairs of crosses fit those of the first carrier in their own place alone.

    A carrier laid on two others of its crosses, as far apart in the same direction, lies askew by
    as much as these lie from its own.

    Args:
        pairs: shape (pairs, 2, 2); ``new`` which crosses of each are not there yet.
        kept: the crosses chosen so far.
        laid_by: from one cross to the other of each carrier so far.
    """
    if not kept or not len(pairs):
        return np.ones(len(pairs), dtype=bool)
    there = np.array(kept)
    one, other = pairs[:, 0], pairs[:, 1]
    across = other - one
    steps = (there[None] - there[:, None])[~np.eye(len(there), dtype=bool)]
    own = ~new.any(axis=1)
    # Where both crosses are there already, their own step is one of them.
    fits = _near(across, steps) <= own
    fits &= (_near(2 * one - other, there) + _near(2 * other - one, there)) == 0
    if laid_by:
        told = np.array([*laid_by, *(-step for step in laid_by)])
        beside = (there[:, None] + told[None]).reshape(-1, 2)
        for cross_, is_new in ((one, new[:, 0]), (other, new[:, 1])):
            fits &= ~is_new | (_near(cross_, beside) == 0)
        fits &= own | (_near(across, told) == 0)
    return fits


def _near(places: Numbers, others: Numbers) -> NDArray[np.int_]:
    """How many others each place is hardly told apart from by eye."""
    aside = np.abs(places[:, None, :] - others[None, :, :]).max(axis=2)
    near: NDArray[np.int_] = (aside < ASKEW_MM).sum(axis=1)
    return near


def _growth(station: Station, box: Numbers, pairs: Numbers) -> tuple[Numbers, NDArray[np.bool_]]:
    """What more film each pair of crosses costs on a carrier, and whether its roll takes it."""
    low, high = pairs.min(axis=1) - MARK_MM / 2, pairs.max(axis=1) + MARK_MM / 2
    sides = np.maximum(high, box[2:]) - np.minimum(low, box[:2]) + 2 * BORDER_MM
    across, bare = sides.min(axis=1), float((box[2:] - box[:2]).min()) + 2 * BORDER_MM
    if station.one_way:
        across, bare = sides.max(axis=1), float((box[2:] - box[:2]).max()) + 2 * BORDER_MM
    fits: NDArray[np.bool_] = (across <= station.roll_mm) | (across <= bare)
    return station.price_mm2 * (sides.prod(axis=1) - _area(box)), fits


def _around(box: Numbers, pairs: Numbers) -> Numbers:
    """A box with each pair of crosses, mm."""
    low = np.minimum(box[:2], pairs.min(axis=1) - MARK_MM / 2)
    return np.hstack([low, np.maximum(box[2:], pairs.max(axis=1) + MARK_MM / 2)])


def _beside(around: Numbers, bare: Numbers, other: Numbers, *, marked: bool) -> NDArray[np.bool_]:
    """Which boxes can be laid in one press with another.

    Beside one with crosses each lies with its whole border. Of one without, which is trimmed to its
    film, they cover no more than they do without their own crosses.
    """
    if marked:
        return _lap(around, other, BORDER_MM) <= 0
    return _lap(around, other, _CLEAR_MM) <= _lap(bare, other, _CLEAR_MM) + _ROUNDING_MM


def _lap(boxes: Numbers, other: Numbers, margin_mm: float) -> Numbers:
    """Where boxes lie over another, each with a margin, mm²."""
    sides = np.minimum(boxes[..., 2:], other[2:]) - np.maximum(boxes[..., :2], other[:2])
    laps: Numbers = np.clip(sides + 2 * margin_mm, 0, None).prod(axis=-1)
    return laps


def _area(box: Numbers) -> float:
    return float((box[2:] - box[:2] + 2 * BORDER_MM).prod())
