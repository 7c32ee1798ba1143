"""*Shelf* and *Why* as a person reads them, in a real browser."""

from __future__ import annotations

from typing import Any

import pytest

from tests.ui.browser import faults_for_assistive_use, photograph, runs_off_sideways, until, visit


@pytest.mark.parametrize(("width", "dark"), [(1280, True), (768, False)])
@pytest.mark.parametrize(
    ("link", "sign"),
    [
        ("shelf?card=sparkle-coarse", "text=Coarse sparkle film"),
        ("shelf?kind=Presses", "text=What is known of it"),
        ("why?sought=carrier", "text=The carrier comes off a piece"),
    ],
    ids=["shelf-film", "shelf-press", "why"],
)
def test_it_reads_on_desk_and_tablet(
    tab: Any, app_url: str, width: int, dark: bool, link: str, sign: str,
    request: pytest.FixtureRequest,
) -> None:  # fmt: skip
    page = visit(tab, f"{app_url}/{link}", width=width, dark=dark)
    until(page, sign)
    name = request.node.callspec.id.replace("[", "-").replace("]", "")
    photograph(page, f"{name}-{width}")
    assert not runs_off_sideways(page)
    assert faults_for_assistive_use(page) == []


def test_units_chosen_on_one_page_hold_on_the_next(tab: Any, app_url: str) -> None:
    page = visit(tab, app_url)
    page.get_by_role("radio", name="°F").or_(page.get_by_role("button", name="°F")).first.click()
    until(page, "text=320 °F for 15 s")
    page.get_by_role("link", name="Is this risky?").click()
    until(page, "h1:has-text('Is this risky?')")
    until(page, "text=Set the dial")
    assert "320 °F" in page.locator("[data-testid=stMain]").inner_text()
