"""Command quote: a real job quoted, and how bad input is refused."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from advisor.shop.place import STORE
from tests.advisor.command.command_line import JOB, refusal, run, run_json, write_job


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv(STORE, str(tmp_path / "shop.sqlite"))


def test_a_quote_takes_film_cutting_and_minutes_from_the_plan_and_its_cut_files(
    tmp_path: Path,
) -> None:
    job, plan, out = write_job(tmp_path), tmp_path / "plan.json", tmp_path / "cut"
    planned = run_json("plan", job, "--out", plan)
    cut = run_json("cut", job, "--plan", plan, "--out", out, "--nest", "0")
    told = run_json("quote", job, "--plan", plan)
    assert {"currency", "lines", "total", "breaks"} <= set(told)
    assert {"what", "amount", "basis"} <= set(told["lines"][0])
    assert {"quantity", "each", "total"} == set(told["breaks"][0])
    facts = {line["what"]: line["facts"] for line in told["lines"]}
    for roll in cut["rolls"]:
        metres = facts[f"film {roll['film']} {roll['colour']}"]["metres"]
        assert roll["length_m"] <= metres < roll["length_m"] + 0.0101
    cut_m = sum(file["cut_mm"] * file["count"] for file in cut["files"]) / 1000
    assert facts["cutting"]["cut_m"] == pytest.approx(cut_m, abs=0.01)
    assert facts["weeding"]["carriers"] == sum(file["count"] for file in cut["files"])
    assert facts["pressing"]["steps_s"] == pytest.approx(planned["minutes"] * 60, rel=0.01)
    assert sum(line["amount"] for line in told["lines"]) == pytest.approx(told["total"], abs=1e-6)
    assert told["currency"] == "EUR"
    with (out / "cut-list.csv").open(encoding="utf-8") as listed:
        assert sum(1 for _ in csv.reader(listed)) > 1

    page = tmp_path / "quote.html"
    customers = run_json("quote", job, "--plan", plan, "--customer", "--page", page)
    assert customers["total"] == told["total"]
    assert "lines" not in customers
    assert "margin" not in page.read_text("utf-8").partition("</style>")[2]

    run_json("quote", "--set", "margin_pct=50", "--set", "breaks=7")
    dearer = run_json("quote", job, "--plan", plan)
    assert dearer["total"] > told["total"]
    assert [at["quantity"] for at in dearer["breaks"]] == [3, 7]
    said = run("quote", job, "--plan", plan, "--locale", "de").stdout
    assert "before tax" in said
    assert re.search(r"\d,\d\d €", said.replace("\xa0", " "))


def test_metres_are_those_of_the_nested_rolls_for_the_quote_the_shelf_and_what_to_buy(
    tmp_path: Path,
) -> None:
    """Diagonal kites nest into one another: cut so, rectangles would price film that stays."""
    drawn = JOB.replace("quantity: 3", "quantity: 12")
    job, plan = write_job(tmp_path, job=drawn), tmp_path / "plan.json"
    run_json("plan", job, "--out", plan)
    guessed = run_json("quote", job)
    cut = run_json("cut", job, "--plan", plan, "--out", tmp_path / "cut", "--nest", "4")
    nested = {roll["film"]: roll["length_m"] for roll in cut["rolls"]}
    quoted = run_json("quote", job)
    done = run_json("run", "done", job)
    taken = {each["film"]: each["wanted_m"] for each in done["taken"]}
    priced, before = (
        {line["what"].split()[1]: line for line in answer["lines"] if line["what"][:5] == "film "}
        for answer in (quoted, guessed)
    )
    assert {film: line["facts"]["metres"] for film, line in priced.items()} == taken
    assert taken == pytest.approx(nested, abs=0.0101)
    assert taken["matte-smooth"] < 0.9 * before["matte-smooth"]["facts"]["metres"]
    assert quoted["total"] < guessed["total"]
    assert "as it was cut" in priced["matte-smooth"]["basis"]
    assert "an estimate, its carriers laid as rectangles" in before["matte-smooth"]["basis"]
    assert done["laid"] == "cut"
    run("shelf", "set", "matte-smooth", "metres", "0.1")
    assert "m needed, as cut, 0.10 m on the shelf" in run_json("quote", job)["to_buy"][0]


def test_what_was_cut_again_without_nesting_or_in_other_films_is_an_estimate(
    tmp_path: Path,
) -> None:
    job, out = write_job(tmp_path), tmp_path / "cut"
    run_json("cut", job, "--out", out, "--nest", "0")
    other = tmp_path / "other.json"
    blue = write_job(tmp_path, job=JOB.replace("colour: navy", "colour: black"))
    run_json("plan", blue, "--out", other)
    write_job(tmp_path)
    told = " ".join(run("quote", job, "--plan", other).stdout.split())
    assert "as it was cut" not in told
    assert "an estimate" in told
    assert "as it was cut" in " ".join(run("quote", job).stdout.split())
    wrong = refusal(run("run", "done", job, "--plan", other))
    assert "was cut in navy matte-smooth and gold sparkle-coarse, and this plan presses " in wrong
    assert "black matte-smooth and gold sparkle-coarse; give the plan that it was cut by" in wrong
    run_json("cut", job, "--out", out)
    assert "metres off the shelf: an estimate" in run("run", "done", job).stdout


def test_a_film_that_runs_short_is_told_to_the_shop_and_not_to_the_customer(
    tmp_path: Path,
) -> None:
    job, plan = write_job(tmp_path), tmp_path / "plan.json"
    run_json("plan", job, "--out", plan)
    enough = run_json("quote", job, "--plan", plan)
    assert enough["to_buy"] == []
    assert "To buy" not in run("quote", job, "--plan", plan).stdout
    (navy,) = [line for line in enough["lines"] if line["what"] == "film matte-smooth navy"]
    run("shelf", "set", "matte-smooth", "metres", "0.1")
    short = run_json("quote", job, "--plan", plan)
    needed_m = navy["facts"]["metres"]
    told = f"matte-smooth: {needed_m:.2f} m needed, laid as rectangles, 0.10 m on the shelf: "
    assert short["to_buy"] == [f"{told}{needed_m - 0.1:.2f} m to buy"]
    assert short["total"] == enough["total"]
    assert told in " ".join(run("quote", job, "--plan", plan).stdout.split())
    for customers in (("--customer",), ("--customer", "--json")):
        assert "to buy" not in run("quote", job, "--plan", plan, *customers).stdout.lower()


def test_the_figures_are_shown_and_kept() -> None:
    assert run_json("quote", "--figures")["margin_pct"] == 30
    assert run_json("quote", "--set", "margin_pct=35")["margin_pct"] == 35
    assert run_json("quote", "--figures")["margin_pct"] == 35
    assert "margin_pct" in run("quote", "--figures").stdout


def test_figures_tell_every_rate_that_a_quote_names(tmp_path: Path) -> None:
    job = write_job(tmp_path, job=f"{JOB}rates: {{rate_per_hour: 41}}\n")
    answer = run_json("quote", job, "--figures")
    figures = answer["figures"]
    assert figures["rate_per_hour"] == 41
    assert run_json("quote", "--figures")["rate_per_hour"] == 36
    known = {"percent": {figures[name] for name in figures if name.endswith("_pct")}}
    rated = ("_per_hour", "_per_s", "_per_m", "_per_carrier", "run_s", "roll_s", "set_up_min")
    for line in answer["lines"]:
        for name, value in line["facts"].items():
            if name.endswith(rated) and not name.startswith("price"):
                assert figures[name] == value, name
            if name == "percent" and line["what"] != "spoilage":
                assert value in known["percent"]
    shown = run("quote", job, "--figures").stdout
    assert "Figures that it reckons with" in shown
    assert "rate_per_hour" in shown
    assert "under rates" in shown


def test_a_rate_that_the_job_says_is_not_kept_for_every_quote() -> None:
    assert "is said by each job" in refusal(run("quote", "--set", "rate_per_hour=40"))


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        ([], "name the job to quote, or ask for --figures"),
        (["--set", "margin"], "--set: 'margin' is not written as FIGURE=VALUE"),
        (["--set", "margn_pct=3"], "nearest: margin_pct"),
        (["--set", "margin_pct=99"], "margin_pct: '99': write at most 95"),
        (["no-such.yaml"], "no-such.yaml: cannot be read"),
        (["no-such.yaml", "--locale", "xx"], "--locale: 'xx' is no language and place"),
        (["no-such.yaml", "--nest", "9999"], "--nest"),
    ],
)
def test_bad_input_is_refused_in_one_line(arguments: list[str], says: str) -> None:
    assert says in refusal(run("quote", *arguments))
