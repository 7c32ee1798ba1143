"""Shelf tables: what stands in each column when the shelf is listed."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from advisor.command.terminal import Cell
from rules.facts.fact import Window
from rules.facts.press import Press
from rules.facts.units import Units

__all__ = ["COLUMNS"]


def _window(window: Window) -> str:
    return f"{window.low:g}–{window.best:g}–{window.high:g}"


def _reach(press: Press) -> str:
    units = Units(fahrenheit=press.dial_reads == "fahrenheit")
    low, high = map(units.temperature, (press.setpoint_low_c, press.setpoint_high_c))
    return f"{low.partition(' ')[0]} to {high}"


COLUMNS: Mapping[str, Mapping[str, Callable[[Any], Cell]]] = {
    "films": {
        "id": lambda film: film.id,
        "finish": lambda film: ", ".join(film.finishes),
        "film on top": lambda film: film.takes_film_on_top,
        "setpoint °C": lambda film: _window(film.setpoint_c),
        "dwell s": lambda film: _window(film.dwell_s),
        "peel": lambda film: film.peel,
        "µm": lambda film: f"{film.thickness_um:.0f}",
        "shelf m": lambda film: f"{film.on_shelf_m:g}",
    },
    "fabrics": {
        "id": lambda fabric: fabric.id,
        "dye, coating": lambda fabric: ", ".join(
            [name for name in (fabric.dye_class, fabric.coating) if name != "none"] or ["none"]
        ),
        "fibres %": lambda fabric: ", ".join(f"{s.fibre.id} {s.pct:g}" for s in fabric.fibres),
        "colour": lambda fabric: fabric.colour,
        "iron °C": lambda fabric: f"{fabric.iron_fibre.iron_c:g}",
        "harmed °C": lambda fabric: f"{fabric.harmed_fibre.harmed_c:g}",
    },
    "garments": {
        "id": lambda garment: garment.id,
        "fabric": lambda garment: garment.fabric.id,
        "for": lambda garment: garment.wearer,
        "print areas": lambda garment: ", ".join(
            f"{area.name} {area.width_mm:g} × {area.height_mm:g} mm" for area in garment.print_areas
        ),
        "in the way": lambda garment: ", ".join(
            dict.fromkeys(o.kind for area in garment.print_areas for o in area.obstructions)
            or ["nothing"]
        ),
    },
    "presses": {
        "id": lambda press: press.id,
        "platen": lambda press: f"{press.platen_width_mm:g} × {press.platen_depth_mm:g} mm",
        "setpoint": _reach,
        "heat": lambda press: f"± {press.flat_c:g} °C",
        "pressure on the platen": lambda press: (
            f"{press.pressures_kpa[0]:.0f} to {press.pressures_kpa[-1]:.0f} kPa"
        ),
        "stations": lambda press: str(press.stations),
    },
    "sheets": {
        "id": lambda sheet: sheet.id,
        "kind": lambda sheet: sheet.kind,
        "size": lambda sheet: f"{sheet.width_mm:g} × {sheet.depth_mm:g} mm",
        "thick": lambda sheet: f"{sheet.thickness_um:g} µm",
        "bears": lambda sheet: f"{sheet.highest_c:g} °C",
        "leaves a face": lambda sheet: sheet.leaves if sheet.kind == "cover" else "–",
        "takes up": lambda sheet: f"{sheet.takes_up_mm:g} mm" if sheet.kind == "pad" else "–",
    },
    "colours": {
        "id": lambda colour: colour.id,
        "sRGB": lambda colour: colour.srgb,
        "dye": lambda colour: "none" if colour.undyed else "as the fabric is dyed",
    },
}
"""The kinds of things on a shelf, each with its columns and what to put in them."""
