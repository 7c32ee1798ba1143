"""Values: what stands on the shelf in words and units, as rows of a table and as a card."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable
from operator import attrgetter
from typing import Any

from rules.facts.basis import BASIS_MEANING
from rules.facts.fabric import Fabric, FibreShare
from rules.facts.fact import Colour, Fact, Window
from rules.facts.film import Film, Shrink
from rules.facts.garment import Garment, Obstruction, PrintArea
from rules.facts.press import Cylinder, Knob, Press
from rules.facts.sheet import Sheet
from rules.facts.units import Units
from ui.words import WEARER, plain

__all__ = ["COLUMNS", "bases_in_words", "mentions", "row_of", "rows_of", "value_words"]

_SUFFIXES = (
    ("_kpa", "kPa"), ("_pct", "%"), ("_gsm", "g/m²"), ("_w_m2k", "W/m²K"), ("_m", "m"), ("_s", "s"),
)  # fmt: skip
_LABELS = {
    "bears_c": "Bears a setpoint of", "bears_s": "Bears pressed seconds in all",
    "bonds_c": "Bonds from", "bonds_s": "Bonds when held for", "softens_c": "Adhesive grabs from",
    "on_shelf_m": "On the shelf", "price_per_m": "Price per metre", "flat_c": "Heat even within ±",
    "bonds_to": "Bonds to fibres", "bonds_to_coatings": "Bonds to coatings",
    "setpoint_step_c": "Dial goes in steps of", "price_each": "Price each",
    "heats_c_per_min": "Heats by", "cools_c_per_min": "Cools by",
    "setpoint_low_c": "Lowest setpoint", "setpoint_high_c": "Highest setpoint",
    "contact_w_m2k": "Contact with what it presses", "wash_c": "Care label asks for a wash at",
}  # fmt: skip
_DIFFERENCES = {"flat_c", "setpoint_step_c", "heats_c_per_min", "cools_c_per_min"}
_SKIPPED = {"id", "name", "colours", "fabric"}


COLUMNS: dict[str, dict[str, str | Callable[[Any, Units], str]]] = {
    "films": {
        "Name": "id", "Family": "family", "Finish": lambda film, _: ", ".join(film.finishes),
        "Thickness": "thickness_um", "Setpoint": "setpoint_c.best", "Dwell": "dwell_s.best",
        "Peel": "peel", "Takes a film": "takes_film_on_top", "In stock": "on_shelf_m",
    },
    "fabrics": {
        "Name": "id", "Fibres": "fibres", "Construction": "construction", "Colour": "colour",
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
            f"{units.temperature(it.setpoint_low_c)} to {units.temperature(it.setpoint_high_c)}"
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


def rows_of(fact: Fact, units: Units) -> list[tuple[str, str, str]]:
    """Name, value and basis of everything known of a fact.

    >>> from rules.catalogue import load_catalogue
    >>> rows = rows_of(load_catalogue().film("matte-smooth"), Units())
    >>> next(row for row in rows if row[0] == "Setpoint")[1]
    '150 to 165 °C, best 160 °C'
    """
    return [
        (_LABELS.get(name, plain(name)), value_words(name, value, units), fact.basis_of(name))
        for name, value in fact.values().items()
        if name not in _SKIPPED
    ]


def bases_in_words(fact: Fact) -> str:
    """What each kind of basis in the fact's rows means, in one line.

    >>> from rules.catalogue import load_catalogue
    >>> bases_in_words(load_catalogue().sheet("ptfe-cover")).startswith("generic: typical of")
    True
    """
    used = dict.fromkeys(fact.basis_of(name) for name in fact.values() if name not in _SKIPPED)
    return "; ".join(f"{basis}: {BASIS_MEANING[basis]}" for basis in used)


def value_words(field: str, value: Any, units: Units) -> str:
    """One value in words; the field's name tells its unit.

    >>> value_words("dwell_s", 15.0, Units()), value_words("foams", False, Units())
    ('15 s', 'no')
    >>> value_words("wash_limit_c", 60.0, Units(fahrenheit=True))
    '140 °F'
    >>> value_words("heats_c_per_min", 10.0, Units(fahrenheit=True))
    '18 °F per minute'
    """
    match value:
        case bool():
            return "yes" if value else "no"
        case None:
            return "none"
        case int() | float():
            return _number(field, float(value), units)
        case Window():
            ends = f"{_bare(field, value.low, units)} to {_number(field, value.high, units)}"
            return f"{ends}, best {_number(field, value.best, units)}"
        case Shrink():
            return (
                f"{value.percent_per_s:g} % per second above {units.temperature(value.onset_c)}, "
                f"after {value.grace_s:g} s"
            )
        case Colour():
            return value.name
        case FibreShare():
            return f"{value.fibre.name} {value.pct:g} %"
        case Knob():
            return f"knob: {value.light_kpa:g}, {value.medium_kpa:g}, {value.firm_kpa:g} kPa"
        case Cylinder():
            return (
                f"air cylinder of {units.length(value.bore_mm)}, {value.gauge_low_bar:g} to "
                f"{value.gauge_high_bar:g} bar"
            )
        case PrintArea():
            return _area(value, units)
        case Obstruction():
            return f"{value.kind} {value.place} it, {units.length(value.height_mm)} high"
        case str():
            return value.replace("-", " ") if field.endswith("material") else value
        case _ if isinstance(value, Iterable):
            return "; ".join(value_words(field, each, units) for each in value) or "none"
    return str(value)


def _area(area: PrintArea, units: Units) -> str:
    size = f"{area.name} {units.size(area.width_mm, area.height_mm)}"
    in_the_way = ", ".join(value_words("", each, units) for each in area.obstructions)
    return f"{size} ({in_the_way})" if in_the_way else size


def _number(field: str, value: float, units: Units) -> str:
    if field in _DIFFERENCES:
        difference = units.difference(value)
        return f"{difference} per minute" if field.endswith("_per_min") else difference
    if field.startswith("price"):
        return f"{value:.2f}, in the shop's currency"
    if field.endswith("_c"):
        return units.temperature(value)
    if field.endswith("_mm"):
        return units.length(value)
    if field.endswith("_um"):
        return units.thickness(value)
    unit = next((unit for ending, unit in _SUFFIXES if field.endswith(ending)), "")
    return f"{value:g} {unit}".rstrip()


def _bare(field: str, value: float, units: Units) -> str:
    """The number without its unit, for the lower end of a range."""
    return _number(field, value, units).partition(" ")[0]
