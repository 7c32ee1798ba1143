"""Reorder: last month's job is planned as it was pressed, and what has changed since is told."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor.shop import acts
from tests.advisor.command.command_line import JOB, run, run_json, write_job

OURS = JOB.replace("sparkle-coarse, colour: gold", "our-glitter")


def add_glitter(store: Path) -> None:
    values = [("finish", "sparkle"), ("setpoint", "155"), ("dwell", "12"), ("peel", "warm")]
    acts.add_typed("films", "our-glitter", values, like=None, store=store)
    acts.count_metres("our-glitter", 10, store=store)


@pytest.fixture
def shop(tmp_path: Path) -> tuple[Path, Path]:
    """A job with a film of the shop's own that was pressed, and the store."""
    job, store = write_job(tmp_path, job=OURS), tmp_path / "shop.sqlite"
    add_glitter(store)
    assert run("run", "done", job, "--store", store).exit_code == 0
    return job, store


def planned(shop: tuple[Path, Path], *more: object) -> dict[str, Any]:
    job, store = shop
    return run_json("plan", job, "--store", store, *more)


def told(document: dict[str, Any]) -> list[str]:
    return [one["message"] for one in document["reorder"]["since"]]


def as_pressed(document: dict[str, Any]) -> dict[str, Any]:
    return {key: document[key] for key in ("pieces", "joints", "steps", "card", "minutes")}


def test_nothing_changed_and_it_is_planned_the_same(shop: tuple[Path, Path]) -> None:
    afresh, again = planned(shop, "--afresh"), planned(shop)
    assert "reorder" not in afresh
    assert told(again) == []
    assert as_pressed(again) == as_pressed(afresh)
    assert again["verdict"] == afresh["verdict"]
    assert again["cost"] == afresh["cost"]
    # Nobody has looked for the best of today.
    assert again["proof"]["optimal"] is False
    shown = run("plan", shop[0], "--store", shop[1]).stdout
    assert "as it was pressed on 20" in shown
    assert "nothing has changed since" in shown
    assert "proved" not in shown


def dearer(store: Path) -> None:
    acts.set_typed("matte-smooth", "price", "99", store=store)


def longer(store: Path) -> None:
    acts.set_typed("our-glitter", "dwell", "13", store=store)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (dearer, "matte-smooth: its price per metre was "),
        (longer, "its dwell (best) was 12 s and is 13 s"),
    ],
)
def test_what_changed_is_told_and_the_plan_stays(
    shop: tuple[Path, Path], change: Callable[[Path], None], says: str
) -> None:
    before = planned(shop)
    change(shop[1])
    after = planned(shop)
    assert any(says in said for said in told(after))
    assert as_pressed(after) == as_pressed(before)
    if change is dearer:
        taken = run_json("quote", shop[0], "--store", shop[1])["lines"]
        metres = next(o["facts"]["metres"] for o in taken if "matte-smooth" in o["what"])
        was = next(one for one in after["reorder"]["since"] if one["kind"] == "price")
        assert was["now"] == 99
        more = metres * (99 - was["was"])
        assert after["cost"] == pytest.approx(before["cost"] + more, abs=0.02)


def test_what_a_rule_says_now_is_told_and_judges_the_plan(shop: tuple[Path, Path]) -> None:
    # The film turns out to take no more than 130 °C: what was pressed then is refused now.
    acts.change(
        "our-glitter",
        {"setpoint_c.low": 110, "setpoint_c.best": 125, "setpoint_c.high": 130, "bears_c": 130},
        store=shop[1],
    )
    after = planned(shop)
    assert after["verdict"] == "stop"
    said = {
        (one["what"], one["severity"]) for one in after["reorder"]["since"] if one["kind"] == "rule"
    }
    assert ("setpoint-window", "stop") in said
    assert said <= {(f["rule"], f["severity"]) for f in after["findings"]}


def test_a_film_that_is_gone_is_told_and_the_job_is_planned_afresh(
    shop: tuple[Path, Path],
) -> None:
    job, store = shop
    acts.remove("our-glitter", store=store)
    # The job names the film itself, so nothing can take its place: the refusal says which.
    refused = run("plan", job, "--store", store)
    assert refused.exit_code == 2
    assert "our-glitter" in refused.stderr


