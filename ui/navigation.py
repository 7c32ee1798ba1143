"""Navigation: the table of pages, by the question that each answers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

import streamlit as st
from streamlit.navigation.page import Page

__all__ = ["PAGES", "PageEntry", "pages", "run"]


@dataclass(frozen=True, slots=True)
class PageEntry:
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


PAGES: tuple[PageEntry, ...] = (
    PageEntry("look", "ui.pages.look.page", "What can give this look?", ":material/layers:"),
    PageEntry("plan", "ui.pages.plan.page", "Plan a job", ":material/architecture:"),
    PageEntry("check", "ui.pages.check.page", "Is this risky?", ":material/fact_check:"),
    PageEntry("press", "ui.pages.press.page", "At the press", ":material/timer:"),
    PageEntry("shelf", "ui.pages.shelf.page", "Shelf", ":material/shelves:"),
    PageEntry("why", "ui.pages.why.page", "Why", ":material/menu_book:"),
)
"""Every page, in the order of the navigation; the first opens at the start."""


def run(name: str) -> None:
    """Show the page of that name."""
    entry = next(entry for entry in PAGES if entry.name == name)
    show: Callable[[], None] = import_module(entry.module).page
    show()


def pages() -> list[Page]:
    """The pages as Streamlit navigates them."""
    return [
        st.Page(
            _opener(entry.name),
            title=entry.title,
            icon=entry.icon,
            url_path=entry.name,
            default=entry is PAGES[0],
        )
        for entry in PAGES
    ]


def _opener(name: str) -> Callable[[], None]:
    def open_page() -> None:
        run(name)

    return open_page
