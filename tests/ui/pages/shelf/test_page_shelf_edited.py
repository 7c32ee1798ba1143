"""What a shop changes on *Shelf*, and what it then sees."""

from __future__ import annotations

from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from advisor.shop.entries import own_entries
from advisor.shop.place import STORE
from advisor.shop.shelf import change
from rules.catalogue import load_catalogue
from tests.ui.one_page import open_page, words_of
from ui.session import knowledge

SHIPS = load_catalogue().film("matte-smooth")


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(STORE, str(tmp_path / "shop.sqlite"))
    return tmp_path / "shop.sqlite"


def add(page: AppTest, name: str) -> AppTest:
    page.text_input(key="own-name").set_value(name)
    page.selectbox(key="own-finish").set_value("sparkle")
    page.number_input(key="own-dwell").set_value(12.0)
    return next(each for each in page.button if each.label == "Put it on the shelf").click().run()


def keep(page: AppTest) -> AppTest:
    return next(each for each in page.button if each.label == "Keep").click().run()


def test_a_film_is_added_and_stands_first_with_its_card_open(store: Path) -> None:
    page = add(open_page("shelf"), "our-glitter")
    assert not page.exception
    assert page.success[0].value == "our-glitter is on the shelf."
    assert page.dataframe[0].value["Name"][0] == "our-glitter"
    assert page.selectbox(key="card").value == "our-glitter"
    assert "proposed: proposed from its family" in words_of(page)
    (entry,) = own_entries(store)
    assert entry.values == {
        "finishes": ["sparkle"], "peel": "warm", "dwell_s": {"best": 12.0},
        "setpoint_c": {"best": 155.0}, "family": "sparkle",
    }  # fmt: skip


def test_a_name_that_cannot_be_is_refused_in_words_and_nothing_is_entered(store: Path) -> None:
    page = add(open_page("shelf"), "Our Glitter!")
    assert "such as our-glitter" in words_of(page)
    assert own_entries(store) == ()


def test_price_and_metres_are_kept_and_taken_away_again(store: Path) -> None:
    page = open_page("shelf", card="matte-smooth")
    price, metres = (
        page.number_input(key=_key("price_per_m")),
        page.number_input(key=_key("on_shelf_m")),
    )
    price.set_value(6.25)
    metres.set_value(40.0)
    page = keep(page)
    assert page.success[0].value == ("matte-smooth: price per metre and metres on the shelf kept.")
    assert own_entries(store)[0].values == {"price_per_m": 6.25, "on_shelf_m": 40.0}
    assert page.dataframe[0].value["In stock"][0] == "40 m"
    page = page.button(key="remove-matte-smooth").click().run()
    assert own_entries(store) == ()
    assert page.number_input(key=_key("price_per_m")).value == SHIPS.price_per_m


def test_nothing_changed_is_nothing_entered(store: Path) -> None:
    keep(open_page("shelf", card="matte-smooth"))
    assert own_entries(store) == ()


def test_a_garment_has_a_price_alone_and_a_press_has_none() -> None:
    page = open_page("shelf")
    page.button_group(key="kind").set_value("garments").run()
    assert [each.label for each in page.number_input] == ["Price each"]
    page.button_group(key="kind").set_value("presses").run()
    assert not page.number_input


def test_what_changes_elsewhere_is_seen_at_once(store: Path) -> None:
    assert knowledge().catalogue.film("matte-smooth").price_per_m == SHIPS.price_per_m
    change("matte-smooth", {"price_per_m": 2.0}, store=store)
    assert knowledge().catalogue.film("matte-smooth").price_per_m == 2.0


def _key(field: str) -> str:
    return f"{field}-matte-smooth-{getattr(SHIPS, field):g}"
