"""Fields: numbers that a person types in the units of their choice, kept in ours."""

from __future__ import annotations

import streamlit as st

from rules.facts.units import MM_PER_INCH, c_to_f, f_to_c, mm_to_inch
from ui.session import units

__all__ = ["length_mm", "temperature_c"]


def length_mm(label: str, mm: float, *, key: str, low_mm: float, high_mm: float) -> float:
    """A length asked for in the person's units, mm.

    A value that is not touched stays exactly what it was, also where inches show it rounded.
    """
    if not units().inches:
        return st.number_input(
            f"{label}, mm",
            float(low_mm),
            float(high_mm),
            float(mm),
            step=1.0,
            format="%.4g",
            key=f"{key}-mm",
        )
    low, high, shown = (round(mm_to_inch(each), 2) for each in (low_mm, high_mm, mm))
    given = st.number_input(
        f"{label}, inch", low, high, shown, step=0.1, format="%.4g", key=f"{key}-inch"
    )
    return mm if given == shown else min(max(given * MM_PER_INCH, low_mm), high_mm)


def temperature_c(
    label: str, celsius: float | None, *, key: str, low_c: float, high_c: float
) -> float | None:
    """A temperature asked for in the person's units, °C; ``None`` where the field is empty."""
    fahrenheit = units().fahrenheit

    def shown(at: float) -> float:
        return float(round(c_to_f(at))) if fahrenheit else float(at)

    given = st.number_input(
        f"{label}, {'°F' if fahrenheit else '°C'}",
        shown(low_c), shown(high_c), None if celsius is None else shown(celsius),
        step=1.0, format="%.0f", key=f"{key}-{'f' if fahrenheit else 'c'}", placeholder="any",
    )  # fmt: skip
    if given is None or (celsius is not None and given == shown(celsius)):
        return celsius if given is not None else None
    return min(max(f_to_c(given), low_c), high_c) if fahrenheit else given
