"""*What can give this look?* Finishes and a garment in; drawn, ranked answers and refusals out."""

from __future__ import annotations

import streamlit as st

from advisor.answers.records import LookAnswer
from rules.facts.meeting import MEETING_WORDS
from ui.pages.look.cards import answer_card, comparison, grouped, refusals
from ui.pages.look.question import read_question
from ui.show import lead, remark
from ui.tasks import look_task
from ui.waiting import wait_for

__all__ = ["page"]

FIRST_SHOWN = 5


def page() -> None:
    """The page."""
    st.title("What can give this look?")
    question = read_question()
    if not question.finishes:
        st.info("Pick one to four finishes above, and the ways to press them together appear here.")
        return
    found = wait_for(look_task(question), refuse=st.error)
    if found is not None:
        _show(found)


def _show(found: LookAnswer) -> None:
    if not found.answers:
        lead("No film on the shelf gives this look here. See below what was refused, and why.")
        refusals(found)
        return
    wanted = st.pills(
        "Laid how", ["any", *MEETING_WORDS], default="any", format_func=_way, key="laid",
        bind="query-params", required=True,
    )  # fmt: skip
    ways = grouped(found.answers, meets=wanted)
    if not ways:
        st.info("No two films of this look can be laid so. Choose Any way to see the others.")
    else:
        goes = sum(best.verdict == "go" for best, _ in ways)
        lead(
            f"{len(ways)} choices of film give this look: {goes} go, "
            f"{len(ways) - goes} want a sample first."
        )
        remark("These verdicts are for a usual press; Is this risky? weighs an unlucky one too.")
        comparison([best for best, _ in ways], found)
        shown = st.session_state.setdefault("answers-shown", FIRST_SHOWN)
        for place, (best, others) in enumerate(ways[:shown], start=1):
            answer_card(place, best, others, found)
        if shown < len(ways) and st.button(f"Show more of {len(ways)}", key="more"):
            st.session_state["answers-shown"] = shown + 10
            st.rerun()
    refusals(found)


def _way(name: str) -> str:
    return next((words.name for way, words in MEETING_WORDS.items() if way == name), "Any way")
