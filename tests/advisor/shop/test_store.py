"""The shop's store: kept whole, brought up to date from every earlier version, refused in words."""

from __future__ import annotations

import sqlite3
from concurrent.futures import ThreadPoolExecutor
from datetime import date, datetime
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import insert, text

import advisor.shop.store
from advisor.shop.entries import own_entries, put, take_out
from advisor.shop.knowledge import shop_knowledge, store_stamp
from advisor.shop.log import all_logged
from advisor.shop.place import STORE, store_path
from advisor.shop.pressed import last_pressed, take_back_numbered
from advisor.shop.records import FilmTaken, LoggedBond, LoggedPress, OwnEntry
from advisor.shop.store import open_store
from advisor.shop.tables import TABLES, VERSION, entries, pressed_jobs
from rules.errors import BadInputError
from rules.shop_log import ShopLog

EARLIER = sorted((Path(__file__).parent / "stores").glob("*.sql"))
MIGRATIONS = Path(advisor.shop.store.__file__).parent / "migrations" / "versions"
GLITTER = OwnEntry("films", "our-glitter", {"like": "sparkle-coarse", "price_per_m": 17.5})
DEARER = OwnEntry("films", "matte-smooth", {"price_per_m": 9.25})


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "kept" / "shop.sqlite"


def entered(store: Path, *new: OwnEntry) -> None:
    with open_store(store) as connection:
        put(connection, new)


def earlier(script: Path, store: Path) -> Path:
    """A store as an earlier version left it."""
    store.parent.mkdir()
    with sqlite3.connect(store) as written:
        written.executescript(script.read_text("utf-8"))
    written.close()
    return store


def test_what_is_entered_is_kept_in_its_order_and_can_be_changed_and_taken_out(store: Path) -> None:
    entered(store, GLITTER, DEARER)
    assert own_entries(store) == (GLITTER, DEARER)
    cheaper = OwnEntry("films", "our-glitter", {"like": "sparkle-coarse", "price_per_m": 3})
    entered(store, cheaper)
    assert own_entries(store) == (cheaper, DEARER)
    with open_store(store) as connection:
        take_out(connection, cheaper)
    assert own_entries(store) == (DEARER,)


def test_reading_makes_no_file_and_the_built_in_catalogue_stands_without_one(store: Path) -> None:
    assert own_entries(store) == ()
    assert shop_knowledge(store=store).catalogue == shop_knowledge().catalogue
    assert not store.parent.exists()


def test_a_store_may_lie_in_a_folder_of_any_name(tmp_path: Path) -> None:
    store = tmp_path / "a?mode=memory b%20c#d é" / "shop.sqlite"
    entered(store, DEARER)
    assert store.exists()
    assert own_entries(store) == (DEARER,)


def test_a_store_is_safe_to_share(store: Path) -> None:
    with open_store(store) as connection:
        assert connection.execute(text("PRAGMA journal_mode")).scalar() == "wal"
        assert connection.execute(text("PRAGMA foreign_keys")).scalar() == 1

    def enter(number: int) -> None:
        entered(store, OwnEntry("films", f"film-{number}", {"price_per_m": number}))

    with ThreadPoolExecutor(8) as people:
        list(people.map(enter, range(24)))
    assert {entry.name for entry in own_entries(store)} == {f"film-{n}" for n in range(24)}


def test_what_fails_half_way_leaves_the_store_as_it_was(store: Path) -> None:
    entered(store, DEARER)
    with pytest.raises(RuntimeError, match="half way"), open_store(store) as connection:  # noqa: PT012
        put(connection, [GLITTER])
        raise RuntimeError("half way")
    assert own_entries(store) == (DEARER,)


def test_a_thing_cannot_be_entered_twice(store: Path) -> None:
    entered(store, DEARER)
    row = {"kind": "films", "name": "matte-smooth", "values": {}, "entered_at": None}
    with pytest.raises(BadInputError, match="cannot be used"), open_store(store) as connection:
        connection.execute(insert(entries), row)


def test_its_stamp_tells_a_change(store: Path) -> None:
    stamps = [store_stamp(store)]
    for entry in (GLITTER, DEARER):
        entered(store, entry)
        stamps.append(store_stamp(store))
    assert len(set(stamps)) == 3
    own_entries(store)
    assert store_stamp(store) == stamps[-1]


# --- versions -------------------------------------------------------------------------------------


def test_there_is_a_store_of_every_earlier_version_and_today_s_is_the_last() -> None:
    versions = sorted(path.name[1:5] for path in MIGRATIONS.glob("m*.py"))
    assert [path.stem for path in EARLIER] == versions
    assert versions[-1] == VERSION


