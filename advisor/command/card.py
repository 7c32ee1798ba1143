"""Card: every value of one thing on the shelf, in words, with its unit and what it rests on."""

from __future__ import annotations

from typing import Any

from rules.facts.fabric import FibreShare
from rules.facts.fact import Colour, Fact, Window
from rules.facts.garment import Obstruction, PrintArea
from rules.facts.material import Material

__all__ = ["card_rows"]

UNITS = {
    "_c": "°C", "_s": "s", "_mm": "mm", "_um": "µm", "_kpa": "kPa", "_pct": "%", "_gsm": "g/m²",
    "_bar": "bar", "_m": "m",
}  # fmt: skip
LABELS = {
    "percent_per_s": ("then", "% per s"),
    "price_per_m": ("price per metre", ""),
    "on_shelf_m": ("on the shelf", "m"),
    "contact_w_m2k": ("contact", "W/(m²·K)"),
    "heats_c_per_min": ("heats", "K/min"),
    "cools_c_per_min": ("cools", "K/min"),
    "flat_c": ("heat is even to ±", "K"),
    "bonds_s": ("bonds when held", "s"),
    "bears_s": ("bears pressed in all", "s"),
}


def card_rows(fact: Fact) -> list[tuple[str, str, str]]:
    """Label, value with its unit, and basis, for every value of a fact but its id.

    >>> from rules.catalogue import load_catalogue
    >>> rows = card_rows(load_catalogue().film("matte-smooth"))
    >>> rows[1]
    ('family', 'smooth', 'generic')
    """
    rows: list[tuple[str, str, str]] = []
    for name, value in fact.values().items():
        if name == "id":
            continue
        label, unit = _label(name)
        rows.append((label, _said(value, unit), fact.basis_of(name)))
    return rows


def _label(name: str) -> tuple[str, str]:
    if name in LABELS:
        return LABELS[name]
    for suffix, unit in UNITS.items():
        if name.endswith(suffix):
            return name.removesuffix(suffix).replace("_", " "), unit
    return name.replace("_", " "), ""


def _said(value: Any, unit: str = "") -> str:
    match value:
        case bool():
            return "yes" if value else "no"
        case int() | float():
            return f"{value:g} {unit}".rstrip()
        case Window():
            return f"{value.low:g} to {value.high:g} {unit}, best {value.best:g}".replace(" ,", ",")
        case Colour():
            return f"{value.name} {value.srgb}"
        case FibreShare():
            return f"{value.pct:g} % {value.fibre.id}"
        case Obstruction():
            opens = ", opens" if value.opens else ""
            return f"{value.kind} {value.place} it, {value.height_mm:g} mm high{opens}"
        case PrintArea():
            said = f"{value.name} {value.width_mm:g} × {value.height_mm:g} mm"
            return said + "".join(f" ({_said(o)})" for o in value.obstructions)
        case Material() | Fact():
            return str(getattr(value, "id", value))
        case tuple() | list():
            return ", ".join(_said(each, unit) for each in value) or "none"
        case _ if hasattr(value, "model_dump"):
            return ", ".join(
                f"{_label(name)[0]} {_said(each, _label(name)[1])}" for name, each in value
            )
        case _:
            return f"{value} {unit}".rstrip()
