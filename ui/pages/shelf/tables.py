"""Shelf tables: the few columns by which one thing on the shelf is told from another."""

from __future__ import annotations

import re

from rules.facts.fabric import Fabric
from rules.facts.fact import Fact
from rules.facts.film import Film
from rules.facts.garment import Garment
from rules.facts.press import Press
from rules.facts.sheet import Sheet
from ui.values import rows_of, value_words
from ui.words import WEARER, Units

__all__ = ["COLUMNS", "mentions", "row_of"]

COLUMNS: dict[str, list[str]] = {
    "films": ["Name", "Family", "Finish", "Thickness", "Setpoint", "Dwell", "Peel", "Takes a film",
              "In stock"],
    "fabrics": ["Name", "Fibres", "Construction", "Colour", "Thickness", "Stretch", "Coating"],
    "garments": ["Name", "Fabric", "For", "Print areas"],
    "presses": ["Name", "Platen", "Setpoint", "Pressure", "Even within"],
    "sheets": ["Name", "Kind", "Thickness", "Bears", "Leaves"],
}  # fmt: skip
"""The columns of each kind, in order."""


def mentions(entry: Fact, sought: str) -> bool:
    """Whether words of the entry begin with each of the words that are sought.

    >>> from rules.catalogue import load_catalogue
    >>> flock = load_catalogue().film("flock-plush")
    >>> mentions(flock, "Flock navy"), mentions(flock, "low"), mentions(flock, "")
    (True, False, True)
    """
    units = Units()
    said = [getattr(entry, "id", ""), getattr(entry, "name", ""), *row_of(entry, units).values()]
    said += [colour.name for colour in getattr(entry, "colours", ())]
    said += [value for _, value, _ in rows_of(entry, units)]
    words = re.split(r"[^a-z0-9]+", " ".join(said).lower())
    return all(any(word.startswith(part) for word in words) for part in sought.lower().split())


def row_of(entry: Fact, units: Units) -> dict[str, str]:
    """One row of the table that the entry belongs to.

    >>> from rules.catalogue import load_catalogue
    >>> row_of(load_catalogue().sheet("ptfe-cover"), Units())["Bears"]
    '260 °C'
    """
    match entry:
        case Film():
            return {
                "Name": entry.id,
                "Family": entry.family,
                "Finish": ", ".join(entry.finishes),
                "Thickness": units.um(entry.thickness_um),
                "Setpoint": units.c(entry.setpoint_c.best),
                "Dwell": f"{entry.dwell_s.best:g} s",
                "Peel": entry.peel,
                "Takes a film": entry.takes_film_on_top,
                "In stock": f"{entry.on_shelf_m:g} m",
            }
        case Fabric():
            return {
                "Name": entry.id,
                "Fibres": value_words("fibres", entry.fibres, units),
                "Construction": entry.construction,
                "Colour": entry.colour.name,
                "Thickness": units.um(entry.thickness_um),
                "Stretch": f"{entry.stretch_pct:g} %",
                "Coating": entry.coating,
            }
        case Garment():
            return {
                "Name": entry.id,
                "Fabric": entry.fabric.id,
                "For": WEARER[entry.wearer],
                "Print areas": ", ".join(area.name for area in entry.print_areas),
            }
        case Press():
            low, high = entry.setpoint_low_c, entry.setpoint_high_c
            return {
                "Name": entry.id,
                "Platen": f"{units.mm(entry.platen_width_mm)} × {units.mm(entry.platen_depth_mm)}",
                "Setpoint": f"{units.c(low)} to {units.c(high)}",
                "Pressure": value_words("pressure", entry.pressure, units),
                "Even within": f"± {value_words('flat_c', entry.flat_c, units)}",
            }
        case Sheet():
            return {
                "Name": entry.id,
                "Kind": entry.kind,
                "Thickness": units.um(entry.thickness_um),
                "Bears": units.c(entry.highest_c),
                "Leaves": entry.leaves,
            }
    raise TypeError(f"the shelf holds no {type(entry).__name__}")
