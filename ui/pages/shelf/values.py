"""Values: what stands on the shelf in words and units, as rows of a table and as a card."""

from __future__ import annotations

import re
from collections.abc import Callable
from operator import attrgetter
from typing import Any

from advisor.words.values import rows_of, value_of, value_words
from rules.facts.fabric import Fabric
from rules.facts.fact import Fact
from rules.facts.film import Film
from rules.facts.garment import Garment
from rules.facts.press import Press
from rules.facts.sheet import Sheet
from rules.facts.units import Units
from ui.words import WEARER

__all__ = ["COLUMNS", "mentions", "row_of"]

COLUMNS: dict[str, dict[str, str | Callable[[Any, Units], str]]] = {
    "films": {
        "Name": "id", "Family": "family", "Finish": lambda film, _: ", ".join(film.finishes),
        "Thickness": "thickness_um", "Setpoint": "setpoint_c.best", "Dwell": "dwell_s.best",
        "Peel": "peel", "Takes a film": "takes_film_on_top", "In stock": "on_shelf_m",
    },
    "fabrics": {
        "Name": "id", "Fibres": "fibres", "Construction": "construction",
        "Colour": lambda fabric, _: fabric.colour.name,
        "Thickness": "thickness_um", "Stretch": "stretch_pct", "Coating": "coating",
    },
    "garments": {
        "Name": "id", "Fabric": "fabric.id", "For": lambda garment, _: WEARER[garment.wearer],
        "Print areas": lambda garment, _: ", ".join(area.name for area in garment.print_areas),
    },
    "presses": {
        "Name": "id",
        "Platen": lambda it, units: (
            f"{units.length(it.platen_width_mm)} × {units.length(it.platen_depth_mm)}"
        ),
        "Setpoint": lambda it, units: (
            f"{value_of(it, 'setpoint_low_c', units)} to {value_of(it, 'setpoint_high_c', units)}"
        ),
        "Pressure": "pressure",
        "Even within": lambda it, units: f"± {value_words('flat_c', it.flat_c, units)}",
    },
    "sheets": {
        "Name": "id", "Kind": "kind", "Thickness": "thickness_um", "Bears": "highest_c",
        "Leaves": "leaves",
    },
}  # fmt: skip
"""The columns of each kind in order, with the field that stands in each or how it is worded."""
_KINDS: dict[type[Any], str] = {
    Film: "films", Fabric: "fabrics", Garment: "garments", Press: "presses", Sheet: "sheets",
}  # fmt: skip


def row_of(entry: Any, units: Units) -> dict[str, str]:
    """One row of the table that the entry belongs to.

    >>> from rules.catalogue import load_catalogue
    >>> row_of(load_catalogue().sheet("ptfe-cover"), Units())["Bears"]
    '260 °C'
    """
    row = {}
    for name, field in COLUMNS[_KINDS[type(entry)]].items():
        if isinstance(field, str):
            row[name] = value_words(field.partition(".")[0], attrgetter(field)(entry), units)
        else:
            row[name] = field(entry, units)
    return row


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
