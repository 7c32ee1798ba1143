"""Command log: what became of garments is kept, told again, counted and taken out."""

from __future__ import annotations

import json
from datetime import date, timedelta
from pathlib import Path

import pytest

from advisor.shop.place import STORE
from tests.advisor.command.command_line import refusal, run, run_json, write_job

TEE = ["--fabric", "adult-tee", "--stack", "matte-smooth,sparkle-coarse"]
NOT_SAID = {"under": [], "colour": None, "setpoint_c": None, "dwell_s": None}
LIFTED = "--line", "sparkle-coarse-on-matte-smooth=edge-lift"


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(STORE, str(tmp_path / "shop.sqlite"))
    return tmp_path / "shop.sqlite"


def add(*more: object, outcome: str = "sound", washes: int = 25) -> int:
    told = run_json("log", "add", *TEE, "--outcome", outcome, "--washes", washes, *more)
    return int(told["number"])


def test_what_became_of_each_bond_line_is_kept_as_it_was_told() -> None:
    add(*LIFTED, "--garments", 3, "--note", "by  the hem", "--when", "2026-03-02", washes=5)
    (kept,) = run_json("log", "show")["logged"]
    assert kept == {
        "fabric": "cotton-jersey-tee",
        "press": "clamshell-38x38",
        "bonds": [
            {"film": "matte-smooth", "below": "cotton-jersey-tee", "outcome": "sound", **NOT_SAID},
            {"film": "sparkle-coarse", "below": "matte-smooth", "outcome": "edge-lift", **NOT_SAID},
        ],
        "garments": 3,
        "washes": 5,
        "note": "by the hem",
        "pressed_on": "2026-03-02",
        "colour": None,
        "number": 1,
    }


def test_seven_that_all_held_say_that_at_least_065_last_at_95_percent() -> None:
    add("--garments", 4)
    add("--garments", 3, washes=30)
    for line in run_json("log", "show")["bond_lines"]:
        assert (line["trials"], line["sound"], line["washes"]) == (7, 7, 25)
        assert line["at_least"] == pytest.approx(0.05 ** (1 / 7))
        assert line["confidence"] == 0.95
    assert "at least 0.65 of them last, at 95 %" in " ".join(run("log", "show").stdout.split())


def test_one_failed_bond_line_does_not_count_against_the_one_below_it() -> None:
    add("--garments", 9)
    add(*LIFTED)
    below, above = sorted(run_json("log", "show")["bond_lines"], key=lambda line: line["film"])
    assert (below["sound"], above["sound"]) == (10, 9)
    assert below["at_least"] > above["at_least"]


def test_another_fabric_or_press_is_counted_by_itself() -> None:
    add()
    run_json("log", "add", "--fabric", "drawstring-bag", *TEE[2:], "--outcome", "crack",
             "--washes", 5)  # fmt: skip
    overlay = [
        (line["fabric"], line["trials"], line["sound"])
        for line in run_json("log", "show", "--film", "sparkle-coarse")["bond_lines"]
    ]
    assert len(overlay) == 2
    assert ("cotton-jersey-tee", 1, 1) in overlay
    on_tee = run_json("log", "show", "--fabric", "adult-tee")["logged"]
    assert [one["fabric"] for one in on_tee] == ["cotton-jersey-tee"]


def test_an_entry_is_taken_out_once_and_its_number_is_given_to_no_other() -> None:
    add()
    second = add()
    assert run_json("log", "remove", second)["removed"] is True
    assert [one["number"] for one in run_json("log", "show")["logged"]] == [1]
    assert "nothing is logged under number 2" in refusal(run("log", "remove", second))
    assert add() == 3


def test_a_plan_is_logged_by_the_bond_lines_that_it_presses(tmp_path: Path) -> None:
    plan = tmp_path / "plan.json"
    run_json("plan", write_job(tmp_path), "--out", plan)
    kept = run_json("log", "add", plan, "--outcome", "sound", "--washes", 5)
    pairs = {(bond["film"], bond["below"]) for bond in kept["bonds"]}
    assert ("matte-smooth", kept["fabric"]) in pairs
    assert ("sparkle-coarse", "matte-smooth") in pairs
    told = refusal(
        run("log", "add", plan, "--fabric", "drawstring-bag", "--outcome", "sound", "--washes", 5)
    )
    assert "presses on cotton-jersey-tee, not on" in told


SEALED = ["--fabric", "adult-tee", "--stack", "gloss-smooth,matte-smooth"]


