"""One thread through the pages, in a real browser: each leads to the next, and the way back."""

from __future__ import annotations

from typing import Any

import pytest

from tests.ui.browser import photograph, runs_off_sideways, settle, until, visit

VERDICT = ".pl-badge.large"
SIZES = pytest.mark.parametrize("width", [1440, 390])


def follow(page: Any, words: str) -> None:
    page.get_by_role("link", name=words, exact=True).first.click()


@SIZES
def test_a_look_is_planned_and_taken_to_the_press(tab: Any, app_url: str, width: int) -> None:
    page = visit(tab, f"{app_url}/look?on=child-tee&colour=navy", width=width)
    until(page, ".st-key-answer-1")
    page.evaluate("window.loadedOnce = true")
    films = page.locator(".st-key-answer-1 h3").inner_text().split(". ", 1)[1].split(" on ")
    follow(page, "Plan with these films")
    until(page, ".pp-steps")
    steps = page.locator(".pp-steps").inner_text()
    assert all(film in steps for film in films)
    assert page.get_by_text("1 garment", exact=True).count() == 1
    assert "/plan?job=" in page.url
    planned = page.url
    assert not runs_off_sideways(page)
    photograph(page, f"thread-plan-{width}")
    follow(page, "To the press with it")
    page.wait_for_selector("h1:has-text('At the press')")
    page.wait_for_function("location.pathname === '/press'")
    assert page.url.split("?")[1] == planned.split("?")[1]
    until(page, "[data-at=title]")
    page.go_back()
    until(page, ".pp-steps")
    page.go_back()
    until(page, ".st-key-answer-1")
    assert page.url == f"{app_url}/look?on=child-tee&colour=navy"
    # All along the page was never loaded anew.
    assert page.evaluate("window.loadedOnce") is True


@SIZES
def test_what_a_look_answers_is_checked_as_it_stood(tab: Any, app_url: str, width: int) -> None:
    page = visit(tab, f"{app_url}/look?on=wind-jacket&colour=black", width=width)
    until(page, ".st-key-answer-1")
    said = page.locator(f".st-key-answer-1 {VERDICT}").inner_text()
    films = page.locator(".st-key-answer-1 h3").inner_text().split(". ", 1)[1].split(" ")
    page.locator(".st-key-answer-1 a.pl-way", has_text="Check this").click()
    page.wait_for_selector("h1:has-text('Is this risky?')")
    until(page, VERDICT)
    assert page.locator(VERDICT).first.inner_text() == said
    layers = [page.locator(f".st-key-layer-{at}").inner_text() for at in (0, 1)]
    assert films[0] in layers[1]
    assert films[-1] in layers[0]
    assert "on=wind-jacket" in page.url
    assert "colour=black" in page.url
    shown = page.url
    page.reload()
    until(page, VERDICT)
    assert page.locator(VERDICT).first.inner_text() == said
    assert page.url == shown


def test_a_finding_leads_to_its_rule_and_back(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/check?stack=sparkle-coarse,matte-smooth")
    until(page, "text=Do not press:")
    follow(page, "top-surface")
    page.wait_for_selector("h1:has-text('Why')")
    until(page, "text=It objects to")
    assert page.url.endswith("/why?rule=top-surface")
    assert page.locator("table.pl-values").count() == 1
    follow(page, "Back to where you were")
    until(page, "text=Do not press:")
    assert "stack=sparkle-coarse,matte-smooth" in page.url
    page.go_forward()
    until(page, "text=It objects to")
    follow(page, "All rules")
    until(page, "text=rules.")
    assert page.url.endswith("/why")


def test_the_back_button_undoes_one_step_of_a_stack(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/check")
    until(page, "text=Go: no rule objects")
    page.locator(".st-key-up-0 button:visible").click()
    until(page, "text=Do not press:")
    page.locator(".st-key-off-1 button:visible").click()
    page.wait_for_selector(".st-key-layer-1", state="detached")
    page.go_back()
    until(page, "text=Do not press:")
    page.go_back()
    until(page, "text=Go: no rule objects")
    assert "matte-smooth" in page.locator(".st-key-layer-0").inner_text()
    page.go_forward()
    until(page, "text=Do not press:")


def test_the_back_button_undoes_one_choice_of_a_look(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/look")
    until(page, ".st-key-answer-1")
    page.get_by_role("button", name="Lapped", exact=True).or_(
        page.get_by_role("radio", name="Lapped", exact=True)
    ).click()
    page.wait_for_function("location.search.includes('laid=')")
    settle(page)
    for place in (1, 2):
        page.locator(f".st-key-compare-{place} button:visible").click()
        settle(page)
    until(page, "text=Side by side")
    page.go_back()
    page.wait_for_selector("text=Side by side", state="detached")
    page.go_back()
    page.wait_for_function("!location.search.includes('compare')")
    page.go_back()
    page.wait_for_function("location.search === ''")
    settle(page)
    assert page.get_by_text("choices of film give this look").count() == 1


def test_the_start_leads_to_the_first_page_and_each_page_has_an_address(
    tab: Any, app_url: str
) -> None:
    page = visit(tab, app_url)
    page.wait_for_function("location.pathname === '/look'")
    until(page, ".st-key-answer-1")
    page.reload()
    until(page, ".st-key-answer-1")
    assert page.get_by_text("Page not found").count() == 0
