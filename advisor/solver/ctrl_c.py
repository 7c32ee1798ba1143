"""Ctrl-C while a library solves with settings of its own."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["ctrl_c_waits"]


@contextmanager
def ctrl_c_waits() -> Iterator[None]:
    """Let Ctrl-C wait until the block is done, and be answered then as it was before.

    CPMpy's explain tools run CP-SAT with its defaults. It then takes Ctrl-C for a wish to end that
    one search, so that what was not proved passes for not being so; and when it is done it leaves
    the system's own answer behind, with which the next Ctrl-C ends the program without a word.

    Where Python does not handle signals, which is any thread but the main one, nothing is done.
    """
    answer = signal.getsignal(signal.SIGINT)
    if answer is None or threading.current_thread() is not threading.main_thread():
        yield
        return
    # Windows cannot hold a signal back; there only the program's answer is kept.
    masks = hasattr(signal, "pthread_sigmask")
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT}) if masks else None
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, answer)
        if before is not None:
            signal.pthread_sigmask(signal.SIG_SETMASK, before)
