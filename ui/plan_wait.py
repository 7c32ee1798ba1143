"""Wait: a plan asked for, with progress shown and a way to call it off."""

from __future__ import annotations

import time
from collections.abc import Sequence
from concurrent.futures import wait

import streamlit as st

from advisor.plan_model import Plan
from rules.errors import PressloreError
from ui.plan_desk import CalledOff, Desk, Planning
from ui.plan_order import Order
from ui.plan_told import refusal

__all__ = ["planned"]

QUIET_S = 0.4
LOOK_AGAIN_S = 0.2
MOST_REMEMBERED = 16


@st.cache_resource(show_spinner=False, on_release=lambda desk: desk.close())
def _desk() -> Desk:
    return Desk()


def planned(
    order: Order, *, doing: str = "Planning the job", beside: Sequence[Order] = ()
) -> Plan | None:
    """The plan of an order; ``None`` where it was refused or called off, which is then told.

    What this person's own orders gave is remembered in the session alone (:mod:`ui.plan_desk`).

    Args:
        doing: what is said while it takes.
        beside: orders that are wanted as well and are begun at once.
    """
    remembered: dict[str, Plan] = st.session_state.setdefault("plans", {})
    if order.key in remembered:
        return remembered[order.key]
    if order.key in _called_off():
        st.info("Planning was called off. Change something, or plan again.")
        st.button(
            "Plan again", on_click=_called_off().discard, args=[order.key],
            key=f"plan-again-{order.key[:12]}",
        )  # fmt: skip
        return None
    wanted = [order, *(each for each in beside if each.key not in remembered)]
    try:
        plan = _watched(order, doing, [each for each in wanted if each.key not in _called_off()])
    except CalledOff:
        return None
    except PressloreError as error:
        refusal(str(error))
        return None
    remembered[order.key] = plan
    while len(remembered) > MOST_REMEMBERED:
        del remembered[next(iter(remembered))]
    return plan


def _watched(order: Order, doing: str, wanted: Sequence[Order]) -> Plan:
    planning = _ask(wanted)[order.key]
    if not _done(planning, QUIET_S):
        place, started, word = st.empty(), time.monotonic(), order.key[:12]
        with place.container(border=True, key=f"plan-progress-{word}"):
            told = st.empty()
            st.button("Cancel", key=f"plan-cancel-{word}", on_click=_call_off, args=[order.key])
            while not _done(planning, LOOK_AGAIN_S):
                seconds = time.monotonic() - started + QUIET_S
                told.progress(1 - 1 / (1 + seconds / 6), text=f"{doing}: {seconds:.0f} s so far")
        place.empty()
    del _under_way()[order.key]
    return planning.future.result()


def _ask(wanted: Sequence[Order]) -> dict[str, Planning]:
    """Take up what is waited for already, leave what is no longer wanted, begin the rest."""
    under_way = _under_way()
    for key in under_way.keys() - {order.key for order in wanted}:
        _desk().leave(under_way.pop(key))
    for order in wanted:
        if order.key not in under_way:
            under_way[order.key] = _desk().ask(order)
    return under_way


def _call_off(key: str) -> None:
    planning = _under_way().pop(key, None)
    if planning is not None:
        _desk().leave(planning)
    _called_off().add(key)


def _under_way() -> dict[str, Planning]:
    """What this session waits for, by the order's content."""
    held: dict[str, Planning] = st.session_state.setdefault("planning", {})
    return held


def _called_off() -> set[str]:
    held: set[str] = st.session_state.setdefault("called_off", set())
    return held


def _done(planning: Planning, within_s: float) -> bool:
    return bool(wait([planning.future], timeout=within_s).done)
