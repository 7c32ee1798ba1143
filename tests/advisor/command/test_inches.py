"""Inches: whoever reads in inches is told every length in inches, by every command of a job."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from advisor.job.plan_file import read_order_plan
from rules.facts.units import Units
from tests.advisor.answers.prints_orders import CREW, block, letters, written
from tests.advisor.command.command_line import refusal, run, write_job

MILLIMETRES = re.compile(r"\d\s*mm\b")


def said(*arguments: object) -> str:
    result = run(*arguments, "--inches")
    assert result.exit_code == 0, result.stderr
    return " ".join(result.stdout.split())


@pytest.mark.parametrize("several", [False, True], ids=["one print", "several prints"])
def test_a_job_is_planned_checked_quoted_and_cut_in_inches(tmp_path: Path, several: bool) -> None:
    prints = [block("chest-left"), letters("yoke", "name"), letters("back", "number", 150)]
    job = written(tmp_path, prints, people=CREW) if several else write_job(tmp_path)
    plan = tmp_path / "plan.json"
    asked = [
        ("plan", job, "--out", plan),
        ("plan", job, "--why"),
        ("check", plan),
        ("quote", job),
        ("cut", job, "--out", tmp_path / "cut", "--nest", "0"),
    ]
    for arguments in asked:
        shown = said(*arguments)
        assert not MILLIMETRES.search(shown), (arguments[0], MILLIMETRES.findall(shown))
        if arguments[0] != "check":
            assert re.search(r"\d in\b", shown)


def test_what_is_too_fine_and_what_a_simpler_piece_loses_is_told_in_inches(tmp_path: Path) -> None:
    thin = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60">'
        '<path d="M10 10H40V29.9H60V10H90V50H60V30.1H40V50H10z" fill="#1b3a5c"/></svg>'
    )
    job = write_job(tmp_path, artwork=thin)
    shown = said("cut", job, "--out", tmp_path / "cut")
    assert "Too fine for its film" in shown
    assert "as drawn it cuts from" in shown
    assert not MILLIMETRES.search(shown)


def test_where_a_print_lies_is_still_known_in_inches_once_the_plan_is_read_back(
    tmp_path: Path,
) -> None:
    order, saved = written(tmp_path, [block("chest-left")]), tmp_path / "plan.json"
    assert run("plan", order, "--out", saved).exit_code == 0
    read = read_order_plan(saved)
    ((lies,),) = (one.lies for one in read.prints)
    assert str(lies.where) == ("90 mm below the collar, its middle 95 mm to the wearer's left")
    assert lies.where.shown(Units(inches=True)) == (
        "3.54 in below the collar, its middle 3.74 in to the wearer's left"
    )


def test_a_dial_is_refused_in_the_degrees_that_it_was_typed_in(tmp_path: Path) -> None:
    asked = ("shelf", "add", "press", "ours", "--platen", "380x380", "--store", tmp_path / "s.db")
    in_f = refusal(run(*asked, "--dial", "100-900F"))
    assert "its high end is 900 °F (482 °C); give 212 to 500 °F (100 to 260 °C)" in in_f
    in_c = refusal(run(*asked, "--dial", "60-500"))
    assert "its high end is 500 °C (932 °F); give 100 to 260 °C (212 to 500 °F)" in in_c
    assert "low end" not in in_f + in_c
    assert "the lower end comes first" in refusal(run(*asked, "--dial", "400-300F"))
