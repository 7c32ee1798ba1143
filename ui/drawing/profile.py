"""Profile: how films drape over one another, as heights over a row of places along the cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from rules.facts.film import Film
from rules.facts.step import Meets
from ui.drawing.ink import Point

__all__ = ["Draped", "drape", "laying_order"]

Heights = NDArray[np.float64]

STEP_PX = 2.0
_RIM_PX = 13.0
_GAP_PX = 4.0
_STEEPEST = 2.0


@dataclass(frozen=True, slots=True)
class Draped:
    """One film as it lies, in drawing units above the fabric (y up).

    Attributes:
        place: its position in the look, 0 for the one behind all.
        adhesive: outlines of its adhesive; ``face``: outlines of its face.
        tip: a point of its face near its right end, for a label to lead to.
        left, right: how far it reaches.
        crest: its highest point.
    """

    place: int
    adhesive: tuple[tuple[Point, ...], ...]
    face: tuple[tuple[Point, ...], ...]
    tip: Point
    left: float
    right: float
    crest: float


def laying_order(meets: Sequence[Meets]) -> tuple[int, ...]:
    """Places in the order in which they go down: an ``inset-under`` goes down before its window.

    >>> laying_order(["lap", "inset-under"]), laying_order([])
    ((0, 2, 1), (0,))
    """
    blocks = [[0]]
    for place, way in enumerate(meets, start=1):
        if way == "inset-under":
            blocks[-1].insert(0, place)
        else:
            blocks.append([place])
    return tuple(place for block in blocks for place in block)


def drape(
    films: Sequence[Film], meets: Sequence[Meets], *, width: float, px_per_um: float
) -> tuple[Draped, ...]:
    """Lay the films (bottom first, as seen) over a flat fabric of ``width`` drawing units.

    Heights are to scale; how far one reaches beyond another is not.

    >>> drape([], [], width=100, px_per_um=1)
    ()
    """
    along: Heights = STEP_PX * np.arange(int(width / STEP_PX) + 1, dtype=np.float64)
    surface = np.zeros_like(along)
    reach = _reaches(len(films), width)
    draped = []
    for place in laying_order(meets) if films else ():
        film = films[place]
        places = np.flatnonzero(_covers(place, along, reach, meets))
        adhesive, face, crest = [], [], 0.0
        for run in np.split(places, np.flatnonzero(np.diff(places) > 1) + 1):
            below = _relaxed(surface[run])
            bond = below + film.adhesive_um * px_per_um
            top = bond + film.face_um * px_per_um
            adhesive.append(_outline(along[run], below, bond))
            face.append(_outline(along[run], bond, top))
            near_end = max(0, len(run) - 3)
            tip = (along[run][near_end], (bond[near_end] + top[near_end]) / 2)
            crest = max(crest, top.max())
            surface[run] = top
        left, right = along[places[[0, -1]]]
        draped.append(Draped(place, tuple(adhesive), tuple(face), tip, left, right, crest))
    return tuple(draped)


def _reaches(count: int, width: float) -> list[tuple[float, float]]:
    indent = min(30.0, 0.62 * width / (2 * max(count, 1)))
    return [(10 + k * indent, width - 10 - k * indent) for k in range(count)]


def _covers(
    place: int, along: Heights, reach: Sequence[tuple[float, float]], meets: Sequence[Meets]
) -> NDArray[np.bool_]:
    """Along which places the film lies, less the window that it leaves for the one in front."""
    left, right = reach[place]
    covered = (left <= along) & (along <= right)
    way = meets[place] if place < min(len(reach) - 1, len(meets)) else "lap"
    if way != "lap":
        indent = -_GAP_PX if way == "butt" else _RIM_PX
        opens, ends = reach[place + 1]
        covered &= ~((opens + indent < along) & (along < ends - indent))
    return covered


def _relaxed(surface: Heights) -> Heights:
    """The surface as a sheet follows it: no steeper than a film bends."""
    ramp = np.arange(len(surface)) * _STEEPEST * STEP_PX
    rising = np.maximum.accumulate((surface - ramp)[::-1])[::-1] + ramp
    falling = np.maximum.accumulate(surface + ramp) - ramp
    relaxed: Heights = np.maximum(rising, falling)
    return relaxed


def _outline(along: Heights, lower: Heights, upper: Heights) -> tuple[Point, ...]:
    return (*_bends(along, upper), *reversed(_bends(along, lower)))


def _bends(along: Heights, heights: Heights) -> list[Point]:
    """The ends of a line and the points at which it bends."""
    bends = np.ones(len(along), dtype=bool)
    bends[1:-1] = np.abs(np.diff(heights, 2)) > 1e-6
    return list(zip(along[bends].tolist(), heights[bends].tolist(), strict=True))
