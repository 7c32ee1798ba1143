"""Reorder of several prints: planned as they were pressed, and what has changed since is told."""

from __future__ import annotations

import json
import re
import sqlite3
from pathlib import Path
from typing import Any

import pytest

from advisor.answers import reorder, shared_films
from advisor.job.records.order import read_order
from advisor.job.records.order_plan import OrderPlan
from advisor.shop import acts
from advisor.shop.pressed import ANY_QUANTITY, key_of_any_quantity
from tests.advisor.answers.prints_orders import CREW, block, letters, written
from tests.advisor.command.command_line import refusal, run, run_json

PRINTS = [block("chest-left"), block("back", film="sparkle-fine"), letters("yoke", "name")]

Shop = tuple[Path, Path]


@pytest.fixture
def shop(tmp_path: Path) -> Shop:
    """An order that was pressed, and the store."""
    order, store = written(tmp_path, PRINTS, people=CREW), tmp_path / "shop.sqlite"
    assert run("run", "done", order, "--store", store).exit_code == 0
    return order, store


def planned(shop: Shop, *more: object) -> dict[str, Any]:
    order, store = shop
    return run_json("plan", order, "--store", store, *more)


def told(document: dict[str, Any]) -> list[str]:
    return [one["message"] for one in document["reorder"]["since"]]


def as_pressed(document: dict[str, Any]) -> dict[str, Any]:
    keys = ("pieces", "steps", "card", "minutes", "cost", "laid", "people", "verdict", "findings")
    return {key: document[key] for key in keys}


def test_nothing_changed_and_it_is_planned_the_same(shop: Shop) -> None:
    afresh, again = planned(shop, "--afresh"), planned(shop)
    assert "reorder" not in afresh
    assert told(again) == []
    assert as_pressed(again) == as_pressed(afresh)
    # Nobody has looked for the best of today.
    assert not any(one["plan"]["proof"]["optimal"] for one in again["prints"])
    shown = run("plan", shop[0], "--store", shop[1]).stdout
    assert "as it was pressed on 20" in shown
    assert "nothing has changed since" in shown
    assert "proved" not in shown


def test_the_same_films_are_taken_although_others_are_cheaper_now(shop: Shop) -> None:
    before = planned(shop, "--afresh")
    acts.set_typed("matte-smooth", "price", "40", store=shop[1])
    again = planned(shop)
    assert again["pieces"] == before["pieces"]
    assert told(again) == ["matte-smooth: its price per metre was 7.40 and is 40.00"]
    assert again["cost"] > before["cost"]
    assert again["minutes"] == before["minutes"]


def test_a_film_that_is_gone_is_told_and_the_order_planned_afresh(shop: Shop) -> None:
    acts.set_typed("sparkle-fine", "metres", "0", store=shop[1])
    again = planned(shop)
    assert told(again) == ["sparkle-fine is on the shelf no more"]
    assert again["reorder"]["said"].endswith("it cannot be pressed so again, and is planned afresh")
    assert "proof" in again


def test_a_film_that_bears_less_now_is_judged_by_what_is_known_now(shop: Shop) -> None:
    acts.set_typed("sparkle-fine", "bears-s", "20", store=shop[1])
    again = planned(shop)
    assert any("its" in one and "42 s" in one and "20 s" in one for one in told(again))
    assert again["reorder"]["said"]


def test_undone_it_counts_as_never_pressed(shop: Shop) -> None:
    order, store = shop
    assert run("run", "done", order, "--store", store, "--undo").exit_code == 0
    assert "reorder" not in planned(shop)
    refused = run("run", "done", order, "--store", store, "--undo")
    assert refused.exit_code == 2


def test_the_pressed_plan_is_what_is_cut_and_quoted(shop: Shop, tmp_path: Path) -> None:
    order, store = shop
    acts.set_typed("matte-smooth", "price", "40", store=store)
    quoted = run_json("quote", order, "--store", store)
    saved = tmp_path / "plan.json"
    planned(shop, "--out", saved)
    assert run_json("quote", order, "--plan", saved, "--store", store)["total"] == quoted["total"]


