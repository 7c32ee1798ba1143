"""*Is this risky?* as a person uses it, in a real browser."""

from __future__ import annotations

from typing import Any

import pytest

from tests.ui.browser import faults_for_assistive_use, photograph, runs_off_sideways, until, visit


@pytest.mark.parametrize(
    ("width", "dark"), [(1280, False), (1280, True), (768, False), (768, True)]
)
def test_it_reads_on_desk_and_tablet_in_light_and_dark(
    tab: Any, app_url: str, width: int, dark: bool
) -> None:
    page = visit(tab, f"{app_url}/check?stack=sparkle-coarse,matte-smooth", width=width, dark=dark)
    until(page, "text=Do not press:")
    photograph(page, f"check-{width}-{'dark' if dark else 'light'}")
    assert not runs_off_sideways(page)
    assert faults_for_assistive_use(page) == []


def test_a_stack_is_built_turned_over_edited_and_kept_on_reload(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/check")
    until(page, "text=Go: no rule objects")
    page.locator(".st-key-up-0 button:visible").click()
    until(page, "text=Do not press:")
    page.locator(".st-key-down-1 button:visible").click()
    until(page, "text=Go: no rule objects")
    dwell = page.locator('[class*="st-key-8-dwell_s-"] input')
    dwell.fill("2")
    dwell.press("Enter")
    page.wait_for_selector("text=Undo all changes")
    worse = page.locator(".pl-badge.large").inner_text()
    assert worse != "Go"
    page.reload()
    until(page, "text=Undo all changes")
    assert page.locator(".pl-badge.large").inner_text() == worse
    assert page.locator('[class*="st-key-8-dwell_s-"] input').input_value() == "2"


def test_the_stack_is_worked_with_the_keyboard_alone(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/check")
    page.locator(".st-key-up-0 button:visible").focus()
    outline = page.evaluate(
        "(() => {const s = getComputedStyle(document.activeElement);"
        "return s.outlineStyle + ' ' + s.boxShadow})()"
    )
    assert outline != "none none"
    page.keyboard.press("Enter")
    until(page, "text=Do not press:")
