"""Shelf cards: one film, fabric, garment, press or sheet, drawn, with the basis of every value."""

from __future__ import annotations

from typing import Any

import streamlit as st

from advisor.words.values import bases_in_words, rows_of
from rules.facts.fabric import Fabric
from rules.facts.fact import Fact
from rules.facts.film import Film
from rules.facts.garment import Garment
from rules.facts.press import Press
from rules.facts.sheet import Sheet
from ui.drawing.plane import Plate, plates
from ui.drawing.section import section
from ui.drawing.swatch import film_card
from ui.drawing.texture import Coloured
from ui.session import catalogue, units
from ui.show import drawing, remark, values_table

__all__ = ["card"]

PLAIN_GROUND = "cotton-jersey-tee"
_SHOWN_ABOVE = ("id", "name", "colours", "fabric")


def card(entry: Any) -> None:
    """Show the card of one thing on the shelf."""
    with st.container(border=True, key="shelf-card"):
        st.subheader(entry.name)
        picture, values = st.columns([1, 1.5], gap="large")
        with picture:
            _picture(entry)
        with values:
            rows = rows_of(entry, units(), without=_SHOWN_ABOVE)
            values_table("What is known of it", rows, heads=("Value", "", "Rests on"))
            remark("; ".join(bases_in_words(entry)))


def _picture(entry: Fact) -> None:
    shelf, shown = catalogue(), units()
    match entry:
        case Film():
            named = [colour.name for colour in entry.colours]
            colour = st.selectbox("Colour", named, key=f"colour-{entry.id}")
            drawing(film_card(entry, colour=colour, units=shown), f"{entry.name} in {colour}")
            drawing(
                section(
                    [Coloured(entry, colour)], fabric=shelf.fabric(PLAIN_GROUND), carriers=[0],
                    units=shown,
                ),
                f"{entry.name} cut through on a cotton tee",
            )  # fmt: skip
        case Fabric():
            drawing(section([], fabric=entry, units=shown), f"{entry.name} cut through")
        case Garment():
            areas = [Plate(area.name, area.width_mm, area.height_mm) for area in entry.print_areas]
            drawing(
                plates(areas, units=shown, title=f"Print areas of {entry.name}"),
                "Its print areas, to one scale",
            )
            st.markdown(f"Made of **{entry.fabric.name}** ({entry.fabric.id}).")
        case Press():
            platen = Plate("platen", entry.platen_width_mm, entry.platen_depth_mm)
            drawing(plates([platen], units=shown, title=entry.name), "Its platen, to scale")
        case Sheet():
            size = Plate(entry.kind, entry.width_mm, entry.depth_mm)
            drawing(plates([size], units=shown, title=entry.name), "Its size, to scale")
