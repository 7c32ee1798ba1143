"""Discs that fit between two facing walls of an outline: where it is narrow, inside and out.

The corner-free part of the medial axis, found without building the axis: pairs of straight walls
that run within ``FACING_DEG`` of antiparallel, and corners that jut towards a wall or towards
another corner, each give a few discs; a disc counts when no other wall cuts into it. Only the
narrowest are ever tried, so the cost is that of finding the pairs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree

from advisor.artwork.walls import Floats, Ints, Walls, cross, dot

__all__ = [
    "FACING_DEG",
    "GAP",
    "STROKE",
    "Discs",
    "clear_of_walls",
    "least_discs",
    "narrow_discs",
]

# Walls further than this from parallel make a corner, not a stroke (common practice, no source).
FACING_DEG = 20.0
STROKE, GAP = 1, -1

_FACING = math.radians(FACING_DEG)
# A turn less than this is a bend of a wall and is judged as a wall.
_JUTTING = math.radians(20.0)
# A corner sharper than this may be the tip of a needle.
_POINTED = math.radians(45.0)
# A gap that opens less than this with its length is a slit (common practice, no source).
_OPENING = 0.1
# How wide a gap is looked at for where it opens, mm.
_CONTACT_REACH_MM = 3.0
# What lies this near a contact, mm, is the contact: outlines are thinned out.
_AT_CONTACT_MM = 0.06
# An inscribed disc may be cut into by this share of its radius: drawn curves are chains of chords.
_SLACK = 0.04


@dataclass(frozen=True, slots=True)
class Discs:
    """Discs that touch two facing walls; not yet known to be clear of all other walls.

    Attributes:
        side: ``STROKE`` for a disc in the material, ``GAP`` for one beside it.
        counted_mm: the width that the place counts as: the disc's, or that of the needle it lies
            in.
    """

    side: NDArray[np.int8]
    counted_mm: Floats
    radius: Floats
    centre: Floats

    def of(self, chosen: NDArray[np.bool_] | Ints) -> Discs:
        """Return some of the discs, by a mask or by their places."""
        return Discs(
            self.side[chosen], self.counted_mm[chosen], self.radius[chosen], self.centre[chosen]
        )


def narrow_discs(walls: Walls, reach_mm: float, *, sides: tuple[int, ...] = (STROKE, GAP)) -> Discs:
    """Return every disc worth a look that counts as narrower than ``reach_mm``.

    >>> from advisor.artwork.walls import walls_of
    >>> walls = walls_of(np.array([shapely.box(0, 0, 4, 2)]), 0.01)
    >>> set(narrow_discs(walls, 3).counted_mm.tolist())
    {2.0}
    """
    opening = GAP in sides and walls.contacts.size > 0
    search_mm = max(reach_mm, _CONTACT_REACH_MM) if opening else reach_mm
    found = [_between_walls(walls, search_mm, sides), _at_corners(walls, search_mm, sides)]
    discs = _joined(found)
    discs = discs.of((discs.counted_mm < search_mm) & (discs.radius > 0))
    if opening:
        discs = discs.of(~_running_out(walls, discs))
    return discs.of(discs.counted_mm < reach_mm)


def _running_out(walls: Walls, discs: Discs) -> NDArray[np.bool_]:
    """Tell which discs lie in a gap that runs out into a point where outlines meet.

    Only a gap that opens to at least ``_OPENING`` of its length: a longer one is a slit.
    """
    gone = np.zeros(len(discs.radius), dtype=np.bool_)
    gaps = np.flatnonzero((discs.side == GAP) & (discs.radius < _CONTACT_REACH_MM / 2))
    if not gaps.size:
        return gone
    furthest_mm = 2 * float(discs.radius[gaps].max()) / _OPENING
    middles = np.asarray(shapely.points(discs.centre[gaps]), dtype=object)
    contact, near = STRtree(middles).query(
        np.asarray(shapely.points(walls.contacts), dtype=object),
        predicate="dwithin",
        distance=furthest_mm,
    )
    near = gaps[near]
    way = discs.centre[near] - walls.contacts[contact]
    off = np.hypot(way[:, 0], way[:, 1])
    gone[near[off < _AT_CONTACT_MM]] = True
    opening = 2 * discs.radius[near] / np.maximum(off, 1e-12)
    beside = (opening <= 2 * math.sin(_FACING)) & (off >= _AT_CONTACT_MM)
    wide = np.flatnonzero(beside & (opening >= _OPENING))
    wide = wide[clear_of_walls(walls, discs.of(near[wide]))]
    seen_from = discs.centre[near[wide]] - 0.6 * way[wide]
    sight = shapely.linestrings(np.stack([seen_from, discs.centre[near[wide]]], axis=1))
    wide = np.delete(wide, np.unique(walls.tree.query(sight, predicate="intersects")[0]))
    first = np.searchsorted(contact, np.arange(len(walls.contacts) + 1))
    for nth in wide[np.argsort(-off[wide], kind="stable")].tolist():
        if gone[near[nth]]:
            continue
        of_it = slice(first[contact[nth]], first[contact[nth] + 1])
        level = (way[of_it] @ way[nth]) / (off[of_it] * off[nth] + 1e-12)
        behind = (off[of_it] <= off[nth]) & (level >= math.cos(_FACING / 2))
        gone[near[of_it][beside[of_it] & behind]] = True
    return gone


def _joined(found: list[Discs]) -> Discs:
    return Discs(
        np.concatenate([one.side for one in found]),
        np.concatenate([one.counted_mm for one in found]),
        np.concatenate([one.radius for one in found]),
        np.concatenate([one.centre for one in found]),
    )


def _near(walls: Walls, low: Floats, high: Floats, reach_mm: float) -> tuple[Ints, Ints]:
    """Pairs of a given box and a wall not further apart than ``reach_mm`` along x and along y."""
    low, high = low - reach_mm, high + reach_mm
    # The tree compares boxes only, and a diagonal has the box that it crosses.
    one, other = walls.tree.query(shapely.linestrings(np.stack([low, high], axis=1)))
    return one, other


def _between_walls(walls: Walls, reach_mm: float, sides: tuple[int, ...]) -> Discs:
    low, high = np.minimum(walls.start, walls.end), np.maximum(walls.start, walls.end)
    one, other = _near(walls, low, high, reach_mm)
    once = one < other
    one, other = one[once], other[once]
    facing = dot(walls.along[one], walls.along[other]) <= -math.cos(_FACING)
    one, other = one[facing], other[facing]
    # Across the pair, distances are taken square to the line half-way between the two walls.
    axis = walls.along[one] - walls.along[other]
    axis /= np.hypot(axis[:, 0], axis[:, 1])[:, None]
    across = np.stack([-axis[:, 1], axis[:, 0]], axis=1)
    across *= np.sign(dot(across, walls.inward[one]))[:, None]
    lean = dot(walls.along[one], axis)
    from_one = walls.start[one]
    to_start, to_end = walls.start[other] - from_one, walls.end[other] - from_one
    low_t = np.maximum(0.0, dot(to_end, axis))
    high_t = np.minimum(walls.length[one] * lean, dot(to_start, axis))
    slope_one = dot(walls.along[one], across) / lean
    slope_other = dot(walls.along[other], across) / dot(walls.along[other], axis)
    level_other = dot(to_start, across) - slope_other * dot(to_start, axis)
    widening = slope_other - slope_one
    low_w, high_w = level_other + widening * low_t, level_other + widening * high_t
    side = np.where(low_w + high_w > 0, STROKE, GAP).astype(np.int8)
    low_w, high_w = low_w * side, high_w * side
    narrow = np.minimum(low_w, high_w)
    keep = (high_t > low_t) & (narrow < reach_mm) & np.isin(side, sides)
    narrow = np.maximum(narrow, 0.0)
    # The disc fits at the narrow end, or clear of a wall that closes that end, or further on.
    span = high_t - low_t
    offset = np.stack([0 * span, 0.6 * narrow, 1.2 * narrow, 2.4 * narrow, span / 2, span], axis=1)
    offset = np.clip(offset, 0.0, np.maximum(span, 0.0)[:, None])
    from_low = (low_w <= high_w)[:, None]
    t = np.where(from_low, low_t[:, None] + offset, high_t[:, None] - offset)[keep]
    width = (level_other[keep, None] + widening[keep, None] * t) * side[keep, None]
    middle = slope_one[keep, None] * t + width * side[keep, None] / 2
    centre = (
        from_one[keep, None, :]
        + axis[keep, None, :] * t[:, :, None]
        + across[keep, None, :] * middle[:, :, None]
    )
    radius = (width * lean[keep, None] / 2).ravel()
    floor = _needle_floor(walls, one[keep], other[keep])
    return Discs(
        np.repeat(side[keep], 6),
        np.maximum(2 * radius, np.repeat(floor, 6)),
        radius,
        centre.reshape(-1, 2),
    )


def _needle_floor(walls: Walls, one: Ints, other: Ints) -> Floats:
    """Half the width that a needle grows to, for pairs of walls of one needle; else 0."""
    tips = np.flatnonzero(np.abs(walls.turn) > math.pi - _POINTED)
    if not tips.size:
        return np.zeros(len(one))
    half = np.zeros(len(tips) + 1)
    before = np.full(len(walls.length), -1, dtype=np.intp)
    after = before.copy()
    for number, tip in enumerate(tips.tolist()):
        left, right = int(walls.previous[tip]), tip
        left_mm, right_mm = float(walls.length[left]), float(walls.length[right])
        widest = gone = 0.0
        # The sides of a leaf part more at its tip than further on.
        parting = max(_FACING, math.pi - abs(float(walls.turn[tip]))) + 1e-9
        while left != right and -float(walls.along[left] @ walls.along[right]) > math.cos(parting):
            before[left] = after[right] = number
            walked = min(left_mm, right_mm)
            on_left = walls.start[left] + walls.along[left] * (left_mm - walked)
            on_right = walls.end[right] - walls.along[right] * (right_mm - walked)
            width = math.dist(on_left, on_right)
            if walked > gone * (1 + 1e-6):
                if width - widest < 0.01 * (walked - gone):
                    break
                widest, gone = width, walked
            if left_mm <= right_mm:
                left = int(walls.previous[left])
                left_mm += float(walls.length[left])
            else:
                right = int(walls.following[right])
                right_mm += float(walls.length[right])
        half[number] = widest / 2
    shared = np.where(before[one] == after[other], before[one], -1)
    shared = np.where((before[other] == after[one]) & (shared < 0), before[other], shared)
    return half[shared]


def _at_corners(walls: Walls, reach_mm: float, sides: tuple[int, ...]) -> Discs:
    """Discs that touch a corner jutting into them, and a wall or another such corner."""
    side_of = np.where(walls.turn < 0, STROKE, GAP).astype(np.int8)
    corner = np.flatnonzero((np.abs(walls.turn) > _JUTTING) & np.isin(side_of, sides))
    tip = walls.start[corner]
    one, wall = _near(walls, tip, tip, reach_mm)
    # No foot on a wall lies in the fan of a corner unless the wall as a whole faces that fan.
    fan = np.minimum(math.pi, np.abs(walls.turn[corner]) / 2 + _FACING)
    toward = walls.jut[corner] * side_of[corner][:, None]
    faced = -dot(toward[one], walls.inward[wall]) >= np.cos(fan)[one]
    corner, wall = corner[one[faced]], wall[faced]
    apart = (wall != corner) & (wall != walls.previous[corner])
    corner, wall = corner[apart], wall[apart]
    side, tip = side_of[corner], walls.start[corner]
    t = np.clip(dot(tip - walls.start[wall], walls.along[wall]), 0.0, walls.length[wall])
    chord = walls.start[wall] + walls.along[wall] * t[:, None] - tip
    aside = _aside(chord, walls.jut[corner], walls.turn[corner])
    aside += _aside(-chord, walls.inward[wall] * side[:, None], np.zeros(len(wall)))
    to_wall = _across_chords(side, tip, chord, aside)
    first, second = _near_corners(walls, side_of, sides, reach_mm)
    chord = walls.start[second] - walls.start[first]
    aside = _aside(chord, walls.jut[first], walls.turn[first])
    aside += _aside(-chord, walls.jut[second], walls.turn[second])
    return _joined([to_wall, _across_chords(side_of[first], walls.start[first], chord, aside)])


def _near_corners(
    walls: Walls, side_of: NDArray[np.int8], sides: tuple[int, ...], reach_mm: float
) -> tuple[Ints, Ints]:
    """Pairs of corners that jut into the same side, not further apart than ``reach_mm``."""
    corner = np.flatnonzero((np.abs(walls.turn) > _JUTTING) & np.isin(side_of, sides))
    points = np.asarray(shapely.points(walls.start[corner]), dtype=object)
    one, other = STRtree(points).query(points, predicate="dwithin", distance=reach_mm)
    first, second = corner[one], corner[other]
    kept = (one < other) & (side_of[first] == side_of[second])
    return first[kept], second[kept]


def _across_chords(side: NDArray[np.int8], tip: Floats, chord: Floats, aside: Floats) -> Discs:
    faced = aside <= _FACING
    chord = chord[faced]
    width = np.hypot(chord[:, 0], chord[:, 1]) * np.cos(aside[faced] / 2)
    return Discs(side[faced], width, width / 2, tip[faced] + chord / 2)


def _aside(way: Floats, middle: Floats, turn: Floats) -> Floats:
    """How far, in radians, a way lies outside the fan of square directions of a corner."""
    off = np.abs(np.arctan2(cross(way, middle), dot(way, middle)))
    aside: Floats = np.maximum(0.0, off - np.abs(turn) / 2)
    return aside


def clear_of_walls(walls: Walls, discs: Discs) -> NDArray[np.bool_]:
    """Tell which discs no wall cuts into.

    >>> from advisor.artwork.walls import walls_of
    >>> walls = walls_of(np.array([shapely.box(0, 0, 4, 2)]), 0.01)
    >>> discs = narrow_discs(walls, 3)
    >>> set(discs.centre[clear_of_walls(walls, discs), 1].tolist())
    {1.0}
    """
    cut, _ = walls.tree.query(
        shapely.points(discs.centre), predicate="dwithin", distance=discs.radius * (1 - _SLACK)
    )
    clear = np.ones(len(discs.radius), dtype=np.bool_)
    clear[cut] = False
    return clear


def least_discs(walls: Walls, up_to_mm: float) -> tuple[float, float]:
    """Return the width of the least stroke and least gap that discs show; infinity for none.

    >>> from advisor.artwork.walls import walls_of
    >>> least_discs(walls_of(np.array([shapely.box(0, 0, 4, 2)]), 0.01), 6.0)
    (2.0, inf)
    """
    least = {STROKE: math.inf, GAP: math.inf}
    # Most artwork has something fine, and a short reach makes far fewer pairs.
    for reach_mm in (up_to_mm / 4, up_to_mm / 2, up_to_mm):
        sides = tuple(side for side, width in least.items() if width == math.inf)
        if not sides:
            break
        discs = narrow_discs(walls, reach_mm, sides=sides)
        for side in sides:
            least[side] = _least_clear(walls, discs.of(discs.side == side))
    return least[STROKE], least[GAP]


def _least_clear(walls: Walls, discs: Discs) -> float:
    order = np.argsort(discs.counted_mm, kind="stable")
    done, batch = 0, 16
    while done < len(order):
        tried = discs.of(order[done : done + batch])
        clear = clear_of_walls(walls, tried)
        if clear.any():
            return float(tried.counted_mm[clear].min())
        done, batch = done + batch, batch * 4
    return math.inf
