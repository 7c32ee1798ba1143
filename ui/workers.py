"""Workers: processes apart that answer heavy questions, each stopped once nobody waits for it.

A plan takes from a blink to a minute of one core. In a process of its own it neither holds up the
other people's pages nor goes on after the last of them left.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import CancelledError, Future
from dataclasses import dataclass
from multiprocessing.connection import wait
from threading import RLock, Thread
from typing import Any, Generic, TypeVar

from pebble import ProcessExpired, ProcessPool

from rules.errors import BadInputError, PressloreError

__all__ = ["Answer", "CalledOff", "Task", "Workers", "answer_of"]

Answer = TypeVar("Answer")
MOST_KEPT = 64


class CalledOff(PressloreError):
    """A question was called off before it had its answer."""


@dataclass(frozen=True)
class Task(Generic[Answer]):
    """Something to be worked out in a process apart.

    Attributes:
        key: stands for its content: equal questions have one key, others have another.
        work: a function of a module; what it returns can be pickled.
        given: what the function is given.
        doing: what is going on meanwhile, as in "Planning the job".
        for_everyone: nothing in it is anyone's own, so the answer is kept and serves everyone.
    """

    key: str
    work: Callable[..., Answer]
    given: tuple[Any, ...]
    doing: str
    for_everyone: bool = False


@dataclass
class _UnderWay:
    future: Future[Any]
    people: int = 0


class Workers:
    """A pool of processes, each with one question at a time.

    Args:
        count: how many work at once; one for each core by default.
    """

    def __init__(self, count: int | None = None) -> None:
        self._pool = ProcessPool(
            max_workers=count or os.cpu_count() or 1, initializer=_begin, context=_context()
        )
        self._lock = RLock()
        self._under_way: dict[str, _UnderWay] = {}
        self._kept: OrderedDict[str, Future[Any]] = OrderedDict()

    def ask(self, task: Task[Answer]) -> Future[Answer]:
        """Begin on a question, or join those who wait for the same answer."""
        key = task.key
        with self._lock:
            if key in self._kept:
                return self._kept[key]
            if key not in self._under_way:
                future = self._pool.schedule(_work, (task.work, *task.given))
                self._under_way[key] = _UnderWay(future)
                future.add_done_callback(lambda done: self._take_in(task, done))
            self._under_way[key].people += 1
            return self._under_way[key].future

    def leave(self, task: Task[Any], future: Future[Any]) -> None:
        """Wait no longer for what ``ask`` gave; when nobody else does, the work is stopped."""
        with self._lock:
            under_way = self._under_way.get(task.key)
            if under_way is None or under_way.future is not future:
                return
            under_way.people -= 1
            if under_way.people == 0:
                del self._under_way[task.key]
                under_way.future.cancel()

    def close(self) -> None:
        """End every process."""
        self._pool.stop()  # type: ignore[no-untyped-call]
        self._pool.join()

    def _take_in(self, task: Task[Any], done: Future[Any]) -> None:
        with self._lock:
            under_way = self._under_way.get(task.key)
            if under_way is not None and under_way.future is done:
                del self._under_way[task.key]
            if task.for_everyone and not done.cancelled() and done.exception() is None:
                self._kept[task.key] = done
                while len(self._kept) > MOST_KEPT:
                    self._kept.popitem(last=False)


def answer_of(future: Future[Answer], within_s: float | None = None) -> Answer:
    """The answer, once it is there.

    Raises:
        CalledOff: nobody waits for it any longer.
        PressloreError: it was refused, or its process ended before it had an answer.
        TimeoutError: it was not there within ``within_s``.
    """
    try:
        return future.result(within_s)
    except CancelledError:
        raise CalledOff("this was called off") from None
    except ProcessExpired:
        raise PressloreError(
            "the planner stopped before it had an answer; simplify the artwork or ask again"
        ) from None


def _context() -> multiprocessing.context.BaseContext:
    # Pages run in threads, among which nothing may fork. A server of forks that has everything
    # imported gives a new process in a blink, so that stopping one costs the next question nothing.
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload(["ui.start.app", "ui.tasks"])
    return context


def _begin() -> None:
    """What each process does first: end at once when it is told to, or when the pages are gone."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    pages = multiprocessing.parent_process()
    if pages is not None:
        Thread(target=_end_with, args=[pages.sentinel], daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)


def _work(work: Callable[..., Answer], *given: Any) -> Answer:
    try:
        return work(*given)
    except BadInputError as error:
        # The folder that a file lay in here for a moment is nobody's concern.
        source = error.source.replace("\\", "/").rsplit("/", 1)[-1]
        refused = str(BadInputError(error.reason, source=source, field=error.field))
    except PressloreError as error:
        refused = str(error)
    raise PressloreError(refused)
