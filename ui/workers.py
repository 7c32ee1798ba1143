"""Workers: processes apart that answer heavy questions, each stopped once nobody waits for it.

A plan takes from a blink to a minute of one core. In a process of its own it neither holds up the
other people's pages nor goes on after the last of them left.
"""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections import Counter, OrderedDict
from collections.abc import Callable
from concurrent.futures import CancelledError, Future
from dataclasses import dataclass, field
from functools import partial
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


@dataclass(eq=False)
class _Waiting:
    """A question on its way: in the line, or with a process.

    Attributes:
        person: who asked it first.
        promised: what everybody who asked it waits for.
        running: what the process gives, once it has one.
        people: how many wait for it.
    """

    task: Task[Any]
    person: str
    promised: Future[Any] = field(default_factory=Future)
    running: Future[Any] | None = None
    people: int = 0


class Workers:
    """A pool of processes, each with one question at a time, and one line for all that wait.

    Whoever has the fewest under way is served first, then who was served longest ago. One person
    alone is given no more than half of the processes, so that a heavy job of one never stops
    another's.

    Args:
        count: how many work at once; by default two for each core, so that short questions are
            answered beside long ones.
    """

    def __init__(self, count: int | None = None) -> None:
        self._most = count or 2 * (os.cpu_count() or 1)
        self._pool = ProcessPool(max_workers=self._most, initializer=_begin, context=_context())
        self._lock = RLock()
        self._asked: dict[str, _Waiting] = {}
        self._kept: OrderedDict[str, Future[Any]] = OrderedDict()
        self._turn, self._served = 0, Counter[str]()

    def ask(self, task: Task[Answer], person: str = "") -> Future[Answer]:
        """Begin on a question, queue for it, or join those who wait for the same answer."""
        key = task.key
        with self._lock:
            if key in self._kept:
                return self._kept[key]
            asked = self._asked.setdefault(key, _Waiting(task, person))
            asked.people += 1
            self._begin_next()
            return asked.promised

    def before(self, task: Task[Any]) -> int:
        """How many questions stand before this one in the line; 0 where it is worked on."""
        with self._lock:
            waiting = [each.task.key for each in self._asked.values() if each.running is None]
            return waiting.index(task.key) + 1 if task.key in waiting else 0

    def leave(self, task: Task[Any], future: Future[Any]) -> None:
        """Wait no longer for what ``ask`` gave; when nobody else does, the work is stopped."""
        with self._lock:
            asked = self._asked.get(task.key)
            if asked is None or asked.promised is not future:
                return
            asked.people -= 1
            if asked.people == 0:
                del self._asked[task.key]
                asked.promised.cancel()
                if asked.running is not None:
                    asked.running.cancel()
                self._begin_next()

    def close(self) -> None:
        """End every process."""
        self._pool.stop()  # type: ignore[no-untyped-call]
        self._pool.join()

    def _begin_next(self) -> None:
        """Give free processes to those whose turn it is."""
        with self._lock:
            here = {one.person for one in self._asked.values()}
            for person in self._served.keys() - here:
                del self._served[person]
            while (asked := self._next()) is not None:
                self._turn += 1
                self._served[asked.person] = self._turn
                asked.running = self._pool.schedule(_work, (asked.task.work, *asked.task.given))
                asked.running.add_done_callback(partial(self._take_in, asked))

    def _next(self) -> _Waiting | None:
        at_work = Counter(one.person for one in self._asked.values() if one.running is not None)
        waiting = [one for one in self._asked.values() if one.running is None]
        if not waiting or at_work.total() >= self._most:
            return None
        first = min(waiting, key=lambda one: (at_work[one.person], self._served[one.person]))
        may = max(1, self._most // 2)
        return first if at_work[first.person] < may else None

    def _take_in(self, asked: _Waiting, done: Future[Any]) -> None:
        with self._lock:
            if self._asked.get(asked.task.key) is asked:
                del self._asked[asked.task.key]
            failed = None if done.cancelled() else done.exception()
            if done.cancelled():
                asked.promised.cancel()
            elif failed is not None:
                asked.promised.set_exception(failed)
            else:
                asked.promised.set_result(done.result())
                if asked.task.for_everyone:
                    self._kept[asked.task.key] = asked.promised
                    while len(self._kept) > MOST_KEPT:
                        self._kept.popitem(last=False)
            self._begin_next()


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
