"""What a person sees on *Shelf*."""

import pytest

from advisor.words.values import rows_of
from rules.catalogue import load_catalogue
from rules.facts.basis import BASIS_MEANING
from rules.facts.units import Units
from tests.ui.one_page import open_page, words_of
from ui.pages.shelf.values import COLUMNS, row_of

SHELF = load_catalogue()
KINDS = ("films", "fabrics", "garments", "presses", "sheets")


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_has_a_table_and_a_card(kind: str) -> None:
    page = open_page("shelf")
    page.button_group(key="kind").set_value(kind).run()
    assert not page.exception
    entries = getattr(SHELF, kind)
    assert len(page.dataframe[0].value) == len(entries)
    assert next(iter(entries.values())).name in [title.value for title in page.subheader]


@pytest.mark.parametrize("kind", KINDS)
def test_every_value_of_every_entry_is_told_with_its_basis(kind: str) -> None:
    for entry in getattr(SHELF, kind).values():
        rows = rows_of(entry, Units())
        assert {basis for _, _, basis in rows} <= set(BASIS_MEANING)
        assert all(value and "object at" not in value and "=" not in value for _, value, _ in rows)
        assert set(COLUMNS[kind]) == set(row_of(entry, Units()))


def test_a_search_narrows_the_table_and_the_card_follows() -> None:
    page = open_page("shelf")
    page.text_input(key="shelf-sought").set_value("flock low").run()
    assert list(page.dataframe[0].value["Name"]) == ["flock-low-temperature"]
    assert page.selectbox(key="card").value == "flock-low-temperature"


def test_a_search_for_nothing_there_says_what_to_do() -> None:
    page = open_page("shelf")
    page.text_input(key="shelf-sought").set_value("zinc roof").run()
    assert "Nothing here matches" in page.info[0].value


def test_films_in_stock_only() -> None:
    page = open_page("shelf")
    page.toggle(key="in-stock").set_value(True).run()
    in_stock = [film.id for film in SHELF.films.values() if film.on_shelf_m > 0]
    assert list(page.dataframe[0].value["Name"]) == in_stock


def test_a_link_opens_a_card() -> None:
    assert "Coarse sparkle film" in words_of(open_page("shelf", card="sparkle-coarse"))


def test_units_reach_table_and_card() -> None:
    page = open_page("shelf", card="matte-smooth")
    page.button_group(key="degrees").set_value("°F").run()
    page.button_group(key="lengths").set_value("inch").run()
    assert all(cell.endswith("°F") for cell in page.dataframe[0].value["Setpoint"])
    said = words_of(page)
    assert "302 to 329 °F, best 320 °F" in said
    assert "2.76 mil" in said


@pytest.mark.slow
def test_the_files_of_the_open_job_are_there_to_take_away() -> None:
    page = open_page("shelf")
    assert not page.get("download_button")
    page.toggle(key="job-files").set_value(True).run(timeout=60)
    assert not page.exception
    labels = [button.label for button in page.get("download_button")]  # type: ignore[union-attr]
    for words in ("Job file", "Ticket", "Plan"):
        assert any(words in label for label in labels)
