"""Rule fits-platen: the print fits the flat of the platen and its print area."""

from math import floor

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.practice import PLATEN_EDGE_MM
from rules.facts.subjects import GarmentOnPress
from rules.facts.units import Quantity, show_mm, show_size

__all__ = ["RULE"]

MARGIN_MM = 3.0
"""Less than this on each side leaves no room for a print laid by hand; no more than this beyond it
is what an area's own size is uncertain by. Common practice, no source."""

FAR_TOO_LARGE_MM = 20.0
"""Beyond this a print runs over seams for certain. Common practice, no source."""


def _finds(job: GarmentOnPress) -> Found | None:
    return _off_platen(job) or _off_area(job)


def _off_platen(job: GarmentOnPress) -> Found | None:
    width_mm, height_mm, press = job.width_mm, job.height_mm, job.press
    flat_width_mm = press.platen_width_mm - 2 * PLATEN_EDGE_MM
    flat_depth_mm = press.platen_depth_mm - 2 * PLATEN_EDGE_MM
    if width_mm <= flat_width_mm and height_mm <= flat_depth_mm:
        return None
    if width_mm <= flat_depth_mm and height_mm <= flat_width_mm:
        return Found(
            f"a print of {show_size(width_mm, height_mm)} fits {press.id} only sideways",
            press.id,
            severity="note",
            instead="load the garment from the side of the press",
        )
    scale = max(
        min(flat_width_mm / width_mm, flat_depth_mm / height_mm),
        min(flat_depth_mm / width_mm, flat_width_mm / height_mm),
    )
    scale = min(scale, _area_scale(job))
    return Found(
        f"a print of {show_size(width_mm, height_mm)} is larger than the "
        f"{show_size(flat_width_mm, flat_depth_mm)} that {press.id} presses evenly",
        press.id,
        instead=f"make it at most {_whole_size(width_mm * scale, height_mm * scale)}, "
        "take a larger press, or press in two overlapping places on a sample",
    )


def _off_area(job: GarmentOnPress) -> Found | None:
    area = job.area
    spare_mm = min(area.width_mm - job.width_mm, area.height_mm - job.height_mm)
    if spare_mm >= 2 * MARGIN_MM:
        return None
    scale = min(1.0, _area_scale(job))
    smaller = f"make it at most {_whole_size(job.width_mm * scale, job.height_mm * scale)}"
    if spare_mm >= 0:
        return Found(
            f"the print leaves {show_mm(spare_mm / 2):.1f} on each side of its print area",
            severity="note",
            instead="mark the place on the garment before laying the first piece",
        )
    larger = (
        f"the print of {show_size(job.width_mm, job.height_mm)} is larger than its "
        f"{show_size(area.width_mm, area.height_mm)} print area"
    )
    if -spare_mm <= 2 * MARGIN_MM:
        return Found(
            f"{larger}, by {show_mm(-spare_mm):.1f}",
            severity="note",
            instead=f"lay one out before pressing: no seam may lie under it; else {smaller}",
        )
    return Found(
        larger,
        severity="stop" if -spare_mm > FAR_TOO_LARGE_MM else "sample",
        instead=f"{smaller}, or choose another print area",
    )


def _area_scale(job: GarmentOnPress) -> float:
    """How many times its size the print may be in its area."""
    return min(job.area.width_mm / job.width_mm, job.area.height_mm / job.height_mm)


_TEE = {"garment": "adult-tee", "press": "clamshell-38x38", "steps": [full("base")]}


def _whole_size(width_mm: float, height_mm: float) -> Quantity:
    """Whole millimetres, down, so that what is advised fits."""
    return show_size(floor(width_mm + 1e-6), floor(height_mm + 1e-6))


RULE = Rule(
    id="fits-platen",
    judges="garment",
    severity="stop",
    summary="The print fits the evenly heated part of the platen, and its print area.",
    why="At the rim of a platen heat and pressure fall off, and film beyond it is not pressed at "
    "all; a print beyond its area runs over seams.",
    instead="make the print smaller, or take a larger press",
    basis="practice",
    source="common practice, no source; the press's and the garment's own sizes",
    good={**_TEE, "width_mm": 250, "height_mm": 250},
    bad={**_TEE, "width_mm": 390, "height_mm": 250},
    finds=_finds,
)
