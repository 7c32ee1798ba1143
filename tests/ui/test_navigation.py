"""Every page of the table opens, and the application starts on one that answers something."""

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

import ui
from tests.ui.one_page import open_page, words_of
from ui.navigation import PAGES, PageEntry

APP = Path(ui.__file__).parent / "start" / "app.py"


@pytest.mark.slow
@pytest.mark.parametrize("entry", PAGES, ids=lambda entry: entry.name)
def test_a_page_opens_under_the_title_that_the_navigation_gives_it(entry: PageEntry) -> None:
    page = open_page(entry.name)
    assert not page.exception
    assert entry.title in page.title[0].value


def test_no_two_pages_share_an_address_or_a_title() -> None:
    assert len({entry.name for entry in PAGES}) == len(PAGES)
    assert len({entry.title for entry in PAGES}) == len(PAGES)


def test_the_application_opens_on_a_first_answer() -> None:
    app = AppTest.from_file(APP, default_timeout=20).run()
    assert not app.exception
    assert app.title[0].value == "What can give this look?"
    assert "sparkle-fine on matte-smooth" in words_of(app)


def test_a_mistake_of_ours_is_one_sentence_and_stands_in_the_record(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    def broken(name: str) -> None:
        raise ZeroDivisionError(name)

    monkeypatch.setattr("ui.navigation.import_module", broken)
    app = AppTest.from_file(APP, default_timeout=20).run()
    assert not app.exception
    said = words_of(app)
    assert "our mistake and not yours" in said
    assert "ZeroDivisionError" not in said
    assert "ZeroDivisionError" in caplog.text


def test_the_settings_keep_the_pages_on_this_machine_and_send_nothing_out() -> None:
    settings = (APP.parent / ".streamlit" / "config.toml").read_text(encoding="utf-8")
    assert 'address = "127.0.0.1"' in settings
    assert "gatherUsageStats = false" in settings
    assert "maxUploadSize = 2\n" in settings
