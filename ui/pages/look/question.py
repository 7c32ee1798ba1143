"""Look question: the fields by which a person says what look is wanted, and on what."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from rules.facts.film import FINISHES
from rules.facts.meeting import MEETING_WORDS
from ui.fields import choose
from ui.session import catalogue, grounds
from ui.tasks import LookQuestion
from ui.words import PREFER, plain

__all__ = ["MORE", "read_question"]

OPENING = LookQuestion()

MORE = 5
"""Choices of films that one press of *Show more* adds."""


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
    wanted = st.pills(
        "Laid how", ["any", *MEETING_WORDS], default="any", format_func=_way, key="laid",
        bind="query-params", required=True,
    )  # fmt: skip
    laid = next((way for way in MEETING_WORDS if way == wanted), None)
    asked = LookQuestion(tuple(finishes), fabric, press, prefer, stocked, laid)
    # Another question begins with the best few again.
    if st.session_state.get("answers-of") != asked:
        st.session_state["answers-of"] = asked
        st.session_state["answers-shown"] = asked.most
    return replace(asked, most=st.session_state["answers-shown"])


def _way(name: str) -> str:
    return next((words.name for way, words in MEETING_WORDS.items() if way == name), "Any way")
