"""Pressed: the button that says so, which counts the job's film off the shelf, and its way back."""

from __future__ import annotations

import streamlit as st

from advisor import plan_again
from advisor.artwork.records import Artwork
from advisor.job.records.plan import Plan
from advisor.shop.pressed import key_of_any_quantity, last_pressed, take_back, told_pressed
from rules.errors import PressloreError
from ui.order.record import CustomerOrder
from ui.session import catalogue, knowledge, units
from ui.show import lead, refusal, sentences
from ui.tasks import taken_task
from ui.waiting import wait_for

__all__ = ["show_pressed"]

_SAID = "pressed-said"


def show_pressed(order: CustomerOrder, plan: Plan, artwork: Artwork) -> None:
    """Whether the job was pressed; a button to say so, once more only where that is meant."""
    key = order.key
    before = last_pressed(key, store=None)
    if before is None:
        lead(
            "Once it is pressed, its plan is kept for a reorder and its film goes off the shelf: "
            "what its nested rolls took, or an estimate by rectangles where nobody nested it."
        )
        said = st.button("It is pressed", key="pressed-done", icon=":material/task_alt:")
    else:
        lead(f"Pressed on {before.on}.")
        names = order.names.encode()
        then = plan_again(
            order.job, artwork=order.svg, names=names, knowledge=knowledge(), store=None
        )
        if then is not None and then.since:
            since = (one.message.shown(units()) for one in then.since)
            sentences(since, title="Not as it was then:")
        sentences(
            f"{each.film}: {each.counted_m:.2f} m taken, {each.left_m:.2f} m left"
            for each in before.taken
        )
        with st.container(horizontal=True):
            st.button(
                "It was not: put its film back", key="pressed-undo", icon=":material/undo:",
                on_click=_take_back, args=(key,),
            )  # fmt: skip
            again = st.checkbox("Pressed once more", key="pressed-again")
            said = st.button("Count it again", key="pressed-count", disabled=not again)
    if said:
        st.session_state[_SAID] = key
    if st.session_state.get(_SAID) != key:
        return
    taken = wait_for(taken_task(order, plan, artwork))
    if taken is None:
        return
    del st.session_state[_SAID]
    try:
        told_pressed(
            key, plan, taken.rolls, catalogue=catalogue(), store=None, again=before is not None,
            alike=key_of_any_quantity(order.job, order.svg),
        )  # fmt: skip
    except PressloreError as error:
        refusal(str(error))
        return
    st.rerun()


def _take_back(key: str) -> None:
    # Somebody else may have taken it back meanwhile, and then there is nothing to say.
    if last_pressed(key, store=None) is not None:
        take_back(key, store=None)
