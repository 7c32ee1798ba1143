"""*What can give this look?* Finishes and a garment in; drawn, ranked answers and refusals out."""

from __future__ import annotations

import streamlit as st

from advisor.answers.records import LookAnswer
from ui.pages.look.cards import answer_card, comparison, refusals
from ui.pages.look.question import MORE, read_question
from ui.show import asked_below, asked_here, lead, remark
from ui.tasks import look_task
from ui.waiting import wait_for

__all__ = ["page"]


def page() -> None:
    """The page."""
    st.title("What can give this look?")
    with st.container(key="look-two"):
        asked, told = st.container(), st.container()
    with asked:
        asked_here()
        question = read_question()
    with told:
        if not question.finishes:
            st.info("Pick one to four finishes, and the ways to press them together appear here.")
            return
        found = wait_for(look_task(question), refuse=st.error)
        if found is not None:
            _show(found, narrowed=question.laid is not None)


def _show(found: LookAnswer, *, narrowed: bool) -> None:
    if not found.proved:
        remark(
            f"Time ran out: {found.weighed} of {found.counted} ways were weighed, the rest counted "
            "only, and better may be among them. Ask for fewer finishes, or on the shelf only."
        )
    if not found.answers:
        if not found.proved:
            lead("Nothing was weighed in time.")
        elif narrowed:
            st.info("No films of this look can be laid so. Choose Any way to see what else can.")
        else:
            lead("No film on the shelf gives this look here. See below what was refused, and why.")
        refusals(found)
        return
    goes = sum(answer.verdict == "go" for answer in found.answers)
    best = "The best" if found.proved else "These"
    lead(
        f"{best} {len(found.answers)} of {found.film_sets} choices of film give this look: "
        f"{goes} go, {len(found.answers) - goes} want a sample first."
    )
    remark("Planned and judged as Is this risky? does, an unlucky press weighed too.")
    asked_below()
    comparison(found.answers, found)
    for place, answer in enumerate(found.answers, start=1):
        answer_card(place, answer, found)
    left = found.film_sets - len(found.answers)
    if left > 0 and st.button(f"Show more of {found.film_sets}", key="more"):
        st.session_state["answers-shown"] = len(found.answers) + MORE
        st.rerun()
    refusals(found)
