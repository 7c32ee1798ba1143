"""The slow, plain judge of a layout: every pair measured, every copy counted."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Sequence

from shapely import MultiPolygon, Polygon, affinity

from advisor.cutting.roll.layout import Layout
from advisor.cutting.roll.shapes import Part

Shape = Polygon | MultiPolygon


def laid(layout: Layout, parts: Sequence[Part]) -> list[Shape]:
    """Each copy where it lies, worked out afresh from its turn and shift."""
    shapes = {part.id: part.shape for part in parts}
    return [
        affinity.translate(
            affinity.rotate(shapes[spot.part], spot.rotation_deg, origin=(0, 0)),
            spot.x_mm,
            spot.y_mm,
        )
        for spot in layout.placements
    ]


def wrong_with(layout: Layout, parts: Sequence[Part], near_mm: float = 1e-5) -> list[str]:
    """Everything that would spoil the cut: copies missing, turned, off the roll or too near."""
    wrong = []
    counts = Counter(spot.part for spot in layout.placements)
    if counts != Counter({part.id: part.quantity for part in parts}):
        wrong.append(f"counts {counts}")
    numbers = {(spot.part, spot.copy) for spot in layout.placements}
    if numbers != {(part.id, n + 1) for part in parts for n in range(part.quantity)}:
        wrong.append("copies are not numbered from 1")
    turns = {part.id: part.rotations for part in parts}
    for spot in layout.placements:
        allowed = turns[spot.part]
        if allowed is not None and not any(
            abs((spot.rotation_deg - turn + 180) % 360 - 180) < 1e-9 for turn in allowed
        ):
            wrong.append(f"{spot.part} is turned by {spot.rotation_deg}")
    shapes = laid(layout, parts)
    for shape in shapes:
        left, top, right, bottom = shape.bounds
        if left < -near_mm or top < -near_mm or bottom > layout.roll_width_mm + near_mm:
            wrong.append(f"off the roll: {shape.bounds}")
        if right > layout.length_mm + near_mm:
            wrong.append(f"{right} is beyond the length of {layout.length_mm}")
    for one, other in itertools.combinations(shapes, 2):
        if one.distance(other) < layout.spacing_mm - near_mm:
            wrong.append(f"{one.distance(other)} mm apart")
        if one.intersection(other).area > near_mm:
            wrong.append(f"overlap of {one.intersection(other).area} mm²")
    return wrong
