"""A real browser on the real application: start it, wait for it, read it, photograph it.

Locally these tests skip, with the reason, where Chromium or the npm registry is not there; under
CI they fail instead.
"""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import tarfile
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, NoReturn

import pytest

from tests import ROOT

APP = ROOT / "ui" / "start" / "app.py"
CHROMIUM = "/usr/bin/chromium"
FLAGS = [
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
]  # fmt: skip
AXE = "axe-core@4.10.3"
AXE_FOLDER = ROOT / ".out" / "axe-core"
SCREENSHOTS = ROOT / ".screenshots"
WCAG = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
SETTLED = '[data-testid="stApp"][data-test-script-state="notRunning"]'


def missing(reason: str) -> NoReturn:
    """Skip with the reason, or fail where the tests must run."""
    if os.environ.get("CI") == "true":
        pytest.fail(reason)
    pytest.skip(reason)


@contextmanager
def running_app() -> Iterator[str]:
    """The application in a process of its own, on a free port; gives its address."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    command = [sys.executable, "-m", "streamlit", "run", str(APP), "--server.port", str(port)]
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    ) as process:
        url = f"http://127.0.0.1:{port}"
        try:
            _wait_for(f"{url}/_stcore/health", process)
            yield url
        finally:
            _end(process)


@contextmanager
def chromium() -> Iterator[Any]:
    """Debian's Chromium, driven by Playwright."""
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("Playwright for Python is not installed: pip install playwright")
    if not Path(CHROMIUM).exists():
        missing(f"{CHROMIUM} is not there: apt-get install chromium")
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        try:
            yield browser
        finally:
            browser.close()


def visit(tab: Any, url: str, *, width: int = 1280, dark: bool = False) -> Any:
    """A fresh visitor on a page that has finished its first run.

    The tab is that of the visitor before, all of whose memory is wiped: a new one would have to
    read and compile the front end anew, which takes three times as long as all else.
    """
    tab.context.clear_cookies()
    if tab.url.startswith("http"):
        tab.evaluate("sessionStorage.clear()")
    # The page that was open must be gone before what it kept is wiped: it would keep it again.
    tab.goto("about:blank")
    devtools = tab.context.new_cdp_session(tab)
    devtools.send("Storage.clearDataForOrigin", {"origin": origin(url), "storageTypes": "all"})
    devtools.detach()
    tab.set_viewport_size({"width": width, "height": 900})
    tab.emulate_media(color_scheme="dark" if dark else "light")
    tab.goto(url)
    tab.wait_for_selector("h1")
    settle(tab)
    return tab


def origin(url: str) -> str:
    """An address up to its port, by which a browser tells whose memory is whose."""
    return "/".join(url.split("/")[:3])


def new_tab(browser: Any) -> Any:
    """A tab of someone who shares nothing with the others: close its context at the end."""
    tab = browser.new_context().new_page()
    tab.set_default_timeout(60_000)
    return tab


def settle(page: Any) -> None:
    """Wait until the page's script has run, nothing is a grey bar, and drawings are decoded."""
    page.wait_for_selector(SETTLED)
    page.wait_for_function("!document.querySelector('[data-testid=stSkeleton]')")
    page.wait_for_function("[...document.images].every(image => image.complete)")


def until(page: Any, selector: str) -> None:
    """Wait for something to be on the page, then for the page to be at rest."""
    page.wait_for_selector(selector)
    settle(page)


def photograph(page: Any, name: str) -> None:
    """The whole page as a picture in the ignored folder of screenshots, where these are wanted."""
    target = SCREENSHOTS / f"{name}.png"
    if not os.environ.get("PRESSLORE_PICTURES"):
        return
    SCREENSHOTS.mkdir(exist_ok=True)
    size = page.viewport_size
    tall = page.evaluate("document.querySelector('[data-testid=stMain]').scrollHeight")
    page.set_viewport_size({"width": size["width"], "height": max(size["height"], tall + 40)})
    settle(page)
    page.screenshot(path=target, animations="disabled")
    page.set_viewport_size(size)


def faults_for_assistive_use(page: Any) -> list[str]:
    """What axe-core finds against WCAG 2.2 AA, one line each."""
    page.evaluate(axe_source())
    found = page.evaluate("tags => axe.run(document, {runOnly: {type: 'tag', values: tags}})", WCAG)
    if not found["passes"]:
        pytest.fail("axe-core judged nothing; is this page empty?")
    return [
        f"{fault['id']}: {node['target']} {node['failureSummary']}"
        for fault in found["violations"]
        for node in fault["nodes"]
    ]


def runs_off_sideways(page: Any) -> bool:
    """Whether a person has to scroll sideways to see all of the page."""
    return bool(
        page.evaluate(
            "(() => {const m = document.querySelector('[data-testid=stMain]');"
            "return m.scrollWidth > m.clientWidth + 1})()"
        )
    )


def axe_source() -> str:
    """The text of axe-core, fetched once from npm into an ignored folder."""
    script = AXE_FOLDER / "axe.min.js"
    if not script.exists():
        npm = shutil.which("npm")
        if npm is None:
            missing("npm is not there, and axe-core comes from it")
        AXE_FOLDER.mkdir(parents=True, exist_ok=True)
        with TemporaryDirectory(dir=AXE_FOLDER) as fetched:
            packed = subprocess.run(
                [npm, "pack", AXE, "--silent", "--pack-destination", fetched],
                capture_output=True, text=True, timeout=120, check=False,
            )  # fmt: skip
            if packed.returncode:
                missing(f"npm pack {AXE} failed: {packed.stderr.strip()[-200:]}")
            with tarfile.open(Path(fetched) / packed.stdout.strip().splitlines()[-1]) as archive:
                archive.extract("package/axe.min.js", fetched, filter="data")
            # Moved as a whole, since another process of the run may be reading it already.
            (Path(fetched) / "package" / "axe.min.js").replace(script)
    return script.read_text(encoding="utf-8")


def _end(process: subprocess.Popen[bytes]) -> None:
    # It waits for open pages to go away first, which those of a failed test never do.
    process.terminate()
    try:
        process.wait(timeout=3)
    except subprocess.TimeoutExpired:
        process.kill()


def _wait_for(address: str, process: subprocess.Popen[bytes], within_s: float = 30) -> None:
    give_up = time.monotonic() + within_s
    while time.monotonic() < give_up:
        if process.poll() is not None:
            pytest.fail(f"the application ended: {process.stdout and process.stdout.read()!r}")
        try:
            with urllib.request.urlopen(address, timeout=2) as answer:
                if answer.status == 200:
                    return
        except (urllib.error.URLError, ConnectionError, TimeoutError):
            time.sleep(0.05)
    pytest.fail(f"the application did not answer at {address} within {within_s:g} s")
