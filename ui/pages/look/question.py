"""Look question: the fields by which a person says what look is wanted, and on what."""

from __future__ import annotations

import streamlit as st

from rules.facts.film import FINISHES
from ui.fields import choose
from ui.session import catalogue, grounds
from ui.tasks import LookQuestion
from ui.words import PREFER, plain

__all__ = ["read_question"]

OPENING = LookQuestion()


def read_question() -> LookQuestion:
    """Show the fields; returns what they ask. Without a finish chosen, ``finishes`` is empty."""
    known, presses = grounds(), catalogue().presses
    finishes = st.pills(
        "Finishes wanted together, up to four", FINISHES, selection_mode="multi",
        default=OPENING.finishes, format_func=plain, key="finishes", bind="query-params",
    )  # fmt: skip
    ground, machine, first = st.columns([2, 2, 1.3])
    fabric = choose(
        "On this garment or fabric", known, OPENING.fabric, key="on", at=ground,
        words=known.__getitem__, bind="query-params",
    )  # fmt: skip
    press = choose(
        "With this press", presses, OPENING.press, key="press", at=machine,
        words=lambda name: presses[name].name, bind="query-params",
    )  # fmt: skip
    prefer = choose(
        "Best first by", PREFER, key="prefer", at=first, words=PREFER.__getitem__,
        bind="query-params",
    )  # fmt: skip
    stocked = st.toggle("Only films on the shelf now", key="stocked", bind="query-params")
    return LookQuestion(tuple(finishes), fabric, press, prefer, stocked)
