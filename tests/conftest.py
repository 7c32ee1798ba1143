"""What every run of the tests has: Ctrl-C as it is, one application and one browser."""

from __future__ import annotations

import os
import signal
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from advisor.shop.place import STORE
from tests.ui.browser import chromium, new_tab, running_app

# Before anything is collected: no test and no process that one starts sees a person's own store.
_OWN = tempfile.TemporaryDirectory(prefix="presslore-tests-")
os.environ[STORE] = str(Path(_OWN.name) / "shop.sqlite")


def pytest_configure() -> None:
    # A shell has what it runs in the background ignore Ctrl-C, and all that this starts likewise.
    signal.signal(signal.SIGINT, signal.default_int_handler)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Whatever drives a browser or is a benchmark is slow without being marked."""
    for item in items:
        if {"browser", "benchmark"} & set(getattr(item, "fixturenames", ())):
            item.add_marker(pytest.mark.slow)


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    with chromium() as driven:
        yield driven


@pytest.fixture(scope="session")
def tab(browser: Any) -> Any:
    """The tab that one visitor after another uses; see `tests.ui.browser.visit`."""
    return new_tab(browser)


@pytest.fixture(scope="session")
def app_url(browser: Any) -> Iterator[str]:
    # The browser comes first: where it is missing, nothing needs to be started.
    with running_app() as url:
        yield url
