"""Navigation: the table of pages, by the question that each answers."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from importlib import import_module

import streamlit as st
from streamlit.navigation.page import Page

from ui.address import arrive

__all__ = ["PAGES", "PageEntry", "pages", "run"]


@dataclass(frozen=True, slots=True)
class PageEntry:
    """One page: its word in the address, the question that it answers, a sign beside that."""

    name: str
    title: str
    icon: str


PAGES: tuple[PageEntry, ...] = (
    PageEntry("look", "What can give this look?", ":material/layers:"),
    PageEntry("plan", "Plan a job", ":material/architecture:"),
    PageEntry("check", "Is this risky?", ":material/fact_check:"),
    PageEntry("press", "At the press", ":material/timer:"),
    PageEntry("quote", "What to ask for it", ":material/request_quote:"),
    PageEntry("shelf", "Shelf", ":material/shelves:"),
    PageEntry("why", "Why", ":material/menu_book:"),
)
"""Every page, in the order of the navigation; the start leads to the first."""


def run(name: str) -> None:
    """Show the page of that name, whose module is loaded only when it is opened."""
    arrive(name)
    import_module(f"ui.pages.{name}.page").page()


def pages() -> list[Page]:
    """The pages as Streamlit navigates them, and the start, which has no sign of its own."""
    shown = [
        st.Page(
            partial(run, entry.name), title=entry.title, icon=entry.icon, url_path=entry.name
        )
        for entry in PAGES
    ]  # fmt: skip

    def start() -> None:
        st.switch_page(shown[0], query_params=st.query_params.to_dict())

    return [*shown, st.Page(start, default=True, visibility="hidden")]
