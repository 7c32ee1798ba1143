"""Parts to nest: their outlines, the turns they may take, and the refusal of what cannot fit."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon, affinity

from rules.errors import BadInputError
from rules.facts.film import Film

__all__ = [
    "EXACT_MM", "MOST_PARTS", "QUARTER_TURNS", "NestError", "Part", "PartTooWideError", "outline",
    "refuse_unfit", "rotations_for", "turned_size",
]  # fmt: skip

MOST_PARTS = 20_000
"""Parts in one order for one film; more than this is a slip in a quantity."""
MOST_SIZE_MM = 10_000.0
QUARTER_TURNS = (0.0, 90.0, 180.0, 270.0)
BRIDGE_MM = 5.0
"""Least width of carrier left between the islands of one part, mm. Common practice, no source."""
# Corners to a quarter turn of a carrier's bridge: few, since the search slows with every point.
ARC = 4
EXACT_MM = 1e-6
"""What counts as exact, mm: far below any cutter, far above what double precision loses."""


class NestError(BadInputError):
    """An order that cannot be nested as given; the message says what to change.

    >>> str(NestError("is 0; order at least 1", field="crest.quantity"))
    'crest.quantity: is 0; order at least 1'
    """


class PartTooWideError(NestError):
    """A part that no allowed turn brings onto the roll; the message gives sizes and what instead.

    >>> part = Part("crest", shapely.box(0, 0, 300, 420), 1, (0.0,))
    >>> refuse_unfit([part], roll_width_mm=380)
    Traceback (most recent call last):
    ...
    advisor.cutting.roll.shapes.PartTooWideError: crest: is 420.0 mm across \
