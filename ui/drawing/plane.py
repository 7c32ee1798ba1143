"""Plane: sizes drawn to one scale over one another, such as a garment's print areas."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rules.facts.units import Units
from ui.drawing import ink
from ui.drawing.labels import Label, labelled

__all__ = ["Plate", "plates"]

_BODY, _WIDTH = 222.0, 476.0


@dataclass(frozen=True, slots=True)
class Plate:
    """A rectangle with a name."""

    name: str
    width_mm: float
    height_mm: float


def plates(shapes: Sequence[Plate], *, units: Units, title: str) -> str:
    """Rectangles to one scale, centred on one another, the largest behind.

    >>> "20 mm × 10 mm" in plates([Plate("chest", 20, 10)], units=Units(), title="Areas")
    True
    """
    ordered = sorted(shapes, key=lambda each: -each.width_mm * each.height_mm)
    widest = max(each.width_mm for each in ordered)
    tallest = max(each.height_mm for each in ordered)
    scale = min(_BODY / widest, 230 / tallest)
    middle, bottom = 10 + _BODY / 2, 20 + tallest * scale
    marks, labels = [], []
    for place, each in enumerate(ordered):
        across, down = each.width_mm * scale, each.height_mm * scale
        x, y = middle - across / 2, 10 + (tallest * scale - down) / 2
        kind = "mat" if place == 0 else "sheet"
        marks.append(ink.rect(x, y, across, down, kind=kind, radius=3, stroke=1.3))
        at = (x + across - 5, y + down * (0.2 + 0.5 * place / len(ordered)))
        labels.append(Label(at, each.name, units.size(each.width_mm, each.height_mm)))
    alt = "; ".join(f"{label.title} {label.detail}" for label in labels)
    return labelled(
        marks, labels, left=256, bend=238, width=_WIDTH, bottom=bottom, title=title, alt=alt
    )
