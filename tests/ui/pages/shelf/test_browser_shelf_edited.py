"""A shop's own film in a real browser: added by its data sheet, counted, priced, taken away."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from advisor.shop.entries import own_entries
from advisor.shop.place import STORE
from tests.ui.browser import (
    faults_for_assistive_use,
    photograph,
    running_app,
    runs_off_sideways,
    until,
    visit,
)


def test_a_film_of_ones_own_is_added_priced_and_taken_away(
    tab: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # An application of its own, so that nobody else's shelf changes.
    store = tmp_path / "shop.sqlite"
    monkeypatch.setenv(STORE, str(store))
    with running_app() as url:
        page = visit(tab, f"{url}/shelf")
        page.get_by_text("Add a film of your own").click()
        page.get_by_label("What you call it").fill("our-matte")
        page.get_by_label("Dwell, s").fill("12")
        page.get_by_role("button", name="Put it on the shelf").click()
        until(page, "text=our-matte is on the shelf.")
        assert own_entries(store)[0].values["dwell_s"] == {"best": 12.0}
        page.get_by_label("Price per metre").fill("17.5")
        page.get_by_label("Metres on the shelf").fill("25")
        page.get_by_role("button", name="Keep", exact=True).click()
        until(page, "text=our-matte: price per metre and metres on the shelf kept.")
        assert own_entries(store)[0].values["on_shelf_m"] == 25
        assert not runs_off_sideways(page)
        photograph(page, "shelf-own")
        assert faults_for_assistive_use(page) == []
        page.get_by_role("button", name="Take what you entered away").click()
        until(page, "text=What you entered of our-matte is gone.")
        assert own_entries(store) == ()
