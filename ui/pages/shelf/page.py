"""*Shelf*: films, fabrics, garments, presses and sheets as tables, and a card of each."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from rules.facts.fact import Fact
from rules.facts.film import FAMILIES, FINISHES
from ui.pages.plan.files import job_files
from ui.pages.shelf.cards import card
from ui.pages.shelf.values import COLUMNS, mentions, row_of
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
    entries: Mapping[str, Fact] = getattr(catalogue(), kind)
    found = _filtered(kind, entries)
    if not found:
        st.info("Nothing here matches. Clear the search, or choose Any again.")
        return
    lead(f"{len(found)} of {len(entries)} {kind}. Pick one to read its card.")
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
    job_files()


def _filtered(kind: str, entries: Mapping[str, Fact]) -> dict[str, Fact]:
    words, *choices = st.columns([2, 1.2, 1.2, 1.2], vertical_alignment="bottom")
    sought = words.text_input(
        "Search", key="shelf-sought", bind="query-params", placeholder="navy, nylon, cold …"
    )
    tests: list[Callable[[Any], bool]] = [lambda entry: mentions(entry, sought or "")]
    if kind == "films":
        family = choices[0].selectbox(
            "Family", ["any", *FAMILIES], format_func=plain, key="family", bind="query-params"
        )
        finish = choices[1].selectbox(
            "Finish", ["any", *FINISHES], format_func=plain, key="finish", bind="query-params"
        )
        stocked = choices[2].toggle("In stock only", key="in-stock", bind="query-params")
        tests += [
            lambda film: family in {"any", film.family},
            lambda film: finish == "any" or finish in film.finishes,
            lambda film: film.on_shelf_m > 0 or not stocked,
        ]
    return {name: e for name, e in entries.items() if all(test(e) for test in tests)}


def _picker(names: list[str], key: str) -> Callable[[], None]:
    def pick() -> None:
        rows = st.session_state[key]["selection"]["rows"]
        if rows and rows[0] < len(names):
            st.session_state["card"] = names[rows[0]]

    return pick
