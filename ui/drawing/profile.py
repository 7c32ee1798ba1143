"""Profile: how films drape over one another, as heights over a row of places along the cut."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rules.facts.film import Film
from rules.facts.step import Meets
from ui.drawing.ink import Point

__all__ = ["Draped", "drape", "laying_order"]

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
    count = int(width / STEP_PX) + 1
    surface = [0.0] * count
    reach = _reaches(len(films), width)
    draped = []
    for place in laying_order(meets) if films else ():
        film = films[place]
        adhesive, face = film.adhesive_um * px_per_um, film.face_um * px_per_um
        inside = [_covers(place, x * STEP_PX, reach, meets, len(films)) for x in range(count)]
        below = _relaxed(surface, inside)
        bond = [height + adhesive for height in below]
        top = [height + face for height in bond]
        runs = _runs(inside)
        draped.append(
            Draped(
                place=place,
                adhesive=tuple(_outline(run, below, bond) for run in runs),
                face=tuple(_outline(run, bond, top) for run in runs),
                tip=_tip(runs[-1], bond, top),
                left=runs[0][0] * STEP_PX,
                right=runs[-1][1] * STEP_PX,
                crest=max(top[x] for first, last in runs for x in range(first, last + 1)),
            )
        )
        surface = [t if here else s for t, s, here in zip(top, surface, inside, strict=True)]
    return tuple(draped)


def _reaches(count: int, width: float) -> list[tuple[float, float]]:
    indent = min(30.0, 0.62 * width / (2 * max(count, 1)))
    return [(10 + k * indent, width - 10 - k * indent) for k in range(count)]


def _covers(
    place: int, x: float, reach: Sequence[tuple[float, float]], meets: Sequence[Meets], count: int
) -> bool:
    left, right = reach[place]
    if not left <= x <= right:
        return False
    way = meets[place] if place < min(count - 1, len(meets)) else "lap"
    if way == "lap":
        return True
    # The window that this piece leaves for the one in front of it.
    indent = -_GAP_PX if way == "butt" else _RIM_PX
    return not reach[place + 1][0] + indent < x < reach[place + 1][1] - indent


def _relaxed(surface: Sequence[float], inside: Sequence[bool]) -> list[float]:
    """The surface as a sheet follows it: no steeper than a film bends."""
    heights = [h if here else 0.0 for h, here in zip(surface, inside, strict=True)]
    for order in (range(1, len(heights)), range(len(heights) - 2, -1, -1)):
        for x in order:
            neighbour = x - 1 if order.step > 0 else x + 1
            if inside[x] and inside[neighbour]:
                heights[x] = max(heights[x], heights[neighbour] - _STEEPEST * STEP_PX)
    return heights


def _runs(inside: Sequence[bool]) -> list[tuple[int, int]]:
    runs: list[tuple[int, int]] = []
    for x, here in enumerate(inside):
        if here and runs and runs[-1][1] == x - 1:
            runs[-1] = (runs[-1][0], x)
        elif here:
            runs.append((x, x))
    return runs


def _outline(
    run: tuple[int, int], lower: Sequence[float], upper: Sequence[float]
) -> tuple[Point, ...]:
    places = range(run[0], run[1] + 1)
    along = _straightened([(x * STEP_PX, upper[x]) for x in places])
    back = _straightened([(x * STEP_PX, lower[x]) for x in reversed(places)])
    return (*along, *back)


def _straightened(points: list[Point]) -> list[Point]:
    kept = points[:1]
    for before, here, after in zip(points, points[1:], points[2:], strict=False):
        if abs((here[1] - before[1]) - (after[1] - here[1])) > 1e-6:
            kept.append(here)
    return kept + points[-1:] if len(points) > 1 else kept


def _tip(run: tuple[int, int], lower: Sequence[float], upper: Sequence[float]) -> Point:
    x = max(run[0], run[1] - 2)
    return (x * STEP_PX, (lower[x] + upper[x]) / 2)
