"""Command check: a verdict on a stack of films, or on a plan file that someone edited."""

from __future__ import annotations

from pathlib import Path

import click

from advisor.answers.check import CheckReport, check
from advisor.command.options import (
    JOB_FILE,
    json_option,
    naming,
    press_option,
    shop_catalogue,
    shop_option,
    show_json,
    unit_options,
)
from advisor.job.plan_file import read_plan
from advisor.words.phrases import Units, cautions_last, named, piece_names
from rules.catalogue import Catalogue
from rules.errors import BadInputError

__all__ = ["command"]


@click.command("check")
@click.argument("plan_file", required=False, type=JOB_FILE, metavar="[PLAN.json]")
@click.option("--fabric", metavar="ID", help="The fabric, or the garment, that the stack lies on.")
@click.option("--stack", metavar="FILM,FILM…", help="The films, bottom first.")
@press_option
@json_option
@unit_options
@shop_option
@click.pass_context
def command(
    ctx: click.Context,
    plan_file: Path | None,
    fabric: str | None,
    stack: str | None,
    press: str,
    as_json: bool,
    fahrenheit: bool,
    inches: bool,
) -> None:
    """Judge a stack of films (bottom first) on a fabric, or a plan file.

    A stack is judged under the best press steps that we can give it; a plan file under its own.

    \b
      presslore check --fabric adult-tee --stack matte-smooth,sparkle-coarse
      presslore check PLAN.json
    """
    known = shop_catalogue()
    names: dict[str, str] = {}
    if plan_file is not None:
        given = [name for name, value in (("--fabric", fabric), ("--stack", stack)) if value]
        if ctx.get_parameter_source("press") is not click.core.ParameterSource.DEFAULT:
            given.append("--press")
        if given:
            raise BadInputError(f"a plan file says this itself; leave out {', '.join(given)}")
        plan = read_plan(plan_file)
        names = piece_names(plan)
        with naming(plan_file):
            report = check(plan, catalogue=known)
    else:
        if not fabric or stack is None:
            raise BadInputError(
                "give --fabric ID and --stack FILM,FILM… (bottom first), or a plan file"
            )
        films = [film.strip() for film in stack.split(",") if film.strip()]
        report = check(fabric=fabric, stack=films, press=press, catalogue=known)
    if as_json:
        show_json(report.model_dump_json(indent=2))
        return
    _show(report, names, known, Units(fahrenheit=fahrenheit, inches=inches))


def _show(report: CheckReport, names: dict[str, str], known: Catalogue, units: Units) -> None:
    from advisor.command import terminal

    console = terminal.make_console()
    label = f"{' + '.join(report.films)} on {report.fabric}"
    terminal.show_verdict(console, report.verdict, label=label)
    findings, cautions = cautions_last(named(report.findings, names))
    if findings:
        terminal.show_heading(console, "Findings")
        terminal.show_findings(console, findings, units=units)
    given = "as given" if report.steps_given else "the best that we can give this stack"
    terminal.show_heading(console, f"Steps judged ({given})")
    terminal.show_steps(
        console, report.steps, names=names, press=known.press(report.press), units=units
    )
    if report.bond_lines:
        terminal.show_heading(console, "Heat at the bond lines")
        terminal.show_bond_lines(console, report.bond_lines, units=units, names=names)
    if cautions:
        terminal.show_heading(console, "Cautions")
        terminal.show_findings(console, cautions, units=units)