def test_a_film_of_which_nothing_is_left_is_gone(tmp_path: Path) -> None:
    job, store = write_job(tmp_path), tmp_path / "shop.sqlite"
    assert run("run", "done", job, "--store", store).exit_code == 0
    acts.set_typed("matte-smooth", "on_shelf_m", "0", store=store)
    after = run_json("plan", job, "--store", store)
    assert told(after) == ["matte-smooth is on the shelf no more"]


def test_a_colour_that_is_gone_is_told_and_the_job_is_planned_afresh(tmp_path: Path) -> None:
    wished = JOB.replace("{film: matte-smooth, colour: navy}", '{finish: matte, colour: "#008080"}')
    job, store = write_job(tmp_path, job=wished), tmp_path / "shop.sqlite"
    acts.set_typed("matte-smooth", "colour", "teal=#008080", store=store)
    assert run("run", "done", job, "--store", store).exit_code == 0
    before = run_json("plan", job, "--store", store)
    assert before["pieces"][0]["colour"] == "teal"
    acts.remove("matte-smooth", store=store)
    after = run_json("plan", job, "--store", store)
    assert told(after) == ["matte-smooth comes in teal no more"]
    assert after["pieces"][0]["colour"] != "teal"
    assert after["proof"]["optimal"] is True
    assert "planned afresh" in run("plan", job, "--store", store).stdout


def test_a_job_that_was_edited_is_another_job(shop: tuple[Path, Path], tmp_path: Path) -> None:
    write_job(tmp_path, job=OURS.replace("width_mm: 200", "width_mm: 190"))
    assert "reorder" not in planned(shop)
    assert "reorder" not in planned(shop, "--prefer", "fastest")


def pressing_s(quoted: dict[str, Any]) -> float:
    """The seconds at the press that a quote is made of."""
    [line] = [line for line in quoted["lines"] if line["what"] == "pressing"]
    return float(line["facts"]["steps_s"])


def test_cut_and_quote_go_by_the_plan_that_was_pressed(
    shop: tuple[Path, Path], tmp_path: Path
) -> None:
    """An edited plan that was pressed is what is cut and quoted after it."""
    job, store = shop
    run("run", "done", job, "--undo", "--store", store)
    out = tmp_path / "plan.json"
    run("plan", job, "--out", out, "--store", store)
    edited = json.loads(out.read_text("utf-8"))
    as_planned_s = pressing_s(run_json("quote", job, "--plan", out, "--store", store))
    preheat = next(step for step in edited["steps"] if step["action"] == "preheat")
    longer_s = 9.0 - preheat["dwell_s"]
    preheat["dwell_s"] = 9.0
    out.write_text(json.dumps(edited), "utf-8")
    assert run("run", "done", job, "--plan", out, "--store", store).exit_code == 0
    again = planned(shop)
    assert any(step["dwell_s"] == 9 for step in again["steps"])
    cut = tmp_path / "cut"
    assert run("cut", job, "--out", cut, "--store", store).exit_code == 0
    # Three garments, each preheated longer.
    pressed_s = pressing_s(run_json("quote", job, "--store", store))
    assert pressed_s == pytest.approx(as_planned_s + 3 * longer_s, abs=0.01)


def test_a_plan_that_cannot_be_read_any_more_is_told_and_is_no_plan(
    shop: tuple[Path, Path],
) -> None:
    with sqlite3.connect(shop[1]) as store:
        store.execute('UPDATE pressed_job SET plan = \'{"job": "kite"}\'')
    store.close()
    document = planned(shop)
    assert told(document) == ["the plan of kite is of an older Presslore and cannot be read"]
    assert document["proof"]["optimal"] is True


def test_another_quantity_is_planned_in_the_same_films(shop: tuple[Path, Path]) -> None:
    before = planned(shop)
    write_job(shop[0].parent, job=OURS.replace("quantity: 3", "quantity: 40"))
    again = planned(shop)
    assert [p["film"] for p in again["pieces"]] == [p["film"] for p in before["pieces"]]
    assert again["reorder"]["said"].startswith("in the films of 20")
    assert told(again)[0].startswith("40 garments, then 3; the same films")
    assert again["cost"] > before["cost"]
    (kept,) = run_json("run", "list", "--store", shop[1])["pressed"]
    assert run("run", "undo", kept["number"], "--store", shop[1]).exit_code == 0
    assert "reorder" not in planned(shop)