@pytest.mark.parametrize("script", EARLIER, ids=lambda path: path.stem)
def test_an_upgrade_loses_nothing_of_the_shops(script: Path, store: Path) -> None:
    earlier(script, store)
    glitter, smooth, garage = own_entries(store)
    assert glitter == OwnEntry("films", "our-glitter", {
        "family": "sparkle", "finishes": ["sparkle"], "setpoint_c": {"best": 155.0},
        "dwell_s": {"best": 12.0}, "peel": "warm",
    })  # fmt: skip
    assert smooth.values["on_shelf_m"] == 41.5
    assert garage.values["pressure"] == {"kind": "feel"}
    known = shop_knowledge(store=store).catalogue
    assert known.film("our-glitter").setpoint_c.best == 155
    assert known.film("matte-smooth").price_per_m == 6.2
    assert known.press("garage-press").pressures_kpa == (15, 30, 45)
    with open_store(store) as connection:
        assert connection.execute(text("SELECT version_num FROM alembic_version")).all() == [
            (VERSION,)
        ]


def test_a_store_of_version_4_keeps_what_was_logged(store: Path) -> None:
    earlier(EARLIER[3], store)
    (kept,) = all_logged(store=store)
    assert kept == LoggedPress(
        "cotton-jersey-tee", "garage-press",
        (LoggedBond("matte-smooth", "cotton-jersey-tee", "sound", under=()),),
        garments=7, washes=25, note="sleeve side up", pressed_on=date(2026, 11, 5), number=1,
    )  # fmt: skip


@pytest.mark.parametrize("script", EARLIER[3:], ids=lambda path: path.stem)
def test_what_was_logged_before_speaks_in_todays_verdicts(script: Path, store: Path) -> None:
    earlier(script, store)
    (log,) = shop_knowledge(store=store).evidence
    assert isinstance(log, ShopLog)
    assert [(one.film, one.below, one.under, one.garments, one.washes) for one in log.trials] == [
        ("matte-smooth", "cotton-jersey-tee", (), 7, 25)
    ]


def test_a_store_of_version_3_keeps_the_jobs_that_were_pressed(store: Path) -> None:
    earlier(EARLIER[2], store)
    kept = last_pressed("aa11", store=store)
    assert kept is not None
    assert (kept.job, kept.on) == ("harbour-kite-bags", "2026-11-04")
    assert kept.taken == (FilmTaken("matte-smooth", 2.45, 2.45, 41.5),)


@pytest.mark.parametrize("version", [3, 4])
def test_an_upgrade_gives_the_jobs_pressed_since_new_numbers(version: int, store: Path) -> None:
    earlier(EARLIER[version - 1], store)
    take_back_numbered(1, store=store)
    with open_store(store) as connection:
        values = {"key": "bb22", "job": "kites", "plan": {}, "shelf": {}, "taken": []}
        made = connection.execute(
            insert(pressed_jobs), {**values, "pressed_at": datetime(2026, 12, 1)}
        )
        assert made.inserted_primary_key == (2,)


@pytest.mark.parametrize("script", [None, *EARLIER], ids=lambda path: path.stem if path else "new")
def test_the_steps_make_the_tables_that_the_program_reads(script: Path | None, store: Path) -> None:
    if script is not None:
        earlier(script, store)
    with open_store(store) as connection:
        assert compare_metadata(MigrationContext.configure(connection), TABLES) == []


# --- what is no store -----------------------------------------------------------------------------


def test_a_store_of_a_later_version_is_refused_and_left_alone(store: Path) -> None:
    entered(store, DEARER)
    with open_store(store) as connection:
        connection.execute(text("UPDATE alembic_version SET version_num = '9999'"))
    with pytest.raises(BadInputError, match=r"shop\.sqlite: was written by a later Presslore"):
        own_entries(store)


def test_another_database_is_refused(store: Path) -> None:
    store.parent.mkdir()
    with sqlite3.connect(store) as other:
        other.execute("CREATE TABLE customers (name TEXT)")
    other.close()
    with pytest.raises(BadInputError, match="is a database of something else"):
        own_entries(store)


def test_a_file_that_is_no_database_is_refused(store: Path) -> None:
    store.parent.mkdir()
    store.write_text("price list of the year " * 200)
    with pytest.raises(BadInputError, match=r"shop\.sqlite: cannot be used: it is another kind"):
        own_entries(store)


def test_a_folder_in_the_place_of_the_store_is_refused(store: Path) -> None:
    store.mkdir(parents=True)
    with pytest.raises(BadInputError, match="is a folder; name a file in it"):
        own_entries(store)


# --- where it lies --------------------------------------------------------------------------------


def test_it_lies_in_the_users_data_folder_unless_the_shop_says_where(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setenv(STORE, str(tmp_path / "ours.sqlite"))
    assert store_path() == tmp_path / "ours.sqlite"
    monkeypatch.setenv(STORE, "~/ours.sqlite")
    assert store_path() == Path.home() / "ours.sqlite"
    monkeypatch.delenv(STORE)
    assert store_path().name == "shop.sqlite"
    assert store_path().parent.name == "presslore"
