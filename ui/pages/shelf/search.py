"""What is sought on the shelf: words, and for films a family, a finish and what is in stock."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import streamlit as st

from rules.facts.fact import Fact
from rules.facts.film import FAMILIES, FINISHES, UNKNOWN_FAMILY
from ui.pages.shelf.values import mentions
from ui.words import plain

__all__ = ["filtered"]


def filtered(kind: str, entries: Mapping[str, Fact]) -> dict[str, Fact]:
    """The entries that fit what is sought in the fields shown here, in their order."""
    words, *choices = st.columns([2, 1.2, 1.2, 1.2], vertical_alignment="bottom")
    sought = words.text_input(
        "Search", key="shelf-sought", bind="query-params", placeholder="navy, nylon, cold …"
    )
    tests: list[Callable[[Any], bool]] = [lambda entry: mentions(entry, sought or "")]
    if kind == "films":
        family = choices[0].selectbox(
            "Family",
            ["any", *FAMILIES, UNKNOWN_FAMILY],
            format_func=plain,
            key="family",
            bind="query-params",
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
