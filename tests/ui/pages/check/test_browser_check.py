"""*Is this risky?* as a person uses it, in a real browser."""

from __future__ import annotations

from typing import Any

import pytest

from tests.ui.browser import (
    faults_for_assistive_use,
    photograph,
    runs_off_sideways,
    settle,
    until,
    visit,
)


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


@pytest.mark.parametrize("width", [1440, 390])
def test_a_stop_is_mended_by_a_button_above_the_steps_and_the_way_back_is_the_browsers(
    tab: Any, app_url: str, width: int
) -> None:
    page = visit(tab, f"{app_url}/check?stack=sparkle-coarse,matte-smooth", width=width)
    until(page, "text=Do this instead")
    button = page.get_by_role("button", name="Lay sparkle-coarse over matte-smooth")
    assert button.bounding_box()["y"] < page.locator("text=The presses").bounding_box()["y"]
    assert not runs_off_sideways(page)
    photograph(page, f"check-instead-{width}")
    button.click()
    until(page, "text=Go: no rule objects")
    assert "stack=matte-smooth" in page.url
    page.go_back()
    until(page, "text=Do this instead")


def test_a_changed_verdict_is_said_aloud_by_what_was_there_before(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/check")
    spoken = page.locator("[role=status][aria-live=polite]")
    page.wait_for_selector("[role=status] >> text=Go: no rule objects", state="attached")
    spoken.evaluate("said => { said.marked = true }")
    page.locator(".st-key-up-0 button:visible").click()
    page.wait_for_selector("[role=status] >> text=Do not press", state="attached")
    assert spoken.evaluate("said => said.marked") is True


@pytest.mark.parametrize(
    ("name", "answer"),
    [("look", ".st-key-answer-1"), ("check", ".pl-badge.large"), ("plan", ".pp-steps")],
)
def test_on_a_phone_the_answer_comes_before_what_asks_and_no_choice_is_cut_off(
    tab: Any, app_url: str, name: str, answer: str
) -> None:
    page = visit(tab, f"{app_url}/{name}", width=390)
    until(page, answer)
    asked = page.locator("#asked").bounding_box()["y"]
    assert page.locator(answer).first.bounding_box()["y"] < asked
    page.get_by_role("link", name="Change what is asked").click()
    page.wait_for_function("document.querySelector('#asked').getBoundingClientRect().top < 900")
    for width in (390, 1440):
        page.set_viewport_size({"width": width, "height": 844})
        settle(page)
        assert page.evaluate(CUT_OFF) == []


CUT_OFF = """[...document.querySelectorAll('[data-testid=stSelectbox] :is(input, div)')]
    .filter(box => getComputedStyle(box).overflowX !== 'visible' && box.clientWidth > 20)
    .filter(box => box.scrollWidth > box.clientWidth + 1)
    .map(box => box.value || box.innerText)"""


def test_whatever_holds_the_focus_shows_it(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/check?stack=sparkle-coarse,matte-smooth")
    until(page, "text=Do this instead")
    seen = set()
    for _ in range(45):
        page.keyboard.press("Tab")
        kind, outline = page.evaluate(FOCUSED)
        seen.add(kind)
        assert outline, kind
    assert {"A", "BUTTON", "INPUT"} <= seen


FOCUSED = """(() => {
    const held = document.activeElement
    const framed = box => {
        const style = getComputedStyle(box)
        return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2
            || style.boxShadow !== 'none'
    }
    const around = [held, held.parentElement, held.parentElement?.parentElement].filter(Boolean)
    return [held.tagName, around.some(framed)]
})()"""


def test_colour_size_and_place_are_set_and_kept_by_the_address(tab: Any, app_url: str) -> None:
    page = visit(tab, f"{app_url}/check?stack=matte-smooth:navy&on=adult-tee&size=900x60")
    until(page, "text=Do not press:")
    width = page.get_by_role("spinbutton", name="Print width, mm")
    assert width.input_value() == "900"
    width.fill("90")
    width.press("Enter")
    until(page, "text=Go: no rule objects")
    assert "size=90x60" in page.url
    page.go_back()
    until(page, "text=Do not press:")
    page.wait_for_function(
        "document.querySelector('[aria-label^=\"Print width\"]').value === '900'"
    )
