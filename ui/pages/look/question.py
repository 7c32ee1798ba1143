"""Look question: the fields by which a person says what look is wanted, and on what."""

from __future__ import annotations

import streamlit as st

from rules.facts.film import FINISHES
from ui.session import catalogue
from ui.tasks import LookQuestion
from ui.words import PREFER, plain

__all__ = ["read_question"]

OPENING = LookQuestion()


def read_question() -> LookQuestion:
    """Show the fields; returns what they ask. Without a finish chosen, ``finishes`` is empty."""
    shelf = catalogue()
    named = {each.id: each.name for each in shelf.garments.values()}
    named |= {each.id: each.name for each in shelf.fabrics.values()}
    finishes = st.pills(
        "Finishes wanted together, up to four", FINISHES, selection_mode="multi",
        default=OPENING.finishes, format_func=plain, key="finishes", bind="query-params",
    )  # fmt: skip
    ground, machine, first = st.columns([2, 2, 1.3])
    fabric = ground.selectbox(
        "On this garment or fabric", list(named), format_func=named.__getitem__, key="on",
        index=list(named).index(OPENING.fabric), bind="query-params",
    )  # fmt: skip
    press = machine.selectbox(
        "With this press", list(shelf.presses), key="press", bind="query-params",
        index=list(shelf.presses).index(OPENING.press),
        format_func=lambda name: shelf.presses[name].name,
    )  # fmt: skip
    prefer = first.selectbox(
        "Best first by", list(PREFER), format_func=PREFER.__getitem__, key="prefer",
        bind="query-params",
    )  # fmt: skip
    stocked = st.toggle("Only films on the shelf now", key="stocked", bind="query-params")
    return LookQuestion(tuple(finishes), fabric, press, prefer, stocked)
