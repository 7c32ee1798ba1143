"""Opens one page the way the application does, without a browser."""

from __future__ import annotations

from html import unescape

from streamlit.testing.v1 import AppTest

from ui.navigation import PAGES

SCRIPT = """
import streamlit as st
from ui.navigation import run
from ui.session import unit_switch
if __name__ == "__main__":
    st.set_page_config(layout="wide")
    unit_switch()
    run({name!r})
"""


def open_page(name: str, **link: str) -> AppTest:
    """The page called ``name``, opened by a link with these words in it."""
    page = AppTest.from_string(SCRIPT.format(name=name), default_timeout=20)
    for key, value in link.items():
        page.query_params[key] = value
    return page.run()


def titled(name: str) -> str:
    """The title that the table of pages gives a page."""
    return next(entry.title for entry in PAGES if entry.name == name)


def words_of(page: AppTest) -> str:
    """Everything that the page says, as one text."""
    said = [*page.markdown, *page.title, *page.header, *page.subheader, *page.info, *page.error]
    html = [str(getattr(element, "value", "")) for element in page.get("html")]
    expanders = [expander.label for expander in page.expander]
    return unescape("\n".join([*(str(each.value) for each in said), *html, *expanders]))
