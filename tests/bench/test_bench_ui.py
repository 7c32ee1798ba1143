"""Speed of the pages as a person waits for them, in a real browser, beside stated alternatives.

Each is told with the least that the same answer takes without the pages: a bare interpreter with
Streamlit for a start, and the advisor asked in this process for a change.
"""

from __future__ import annotations

import json
import socket
import statistics
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from streamlit.proto.BackMsg_pb2 import BackMsg
from streamlit.proto.ForwardMsg_pb2 import ForwardMsg
from websockets.sync.client import connect
from websockets.typing import Subprotocol

from advisor import check, plan
from tests.ui.browser import running_app, visit
from ui.order.record import CustomerOrder, demo_order

ROUNDS = 20
PEOPLE = 10
PLANNED = ".pp-steps"


@contextmanager
def presslore_app() -> Iterator[str]:
    """What `presslore app` starts, from asking the command line on; gives its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    asked = [Path(sys.executable).parent / "presslore", "app", "--port", str(port), "--json"]
    told = json.loads(subprocess.run(asked, capture_output=True, check=True).stdout)
    with subprocess.Popen(
        told["command"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    ) as pages:
        try:
            until_it_answers(port, pages)
            yield told["url"]
        finally:
            pages.terminate()


def until_it_answers(port: int, pages: subprocess.Popen[bytes]) -> None:
    give_up = time.monotonic() + 60
    while time.monotonic() < give_up and pages.poll() is None:
        with socket.socket() as line:
            if line.connect_ex(("127.0.0.1", port)) == 0:
                return
        time.sleep(0.02)
    pytest.fail("the pages did not start within a minute")


def median_s(work: Callable[[], object], times: int) -> float:
    taken = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def note(benchmark: BenchmarkFixture, what: str, work: Callable[[], object], times: int) -> None:
    """Note what something takes; where benchmarks are switched off nothing is timed."""
    if not benchmark.disabled:
        benchmark.extra_info[what] = median_s(work, times)


def test_from_a_cold_start_to_the_first_answer(benchmark: BenchmarkFixture, browser: Any) -> None:
    def bare() -> None:
        subprocess.run([sys.executable, "-c", "import streamlit"], check=True)

    def start() -> None:
        with presslore_app() as url:
            page = browser.new_page()
            page.goto(url)
            page.wait_for_selector(".pl-badge")
            page.close()

    benchmark.pedantic(start, rounds=3, iterations=1)
    note(benchmark, "importing Streamlit alone, s", bare, 3)


def test_a_change_on_is_this_risky(benchmark: BenchmarkFixture, tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/check?stack=matte-smooth,sparkle-coarse")
    page.wait_for_selector(".pl-badge.large")
    dwell = page.locator('[class*="st-key-8-dwell_s-"] input')
    seconds = iter(range(3, 300))

    def change() -> None:
        asked = str(next(seconds))
        before = page.locator(".pl-values").last.inner_text()
        dwell.fill(asked)
        dwell.press("Enter")
        page.wait_for_function(
            "was => [...document.querySelectorAll('.pl-values')].at(-1).innerText !== was",
            arg=before,
        )

    benchmark.pedantic(change, rounds=ROUNDS, iterations=1)
    stack = ["matte-smooth", "sparkle-coarse"]
    steps = check(fabric="cotton-jersey-tee", stack=stack).steps

    others = iter(range(3, 300))

    def alone() -> None:
        asked = float(next(others))
        edited = [
            step.model_copy(update={"dwell_s": asked}) if step.purpose == "full" else step
            for step in steps
        ]
        check(fabric="cotton-jersey-tee", stack=stack, steps=edited)

    note(benchmark, "the checker alone, s", alone, ROUNDS)


def test_a_change_on_plan_a_job(benchmark: BenchmarkFixture, tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/plan")
    page.wait_for_selector(PLANNED, timeout=90_000)
    page.locator(".st-key-form-garments summary").click()
    field = page.get_by_role("spinbutton", name="How many").first
    quantity = iter(range(30, 300))

    def change() -> None:
        asked = next(quantity)
        field.fill(str(asked))
        field.press("Enter")
        page.wait_for_selector(f"text=For {asked} × adult-tee", timeout=60_000)

    benchmark.pedantic(change, rounds=ROUNDS, iterations=1)
    order = demo_order()

    others = iter(range(30, 300))

    def alone() -> None:
        asked = with_quantity(order, next(others))
        plan(asked.job, svg=asked.svg)

    note(benchmark, "the planner alone, s", alone, 5)


def with_quantity(order: CustomerOrder, quantity: int) -> CustomerOrder:
    first, *others = order.job.garments
    lines = (first.model_copy(update={"quantity": quantity}), *others)
    return replace(order, job=order.job.model_copy(update={"garments": lines}))


def test_ten_people_at_once_plan_the_demo(benchmark: BenchmarkFixture) -> None:
    """Ten people open the demo's plan at once; the time told is the median person's.

    Ten browsers would take the same two cores as the pages and be all that is measured, so these
    people speak the pages' own protocol: from opening a connection to the whole plan received.
    """
    waited: list[float] = []
    with running_app() as url:

        def together() -> None:
            with ThreadPoolExecutor(PEOPLE) as people:
                waited.extend(people.map(seconds_to_the_plan, [url] * PEOPLE))

        benchmark.pedantic(together, rounds=3, iterations=1)
    benchmark.extra_info["median person, s"] = statistics.median(waited)
    benchmark.extra_info["median person of the first ten, s"] = statistics.median(waited[:PEOPLE])
    order = demo_order()
    note(benchmark, "the planner alone, s", lambda: plan(order.job, svg=order.svg), 1)


def seconds_to_the_plan(url: str) -> float:
    """Open *Plan a job* as a visitor would and wait for the last press step."""
    start = time.perf_counter()
    address = url.replace("http", "ws") + "/_stcore/stream"
    asked = BackMsg()
    asked.rerun_script.page_name = "plan"
    html = b""
    with connect(address, subprotocols=[Subprotocol("streamlit")], max_size=None) as line:
        line.send(asked.SerializeToString())
        while True:
            told = ForwardMsg.FromString(bytes(line.recv(timeout=90)))
            html += told.delta.new_element.html.body.encode()
            assert not told.delta.new_element.HasField("exception")
            if told.WhichOneof("type") == "script_finished":
                break
    assert b"pp-steps" in html
    assert b'role="alert"' not in html
    return time.perf_counter() - start
