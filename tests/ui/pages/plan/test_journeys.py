"""*Plan a job* as people go through it, in a real browser."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor.job.records.job import Wish
from tests.ui.browser import (
    faults_for_assistive_use,
    new_tab,
    photograph,
    runs_off_sideways,
    settle,
    until,
    visit,
)
from ui.order.files import open_file
from ui.order.kept import keep_order
from ui.order.record import demo_order

PLANNED = ".pp-steps"
LOGO = """<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="60mm" viewBox="0 0 90 60">
<rect width="90" height="60" rx="8" fill="#1b3a5c"/><circle cx="45" cy="30" r="20" fill="#f2c14e"/>
</svg>"""


def planned(page: Any) -> Any:
    page.wait_for_selector(PLANNED, timeout=90_000)
    settle(page)
    return page


def open_part(page: Any, part: str, shown: str) -> None:
    page.get_by_role("tab", name=part).click()
    page.wait_for_selector(shown, timeout=60_000)
    settle(page)


def open_field(page: Any, key: str) -> None:
    page.locator(f".st-key-{key} summary").click()


def drop(page: Any, name: str, content: bytes) -> None:
    open_field(page, "form-open")
    page.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": "application/octet-stream", "buffer": content}
    )


def choose(page: Any, field: str, option: str) -> None:
    """Open a list, type the start of a word, and take what it offers; once more if it shut.

    A page that draws itself anew shuts an open list, as it does for a person.
    """
    from playwright.sync_api import TimeoutError as NotThereError

    box = page.get_by_role("combobox", name=field).first
    offered = page.get_by_role("option", name=option, exact=True).first
    for last in (False, False, True):
        settle(page)
        box.click()
        box.fill(option)
        try:
            offered.click(timeout=60_000 if last else 10_000)
        except NotThereError:
            if last:
                raise
            page.keyboard.press("Escape")
        else:
            return


def open_sample(page: Any, name: str, garment: str) -> None:
    """Open a job of the demo by its button; once more if a redrawn page took the click away."""
    from playwright.sync_api import TimeoutError as NotThereError

    button = page.get_by_role("button", name=name)
    for last in (False, False, True):
        settle(page)
        if not button.is_visible():
            open_field(page, "form-open")
        button.click()
        try:
            page.wait_for_selector(f"text={garment}", timeout=60_000 if last else 20_000)
        except NotThereError:
            if last:
                raise
        else:
            return


def wait_for_link(page: Any, holds: Callable[[str], bool]) -> str:
    page.wait_for_function("() => location.search.includes('job=')")
    link = str(page.url)
    assert holds(link)
    return link


@pytest.mark.parametrize(
    ("width", "dark"), [(1280, False), (1280, True), (768, False), (768, True)]
)
def test_the_demo_reads_on_desk_and_tablet_in_light_and_dark(
    tab: Any, app_url: str, width: int, dark: bool
) -> None:
    page = planned(visit(tab, f"{app_url}/plan", width=width, dark=dark))
    shade = "dark" if dark else "light"
    for part, shown in {
        "Press steps": PLANNED,
        "Layers": "text=Cut through",
        "Heat": "text=to spare",
        "Findings": "text=Cautions",
        "Take away": "text=This page's address reopens",
    }.items():
        open_part(page, part, shown)
        photograph(page, f"plan-{part.split()[0].lower()}-{width}-{shade}")
        assert not runs_off_sideways(page)
        assert faults_for_assistive_use(page) == []


def test_an_artwork_is_dropped_wished_planned_and_kept_on_reload(
    browser: Any, tab: Any, app_url: str
) -> None:
    page = planned(visit(tab, f"{app_url}/plan"))
    drop(page, "sun & sea.svg", LOGO.encode())
    page.wait_for_selector("[role=radio]:has-text('coral')", state="detached")
    page.get_by_role("radio", name="yellow").click()
    page.wait_for_selector("[role=radio][aria-checked=true] >> text=yellow")
    planned(page)
    # The plan of the job before stands until the new one is there.
    page.wait_for_function(
        "shown => !document.querySelector(shown)?.innerText.includes('sparkle')",
        arg=PLANNED,
        timeout=90_000,
    )
    planned(page)
    assert "sparkle" not in page.locator(PLANNED).inner_text()
    choose(page, "Finish", "Sparkle")
    page.wait_for_selector("text=What your change did", timeout=90_000)
    settle(page)
    photograph(page, "plan-own-artwork")
    link = wait_for_link(page, lambda url: "job=sun-sea-" in url)
    page.reload()
    planned(page)
    assert page.locator(".pp-steps").inner_text().count("sparkle") > 0
    other = planned(visit(new_tab(browser), link))
    assert other.locator(".pp-steps").inner_text() == page.locator(".pp-steps").inner_text()
    other.context.close()


def test_an_impossible_job_is_mended_by_a_button_and_taken_back(tab: Any, app_url: str) -> None:
    order = demo_order("wind-jackets")
    job = order.job.model_copy(
        update={"looks": {"default": Wish(film="sparkle-coarse")}, "samples_allowed": False}
    )
    page = visit(tab, f"{app_url}/plan?job={keep_order(order.with_job(job))}")
    page.wait_for_selector("text=These cannot all hold", timeout=90_000)
    settle(page)
    photograph(page, "plan-impossible")
    assert faults_for_assistive_use(page) == []
    page.get_by_role("button", name="Make change 1").click()
    planned(page)
    page.wait_for_selector("text=It can be pressed now; before, it could not.")
    photograph(page, "plan-mended")
    page.get_by_role("button", name="Take the change back").click()
    page.wait_for_selector("text=These cannot all hold")


def test_plans_that_differ_stand_side_by_side(tab: Any, app_url: str) -> None:
    page = planned(visit(tab, f"{app_url}/plan"))
    open_part(page, "Other plans", "text=Or 1")
    photograph(page, "plan-differing")
    assert not runs_off_sideways(page)
    assert faults_for_assistive_use(page) == []
    page.get_by_role("radio", name="Something else matters most").click()
    page.wait_for_selector(".st-key-take-cheapest", timeout=60_000)
    settle(page)
    photograph(page, "plan-preferences")
    page.get_by_role("radio", name="Why not another film?").click()
    page.wait_for_selector("text=Instead of")
    settle(page)
    photograph(page, "plan-why-not")
    assert faults_for_assistive_use(page) == []


def test_names_outlive_a_reload_and_are_never_in_the_address(tab: Any, app_url: str) -> None:
    page = planned(visit(tab, f"{app_url}/plan"))
    open_sample(page, "Wind jackets", "wind-jacket")
    planned(page)
    open_field(page, "form-names")
    field = page.get_by_role("textbox", name="Names, one on each line")
    field.fill("Ana\n<b>Zoë</b>")
    field.press("Control+Enter")
    page.wait_for_selector("text=Finish of the names")
    settle(page)
    wait_for_link(page, lambda url: "Ana" not in url)
    page.reload()
    page.wait_for_selector("text=Names on the garments")
    page.wait_for_selector(".st-key-form-names summary")
    settle(page)
    open_field(page, "form-names")
    page.wait_for_selector("text=Finish of the names")
    assert field.input_value() == "Ana\n<b>Zoë</b>"


def test_two_tabs_keep_each_its_own_names(browser: Any, app_url: str) -> None:
    context = browser.new_context()
    tabs = {}
    for name in ("Ana", "Zoe"):
        page = tabs[name] = context.new_page()
        page.set_default_timeout(60_000)
        page.goto(f"{app_url}/plan?job=wind-jackets")
        planned(page)
        open_field(page, "form-names")
        field = page.get_by_role("textbox", name="Names, one on each line")
        field.fill(name)
        field.press("Control+Enter")
        page.wait_for_selector("text=Finish of the names")
        page.wait_for_function("!location.search.endsWith('=wind-jackets')")
        settle(page)
    for name, page in tabs.items():
        page.reload()
        until(page, ".st-key-form-names summary")
        open_field(page, "form-names")
        page.wait_for_selector("text=Finish of the names")
        field = page.get_by_role("textbox", name="Names, one on each line")
        assert field.input_value() == name
    context.close()


def test_the_back_button_undoes_a_step_of_the_plan(tab: Any, app_url: str) -> None:
    page = planned(visit(tab, f"{app_url}/plan?job=wind-jackets"))
    open_field(page, "form-garments")
    many = page.get_by_role("spinbutton", name="How many")
    many.fill("25")
    many.press("Enter")
    page.wait_for_selector("text=What your change did")
    settle(page)
    page.go_back()
    page.wait_for_function("location.search.endsWith('job=wind-jackets')")
    page.wait_for_function("document.querySelector('[aria-label^=\"How many\"]').value === '10'")
    page.go_forward()
    page.wait_for_function("document.querySelector('[aria-label^=\"How many\"]').value === '25'")


def test_files_are_taken_away_and_the_job_file_reopens_the_job(
    browser: Any, tab: Any, app_url: str, tmp_path: Path
) -> None:
    page = planned(visit(tab, f"{app_url}/plan"))
    open_part(page, "Take away", "text=Cut files")
    taken = {}
    for button in ("Job file", "Ticket to print", "Plan", "Cut files"):
        with page.expect_download() as waited:
            page.get_by_role("button", name=button, exact=True).click()
        taken[button] = tmp_path / waited.value.suggested_filename
        waited.value.save_as(taken[button])
    assert [path.name for path in taken.values()] == [
        "harbour-kite-crew-job.zip",
        "harbour-kite-crew-ticket.html",
        "harbour-kite-crew-plan.json",
        "harbour-kite-crew-cut.zip",
    ]
    job = taken["Job file"].read_bytes()
    assert open_file("job.zip", job, now=demo_order("bags")) == demo_order()
    cut = zipfile.ZipFile(io.BytesIO(taken["Cut files"].read_bytes()))
    assert {name.rsplit(".", 1)[-1] for name in cut.namelist()} == {
        "svg", "dxf", "png", "csv", "json",
    }  # fmt: skip
    other = planned(visit(new_tab(browser), f"{app_url}/plan"))
    open_sample(other, "Bags", "drawstring-bag")
    # The page of the job before stands beside the new one for a moment.
    other.wait_for_function("document.querySelectorAll('input[type=file]').length === 1")
    other.locator("input[type=file]").set_input_files(taken["Job file"])
    other.wait_for_selector("text=24 × adult-tee", timeout=60_000)
    other.context.close()


def test_a_hostile_drawing_is_refused_and_nothing_of_it_runs(tab: Any, app_url: str) -> None:
    page = planned(visit(tab, f"{app_url}/plan"))
    page.evaluate("window.ran = 0")
    drop(page, "<img src=x onerror=ran=1>.svg", b"<svg onload='ran=1'><script>ran=1</script></svg>")
    until(page, "[role=alert]")
    assert "<img src=x onerror=ran=1>.svg" in page.locator("[role=alert]").first.inner_text()
    hostile = LOGO.replace("<rect", "<script>ran=1</script><rect onclick='ran=1'")
    page.locator("input[type=file]").set_input_files(
        {"name": "a.svg", "mimeType": "image/svg+xml", "buffer": hostile.encode()}
    )
    page.wait_for_selector("[role=radio]:has-text('coral')", state="detached")
    planned(page)
    assert page.evaluate("window.ran") == 0


def test_planning_can_be_called_off_and_taken_up_again(tab: Any, app_url: str) -> None:
    page = planned(visit(tab, f"{app_url}/plan"))
    # A job slow enough to be called off: many pieces that lie over one another.
    spots = "".join(
        f'<circle cx="{5 + 9 * n % 97}" cy="{10 + 3 * (n % 5)}" r="6" '
        f'fill="#{n:02x}{n * 9:02x}c0"/>'
        for n in range(24)
    )
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 30">{spots}</svg>'
    drop(page, "spots.svg", svg.encode())
    cancel = page.get_by_role("button", name="Cancel")
    page.wait_for_selector("[data-testid=stProgress]", timeout=30_000)
    cancel.click()
    page.wait_for_selector("text=This was called off")
    page.get_by_role("button", name="Ask again").click()
    page.wait_for_selector("[data-testid=stProgress], .pp-steps", timeout=30_000)


@pytest.mark.slow
@pytest.mark.parametrize("nth", [0, 1])
def test_a_piece_is_chosen_in_either_picture_and_called_by_a_name(
    tab: Any, app_url: str, nth: int
) -> None:
    page = planned(visit(tab, f"{app_url}/plan"))
    kite = page.locator(".pictures figure").nth(nth).locator("[data-piece=fill-f2c14e]").last
    kite.click(position=inside(kite))
    until(page, "input[placeholder=yellow]")
    field = page.get_by_role("textbox", name="Call it")
    field.fill("kite")
    field.press("Enter")
    until(page, ".pp-steps :text('(kite)')")
    assert "gold sparkle-fine (kite)" in page.locator(".pp-card").inner_text()
    photograph(page, f"plan-called-{nth}")
    # A reload keeps what was said.
    page.reload()
    planned(page)
    assert "(kite)" in page.locator(".pp-steps").inner_text()


def inside(mark: Any) -> Any:
    """A point within a shape: its box's middle may lie in a hole of it."""
    return mark.evaluate(
        """shape => {
          const box = shape.getBBox(), on = shape.getBoundingClientRect()
          const point = shape.ownerSVGElement.createSVGPoint()
          for (let n = 1; n < 400; n++) {
            point.x = box.x + box.width * ((n * 0.618) % 1)
            point.y = box.y + box.height * (n / 400)
            if (shape.isPointInFill(point)) {
              const at = point.matrixTransform(shape.getScreenCTM())
              return {x: at.x - on.x, y: at.y - on.y}
            }
          }
        }"""
    )
