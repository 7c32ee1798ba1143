"""Basis: what a rule or a value rests on, from a named standard down to an invented figure."""

from __future__ import annotations

from typing import Literal

__all__ = ["BASIS_MEANING", "Basis"]

Basis = Literal[
    "standard", "handbook", "physics", "practice", "sheet", "shop", "memory", "generic", "proposed",
]  # fmt: skip

BASIS_MEANING: dict[str, str] = {
    "standard": "a published standard, named",
    "handbook": "a handbook table, named",
    "physics": "computed; the equation's source is named",
    "practice": "common practice, no source",
    "sheet": "the film's own data sheet, entered by the shop",
    "shop": "entered by the shop",
    "memory": "value given from memory",
    "generic": "typical of the family, invented for the built-in catalogue",
    "proposed": "proposed from its family or from one like it, until the shop enters its own",
}
