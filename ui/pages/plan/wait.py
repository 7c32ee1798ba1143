"""Wait: a plan, or more about one, asked for with progress shown and a way to call it off."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import wait
from hashlib import sha256
from typing import Any, TypeVar

import streamlit as st
from pydantic import TypeAdapter

from advisor.answers.questions import Answered, OtherPlan
from advisor.job.records.plan import Plan
from rules.errors import PressloreError
from ui.pages.plan.desk import CalledOff, Desk, Planning
from ui.pages.plan.order import OTHER_PLANS, Order
from ui.pages.plan.told import refusal

__all__ = ["make_desk_ready", "other_plans", "plan_before", "planned", "why_not"]

Asked = tuple[Order, str]
_Told = TypeVar("_Told")

QUIET_S = 0.5
LOOK_AGAIN_S = 0.2
MOST_REMEMBERED = 24


@st.cache_resource(show_spinner=False, on_release=lambda desk: desk.close())
def _desk() -> Desk:
    return Desk()


def make_desk_ready() -> None:
    """Start the programs that plan, so that the first person does not wait for them to load."""
    _desk()


def planned(order: Order, *, beside: Sequence[Order] = ()) -> Plan | None:
    """The plan of an order; ``None`` where it was refused or called off, which is then told.

    What this person's own orders gave is remembered in the session alone (`desk`).

    Args:
        beside: orders that are wanted as well and are begun at once.
    """
    wanted = [(order, ""), *((other, "") for other in beside)]
    return _answered(wanted, "Planning the job", Plan.model_validate_json)


def other_plans(order: Order) -> tuple[OtherPlan, ...] | None:
    """The best plans that differ from that of the order; ``None`` as with ``planned``."""
    read = TypeAdapter(tuple[OtherPlan, ...]).validate_json
    return _answered([(order, OTHER_PLANS)], "Looking for plans that differ", read)


def why_not(order: Order, question: str) -> Answered | None:
    """What stands against a wish; ``None`` as with ``planned``."""
    return _answered([(order, question)], "Finding out", Answered.model_validate_json)


def plan_before(order: Order) -> Plan | None:
    """The plan of an order if this visit has it."""
    held: Plan | None = _remembered().get(_key((order, "")))
    return held


def _answered(wanted: Sequence[Asked], doing: str, read: Callable[[str], _Told]) -> _Told | None:
    """The answer to the first of what is wanted; the rest is begun beside it."""
    key = _key(wanted[0])
    if key in _remembered():
        held: _Told = _remembered()[key]
        return held
    if key in _called_off():
        st.info("This was called off. Change something, or ask again.")
        st.button(
            "Ask again", on_click=_called_off().discard, args=[key], key=f"ask-again-{_word(key)}"
        )
        return None
    open_ = [each for each in wanted if _key(each) not in {*_remembered(), *_called_off()}]
    try:
        told = read(_watched(open_, doing))
    except CalledOff:
        return None
    except PressloreError as error:
        refusal(str(error))
        return None
    _remembered()[key] = told
    while len(_remembered()) > MOST_REMEMBERED:
        del _remembered()[next(iter(_remembered()))]
    return told


def _watched(wanted: Sequence[Asked], doing: str) -> str:
    key = _key(wanted[0])
    planning = _ask(wanted)[key]
    if not _done(planning, QUIET_S):
        place, started = st.empty(), time.monotonic()
        with place.container(border=True, key=f"plan-progress-{_word(key)}"):
            told = st.empty()
            st.button("Cancel", key=f"plan-cancel-{_word(key)}", on_click=_call_off, args=[key])
            while not _done(planning, LOOK_AGAIN_S):
                seconds = time.monotonic() - started + QUIET_S
                told.progress(1 - 1 / (1 + seconds / 6), text=f"{doing}: {seconds:.0f} s so far")
        place.empty()
    del _under_way()[key]
    return planning.future.result()


def _ask(wanted: Sequence[Asked]) -> dict[str, Planning]:
    """Take up what is waited for already, leave what is no longer wanted, begin the rest."""
    under_way = _under_way()
    for key in under_way.keys() - {_key(each) for each in wanted}:
        _desk().leave(under_way.pop(key))
    for order, question in wanted:
        key = _key((order, question))
        if key not in under_way:
            under_way[key] = _desk().ask(order, question)
    return under_way


def _call_off(key: str) -> None:
    planning = _under_way().pop(key, None)
    if planning is not None:
        _desk().leave(planning)
    _called_off().add(key)


def _key(asked: Asked) -> str:
    return f"{asked[0].key} {asked[1]}"


def _word(key: str) -> str:
    """A short word for the key of a widget."""
    return sha256(key.encode()).hexdigest()[:12]


def _remembered() -> dict[str, Any]:
    """What this visit was answered, by what it asked."""
    held: dict[str, Any] = st.session_state.setdefault("answers", {})
    return held


def _under_way() -> dict[str, Planning]:
    """What this visit waits for, by what it asked."""
    held: dict[str, Planning] = st.session_state.setdefault("planning", {})
    return held


def _called_off() -> set[str]:
    held: set[str] = st.session_state.setdefault("called_off", set())
    return held


def _done(planning: Planning, within_s: float) -> bool:
    return bool(wait([planning.future], timeout=within_s).done)
