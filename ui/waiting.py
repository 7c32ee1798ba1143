"""Waiting: long answers worked out beside the page, with progress shown and a way to give up."""

from __future__ import annotations

import time
from collections.abc import Callable, Hashable
from concurrent.futures import Future, wait
from threading import BoundedSemaphore, Thread
from typing import TypeVar

import streamlit as st

__all__ = ["answer"]

_Answer = TypeVar("_Answer")
_QUIET_S = 0.4
_LOOK_AGAIN_S = 0.15


@st.cache_resource(show_spinner=False)
def _places() -> BoundedSemaphore:
    """How many questions are worked on at once; further ones wait their turn."""
    return BoundedSemaphore(4)


def _begin(work: Callable[[], _Answer]) -> Future[_Answer]:
    """Work on a thread that does not hold up the end of the program."""
    running: Future[_Answer] = Future()
    places = _places()

    def do() -> None:
        with places:
            try:
                running.set_result(work())
            except BaseException as error:
                running.set_exception(error)

    Thread(target=do, name="presslore-answer", daemon=True).start()
    return running


def answer(work: Callable[[], _Answer], *, asked: Hashable, doing: str) -> _Answer | None:
    """What ``work`` returns; ``None`` once the person gave up on it.

    An answer that takes longer than a blink shows what is being done, for how long, and a button
    to cancel. A cancelled answer is dropped: its thread ends by itself and nothing waits for it.

    Args:
        asked: what the answer depends on; the same question is not worked out twice at once.
        doing: what is going on, as in "Listing every way".

    Raises whatever ``work`` raises.
    """
    at_work: dict[Hashable, Future[_Answer]] = st.session_state.setdefault("_at_work", {})
    given_up: set[Hashable] = st.session_state.setdefault("_given_up", set())
    if asked in given_up:
        st.info("Cancelled. Change something above, or ask again.")
        st.button("Ask again", key=f"again-{hash(asked)}", on_click=given_up.discard, args=[asked])
        return None
    if asked not in at_work:
        at_work[asked] = _begin(work)
    running, started = at_work[asked], time.monotonic()
    if not _done(running, _QUIET_S):
        place = st.empty()
        with place.container(horizontal=True, vertical_alignment="center"):
            told = st.empty()
            st.button("Cancel", key=f"cancel-{hash(asked)}", on_click=given_up.add, args=[asked])
        while not _done(running, _LOOK_AGAIN_S):
            told.markdown(f"**{doing}** … {time.monotonic() - started:.0f} s")
        place.empty()
    del at_work[asked]
    return running.result()


def _done(running: Future[_Answer], within_s: float) -> bool:
    return bool(wait([running], timeout=within_s).done)
