"""Visit: the order that a person works on, over pages, reloads and links.

It lives in the session. The address carries it as well, so that a reload or a link reopens it;
what an address cannot carry (a large artwork, people's names) is kept in the person's own browser
and nowhere else.
"""

from __future__ import annotations

import streamlit as st

from rules.errors import BadInputError
from ui.order.record import CustomerOrder, demo_order
from ui.order.text import order_from_link, order_from_text, order_to_link, order_to_text

__all__ = [
    "change", "generation", "keep", "opened_order", "order_before", "refused_link", "undo",
]  # fmt: skip

LINK = "job"
IN_THIS_BROWSER = "here"
"""What the address says when the job is too large for it."""

_STORE = st.components.v2.component(
    "presslore_kept",
    js="""
    const place = "presslore-order"
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


def opened_order() -> CustomerOrder:
    """The order of this visit; at first that of the link, or else the demo."""
    state = st.session_state
    if "order" not in state:
        state["order"], state["order_state"] = _from_link(), "fresh"
    order: CustomerOrder = state["order"]
    return order


def keep(order: CustomerOrder) -> None:
    """Put the order into the address and the browser, and open what the browser kept before."""
    state = st.session_state
    fresh = state["order_state"] == "fresh"
    text = None if fresh or order == demo_order() else order_to_text(order)
    answer = _STORE(
        data={"read": fresh, "keep": text}, key="kept-order", on_found_change=lambda: None
    )
    if fresh and answer.found:
        state["order_state"] = "settled"
        if _adopt(answer.found):
            st.rerun()
    _write_link(order)


def refused_link() -> str:
    """Why the link that opened this visit could not be followed; empty where it could."""
    refused: str = st.session_state.get("order_refused", "")
    return refused


def change(order: CustomerOrder, *, redraw: bool = False) -> None:
    """Go on with a changed order.

    Args:
        redraw: the change came from outside the form, whose fields must then be filled anew.
    """
    state = st.session_state
    state["order_before"] = state.get("order")
    state["order"], state["order_state"] = order, "changed"
    state.pop("order_refused", None)
    if redraw:
        state["order_generation"] = generation() + 1


def undo() -> None:
    """Go back to the order before the last change."""
    before = order_before()
    if before is not None:
        change(before, redraw=True)
        st.session_state["order_before"] = None


def order_before() -> CustomerOrder | None:
    """The order before the last change, if there was one."""
    before: CustomerOrder | None = st.session_state.get("order_before")
    return before


def generation() -> int:
    """How often the form was filled anew; part of its fields' keys."""
    count: int = st.session_state.get("order_generation", 0)
    return count


def _from_link() -> CustomerOrder:
    word = st.query_params.get(LINK, "")
    if not word or word == IN_THIS_BROWSER:
        return demo_order()
    try:
        return order_from_link(word)
    except BadInputError as error:
        st.session_state["order_refused"] = str(error)
        return demo_order()


def _adopt(text: str) -> bool:
    """Take what the browser kept, unless the link asks for another job; ``True`` if it did."""
    word = st.query_params.get(LINK, "")
    if text == "none":
        if word == IN_THIS_BROWSER:
            st.session_state["order_refused"] = (
                "The job of this link was kept in another browser. Open its job file here."
            )
        return word == IN_THIS_BROWSER
    try:
        kept = order_from_text(text)
    except BadInputError:
        return False
    if word not in {"", IN_THIS_BROWSER, order_to_link(kept)} or kept == st.session_state["order"]:
        return False
    st.session_state["order"] = kept
    st.session_state["order_generation"] = generation() + 1
    return True


def _write_link(order: CustomerOrder) -> None:
    if order == demo_order():
        if LINK in st.query_params and st.session_state["order_state"] != "fresh":
            del st.query_params[LINK]
        return
    word = order_to_link(order) or IN_THIS_BROWSER
    if st.query_params.get(LINK) != word:
        st.query_params[LINK] = word
