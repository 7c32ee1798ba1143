"""Navigation: the table of pages, by the question that each answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

import streamlit as st
from streamlit.navigation.page import Page

__all__ = ["PLACES", "Place", "pages", "run"]


@dataclass(frozen=True, slots=True)
class Place:
    """One page.

    Attributes:
        name: its word in the address, and its key in this table.
        module: where its ``page()`` lives; loaded only when the page is opened.
        title: the question it answers.
        icon: a sign beside the title.
    """

    name: str
    module: str
    title: str
    icon: str


PLACES: tuple[Place, ...] = (
    Place("look", "ui.pages.look.page", "What can give this look?", ":material/layers:"),
    Place("plan", "ui.pages.plan.page", "Plan a job", ":material/architecture:"),
    Place("check", "ui.pages.check.page", "Is this risky?", ":material/fact_check:"),
    Place("press", "ui.pages.press.page", "At the press", ":material/timer:"),
    Place("shelf", "ui.pages.shelf.page", "Shelf", ":material/shelves:"),
    Place("why", "ui.pages.why.page", "Why", ":material/menu_book:"),
)
"""Every page, in the order of the navigation; the first opens at the start."""


def run(name: str) -> None:
    """Show the page of that name."""
    place = next(place for place in PLACES if place.name == name)
    show: Callable[[], None] = import_module(place.module).page
    show()


def pages() -> list[Page]:
    """The pages as Streamlit navigates them."""
    return [
        st.Page(
            _opener(place.name),
            title=place.title,
            icon=place.icon,
            url_path=place.name,
            default=place is PLACES[0],
        )
        for place in PLACES
    ]


def _opener(name: str) -> Callable[[], None]:
    def open_page() -> None:
        run(name)

    return open_page
