"""Stack editor: the garment, the press, and the films from the fabric up."""

from __future__ import annotations

import streamlit as st

from ui.pages.check.stack import MOST_LAYERS, lay, move, stack
from ui.session import catalogue
from ui.words import plain

__all__ = ["edit_stack"]


def edit_stack() -> tuple[str, str]:
    """The stack with its buttons; returns the garment (or fabric) and the press chosen."""
    shelf = catalogue()
    known = {garment.id: garment.name for garment in shelf.garments.values()}
    known |= {fabric.id: fabric.name for fabric in shelf.fabrics.values()}
    films = stack()
    new, add = st.columns([3, 1.15], vertical_alignment="bottom")
    film = new.selectbox(
        "Next film, on top", list(shelf.films), key="next-film", persist_state="session",
        format_func=lambda name: f"{name} ({plain(shelf.films[name].family).lower()})",
    )  # fmt: skip
    add.button(
        "Lay on top", key="lay", on_click=lay, args=[film], type="primary", width="stretch",
        disabled=len(films) >= MOST_LAYERS,
    )  # fmt: skip
    for place in reversed(range(len(films))):
        _row(place, films)
    fabric = st.selectbox(
        "On this garment or fabric", list(known), key="on", bind="query-params",
        format_func=known.__getitem__,
    )  # fmt: skip
    press = st.selectbox(
        "With this press", list(shelf.presses), key="press", bind="query-params",
        format_func=lambda name: shelf.presses[name].name,
    )  # fmt: skip
    return fabric, press


def _row(place: int, films: list[str]) -> None:
    """One film of the stack: its name, and buttons to move it up, down and away."""
    film = films[place]
    with st.container(
        horizontal=True, border=True, vertical_alignment="center", gap="small",
        key=f"layer-{place}",
    ):  # fmt: skip
        st.markdown(f"**{place + 1}.** {film}", width="stretch")
        st.button(
            "Up", key=f"up-{place}", icon=":material/arrow_upward:", on_click=move,
            args=[place, 1], disabled=place == len(films) - 1, help=f"Move {film} up",
        )  # fmt: skip
        st.button(
            "Down", key=f"down-{place}", icon=":material/arrow_downward:", on_click=move,
            args=[place, -1], disabled=place == 0, help=f"Move {film} down",
        )  # fmt: skip
        st.button(
            "Take off", key=f"off-{place}", icon=":material/close:", on_click=move,
            args=[place, 0], help=f"Take {film} off the stack",
        )  # fmt: skip
