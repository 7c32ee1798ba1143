"""A layout on the roll: where every copy lies, what it takes, and whether it can be cut."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

import numpy as np
import shapely
from shapely import Polygon, affinity
from shapely.geometry.base import BaseGeometry

from advisor.cutting.roll.shapes import EXACT_MM, Part

__all__ = ["Layout", "Method", "Placement", "Strip", "faults", "place"]

Geometry = TypeVar("Geometry", bound=BaseGeometry)
Method = Literal["true-shape", "rectangles"]


@dataclass(frozen=True, slots=True)
class Placement:
    """Where one copy lies on the roll: turn its shape about (0, 0), then shift it.

    Attributes:
        part: the part's id.
        copy: which of its copies, from 1.
        rotation_deg: the turn in degrees, as `shapely.affinity.rotate` counts it.
        x_mm, y_mm: the shift along and across the roll, which starts at x = 0; its edge is y = 0.
    """

    part: str
    copy: int
    rotation_deg: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Layout:
    """Where every copy of every part lies on a roll.

    Attributes:
        placements: one for each copy, along the roll. Coordinates as the artwork has them: x along
            the roll, y across it, downwards.
        length_mm: roll used, from the first part's edge to the last's, mm.
        density: area of the parts (holes not counted) over that length of roll, 0 to 1.
        method: ``true-shape`` or ``rectangles``.
        note: how the layout came about, and what is not sure about it.
        roll_width_mm, spacing_mm: what it was nested for, mm.
        interrupted: Ctrl-C ended the search early; the layout is whole all the same.
    """

    placements: tuple[Placement, ...]
    length_mm: float
    density: float
    method: Method
    note: str
    roll_width_mm: float
    spacing_mm: float
    interrupted: bool = False

    @property
    def waste_pct(self) -> float:
        """Share of the roll's length that does not end up on garments, %."""
        return 100 * (1 - self.density) if self.placements else 0.0


@dataclass(frozen=True, slots=True)
class Strip:
    """What is to be laid, and what any layout of it must keep.

    Attributes:
        parts: by id.
        roll_width_mm: the width that may be cut.
        spacing_mm: least distance between any two parts.
    """

    parts: Mapping[str, Part]
    roll_width_mm: float
    spacing_mm: float

    def length_mm(self, placements: Sequence[Placement]) -> float:
        """Where the last part ends, mm; 0 where nothing lies."""
        ends = (place(self.parts[spot.part].outline, spot).bounds[2] for spot in placements)
        return max(ends, default=0.0)

    def holds(self, placements: Sequence[Placement]) -> bool:
        """Whether a layout keeps the roll and the spacing."""
        return not faults(
            {part.id: part.outline for part in self.parts.values()},
            placements,
            roll_width_mm=self.roll_width_mm,
            spacing_mm=self.spacing_mm,
        )


def place(shape: Geometry, placement: Placement) -> Geometry:
    """The shape, or a point of it, as it lies on the roll.

    >>> place(shapely.box(0, 0, 20, 10), Placement("tag", 1, 90.0, 10.0, 0.0)).bounds
    (0.0, 0.0, 10.0, 20.0)
    """
    turned = affinity.rotate(shape, placement.rotation_deg, origin=(0, 0))
    return affinity.translate(turned, placement.x_mm, placement.y_mm)


def faults(
    outlines: Mapping[str, Polygon],
    placements: Sequence[Placement],
    *,
    roll_width_mm: float,
    spacing_mm: float,
) -> tuple[str, ...]:
    """What is wrong with a layout, one sentence each; nothing when it can be cut.

    Measured on the outlines as placed, to a millionth of a millimetre.

    >>> square = shapely.box(0, 0, 10, 10)
    >>> near = [Placement("tag", 1, 0, 0, 0), Placement("tag", 2, 0, 12, 0)]
    >>> faults({"tag": square}, near, roll_width_mm=50, spacing_mm=3)
    ('tag 1 and tag 2 are 2.000 mm apart, less than 3 mm',)
    >>> faults({"tag": square}, near, roll_width_mm=50, spacing_mm=2)
    ()
    """
    if not placements:
        return ()
    placed = np.array([place(outlines[spot.part], spot) for spot in placements], dtype=object)
    names = [f"{spot.part} {spot.copy}" for spot in placements]
    bounds = shapely.bounds(placed)
    found = [
        f"{names[i]} lies outside the roll"
        for i in np.flatnonzero(
            (bounds[:, 0] < -EXACT_MM)
            | (bounds[:, 1] < -EXACT_MM)
            | (bounds[:, 3] > roll_width_mm + EXACT_MM)
        )
    ]
    tree = shapely.STRtree(placed)
    first, second = tree.query(placed, predicate="dwithin", distance=spacing_mm)
    pairs = sorted((int(i), int(j)) for i, j in zip(first, second, strict=True) if i < j)
    for i, j in pairs:
        apart_mm = float(shapely.distance(placed[i], placed[j]))
        if apart_mm < spacing_mm - EXACT_MM:
            found.append(
                f"{names[i]} and {names[j]} are {apart_mm:.3f} mm apart, "
                f"less than {spacing_mm:g} mm"
            )
        elif apart_mm == 0 and not _only_touch(placed[i], placed[j]):
            found.append(f"{names[i]} and {names[j]} overlap")
    return tuple(found)


def _only_touch(one: Polygon, other: Polygon) -> bool:
    shared = one.intersection(other)
    return bool(shared.area <= EXACT_MM * max(1.0, shared.length))
