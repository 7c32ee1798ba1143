"""*What can give this look?* as a person meets it, in a real browser."""

from __future__ import annotations

from typing import Any

import pytest

from tests.ui.browser import (
    faults_for_assistive_use,
    new_tab,
    photograph,
    runs_off_sideways,
    until,
    visit,
)


def test_the_first_screen_answers_at_once_and_asks_nothing_of_the_network(
    browser: Any, app_url: str
) -> None:
    context = browser.new_context()
    page = context.new_page()
    asked: list[str] = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(app_url)
    until(page, "text=1. sparkle-fine on matte-smooth")
    outside = [url for url in asked if not url.startswith((app_url, "data:", "blob:"))]
    assert outside == []
    context.close()


@pytest.mark.parametrize(
    ("width", "dark"), [(1280, False), (1280, True), (768, False), (768, True)]
)
def test_it_reads_on_desk_and_tablet_in_light_and_dark(
    tab: Any, app_url: str, width: int, dark: bool
) -> None:
    page = visit(tab, app_url, width=width, dark=dark)
    until(page, ".pl-drawing img")
    photograph(page, f"look-{width}-{'dark' if dark else 'light'}")
    assert not runs_off_sideways(page)
    assert faults_for_assistive_use(page) == []


def test_a_look_is_asked_for_and_reopened_from_its_link(
    browser: Any, tab: Any, app_url: str
) -> None:
    page = visit(tab, app_url)
    page.get_by_role("button", name="Metallic", exact=True).click()
    page.get_by_role("button", name="Sparkle", exact=True).click()
    until(page, "h3:has-text('metallic')")
    first = page.locator("h3").first.inner_text()
    page.reload()
    until(page, "h3:has-text('metallic')")
    assert page.locator("h3").first.inner_text() == first
    elsewhere = visit(new_tab(browser), page.url)
    assert elsewhere.locator("h3").first.inner_text() == first
    elsewhere.context.close()


def test_two_answers_are_compared_and_a_refusal_is_read(tab: Any, app_url: str) -> None:
    page = visit(tab, app_url)
    for place in (1, 2):
        page.locator(f".st-key-compare-{place} button:visible").click()
    until(page, "text=Side by side")
    page.get_by_text("A film bonds only to a face that takes a film on top.").click()
    page.wait_for_selector(".pl-finding:visible >> text=Instead:")
    photograph(page, "look-compared")
    assert faults_for_assistive_use(page) == []


def test_three_finishes_show_progress_and_can_be_cancelled(tab: Any, app_url: str) -> None:
    page = visit(tab, app_url)
    page.get_by_role("button", name="Raised", exact=True).click()
    page.get_by_role("button", name="Cancel", exact=True).click()
    until(page, "text=Cancelled.")
    page.get_by_role("button", name="Ask again").click()
    until(page, "text=choices of film give this look")