def test_an_order_kept_without_its_prints_is_told_to_be_of_an_older_version(shop: Shop) -> None:
    with sqlite3.connect(shop[1]) as store:
        [[kept]] = store.execute("SELECT plan FROM pressed_job").fetchall()
        whole = {k: v for k, v in json.loads(kept).items() if k not in OrderPlan.model_fields}
        store.execute("UPDATE pressed_job SET plan = ?", [json.dumps(whole)])
    store.close()
    [said] = told(planned(shop))
    assert said == "the plan of crew is of an older Presslore and cannot be read"


def more_of(order: Path, quantity: int) -> None:
    asked = json.loads(order.read_text(encoding="utf-8"))
    asked["garments"][0]["quantity"] = quantity
    order.write_text(json.dumps(asked), encoding="utf-8")


def test_another_quantity_and_list_is_planned_in_the_same_films(shop: Shop) -> None:
    before = planned(shop)
    # Today it would be cut from others.
    acts.set_typed("matte-smooth", "price", "40", store=shop[1])
    (shop[0].parent / "crew.csv").write_text(f"{CREW}Cleo,3\n", encoding="utf-8")
    more_of(shop[0], 9)
    again = planned(shop)
    films = [(piece["id"], piece["film"], piece["colour"]) for piece in before["pieces"]]
    assert [(p["id"], p["film"], p["colour"]) for p in again["pieces"]] == films
    assert told(again)[0].startswith("9 garments, then 2; the same films")
    assert again["reorder"]["said"].startswith("in the films of 20")
    assert sum(person["quantity"] for person in again["people"]) == 3
    assert "reorder" not in planned(shop, "--afresh")


def list_named(shop: Shop, name: str, rows: str) -> None:
    (shop[0].parent / name).write_text(rows, encoding="utf-8")
    asked = json.loads(shop[0].read_text(encoding="utf-8"))
    shop[0].write_text(json.dumps(asked | {"people": name}), encoding="utf-8")


def test_the_same_people_on_a_list_of_another_name_are_the_same_order(shop: Shop) -> None:
    before = planned(shop)
    # Today it would be cut from others.
    acts.set_typed("matte-smooth", "price", "40", store=shop[1])
    list_named(shop, "march.csv", CREW.replace(",", ";"))
    again = planned(shop)
    assert again["reorder"]["said"].startswith("as it was pressed on 20")
    assert told(again) == ["matte-smooth: its price per metre was 7.40 and is 40.00"]
    assert as_pressed(again)["steps"] == before["steps"]


def test_other_people_on_a_list_of_another_name_get_the_same_films(shop: Shop) -> None:
    before = planned(shop)
    list_named(shop, "april.csv", "name,number\nCleo,3\nDan,4\n")
    again = planned(shop)
    assert again["reorder"]["said"].startswith("in the films of 20")
    assert told(again)[0].startswith("another list of names, or one that is called otherwise")
    assert [one["film"] for one in again["pieces"]] == [one["film"] for one in before["pieces"]]


def test_an_order_that_was_kept_with_the_name_of_its_list_is_known(shop: Shop) -> None:
    order = read_order(shop[0])
    drawing = (shop[0].parent / "block.svg").read_bytes()
    kept = key_of_any_quantity(order, drawing, by_list=True)
    with sqlite3.connect(shop[1]) as store:
        [[shelf]] = store.execute("SELECT shelf FROM pressed_job").fetchall()
        older = json.loads(shelf) | {ANY_QUANTITY: kept}
        assert older != json.loads(shelf)
        store.execute("UPDATE pressed_job SET shelf = ?", [json.dumps(older)])
    store.close()
    more_of(shop[0], 9)
    assert planned(shop)["reorder"]["said"].startswith("in the films of 20")


