"""What a person sees on *What to ask for it*, and what the customer does not."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from advisor.shop.figures import Figures, kept_figures
from advisor.shop.place import STORE
from tests.ui.one_page import SCRIPT, words_of
from ui.order.kept import keep_order
from ui.order.record import CustomerOrder, demo_order


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(STORE, str(tmp_path / "shop.sqlite"))
    return tmp_path / "shop.sqlite"


def opened(order: CustomerOrder | None = None) -> AppTest:
    page = AppTest.from_string(SCRIPT.format(name="quote"), default_timeout=90)
    page.query_params["job"] = keep_order(order or demo_order("bags")) or ""
    page.run()
    assert not page.exception
    return page


@pytest.mark.slow
def test_the_price_is_told_with_what_it_is_made_of_and_without_it_for_the_customer() -> None:
    page = opened()
    said = words_of(page)
    for part in ("before tax", "Margin", "Overhead", "m off the roll at", "By quantity"):
        assert part in said
    page.toggle(key="quote-customer").set_value(True).run()
    said = words_of(page)
    assert "By quantity" in said
    assert "before tax" in said
    for part in ("Margin</th>", "Overhead</th>", "m off the roll at"):
        assert part not in said
    page.selectbox(key="quote-place").set_value("de").run()
    assert "\xa0€ for 40 garments" in words_of(page)


@pytest.mark.slow
def test_film_that_runs_short_is_told_to_the_shop_and_not_to_the_customer() -> None:
    assert "to buy" not in words_of(opened())
    bags = demo_order("bags")
    many = bags.job.garments[0].model_copy(update={"quantity": 500})
    page = opened(replace(bags, job=bags.job.model_copy(update={"garments": (many,)})))
    assert re.search(
        r"m needed, laid as rectangles, .* m on the shelf: .* m to buy", words_of(page)
    )
    page.toggle(key="quote-customer").set_value(True).run()
    assert "to buy" not in words_of(page)


@pytest.mark.slow
def test_a_figure_that_is_changed_changes_the_price_and_is_kept(store: Path) -> None:
    page = opened()
    before = words_of(page)
    page.number_input(key="figure-margin_pct-30").set_value(50.0)
    page = next(each for each in page.button if each.label == "Keep").click().run()
    assert not page.exception
    assert kept_figures(store) == Figures(margin_pct=50)
    assert "50 % of the price" in words_of(page)
    assert words_of(page) != before


@pytest.mark.slow
def test_a_figure_that_cannot_be_is_refused_in_words(store: Path) -> None:
    page = opened()
    page.number_input(key="figure-margin_pct-30").set_value(120.0)
    page = next(each for each in page.button if each.label == "Keep").click().run()
    assert "write at most 95" in words_of(page)
    assert kept_figures(store) == Figures()