and the roll takes 380.0 mm; \
turn it by 90° (300.0 mm across), make it at most 90 % of its size, or take a roll of \
at least 420.0 mm
    """


@dataclass(frozen=True)
class Part:
    """One shape to cut from a film, already mirrored, and how many of it.

    Attributes:
        id: what the decorator calls it; unique in an order.
        shape: the cut in mm; y runs down as in the artwork. Islands of a MultiPolygon stay
            together on one carrier.
        quantity: how many, 1 to 20,000.
        rotations: the turns that are allowed, in degrees. A film whose look has a direction takes
            ``(0.0, 180.0)``: see `rotations_for`.
        marks: registration marks, cut on its carrier too.

    Raises:
        NestError: an empty or crossed shape, a size beyond 10 m, a quantity below 1, or no turn.

    >>> Part("crest", shapely.box(0, 0, 60, 40), 0)
    Traceback (most recent call last):
    ...
    advisor.cutting.roll.shapes.NestError: crest.quantity: is 0; order 1 to 20000
    """

    id: str
    shape: Polygon | MultiPolygon
    quantity: int = 1
    rotations: tuple[float, ...] = QUARTER_TURNS
    marks: tuple[Polygon, ...] = ()

    def __post_init__(self) -> None:
        if not isinstance(self.id, str) or not self.id.strip():
            raise NestError("a part has no name; give it an id", field="id")
        quantity = self.quantity
        if isinstance(quantity, bool) or not isinstance(quantity, int):
            raise NestError(f"is {quantity!r}; give a whole number", field=f"{self.id}.quantity")
        if not 1 <= quantity <= MOST_PARTS:
            raise NestError(f"is {quantity}; order 1 to {MOST_PARTS}", field=f"{self.id}.quantity")
        if not (self.rotations and all(math.isfinite(angle) for angle in self.rotations)):
            raise NestError(
                f"are {self.rotations}; give degrees, for example (0, 180)",
                field=f"{self.id}.rotations",
            )
        why = _unfit_to_cut(self.shape)
        if why is not None:
            raise NestError(why, field=f"{self.id}.shape")

    @cached_property
    def outline(self) -> Polygon:
        """The patch of carrier that holds it, without holes."""
        parts = shapely.get_parts(self.shape).tolist()
        return outline(MultiPolygon([*parts, *self.marks]))

    @cached_property
    def turns(self) -> tuple[float, ...]:
        """The turns worth trying with a bounding rectangle, in degrees, without repeats.

        >>> Part("tag", shapely.box(0, 0, 20, 10), 1, (0, 180, 360)).turns
        (0.0, 180.0)
        """
        return tuple(sorted({float(angle) % 360 for angle in self.rotations}))

    @property
    def narrowest_mm(self) -> float:
        """The width across the roll at the turn that makes it least, mm."""
        return min(turned_size(self.outline, angle)[1] for angle in self.turns)


def _unfit_to_cut(shape: Polygon | MultiPolygon) -> str | None:
    if not isinstance(shape, Polygon | MultiPolygon):
        return f"is a {type(shape).__name__}; give a closed shape"
    if not shape.is_valid:
        return f"crosses itself ({shapely.is_valid_reason(shape)}); join its outlines first"
    if shape.is_empty or not shape.area > 0:
        return "has no area; nothing would be cut"
    left, top, right, bottom = shape.bounds
    if not max(right - left, bottom - top) <= MOST_SIZE_MM:
        return (
            f"is {right - left:.0f} × {bottom - top:.0f} mm, more than {MOST_SIZE_MM:.0f} mm; "
            "check the units"
        )
    return None


def rotations_for(film: Film) -> tuple[float, ...]:
    """The turns that a film allows: quarter turns, or 0° and 180° where its look has a direction.

    Any angle would waste a little less; quarter turns keep names and edges square to the roll,
    which is easier to weed and to lay.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> rotations_for(film.model_copy(update={"one_way": False}))
    (0.0, 90.0, 180.0, 270.0)
    >>> rotations_for(film.model_copy(update={"one_way": True}))
    (0.0, 180.0)
    """
    return (0.0, 180.0) if film.one_way else QUARTER_TURNS


def outline(shape: Polygon | MultiPolygon) -> Polygon:
    """The patch of carrier that a shape needs, as one outline without holes.

    Holes are filled: nothing is cut from inside a letter. Islands are joined by the narrowest
    bands of carrier that hold them in register (never less than 5 mm wide where they meet); where
    that is not enough to make one patch, their convex hull is taken.

    >>> ring = shapely.Point(0, 0).buffer(20).difference(shapely.Point(0, 0).buffer(10))
    >>> len(outline(ring).interiors)
    0
    >>> two = MultiPolygon([shapely.box(0, 0, 10, 10), shapely.box(30, 0, 40, 10)])
    >>> patch = outline(two)
    >>> patch.covers(two), two.area < patch.area <= two.convex_hull.area
    (True, True)
    """
    islands = shape.geoms if isinstance(shape, MultiPolygon) else [shape]
    joined = shapely.union_all([Polygon(island.exterior) for island in islands])
    if not isinstance(joined, MultiPolygon):
        return Polygon(shapely.get_exterior_ring(joined))
    reach_mm = _widest_gap(list(joined.geoms)) / 2 + BRIDGE_MM
    hull = joined.convex_hull
    grown = joined.buffer(reach_mm, quad_segs=ARC)
    if isinstance(grown, Polygon):
        closed = shapely.union_all(
            [Polygon(grown.exterior).buffer(-reach_mm, quad_segs=ARC), joined]
        )
        # Coarse arcs may stand out of the hull a little; it holds all islands in any case.
        within = closed.intersection(hull)
        if isinstance(within, Polygon):
            return Polygon(within.exterior)
    return hull if isinstance(hull, Polygon) else Polygon()


def _widest_gap(islands: Sequence[Polygon]) -> float:
    """The widest gap that must be bridged to join all islands (Prim's least tree), mm."""
    geometries = np.array(islands, dtype=object)
    distance = shapely.distance(geometries, geometries[0])
    waiting = np.ones(len(geometries), dtype=bool)
    waiting[0] = False
    widest = 0.0
    while waiting.any():
        nearest = int(np.argmin(np.where(waiting, distance, np.inf)))
        widest = max(widest, float(distance[nearest]))
        waiting[nearest] = False
        distance = np.minimum(distance, shapely.distance(geometries, geometries[nearest]))
    return widest


def turned_size(shape: Polygon, angle_deg: float) -> tuple[float, float]:
    """Length along the roll and width across it after a turn, mm.

    >>> turned_size(shapely.box(0, 0, 20, 10), 90)
    (10.0, 20.0)
    """
    left, top, right, bottom = affinity.rotate(shape, angle_deg, origin=(0, 0)).bounds
    return right - left, bottom - top


def refuse_unfit(parts: Sequence[Part], *, roll_width_mm: float) -> None:
    """Refuse an order that cannot lie on a roll, before any time is spent on it.

    Raises:
        NestError: two parts of one name, or more than 20,000 parts in all.
        PartTooWideError: a part is wider than the roll at every turn it may take.

    >>> refuse_unfit([], roll_width_mm=380)
    """
    known: set[str] = set()
    for part in parts:
        if part.id in known:
            raise NestError("two parts bear this name; name them apart", field=part.id)
        known.add(part.id)
        if part.narrowest_mm > roll_width_mm + EXACT_MM:
            raise PartTooWideError(_too_wide(part, roll_width_mm), field=part.id)
    ordered = sum(part.quantity for part in parts)
    if ordered > MOST_PARTS:
        raise NestError(f"{ordered} parts in all, more than {MOST_PARTS}; split the order")


def _too_wide(part: Part, roll_width_mm: float) -> str:
    across_mm = part.narrowest_mm
    other = Part(part.id, part.shape, marks=part.marks)
    free_mm, angle = min((turned_size(other.outline, angle)[1], angle) for angle in other.turns)
    instead = [f"turn it by {angle:.0f}° ({free_mm:.1f} mm across)"] * (free_mm <= roll_width_mm)
    share = math.floor(100 * roll_width_mm / across_mm)
    instead.append(f"make it at most {share} % of its size")
    instead.append(f"or take a roll of at least {across_mm:.1f} mm")
    return f"is {across_mm:.1f} mm across and the roll takes {roll_width_mm:.1f} mm; " + ", ".join(
        instead
    )
