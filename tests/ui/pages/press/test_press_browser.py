"""*At the press* as someone with gloves on uses it, in a real browser."""

from __future__ import annotations

from typing import Any

import pytest

from tests.ui.browser import faults_for_assistive_use, photograph, runs_off_sideways, settle, visit

# Counts the tones that are sounded, since a test has no ears.
EARS = """() => {
window.tones = []
const start = OscillatorNode.prototype.start
OscillatorNode.prototype.start = function (...at) {
  window.tones.push(this.frequency.value)
  return start.apply(this, at)
}
}"""
LEAST_TOUCH_PX = 96
NEXT, BACK, TITLE = "[data-at=next]", "[data-at=back]", "[data-at=title]"


def at_the_press(tab: Any, app_url: str, **options: Any) -> Any:
    page = visit(tab, f"{app_url}/press", **options)
    page.wait_for_selector(NEXT, timeout=90_000)
    settle(page)
    page.evaluate(EARS)
    return page


def size_px(page: Any, place: str) -> float:
    return float(
        page.locator(place).evaluate("each => parseFloat(getComputedStyle(each).fontSize)")
    )


@pytest.mark.parametrize(
    ("width", "dark"), [(1280, False), (1024, True), (768, False), (768, True)]
)
def test_a_step_reads_at_arms_length_and_is_touched_with_gloves_on(
    tab: Any, app_url: str, width: int, dark: bool
) -> None:
    page = at_the_press(tab, app_url, width=width, dark=dark)
    for _ in range(2):
        page.locator(NEXT).click()
    assert "Preheat" in page.locator(TITLE).inner_text()
    photograph(page, f"press-preheat-{width}-{'dark' if dark else 'light'}")
    assert not runs_off_sideways(page)
    assert faults_for_assistive_use(page) == []
    for place in (NEXT, BACK):
        assert page.locator(place).bounding_box()["height"] >= LEAST_TOUCH_PX
    assert size_px(page, TITLE) >= 32
    assert size_px(page, "[data-at=digits]") >= 80


def test_the_dwell_is_counted_down_seen_and_heard(tab: Any, app_url: str) -> None:
    page = at_the_press(tab, app_url)
    for _ in range(2):
        page.locator(NEXT).click()
    digits = page.locator("[data-at=digits]")
    assert digits.inner_text() == "4 s"
    page.locator(NEXT).click()
    assert page.locator(NEXT).get_attribute("aria-disabled") == "true"
    page.wait_for_function(
        "() => [...document.querySelectorAll('*')].some(e => e.shadowRoot?.querySelector("
        "'[data-state=over]'))",
        timeout=10_000,
    )
    assert digits.inner_text() == "0 s"
    assert "Open the press" in page.locator(NEXT).inner_text()
    tones = [round(tone) for tone in page.evaluate("window.tones")]
    assert tones == [660, 880, 880, 880, 1175]
    photograph(page, "press-over")


def test_a_touch_while_the_press_is_closed_skips_nothing(tab: Any, app_url: str) -> None:
    page = at_the_press(tab, app_url)
    for _ in range(2):
        page.keyboard.press("ArrowRight")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    page.locator(NEXT).click(force=True)
    assert "Preheat" in page.locator(TITLE).inner_text()
    page.keyboard.press("ArrowLeft")
    assert page.locator("[data-at=screen]").get_attribute("data-state") == "ready"
    page.keyboard.press("PageUp")
    assert page.locator(TITLE).inner_text() == "Set the pressure"


def test_its_place_and_its_time_are_kept_on_reload(tab: Any, app_url: str) -> None:
    page = at_the_press(tab, app_url)
    for _ in range(3):
        page.locator(NEXT).click()
    page.reload()
    page.wait_for_selector(NEXT, timeout=60_000)
    assert "Preheat" in page.locator(TITLE).inner_text()
    assert page.locator("[data-at=screen]").get_attribute("data-state") in {"running", "over"}


def test_after_the_last_step_comes_the_next_garment_without_the_dial(
    tab: Any, app_url: str
) -> None:
    page = at_the_press(tab, app_url)
    page.locator(NEXT).click()
    kept = page.evaluate(
        "Object.keys(localStorage).find(name => name.startsWith('presslore-press-'))"
    )
    steps = int(page.locator("[data-at=where]").inner_text().split()[-1])
    page.evaluate(
        "([name, card]) => localStorage.setItem(name, JSON.stringify({card, garment: 1}))",
        [kept, steps - 1],
    )
    page.reload()
    page.wait_for_selector("text=Next garment", timeout=60_000)
    page.locator(NEXT).click()
    assert page.locator("[data-at=garment]").inner_text() == "Garment 2 of 36"
    assert page.locator(TITLE).inner_text() == "Preheat the garment"
