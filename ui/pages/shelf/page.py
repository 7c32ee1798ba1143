"""*Shelf*: films, fabrics, garments, presses and sheets as tables, and a card of each."""

from __future__ import annotations

from collections.abc import Callable, Mapping

import streamlit as st

from rules.facts.fact import Fact
from ui.pages.plan.files import job_files
from ui.pages.shelf.adding import add_thing
from ui.pages.shelf.cards import card
from ui.pages.shelf.editing import (
    add_film,
    keep_values,
    own_names,
    set_a_value,
    show_what_was_done,
)
from ui.pages.shelf.search import filtered
from ui.pages.shelf.values import COLUMNS, row_of
from ui.session import catalogue, units
from ui.show import lead
from ui.words import plain

__all__ = ["page"]

KINDS = ("films", "fabrics", "garments", "presses", "sheets")


def page() -> None:
    """The page."""
    st.title("Shelf")
    kind = st.segmented_control(
        "Show", KINDS, default="films", format_func=plain, key="kind", bind="query-params",
        required=True,
    ) or "films"  # fmt: skip
    show_what_was_done()
    entries: Mapping[str, Fact] = getattr(catalogue(), kind)
    ours = own_names()
    found = filtered(kind, dict(sorted(entries.items(), key=lambda one: one[0] not in ours)))
    if not found:
        st.info("Nothing here matches. Clear the search, or choose Any again.")
        return
    first = f" Yours first: {len(ours & found.keys())}." if ours & found.keys() else ""
    lead(f"{len(found)} of {len(entries)} {kind}. Pick one to read its card.{first}")
    rows, table = [row_of(entry, units()) for entry in found.values()], f"table-{kind}"
    st.dataframe(
        rows, hide_index=True, height=min(36 * len(rows) + 40, 330), key=table,
        column_order=list(COLUMNS[kind]), on_select=_picker(list(found), table),
        selection_mode="single-row", alt=f"Table of {kind}",
    )  # fmt: skip
    if st.session_state.get("card") not in found:
        st.session_state["card"] = next(iter(found))
    shown = st.selectbox("Card of", list(found), key="card", bind="query-params")
    card(found[shown])
    keep_values(kind, found[shown])
    set_a_value(kind, found[shown])
    if kind == "films":
        add_film()
    else:
        add_thing(kind)
    job_files()


def _picker(names: list[str], key: str) -> Callable[[], None]:
    def pick() -> None:
        rows = st.session_state[key]["selection"]["rows"]
        if rows and rows[0] < len(names):
            st.session_state["card"] = names[rows[0]]

    return pick
