"""*What can give this look?* Finishes and a garment in; drawn, ranked answers and refusals out."""

from __future__ import annotations

import streamlit as st

from advisor.looks import LookAnswer
from rules.errors import PressloreError
from rules.facts.film import FINISHES
from ui.asked import ask_look
from ui.look_cards import answer_card, comparison, grouped, refusals
from ui.session import catalogue
from ui.show import lead
from ui.waiting import answer
from ui.words import MEETING, MEETS, PREFER, plain

__all__ = ["page"]

FIRST_SHOWN = 5


def page() -> None:
    """The page."""
    st.title("What can give this look?")
    shelf = catalogue()
    finishes = st.pills(
        "Finishes wanted together, up to four", FINISHES, selection_mode="multi",
        default=["matte", "sparkle"], format_func=plain, key="finishes", bind="query-params",
    )  # fmt: skip
    ground, press, prefer = st.columns([2, 2, 1.3])
    fabric = ground.selectbox(
        "On this garment or fabric", [*shelf.garments, *shelf.fabrics], format_func=_name,
        key="on", bind="query-params",
    )  # fmt: skip
    machine = press.selectbox(
        "With this press", list(shelf.presses), format_func=_name, key="press", bind="query-params"
    )
    wish = prefer.selectbox(
        "Best first by", list(PREFER), format_func=PREFER.__getitem__, key="prefer",
        bind="query-params",
    )  # fmt: skip
    stocked = st.toggle("Only films on the shelf now", key="stocked", bind="query-params")
    if not finishes:
        st.info("Pick one to four finishes above, and the ways to press them together appear here.")
        return
    asked = (tuple(finishes), fabric, machine, wish, stocked)
    try:
        found = answer(
            lambda: ask_look(
                asked[0], fabric=fabric, press=machine, prefer=wish, on_shelf_only=stocked
            ),
            asked=asked,
            doing="Listing and judging every way",
        )
    except PressloreError as error:
        st.error(str(error))
        return
    if found is not None:
        _show(found)


def _show(found: LookAnswer) -> None:
    if not found.answers:
        lead("No film on the shelf gives this look here. See below what was refused, and why.")
        refusals(found)
        return
    wanted = st.pills(
        "Laid how", ["any", *MEETS], default="any", format_func=MEETING.__getitem__, key="laid",
        bind="query-params", required=True,
    )  # fmt: skip
    ways = grouped(found.answers, meets=wanted)
    if not ways:
        st.info("No two films of this look can be laid so. Choose Any way to see the others.")
    else:
        goes = sum(best.verdict == "go" for best, _ in ways)
        lead(f"{len(ways)} choices of film give this look; no rule objects to {goes} of them.")
        comparison([best for best, _ in ways], found)
        shown = st.session_state.setdefault("answers-shown", FIRST_SHOWN)
        for place, (best, others) in enumerate(ways[:shown], start=1):
            answer_card(place, best, others, found)
        if shown < len(ways) and st.button(f"Show more of {len(ways)}", key="more"):
            st.session_state["answers-shown"] = shown + 10
            st.rerun()
    refusals(found)


def _name(name: str) -> str:
    shelf = catalogue()
    known = shelf.garments.get(name) or shelf.fabrics.get(name) or shelf.presses.get(name)
    return known.name if known else name
