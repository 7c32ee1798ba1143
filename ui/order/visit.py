"""Visit: the order that a person works on, over pages, reloads and links.

It lives in the session. The address says which it is by a short word, under which `ui.order.kept`
has every state of it: a reload or a link reopens exactly that, and the back button the one before.
"""

from __future__ import annotations

import streamlit as st

from rules.errors import PressloreError
from ui.address import moved, write
from ui.order.kept import keep_order, kept_order
from ui.order.of_look import order_of_look
from ui.order.record import CustomerOrder, demo_order
from ui.session import catalogue
from ui.tasks import LookQuestion
from ui.words import PREFER, way_named

__all__ = [
    "change", "generation", "keep", "opened_order", "order_before", "refused_link", "undo",
]  # fmt: skip

JOB, LOOK = "job", "films"
USUAL = LookQuestion()
OF_A_LOOK = (LOOK, "meets", "on", "colour", "press", "prefer")
"""What an address says of a look that is to be planned, until a job is made of it."""


def opened_order() -> CustomerOrder:
    """The order of this visit; at first that of the address, or else the demo."""
    state = st.session_state
    if "order" not in state or moved(JOB, LOOK):
        try:
            asked = _asked_for()
            if asked != state.get("order"):
                change(asked, redraw=True)
        except PressloreError as error:
            change(state.get("order", demo_order()))
            state["order_refused"] = str(error)
        write(**dict.fromkeys(OF_A_LOOK))
    order: CustomerOrder = state["order"]
    keep(order)
    return order


def keep(order: CustomerOrder) -> None:
    """Keep the order, and put the word that reopens it into the address."""
    try:
        write(job=keep_order(order))
    except OSError:
        # Nothing can be written beside the store: the visit and the job file still hold it.
        write(job=None)


def refused_link() -> str:
    """Why the address that opened this visit could not be followed; empty where it could."""
    refused: str = st.session_state.get("order_refused", "")
    return refused


def change(order: CustomerOrder, *, redraw: bool = False) -> None:
    """Go on with a changed order.

    Args:
        redraw: the change came from outside the form, whose fields must then be filled anew.
    """
    state = st.session_state
    state["order_before"] = state.get("order")
    state["order"] = order
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


def _asked_for() -> CustomerOrder:
    said = st.query_params
    if LOOK not in said:
        return kept_order(said[JOB]) if JOB in said else demo_order()
    films, ways = said[LOOK].split(","), said.get("meets", "").split(",")
    colour = f":{said['colour']}" if "colour" in said else ""
    prefer = next((one for one in PREFER if one == said.get("prefer")), USUAL.prefer)
    return order_of_look(
        films,
        [way_named(name) for name in [*ways, *films]][: len(films) - 1],
        on=said.get("on", USUAL.fabric) + colour,
        press=said.get("press", USUAL.press),
        prefer=prefer,
        shelf=catalogue(),
    )
