"""The price of a job in a real browser: read, shown to the customer, and in reach of everyone."""

from __future__ import annotations

from typing import Any

from tests.ui.browser import (
    faults_for_assistive_use,
    photograph,
    runs_off_sideways,
    settle,
    until,
    visit,
)


def test_a_price_is_read_and_turned_to_the_customer(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/quote")
    until(page, "text=What the price is made of")
    assert not runs_off_sideways(page)
    photograph(page, "quote")
    assert faults_for_assistive_use(page) == []
    page.get_by_text("As the customer sees it").click()
    page.wait_for_function("!document.body.innerText.includes('What the price is made of')")
    settle(page)
    said = page.locator("[data-testid=stMain]").inner_text()
    assert "before tax" in said
    for word in ("Margin", "Overhead", "figures", "an hour"):
        assert word not in said
