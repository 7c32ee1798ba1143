"""Command log why: causes in order with what to look at and the change that would cure them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from advisor.job.demo import DEMO_FOLDER
from advisor.shop.place import STORE
from tests.advisor.answers.faulty_plans import FAULTY, base, spoilt
from tests.advisor.command.command_line import refusal, run, run_json

TEE = "glitter on a cotton tee"


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(STORE, str(tmp_path / "shop.sqlite"))


@pytest.fixture
def cool(tmp_path: Path) -> Path:
    """The plan of a glitter tee as it was pressed with the dial 25 °C low."""
    one = next(one for one in FAULTY if (one.of, one.said) == (TEE, "dial 25 low"))
    path = tmp_path / "plan.json"
    path.write_text(spoilt(one).text(), encoding="utf-8")
    return path


def test_each_cause_has_its_rule_its_margin_what_to_look_at_and_a_change(cool: Path) -> None:
    told = run_json("log", "why", cool, "--fault", "edge-lift")
    assert told["fault"] == "edge-lift"
    assert all({"cause", "rule", "margin", "look_at", "change"} <= {*one} for one in told["causes"])
    likeliest = told["causes"][0]
    assert likeliest["rule"] == "setpoint-window"
    assert likeliest["margin"] == {"amount": -25.0, "unit": "°C", "spread": 6.0}
    assert likeliest["proved"] is True


def test_a_person_reads_the_causes_in_order_in_the_degrees_of_their_dial(cool: Path) -> None:
    told = " ".join(run("log", "why", cool, "--fault", "edge-lift", "--fahrenheit").stdout.split())
    assert "1 it was pressed too cool (setpoint-window: stop)" in told
    assert "instead, and checked: set the dial to 320 °F instead of 275 °F" in told
    assert "look at: prints from one side or corner of the platen lift, and others hold" in told
    assert told.index("too cool") < told.index("common practice; no plan tells it")


def test_a_plan_that_holds_tells_how_far_off_the_press_would_have_been(tmp_path: Path) -> None:
    path = tmp_path / "plan.json"
    path.write_text(base(TEE).text(), encoding="utf-8")
    told = " ".join(run("log", "why", path, "--fault", "edge-lift").stdout.split())
    assert "content, with little to spare" in told
    assert "cooler than its dial says could explain it" in told
    assert "checked" not in told


def test_of_an_order_one_of_its_prints_is_asked_about(tmp_path: Path) -> None:
    out = tmp_path / "order.json"
    run("plan", DEMO_FOLDER / "festival-crew.yaml", "--out", out)
    prints = [each["id"] for each in json.loads(out.read_text(encoding="utf-8"))["prints"]]
    asked = "log", "why", out, "--fault", "crooked"
    assert f"say which with --print, of {', '.join(prints)}" in refusal(run(*asked))
    assert "no print is called 'elbow'" in refusal(run(*asked, "--print", "elbow"))
    told = run_json(*asked, "--print", prints[0])
    assert told["causes"][0]["cause"] == "it was laid by eye"


def test_an_unknown_fault_and_a_print_of_a_plan_of_one_are_refused(cool: Path) -> None:
    assert "no fault is called 'bleeding'; nearest: bleed" in refusal(
        run("log", "why", cool, "--fault", "bleeding")
    )
    assert "leave --print out" in refusal(
        run("log", "why", cool, "--fault", "bleed", "--print", "front")
    )
