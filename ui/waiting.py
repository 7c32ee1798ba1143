"""Waiting: a page's question put to the workers, with progress shown and a way to call it off."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from concurrent.futures import Future, wait
from hashlib import sha256
from typing import Any, TypeVar
from uuid import uuid4

import streamlit as st

from rules.errors import PressloreError
from ui.show import refusal
from ui.workers import CalledOff, Task, Workers, answer_of

__all__ = ["answer_before", "wait_for", "workers"]

Answer = TypeVar("Answer")

QUIET_S = 0.4
LOOK_AGAIN_S = 0.2
MOST_REMEMBERED = 32


@st.cache_resource(show_spinner=False, on_release=lambda held: held.close())
def workers() -> Workers:
    """The workers of this application, which end with it."""
    return Workers()


def wait_for(
    task: Task[Answer],
    *,
    beside: Sequence[Task[Any]] = (),
    refuse: Callable[[str], object] = refusal,
) -> Answer | None:
    """The answer to a task; ``None`` where it was refused or called off, which is then shown.

    An answer that takes longer than a blink shows what is being done, for how long, and a button
    to cancel. What this person was answered is remembered in the session alone.

    Args:
        beside: tasks whose answers are wanted next and are begun at once.
        refuse: shows the sentence of a refusal.
    """
    remembered, called_off = _remembered(), _called_off()
    key = task.key
    if key in remembered:
        held: Answer = remembered[key]
        return held
    if key in called_off:
        _offer_again(key)
        return None
    wanted = [each for each in beside if each.key not in {*remembered, *called_off}]
    try:
        found = remembered[key] = _watched(task, wanted)
    except CalledOff:
        # The page was closed or lost its line meanwhile; one that comes back asks again.
        _offer_again(key)
        return None
    except PressloreError as error:
        refuse(str(error))
        return None
    while len(remembered) > MOST_REMEMBERED:
        del remembered[next(iter(remembered))]
    return found


def answer_before(task: Task[Answer]) -> Answer | None:
    """The answer to a question if this visit has it."""
    held: Answer | None = _remembered().get(task.key)
    return held


def _watched(task: Task[Answer], beside: Sequence[Task[Any]]) -> Answer:
    future, word, started = _ask(task, beside), _word(task.key), time.monotonic()
    if not _done(future, QUIET_S):
        place = st.empty()
        with place.container(border=True, key=f"progress-{word}"):
            bar = st.empty()
            st.button("Cancel", key=f"cancel-{word}", on_click=_call_off, args=[task])
            while not _done(future, LOOK_AGAIN_S):
                seconds = time.monotonic() - started
                bar.progress(1 - 1 / (1 + seconds / 6), text=_doing(task, seconds))
        place.empty()
    _under_way().pop(task.key, None)
    return answer_of(future)


def _doing(task: Task[Any], seconds: float) -> str:
    """What is going on meanwhile, or how many are served before."""
    before = workers().before(task)
    if before:
        others = "1 question is" if before == 1 else f"{before} questions are"
        return f"{others} answered before yours: {seconds:.0f} s so far"
    return f"{task.doing}: {seconds:.0f} s so far"


def _ask(task: Task[Answer], beside: Sequence[Task[Any]]) -> Future[Answer]:
    """Leave what is no longer wanted, take up what is waited for already, begin the rest."""
    under_way = _under_way()
    for key in under_way.keys() - {each.key for each in (task, *beside)}:
        workers().leave(*under_way.pop(key))
    for each in (task, *beside):
        if each.key not in under_way:
            under_way[each.key] = (each, workers().ask(each, _person()))
    return under_way[task.key][1]


def _call_off(task: Task[Any]) -> None:
    held = _under_way().pop(task.key, None)
    if held is not None:
        workers().leave(*held)
    _called_off().add(task.key)


def _offer_again(key: str) -> None:
    st.info("Cancelled. This was called off: change something, or ask again.")
    st.button("Ask again", on_click=_called_off().discard, args=[key], key=f"again-{_word(key)}")


def _person() -> str:
    """A word for this visit, by which its questions stand in the line."""
    word: str = st.session_state.setdefault("person", uuid4().hex)
    return word


def _word(key: str) -> str:
    """A short word for the key of a widget."""
    return sha256(key.encode()).hexdigest()[:12]


def _done(future: Future[Any], within_s: float) -> bool:
    return bool(wait([future], timeout=within_s).done)


def _remembered() -> dict[str, Any]:
    """What this visit was answered, by what it asked."""
    held: dict[str, Any] = st.session_state.setdefault("answers", {})
    return held


def _called_off() -> set[str]:
    held: set[str] = st.session_state.setdefault("called_off", set())
    return held


def _leave_all(under_way: dict[str, tuple[Task[Any], Future[Any]]]) -> None:
    while under_way:
        workers().leave(*under_way.popitem()[1])


@st.cache_resource(show_spinner=False, scope="session", on_release=_leave_all)
def _under_way() -> dict[str, tuple[Task[Any], Future[Any]]]:
    """What this visit waits for, by what it asked; left when its page is closed."""
    return {}
