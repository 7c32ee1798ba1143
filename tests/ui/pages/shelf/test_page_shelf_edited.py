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


# --- what else than films -------------------------------------------------------------------------

ADDED = {
    "fabrics": (
        "our-canvas",
        {"fibres": "cotton=70; linen=30", "weight": "320", "colour": "sand=#d9c7a0"},
        {"construction": "woven"},
        {"weight_gsm": 320, "construction": "woven"},
    ),
    "garments": (
        "our-smock",
        {"price": "7.5", "areas": "front=250x300; back=300x400"},
        {"fabric": "cotton-canvas", "for": "child"},
        {"wearer": "child", "price_each": 7.5},
    ),
    "presses": (
        "our-press",
        {"platen": "15x15in", "dial": "140-420F"},
        {},
        {"platen_width_mm": 381, "dial_reads": "fahrenheit", "setpoint_low_c": 60},
    ),
    "sheets": (
        "our-pad",
        {"thickness": "5mm", "bears": "230"},
        {"kind": "pad"},
        {"thickness_um": 5000, "highest_c": 230},
    ),
}


def of_kind(kind: str, card: str | None = None) -> AppTest:
    page = open_page("shelf")
    page.button_group(key="kind").set_value(kind).run()
    return page.selectbox(key="card").set_value(card).run() if card else page


def added(kind: str, typed: dict[str, str], chosen: dict[str, str], name: str) -> AppTest:
    called = {"presses": "press"}.get(kind, kind.removesuffix("s"))
    page = of_kind(kind)
    page.text_input(key=f"own-{called}").set_value(name)
    for word, text in typed.items():
        page.text_input(key=f"own-{called}-{word}").set_value(text)
    for word, choice in chosen.items():
        page.selectbox(key=f"own-{called}-{word}").set_value(choice)
    return next(each for each in page.button if each.label == "Put it on the shelf").click().run()


@pytest.mark.parametrize("kind", ADDED)
def test_a_thing_of_every_kind_is_added_as_a_film_is(kind: str, store: Path) -> None:
    name, typed, chosen, values = ADDED[kind]
    page = added(kind, typed, chosen, name)
    assert not page.exception
    assert page.success[0].value == f"{name} is on the shelf."
    assert page.selectbox(key="card").value == name
    fact = knowledge().catalogue.by_kind()[kind][name]
    for field, value in values.items():
        assert getattr(fact, field) == pytest.approx(value) if not isinstance(value, str) else (
            getattr(fact, field) == value
        )  # fmt: skip
    assert {entry.name for entry in own_entries(store)} == {name}


@pytest.mark.parametrize(
    ("kind", "typed", "says"),
    [
        ("fabrics", {}, "say its fibres, such as cotton=95;elastane=5"),
        ("fabrics", {"fibres": "coton=100"}, "cotton"),
        ("presses", {}, "say the platen's size, such as 380x380"),
        ("presses", {"platen": "380x380", "dial": "200"}, "has no two ends, as 60-215 has"),
        ("sheets", {"thickness": "thick"}, "thick"),
        ("garments", {"areas": "front"}, "front"),
    ],
)
def test_what_is_missing_or_cannot_be_is_told_and_nothing_is_entered(
    kind: str, typed: dict[str, str], says: str, store: Path
) -> None:
    page = added(kind, typed, {}, "ours")
    assert not page.exception
    assert says in words_of(page)
    assert own_entries(store) == ()


@pytest.mark.parametrize(
    ("kind", "name", "field", "text", "value"),
    [
        ("films", "matte-smooth", "setpoint_c", "152-164", None),
        ("fabrics", "denim", "weight_gsm", "400", 400),
        ("garments", "adult-tee", "wearer", "child", "child"),
        ("presses", "clamshell-38x38", "flat_c", "9", 9),
        ("sheets", "ptfe-cover", "highest_c", "240", 240),
    ],
)
def test_any_single_value_of_a_thing_is_changed(
    kind: str, name: str, field: str, text: str, value: object, store: Path
) -> None:
    page = of_kind(kind, name)
    page.selectbox(key=f"set-field-{kind}").set_value(field)
    page.text_input(key=f"set-text-{kind}").set_value(text)
    page = next(each for each in page.button if each.label == "Set it").click().run()
    assert not page.exception
    assert f"{name}: " in page.success[0].value
    fact = knowledge().catalogue.by_kind()[kind][name]
    if value is None:
        assert (fact.setpoint_c.low, fact.setpoint_c.high) == (152, 164)
    else:
        assert getattr(fact, field) == value


def test_a_value_that_cannot_be_is_refused_in_words(store: Path) -> None:
    page = of_kind("presses", "clamshell-38x38")
    page.selectbox(key="set-field-presses").set_value("flat_c")
    page.text_input(key="set-text-presses").set_value("500")
    page = next(each for each in page.button if each.label == "Set it").click().run()
    assert "flat_c" in words_of(page)
    assert own_entries(store) == ()
