"""Ctrl-C while a library solves: it waits for the end, and nobody else takes it."""

from __future__ import annotations

import signal
import sys
import threading

import pytest

from advisor.solver.ctrl_c import ctrl_c_waits


def test_what_a_library_answers_to_ctrl_c_is_undone() -> None:
    before = signal.getsignal(signal.SIGINT)
    with ctrl_c_waits():
        signal.signal(signal.SIGINT, signal.SIG_IGN)
    assert signal.getsignal(signal.SIGINT) is before


@pytest.mark.skipif(sys.platform == "win32", reason="signals cannot be held back there")
def test_ctrl_c_within_is_heard_at_the_end() -> None:
    done: list[str] = []

    def work() -> None:
        with ctrl_c_waits():
            signal.raise_signal(signal.SIGINT)
            done.append("all of it")

    with pytest.raises(KeyboardInterrupt):
        work()
    assert done == ["all of it"]


def test_another_thread_is_let_through() -> None:
    seen: list[str] = []

    def work() -> None:
        with ctrl_c_waits():
            seen.append("done")

    thread = threading.Thread(target=work)
    thread.start()
    thread.join()
    assert seen == ["done"]
