"""Garments: the lines of an order, each with its garment, how many, and how wide the print is."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from advisor.job.records.job import GarmentLine
from rules.facts.garment import Garment
from ui.order.kept import change, generation
from ui.order.record import CustomerOrder
from ui.pages.plan.fields import length_mm
from ui.session import catalogue
from ui.words import plain

__all__ = ["garments_form"]

USUAL_FABRIC = "the garment's own"
MOST_LINES = 12


def garments_form(order: CustomerOrder) -> tuple[GarmentLine, ...]:
    """Fields for every line; the lines as they now stand."""
    lines = order.job.garments
    made = tuple(_line(n, line, order) for n, line in enumerate(lines))
    st.button(
        "Add a garment", key=f"add-garment-{generation()}", icon=":material/add:",
        on_click=_add, args=[order], disabled=len(lines) >= MOST_LINES,
    )  # fmt: skip
    return made


def _line(n: int, line: GarmentLine, order: CustomerOrder) -> GarmentLine:
    known, key = catalogue().garments, f"{n}-{generation()}"
    with st.container(border=True):
        garment = st.selectbox(
            "Garment", list(known), list(known).index(line.garment) if line.garment in known else 0,
            format_func=lambda name: known[name].name, key=f"garment-{key}",
        )  # fmt: skip
        left, right = st.columns(2)
        quantity = left.number_input("How many", 1, 10_000, line.quantity, key=f"quantity-{key}")
        with right:
            width_mm = length_mm(
                "Artwork width", line.artwork_width_mm, key=f"width-{key}", low_mm=10, high_mm=1500
            )
        same = garment == line.garment
        area = _area(left, known[garment], line.area if same else None, f"{key}-{garment}")
        fabric = _fabric(right, line.fabric if same else None, f"{key}-{garment}")
        if len(order.job.garments) > 1:
            st.button(
                "Remove this garment", key=f"remove-{key}", icon=":material/delete:",
                on_click=_remove, args=[order, n], type="tertiary",
            )  # fmt: skip
    return GarmentLine(
        garment=garment, quantity=int(quantity), artwork_width_mm=width_mm, area=area, fabric=fabric
    )


def _area(
    place: st.delta_generator.DeltaGenerator, garment: Garment, area: str | None, key: str
) -> str | None:
    areas = [each.name for each in garment.print_areas]
    chosen = place.selectbox(
        "Print area", areas, areas.index(area) if area in areas else 0, format_func=plain,
        key=f"area-{key}",
    )  # fmt: skip
    return None if area is None and chosen == areas[0] else chosen


def _fabric(place: st.delta_generator.DeltaGenerator, fabric: str | None, key: str) -> str | None:
    fabrics = list(catalogue().fabrics)
    chosen = place.selectbox(
        "Fabric", [USUAL_FABRIC, *fabrics], fabrics.index(fabric) + 1 if fabric in fabrics else 0,
        format_func=plain, key=f"fabric-{key}",
    )  # fmt: skip
    return None if chosen == USUAL_FABRIC else chosen


def _add(order: CustomerOrder) -> None:
    lines = order.job.garments
    taken = {line.garment for line in lines}
    fresh = next((name for name in catalogue().garments if name not in taken), lines[-1].garment)
    added = GarmentLine(garment=fresh, quantity=1, artwork_width_mm=lines[-1].artwork_width_mm)
    _go_on(order, (*lines, added))


def _remove(order: CustomerOrder, n: int) -> None:
    lines = order.job.garments
    _go_on(order, (*lines[:n], *lines[n + 1 :]))


def _go_on(order: CustomerOrder, lines: tuple[GarmentLine, ...]) -> None:
    change(replace(order, job=order.job.model_copy(update={"garments": lines})), redraw=True)
