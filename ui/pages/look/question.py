"""Look question: the fields by which a person says what look is wanted, and on what."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from advisor.job.records.job import Wish
from advisor.layering.candidates import candidate_films
from rules.facts.film import FINISHES
from rules.facts.meeting import MEETING_WORDS
from ui.fields import choose, choose_ground, choose_or
from ui.session import catalogue
from ui.tasks import LookQuestion
from ui.words import PREFER, plain

__all__ = ["MORE", "read_question"]

OPENING = LookQuestion()
ANY_COLOUR = "any colour"

MORE = 5
"""Choices of films that one press of *Show more* adds."""


def read_question() -> LookQuestion:
    """Show the fields; returns what they ask. Without a finish chosen, ``finishes`` is empty."""
    presses = catalogue().presses
    finishes = st.pills(
        "Finishes wanted together, up to four", FINISHES, selection_mode="multi",
        default=OPENING.finishes, format_func=plain, key="finishes", bind="query-params",
    )  # fmt: skip
    wanted = _in_colours(finishes)
    ground, dyed, machine, first = st.columns([2, 1.2, 2, 1.3])
    fabric = choose_ground(OPENING.fabric, at=ground, beside=dyed)
    press = choose(
        "With this press", presses, OPENING.press, key="press", at=machine,
        words=lambda name: presses[name].name, in_address=True,
    )  # fmt: skip
    prefer = choose(
        "Best first by", PREFER, key="prefer", at=first, words=PREFER.__getitem__,
        in_address=True,
    )  # fmt: skip
    stocked = st.toggle("Only films on the shelf now", key="stocked", bind="query-params")
    way = st.pills(
        "Laid how", ["any", *MEETING_WORDS], default="any", format_func=_way, key="laid",
        bind="query-params", required=True,
    )  # fmt: skip
    laid = next((one for one in MEETING_WORDS if one == way), None)
    asked = LookQuestion(wanted, fabric, press, prefer, stocked, laid)
    # Another question begins with the best few again.
    if st.session_state.get("answers-of") != asked:
        st.session_state["answers-of"] = asked
        st.session_state["answers-shown"] = asked.most
    return replace(asked, most=st.session_state["answers-shown"])


def _in_colours(finishes: Sequence[str]) -> tuple[str, ...]:
    """The finishes, each with its colour after a colon where one is chosen."""
    if not finishes:
        return ()
    wanted = []
    for finish, column in zip(finishes, st.columns(len(finishes)), strict=True):
        shown = candidate_films(Wish(finish=finish), catalogue())  # type: ignore[arg-type]
        names = dict.fromkeys(colour.name for film in shown for colour in film.colours)
        colour = choose_or(
            ANY_COLOUR, f"{plain(finish)} in", names, None, key=f"{finish}-in", at=column,
            in_address=True,
        )  # fmt: skip
        wanted.append(finish if colour is None else f"{finish}:{colour}")
    return tuple(wanted)


def _way(name: str) -> str:
    return next((words.name for way, words in MEETING_WORDS.items() if way == name), "Any way")
