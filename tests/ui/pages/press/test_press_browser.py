"""*At the press* as someone with gloves on uses it, in a real browser."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest

from advisor.job.records.job import Job
from tests.ui.browser import faults_for_assistive_use, photograph, runs_off_sideways, settle, visit
from ui.order.kept import keep_order
from ui.order.record import own_order

# Counts the tones that are sounded, since a test has no ears.
EARS = """() => {
window.tones = []
const start = OscillatorNode.prototype.start
OscillatorNode.prototype.start = function (...at) {
  window.tones.push(this.frequency.value)
  return start.apply(this, at)
}
}"""
# Lets the page's clock run ahead, since a test has no time to wait.
HASTE = """() => {
const now = Date.now
window.skipped = 0
Date.now = () => now() + window.skipped
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
    assert page.locator("[data-at=garment]").inner_text().startswith("Garment 2 of 36: adult-tee")
    assert page.locator(TITLE).inner_text() == "Preheat the garment"


NEEDED = ("garment", "title", "settings", "extras", "digits", "picture", "then", "back", "next")


@pytest.mark.parametrize(("width", "height"), [(1440, 900), (1024, 768), (768, 1024), (390, 844)])
@pytest.mark.parametrize("filled", [False, True], ids=["page", "full screen"])
def test_all_that_a_step_needs_is_in_view_at_once(
    tab: Any, app_url: str, width: int, height: int, filled: bool
) -> None:
    page = at_the_press(tab, app_url, width=width)
    page.set_viewport_size({"width": width, "height": height})
    until_title(page, "Tack")
    if filled:
        page.locator("[data-at=full]").click()
    page.wait_for_timeout(300)
    boxes = {part: page.locator(f"[data-at={part}]").bounding_box() for part in NEEDED}
    for part, box in boxes.items():
        assert box["x"] >= 0, part
        assert box["y"] >= 0, part
        assert box["x"] + box["width"] <= width + 1, part
        assert box["y"] + box["height"] <= height + 1, part
    rows = ("title", "settings", "extras", "digits", "then", "next")
    for above, below in pairwise(rows):
        assert boxes[above]["y"] + boxes[above]["height"] <= boxes[below]["y"] + 1, (above, below)


def test_back_is_one_step_back_and_starting_over_is_asked_twice(tab: Any, app_url: str) -> None:
    page = at_the_press(tab, app_url)
    until_title(page, "Tack")
    before = page.locator(TITLE).inner_text()
    page.locator("[data-at=over]").click()
    assert page.locator(TITLE).inner_text() == before
    page.locator("[data-at=over]").click()
    assert page.locator(TITLE).inner_text() == "Set the dial"
    page.locator(BACK).click()
    assert page.locator(TITLE).inner_text() == before


def test_while_one_garment_cools_off_the_press_the_next_is_taken(tab: Any, app_url: str) -> None:
    svg = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path d="M0 0H9V9H0z"
    fill="#1b3a5c"/><path d="M2 2H7V7H2z" fill="#fff"/></svg>"""
    line = {"garment": "adult-tee", "quantity": 3, "artwork_width_mm": 100}
    job = Job.model_validate(
        {
            "job": "cold", "artwork": "badge.svg", "garments": [line],
            "looks": {"default": {"film": "dye-blocking-matte"}},
        }
    )  # fmt: skip
    page = visit(tab, f"{app_url}/press?job={keep_order(own_order(job, svg))}")
    page.wait_for_selector(NEXT, timeout=90_000)
    until_title(page, "Slide it off")
    assert page.locator("[data-at=then]").inner_text().startswith("Meanwhile: Garment 2 of")
    page.locator(NEXT).click()
    assert page.locator("[data-at=garment]").inner_text().startswith("Garment 2 of")
    chip = page.locator("[data-at=cooling] button")
    assert chip.inner_text().startswith("1: ")
    chip.click()
    assert page.locator("[data-at=garment]").inner_text().startswith("Garment 1 of")
    assert "Slide it off" in page.locator(TITLE).inner_text()


def until_title(page: Any, words: str) -> None:
    """Go on, time after time let run out at once, until a step's title begins so."""
    page.evaluate(HASTE)
    for _ in range(60):
        if page.locator(TITLE).inner_text().startswith(words):
            return
        page.locator(NEXT).click(force=True)
        page.evaluate("window.skipped += 600000")
        page.wait_for_timeout(150)
    raise AssertionError(f"no step begins with {words!r}")