def test_what_is_planned_anew_in_the_films_of_before_is_not_judged_and_put_in_order_again(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    def again(*_: object) -> None:
        raise AssertionError("it was planned just now")

    monkeypatch.setattr(reorder, "judged", again)
    monkeypatch.setattr(reorder, "put_in_order", again)
    more_of(shop[0], 9)
    made = planned(shop)
    assert made["reorder"]["said"].startswith("in the films of 20")
    assert made["findings"]
    assert not made["proof"]["optimal"]


def test_what_was_pressed_in_another_quantity_can_be_undone(shop: Shop) -> None:
    order, store = shop
    more_of(order, 9)
    told = refusal(run("run", "done", order, "--store", store, "--undo"))
    (way_back,) = re.findall(r"`presslore run undo (\d+)`", told)
    assert run_json("run", "undo", way_back, "--store", store)["done"] is False
    more_of(order, 2)
    assert "reorder" not in planned(shop)


def test_another_drawing_is_another_order(shop: Shop) -> None:
    drawing = shop[0].parent / "block.svg"
    drawing.write_text(drawing.read_text().replace("1b3a5c", "1b3a5d"), encoding="utf-8")
    assert "reorder" not in planned(shop)
    assert run("run", "done", shop[0], "--store", shop[1], "--undo").exit_code == 2


def test_no_print_takes_the_film_of_another_because_it_is_cheaper_now(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Else they share one film from the first.
    monkeypatch.setattr(shared_films, "MOST_TRIED", 0)
    other = block("back", film="matte-smooth", colour="navy")
    prints = [block("chest-left", finish="matte", colour="navy"), other]
    order, store = written(tmp_path, prints), tmp_path / "shop.sqlite"
    assert run("run", "done", order, "--store", store).exit_code == 0
    before = {piece["id"]: piece["film"] for piece in planned((order, store))["pieces"]}
    chest = before["chest-left/fill-1b3a5c"]
    assert chest != "matte-smooth"
    acts.set_typed(chest, "price", "99", store=store)
    more_of(order, 9)
    again = planned((order, store))
    assert {piece["id"]: piece["film"] for piece in again["pieces"]} == before


def test_a_film_that_is_gone_is_told_once_beside_what_else_has_changed(tmp_path: Path) -> None:
    twice = [block("chest-left", film="matte-thick", colour="navy"),
             block("back", film="matte-thick", colour="white"),
             block("sleeve-left", 60, film="sparkle-fine", colour="gold")]  # fmt: skip
    order, store = written(tmp_path, twice), tmp_path / "shop.sqlite"
    assert run("run", "done", order, "--store", store).exit_code == 0
    acts.set_typed("matte-thick", "metres", "0", store=store)
    acts.set_typed("sparkle-fine", "price", "99", store=store)
    since = told(planned((order, store)))
    assert since.count("matte-thick is on the shelf no more") == 1
    assert any(one.startswith("sparkle-fine: its price per metre was") for one in since)


def test_prints_whose_films_are_there_stay_where_the_film_of_another_is_gone(
    tmp_path: Path,
) -> None:
    prints = [block("chest-left", finish="matte", colour="navy"), block("back", finish="sparkle")]
    order, store = written(tmp_path, prints), tmp_path / "shop.sqlite"
    assert run("run", "done", order, "--store", store).exit_code == 0
    before = {piece["id"]: piece["film"] for piece in planned((order, store))["pieces"]}
    chest, back = before["chest-left/fill-1b3a5c"], before["back/fill-1b3a5c"]
    acts.set_typed(back, "metres", "0", store=store)
    # Planned afresh, the chest would be cut from another film too.
    acts.set_typed(chest, "price", "99", store=store)
    again = planned((order, store))
    now = {piece["id"]: piece["film"] for piece in again["pieces"]}
    assert now["chest-left/fill-1b3a5c"] == chest
    assert now["back/fill-1b3a5c"] != back
    since = told(again)
    assert since[0] == f"{back} is on the shelf no more"
    assert "back is planned anew, in other films" in since
    assert again["reorder"]["said"].startswith("in the films of 20")
    assert "as far as they are there" in again["reorder"]["said"]
    afresh = planned((order, store), "--afresh")
    assert {piece["film"] for piece in afresh["pieces"]}.isdisjoint({chest, back})
    assert again["cost"] > afresh["cost"]
