"""Values: everything known of a film, a fabric, a garment, a press or a sheet, in words."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from typing import Any

from rules.facts.basis import BASIS_MEANING
from rules.facts.fabric import FibreShare
from rules.facts.fact import Colour, Fact, Window
from rules.facts.film import Shrink
from rules.facts.garment import Obstruction, PrintArea
from rules.facts.press import ByFeel, Cylinder, Knob, Press
from rules.facts.units import Units

__all__ = ["bases_in_words", "label_of", "rows_of", "value_of", "value_words"]

_SUFFIXES = (
    ("_kpa", "kPa"), ("_pct", "%"), ("_gsm", "g/m²"), ("_w_m2k", "W/m²K"), ("_m", "m"), ("_s", "s"),
)  # fmt: skip
_LABELS = {
    "bears_c": "Bears a setpoint of", "bears_s": "Bears pressed seconds in all",
    "bonds_c": "Bonds from", "bonds_s": "Bonds when held for", "softens_c": "Adhesive grabs from",
    "on_shelf_m": "On the shelf", "price_per_m": "Price per metre", "flat_c": "Heat even within ±",
    "bonds_to": "Bonds to fibres", "bonds_to_coatings": "Bonds to coatings",
    "dial_reads": "Dial reads in", "setpoint_step_c": "Dial goes in steps of",
    "price_each": "Price each",
    "heats_c_per_min": "Heats by", "cools_c_per_min": "Cools by",
    "setpoint_low_c": "Lowest setpoint", "setpoint_high_c": "Highest setpoint",
    "contact_w_m2k": "Contact with what it presses", "wash_c": "Care label asks for a wash at",
}  # fmt: skip
_ON_THE_DIAL = {"setpoint_low_c", "setpoint_high_c", "setpoint_step_c"}
_DIFFERENCES = {"flat_c", "setpoint_step_c", "heats_c_per_min", "cools_c_per_min"}


def rows_of(
    fact: Fact, units: Units, *, without: Collection[str] = ("id",)
) -> list[tuple[str, str, str]]:
    """Name, value and basis of everything known of a fact.

    Args:
        without: fields that are shown elsewhere.

    >>> from rules.catalogue import load_catalogue
    >>> rows = rows_of(load_catalogue().film("matte-smooth"), Units())
    >>> next(row for row in rows if row[0] == "Setpoint")[1]
    '150 to 165 °C, best 160 °C'
    """
    return [
        (label_of(name), value_of(fact, name, units), fact.basis_of(name))
        for name in fact.values()
        if name not in without
    ]


def bases_in_words(fact: Fact) -> list[str]:
    """What each kind of basis that a fact's values rest on means.

    >>> from rules.catalogue import load_catalogue
    >>> bases_in_words(load_catalogue().sheet("ptfe-cover"))[0]
    'practice: common practice, no source'
    """
    used = {fact.basis_of(name) for name in fact.values() if name != "id"}
    return [f"{basis}: {meaning}" for basis, meaning in BASIS_MEANING.items() if basis in used]


def value_of(fact: Fact, field: str, units: Units) -> str:
    """A value of a fact in words; what is set on a press's dial as that dial reads.

    >>> from rules.catalogue import load_catalogue
    >>> press = load_catalogue().press("clamshell-38x38")
    >>> press = press.model_copy(update={"dial_reads": "fahrenheit", "setpoint_step_c": 25 / 9})
    >>> value_of(press, "setpoint_step_c", Units()), value_of(press, "flat_c", Units())
    ('5 °F', '6 °C')
    """
    in_f = isinstance(fact, Press) and fact.dial_reads == "fahrenheit" and field in _ON_THE_DIAL
    as_read = replace(units, fahrenheit=True) if in_f else units
    return value_words(field, getattr(fact, field), as_read)


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
            return f"{value.name} {value.srgb}"
        case FibreShare():
            return f"{value.fibre.name} {value.pct:g} %"
        case Knob():
            return f"knob: {value.light_kpa:g}, {value.medium_kpa:g}, {value.firm_kpa:g} kPa"
        case ByFeel():
            kpa = f"{value.light_kpa:g}, {value.medium_kpa:g}, {value.firm_kpa:g} kPa"
            return f"set by feel, not measured; taken for {kpa}"
        case Cylinder():
            return (
                f"air cylinder of {units.length(value.bore_mm)}, {value.gauge_low_bar:g} to "
                f"{value.gauge_high_bar:g} bar"
            )
        case PrintArea():
            return _area(value, units)
        case Obstruction():
            opens = ", opens" if value.opens else ""
            return f"{value.kind} {value.place} it, {units.length(value.height_mm)} high{opens}"
        case Fact():
            return str(getattr(value, "id", value))
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


def label_of(field: str) -> str:
    """What a value is called.

    >>> label_of("price_per_m"), label_of("least_stroke_mm")
    ('Price per metre', 'Least stroke')
    """
    if field in _LABELS:
        return _LABELS[field]
    words = field
    for ending in ("_c", "_s", "_mm", "_um", "_kpa", "_pct", "_gsm", "_m", "_k"):
        words = words.removesuffix(ending)
    return words.replace("_", " ").capitalize()
