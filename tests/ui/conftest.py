"""One application and one browser for all tests that need them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.ui.browser import chromium, running_app


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    with chromium() as driven:
        yield driven


@pytest.fixture(scope="session")
def app_url(browser: Any) -> Iterator[str]:
    # The browser comes first: where it is missing, nothing needs to be started.
    with running_app() as url:
        yield url
