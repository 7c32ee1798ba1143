"""Desk: where orders wait to be planned, in programs apart, watched and called off.

A plan takes from a blink to a minute of one core. In a program of its own it neither holds up the
other people's pages nor goes on once nobody waits for it.

Plans are remembered by content, in two places. Those of the ready jobs (a demo's title and artwork,
without names) serve everyone: there is nothing of anyone's in them. All others are remembered in
their own person's session only and go with it.
"""

from __future__ import annotations

import contextlib
import json
import os
import queue
import subprocess
import sys
import threading
from collections import OrderedDict
from concurrent.futures import Future
from pathlib import Path

from rules.errors import PressloreError
from ui.pages.plan.order import Order

__all__ = ["CalledOff", "Desk", "Planning"]

MOST_REMEMBERED = 64


class CalledOff(PressloreError):
    """Planning was called off before it was done."""


class Planning:
    """One order being planned; it goes on as long as someone waits for it."""

    def __init__(self) -> None:
        self.future: Future[str] = Future()
        self.program: subprocess.Popen[str] | None = None
        self.people = 1
        self.off = False


class Desk:
    """Programs that plan, each one order at a time.

    Args:
        seats: how many plan at once; one for each core by default.
    """

    def __init__(self, seats: int | None = None) -> None:
        self._lock = threading.Lock()
        self._under_way: dict[str, Planning] = {}
        self._ready_made: OrderedDict[str, str] = OrderedDict()
        self._waiting: queue.SimpleQueue[tuple[Order, str, Planning] | None] = queue.SimpleQueue()
        self._threads = [
            threading.Thread(target=self._seat, name=f"presslore-plan-{n}", daemon=True)
            for n in range(seats or max(1, os.cpu_count() or 1))
        ]
        for thread in self._threads:
            thread.start()

    def ask(self, order: Order, question: str = "") -> Planning:
        """Begin on an order, or join those who wait for the same answer.

        Args:
            question: what is asked: empty for the plan, ``OTHER_PLANS``, or a *why not* as
                :func:`advisor.answers.questions.why_not_this` takes it. The answer is JSON.
        """
        key = _key(order, question)
        with self._lock:
            known = self._ready_made.get(key)
            if known is not None:
                done = Planning()
                done.future.set_result(known)
                return done
            planning = self._under_way.get(key)
            if planning is not None:
                planning.people += 1
                return planning
            planning = self._under_way[key] = Planning()
        self._waiting.put((order, question, planning))
        return planning

    def leave(self, planning: Planning) -> None:
        """Wait no longer; when nobody else does, the planning is stopped."""
        with self._lock:
            planning.people -= 1
            if planning.people > 0 or planning.future.done():
                return
            self._stop(planning)
            self._under_way = {k: p for k, p in self._under_way.items() if p is not planning}

    def close(self) -> None:
        """End every program."""
        with self._lock:
            for planning in self._under_way.values():
                self._stop(planning)
        for _ in self._threads:
            self._waiting.put(None)
        for thread in self._threads:
            thread.join()

    @staticmethod
    def _stop(planning: Planning) -> None:
        planning.off = True
        if planning.program is not None:
            planning.program.kill()

    def _seat(self) -> None:
        """One after another, with a program that is kept warm between two orders."""
        program = _program()
        while (asked := self._waiting.get()) is not None:
            order, question, planning = asked
            if program.poll() is not None:
                _end(program)
                program = _program()
            with self._lock:
                off, planning.program = planning.off, program
            try:
                if off:
                    raise CalledOff("this plan was called off")
                planning.future.set_result(self._answer(order, question, planning, program))
            # Whatever went wrong is told to those who wait, and the seat goes on.
            except BaseException as error:
                planning.future.set_exception(error)
            with self._lock:
                planning.program = None
                if self._under_way.get(_key(order, question)) is planning:
                    del self._under_way[_key(order, question)]
        _end(program)

    def _answer(
        self, order: Order, question: str, planning: Planning, program: subprocess.Popen[str]
    ) -> str:
        if program.stdin is None or program.stdout is None:
            raise PressloreError("the planner has no way to answer; start the pages again")
        line = ""
        with contextlib.suppress(OSError):
            asked = json.dumps({"order": order.as_text(), "question": question})
            program.stdin.write(asked + "\n")
            program.stdin.flush()
            line = program.stdout.readline()
        if not line or planning.off:
            # Waited for, so that the seat sees that it is gone before the next order comes.
            program.kill()
            program.wait()
        if planning.off:
            raise CalledOff("this plan was called off")
        if not line:
            raise PressloreError(
                "the planner stopped before it had an answer; simplify the artwork or ask again"
            )
        told = json.loads(line)
        if "refused" in told:
            raise PressloreError(told["refused"])
        answer: str = told["answer"]
        if order.is_ready_made:
            with self._lock:
                self._ready_made[_key(order, question)] = answer
                while len(self._ready_made) > MOST_REMEMBERED:
                    self._ready_made.popitem(last=False)
        return answer


def _key(order: Order, question: str) -> str:
    return f"{order.key} {question}"


def _program() -> subprocess.Popen[str]:
    root = str(Path(__file__).parents[3])
    environment = {**os.environ, "PYTHONPATH": root + os.pathsep + os.environ.get("PYTHONPATH", "")}
    return subprocess.Popen(
        [sys.executable, "-m", "ui.pages.plan.worker"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env=environment,
    )


def _end(program: subprocess.Popen[str]) -> None:
    program.kill()
    for pipe in (program.stdin, program.stdout):
        if pipe is not None:
            with contextlib.suppress(OSError):
                pipe.close()
    program.wait()
