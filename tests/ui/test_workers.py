"""Tasks are worked out in processes apart, shared by content, and stopped once nobody waits."""

from __future__ import annotations

import os
import select
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import pytest

from rules.errors import PressloreError
from ui.order.record import CustomerOrder, demo_order
from ui.tasks import other_plans_task, plan_task, why_not_task
from ui.workers import CalledOff, Task, Workers, answer_of

WITHIN_S = 90


@pytest.fixture(scope="module")
def workers() -> Iterator[Workers]:
    opened = Workers(1)
    yield opened
    opened.close()


def titled(name: str, title: str) -> CustomerOrder:
    order = demo_order(name)
    return replace(order, job=order.job.model_copy(update={"job": title}))


def alone(work: Callable[..., object], *given: object) -> Task[object]:
    return Task(f"{work.__name__} {given}", work, given, "Trying")


@pytest.mark.slow
def test_a_demo_is_planned_once_for_everyone(workers: Workers) -> None:
    jackets = plan_task(demo_order("wind-jackets"))
    first, second = workers.ask(jackets), workers.ask(jackets)
    assert first is second
    assert answer_of(first, WITHIN_S).status == "planned"
    assert workers.ask(jackets).result(0) is first.result(0)


def test_an_own_job_is_not_kept_for_others(workers: Workers) -> None:
    own = titled("wind-jackets", "Our own jackets")
    assert not own.is_ready_made
    first = answer_of(workers.ask(plan_task(own)), WITHIN_S)
    again = workers.ask(plan_task(own))
    assert not again.done()
    assert answer_of(again, WITHIN_S) == first


def test_what_nobody_waits_for_is_stopped_and_the_next_is_begun(workers: Workers) -> None:
    long = alone(time.sleep, 600)
    future = workers.ask(long)
    assert workers.ask(long) is future
    workers.leave(long, future)
    assert not future.cancelled()
    workers.leave(long, future)
    with pytest.raises(CalledOff):
        answer_of(future, WITHIN_S)
    jackets = plan_task(titled("wind-jackets", "After that"))
    assert answer_of(workers.ask(jackets), WITHIN_S).status == "planned"


def test_one_that_waits_its_turn_can_be_called_off(workers: Workers) -> None:
    first = plan_task(titled("wind-jackets", "First"))
    second = plan_task(titled("wind-jackets", "Second"))
    futures = [workers.ask(each) for each in (first, second)]
    workers.leave(second, futures[1])
    assert answer_of(futures[0], WITHIN_S).status == "planned"
    with pytest.raises(CalledOff):
        answer_of(futures[1], WITHIN_S)


def test_one_persons_heavy_questions_never_stop_anothers() -> None:
    line = Workers(2)
    try:
        heavy = [alone(time.sleep, 600 + n) for n in range(3)]
        held = [(task, line.ask(task, "heavy")) for task in heavy]
        # One of hers is worked on; the other process is kept for whoever comes.
        assert [line.before(task) for task in heavy] == [0, 1, 2]
        quick = alone(os.getpid)
        assert answer_of(line.ask(quick, "quick"), WITHIN_S) > 0  # type: ignore[operator]
        # Two others with much to ask take turns, however much one of them has asked before.
        for task, future in held[1:]:
            line.leave(task, future)
        asked = [alone(time.sleep, 1.5 + n / 1000) for n in range(4)]
        futures = [line.ask(task, "patient") for task in asked]
        late = line.ask(alone(os.getppid), "late")
        answer_of(late, WITHIN_S)
        assert not futures[-1].done()
        line.leave(*held[0])
        assert [answer_of(future, WITHIN_S) for future in futures] == [None] * 4
    finally:
        line.close()


def test_who_leaves_the_line_makes_room_in_it() -> None:
    line = Workers(1)
    try:
        tasks = [alone(time.sleep, 600 + n) for n in range(3)]
        futures = [line.ask(task, f"person {n}") for n, task in enumerate(tasks)]
        assert [line.before(task) for task in tasks] == [0, 1, 2]
        line.leave(tasks[1], futures[1])
        assert [line.before(task) for task in tasks] == [0, 0, 1]
        assert futures[1].cancelled()
        line.leave(tasks[0], futures[0])
        assert line.before(tasks[2]) == 0
    finally:
        line.close()


def test_a_refusal_comes_back_as_one_sentence(workers: Workers) -> None:
    order = demo_order("wind-jackets")
    line = order.job.garments[0].model_copy(update={"garment": "wind-jaket"})
    wrong = replace(order, job=order.job.model_copy(update={"garments": (line,)}))
    with pytest.raises(PressloreError, match="no garment is called 'wind-jaket'; nearest: wind-"):
        answer_of(workers.ask(plan_task(wrong)), WITHIN_S)


def test_a_mistake_of_the_program_is_never_told_as_a_refusal(workers: Workers) -> None:
    with pytest.raises(ValueError, match="must be non-negative") as mistake:
        answer_of(workers.ask(alone(time.sleep, -1)), WITHIN_S)
    assert not isinstance(mistake.value, PressloreError)


def test_a_process_that_dies_is_told_and_replaced(workers: Workers) -> None:
    with pytest.raises(PressloreError, match="the planner stopped before it had an answer"):
        answer_of(workers.ask(alone(os.abort)), WITHIN_S)
    bags = plan_task(demo_order("bags"))
    assert answer_of(workers.ask(bags), WITHIN_S).status == "planned"


@pytest.mark.slow
def test_more_can_be_asked_about_an_order(workers: Workers) -> None:
    jackets = demo_order("wind-jackets")
    others = answer_of(workers.ask(other_plans_task(jackets)), WITHIN_S)
    assert others
    assert all(other.differs for other in others)
    wish = answer_of(workers.ask(why_not_task(jackets, "#f2c14e=mirror-sealed")), WITHIN_S)
    assert wish.possible
    assert any("is cut from mirror-sealed instead of" in change for change in wish.differs)
    with pytest.raises(PressloreError, match="is no question"):
        answer_of(workers.ask(why_not_task(jackets, "gibberish")), WITHIN_S)


AT_WORK = """
import os, sys, time
from ui.workers import Task, Workers
if __name__ == "__main__":
    workers = Workers(1)
    print(workers.ask(Task("who", os.getpid, (), "Trying")).result(), flush=True)
    workers.ask(Task("long", time.sleep, (600,), "Trying")).result()
"""


@pytest.mark.parametrize("how", [signal.SIGTERM, signal.SIGINT, signal.SIGKILL])
def test_the_workers_end_with_the_application(how: signal.Signals) -> None:
    with subprocess.Popen(
        [sys.executable, "-c", AT_WORK], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    ) as application:
        assert application.stdout is not None
        worker = os.pidfd_open(int(application.stdout.readline()))
        application.send_signal(how)
        application.wait(WITHIN_S)
    ended, _, _ = select.select([worker], [], [], WITHIN_S)
    os.close(worker)
    assert ended
