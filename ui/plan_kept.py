"""Kept: the order that a person works on, over pages, reloads and links.

It lives in the session. The address carries it as well, so that a reload or a link reopens it;
what an address cannot carry (a large artwork, people's names) is kept in the person's own browser
and nowhere else.
"""

from __future__ import annotations

import streamlit as st

from advisor.demo import DEMO_JOBS
from rules.errors import BadInputError
from ui.plan_order import Order, demo_order, open_link, order_from_text
from ui.session import job_to_link

__all__ = ["change", "generation", "link_word", "opened_order", "order_before", "undo"]

LINK = "job"
IN_THIS_BROWSER = "here"
"""What the address says when the job is too large for it."""

_STORE = st.components.v2.component(
    "presslore_kept",
    js="""
    const place = "presslore-job"
    export default function({ data, setTriggerValue }) {
      try {
        if (data.read) {
          setTriggerValue("found", localStorage.getItem(place) || "none")
        } else if (data.keep === null) {
          localStorage.removeItem(place)
        } else {
          localStorage.setItem(place, data.keep)
        }
      } catch (refused) {
        // A browser may forbid keeping anything; the link and the job file remain.
        if (data.read) setTriggerValue("found", "none")
      }
    }
    """,
)


def opened_order() -> Order:
    """The order of this session; at first that of the link, else the browser's, else the demo."""
    state = st.session_state
    if "order" not in state:
        state["order"] = _from_link()
        state["order_state"] = "fresh"
    order: Order = state["order"]
    fresh = state["order_state"] == "fresh"
    keep = None if order == demo_order() else order.as_text()
    answer = _STORE(
        data={"read": fresh, "keep": None if fresh else keep},
        key="kept-order",
        on_found_change=lambda: None,
    )
    if fresh and answer.found:
        state["order_state"] = "settled"
        _adopt(answer.found)
    _write_link(state["order"])
    kept: Order = state["order"]
    return kept


def change(order: Order, *, redraw: bool = False) -> None:
    """Go on with a changed order.

    Args:
        redraw: the change came from outside the form, whose fields must then be filled anew.
    """
    state = st.session_state
    state["order_before"] = state.get("order")
    state["order"], state["order_state"] = order, "changed"
    if redraw:
        state["order_generation"] = generation() + 1


def undo() -> None:
    """Go back to the order before the last change."""
    before = order_before()
    if before is not None:
        change(before, redraw=True)
        st.session_state["order_before"] = None


def order_before() -> Order | None:
    """The order before the last change, if there was one."""
    before: Order | None = st.session_state.get("order_before")
    return before


def generation() -> int:
    """How often the form was filled anew; part of its fields' keys."""
    count: int = st.session_state.get("order_generation", 0)
    return count


def link_word(order: Order) -> str | None:
    """The order as a link carries it: without names, ``None`` where it is too large."""
    job = order.job.model_copy(update={"names": None})
    ready_made = any(order.svg == demo_order(name).svg for name in DEMO_JOBS)
    try:
        svg = None if ready_made else order.svg.decode("utf-8")
    except UnicodeDecodeError:
        return None
    return job_to_link(job, svg)


def _from_link() -> Order:
    word = st.query_params.get(LINK, "")
    if not word or word == IN_THIS_BROWSER:
        return demo_order()
    try:
        return open_link(word)
    except BadInputError as error:
        st.session_state["order_refused"] = str(error)
        return demo_order()


def _adopt(text: str) -> None:
    """Take what the browser kept, unless the link asks for another job."""
    word = st.query_params.get(LINK, "")
    if text == "none":
        if word == IN_THIS_BROWSER:
            st.session_state["order_refused"] = (
                "The job of this link was kept in another browser. Open its job file here."
            )
        return
    try:
        kept = order_from_text(text)
    except BadInputError:
        return
    if word in {"", IN_THIS_BROWSER, link_word(kept)}:
        st.session_state["order"] = kept
        st.session_state["order_generation"] = generation() + 1


def _write_link(order: Order) -> None:
    if order == demo_order():
        if LINK in st.query_params and st.session_state["order_state"] != "fresh":
            del st.query_params[LINK]
        return
    word = link_word(order) or IN_THIS_BROWSER
    if st.query_params.get(LINK) != word:
        st.query_params[LINK] = word