def as_checked(*more: object) -> list[object]:
    """How to log what a check would press, as it would."""
    full = [s for s in run_json("check", *SEALED)["steps"] if s["purpose"] == "full"]
    set_to = ("--setpoint", full[-1]["setpoint_c"], "--dwell", sum(s["dwell_s"] for s in full))
    return ["log", "add", *SEALED, *set_to, "--washes", 25, *more]


def test_a_plan_is_logged_in_the_films_that_it_was_pressed_in_after_all(tmp_path: Path) -> None:
    """Another film was taken and written into the plan: the log must not speak of the first."""
    plan = tmp_path / "plan.json"
    document = run_json("plan", write_job(tmp_path), "--out", plan)
    first, taken = document["pieces"][0]["film"], "matte-thick"
    assert first != taken
    for piece in document["pieces"]:
        piece["film"] = taken if piece["film"] == first else piece["film"]
    plan.write_text(json.dumps(document))
    kept = run_json("log", "add", plan, "--outcome", "sound", "--washes", 5)
    assert taken in {bond["film"] for bond in kept["bonds"]}
    assert first not in {bond["film"] for bond in kept["bonds"]}


def test_a_check_tells_what_was_pressed_here_and_what_is_left_to_show() -> None:
    assert run_json("check", *SEALED)["evidence"] == []
    run_json(*as_checked("--outcome", "sound", "--garments", 7))
    told = " ".join(run("check", *SEALED).stdout.split())
    assert (
        "Pressed 7 times here, all sound after 25 washes: at least 0.65 of them last, at 95 %; "
        "22 more that hold lift the sample." in told
    )
    report = run_json("check", *SEALED)
    assert report["verdict"] == "sample"
    (below, both) = report["evidence"]
    assert (below["films"], both["films"]) == (["gloss-smooth"], ["gloss-smooth", "matte-smooth"])
    assert both["at_least"] == pytest.approx(0.05 ** (1 / 7))
    del both["at_least"], both["films"]
    assert both == {
        "trials": 7, "sound": 7, "washes": 25, "like": 0.0, "confidence": 0.95, "sound_to_go": 22
    }  # fmt: skip
    run_json(*as_checked("--outcome", "sound", "--garments", 22))
    assert run_json("check", *SEALED)["verdict"] == "go"


def test_a_press_set_as_none_can_be_is_asked_back() -> None:
    told = refusal(run("log", "add", *TEE, "--outcome", "sound", "--washes", 5,
                       "--setpoint", "900", "--dwell", "-3"))  # fmt: skip
    assert "clamshell-38x38 is never set to 900 °C" in told
    assert "--dwell: -3 s; give more than 0 and at most 600 s" in told
    half = refusal(run("log", "add", *TEE, "--outcome", "sound", "--washes", 5, "--dwell", 15))
    assert "--setpoint and --dwell: give both, or neither" in half


def test_a_bond_line_whose_fate_is_told_twice_is_asked_back(store: Path) -> None:
    line = "matte-smooth-on-cotton-jersey-tee"
    twice = ("--line", f"{line}=crack", "--line", f"{line}=sound")
    told = refusal(run("log", "add", *TEE, "--outcome", "sound", "--washes", 5, *twice))
    assert f"'{line}' is given twice" in told
    assert run_json("log", "show")["logged"] == []


def test_all_that_is_wrong_is_told_at_once_and_nothing_is_kept(store: Path) -> None:
    tomorrow = date.today() + timedelta(days=1)
    told = refusal(run(
        "log", "add", *TEE, "--outcome", "fine", "--line", "felt-on-tee=crack", "--washes", "-1",
        "--garments", "0", "--when", tomorrow,
    ))  # fmt: skip
    for said in (
        "no outcome is called 'fine'",
        "'felt-on-tee' is no bond line of it; there are matte-smooth-on-cotton-jersey-tee",
        "--washes: '-1' is no whole number from 0 to 1000",
        "--garments: '0' is no whole number from 1",
        f"{tomorrow} is yet to come",
    ):
        assert said in told
    assert not store.exists()
    told = refusal(run(
        "log", "add", "--fabric", "adult-te", "--stack", "matte-smoth", "--press", "clamshel",
        "--outcome", "sound", "--washes", "5",
    ))  # fmt: skip
    for name in ("adult-te", "matte-smoth", "clamshel"):
        assert f"'{name}'" in told
