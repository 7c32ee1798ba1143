"""Wait: a plan asked for, with progress shown and a way to call it off."""

from __future__ import annotations

import time
from concurrent.futures import wait
from html import escape

import streamlit as st

from advisor.plan_model import Plan
from rules.errors import PressloreError
from ui.plan_desk import CalledOff, Desk, Planning
from ui.plan_order import Order

__all__ = ["planned", "refusal"]

QUIET_S = 0.4
LOOK_AGAIN_S = 0.2
MOST_REMEMBERED = 16


@st.cache_resource(show_spinner=False, on_release=lambda desk: desk.close())
def _desk() -> Desk:
    return Desk()


def planned(order: Order, *, doing: str = "Planning the job") -> Plan | None:
    """The plan of an order; ``None`` where it was refused or called off, which is then told.

    What this person's own orders gave is remembered in the session alone (:mod:`ui.plan_desk`).
    """
    remembered: dict[str, Plan] = st.session_state.setdefault("plans", {})
    if order.key in remembered:
        return remembered[order.key]
    if st.session_state.get("called_off") == order.key:
        st.info("Planning was called off. Change something, or plan again.")
        st.button("Plan again", on_click=_ask_again, key="plan-again")
        return None
    try:
        plan = _watched(order, doing)
    except CalledOff:
        return None
    except PressloreError as error:
        refusal(str(error))
        return None
    remembered[order.key] = plan
    while len(remembered) > MOST_REMEMBERED:
        del remembered[next(iter(remembered))]
    return plan


def refusal(sentence: str) -> None:
    """Show why something cannot be done, in one sentence and as nothing but text."""
    st.html(f'<p class="pl-finding pl-stop" role="alert">{escape(sentence)}</p>')


def _watched(order: Order, doing: str) -> Plan:
    planning = _ask(order)
    if not _done(planning, QUIET_S):
        place, started = st.empty(), time.monotonic()
        with place.container(border=True, key="plan-progress"):
            told = st.empty()
            st.button("Cancel", key="plan-cancel", on_click=_call_off, args=[order.key])
            while not _done(planning, LOOK_AGAIN_S):
                seconds = time.monotonic() - started + QUIET_S
                told.progress(1 - 1 / (1 + seconds / 6), text=f"{doing}: {seconds:.0f} s so far")
        place.empty()
    del st.session_state["planning"]
    return planning.future.result()


def _ask(order: Order) -> Planning:
    """Take up the planning that this session waits for already, or begin another."""
    key, planning = st.session_state.get("planning", ("", None))
    if planning is not None:
        if key == order.key:
            held: Planning = planning
            return held
        _desk().leave(planning)
    planning = _desk().ask(order)
    st.session_state["planning"] = (order.key, planning)
    return planning


def _call_off(key: str) -> None:
    _, planning = st.session_state.pop("planning", ("", None))
    if planning is not None:
        _desk().leave(planning)
    st.session_state["called_off"] = key


def _ask_again() -> None:
    st.session_state.pop("called_off", None)


def _done(planning: Planning, within_s: float) -> bool:
    return bool(wait([planning.future], timeout=within_s).done)
