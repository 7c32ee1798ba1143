"""Command check: a verdict on a stack of films, or on a plan file that someone edited."""

from __future__ import annotations

from pathlib import Path

import click

from advisor import check
from advisor.answers.records import CheckReport
from advisor.command import options
from advisor.command.planned import read_either_plan
from advisor.command.terminal import Terminal, stack_line
from advisor.job.records.order_plan import OrderPlan
from advisor.words.plan import cautions_last, piece_names
from rules.errors import BadInputError
from rules.facts.press import Press
from rules.facts.step import Meets
from rules.facts.units import Units

__all__ = ["command"]


@click.command("check")
@options.file_argument("plan_file", required=False, metavar="[PLAN.json]")
@click.option("--fabric", metavar="ID", help="The fabric, or the garment, that the stack lies on.")
@options.garment_colour
@options.stack("The films, bottom first, each as ID or ID:colour.")
@options.listed(
    "--meets",
    "WAY,WAY…",
    "How each film meets the one below, bottom first: lap (as it is without this), inset-under, "
    "inset-over or butt.",
)
@options.size
@options.area
@options.press
@options.as_json
@options.units
@options.shop
@click.pass_context
def command(
    ctx: click.Context,
    plan_file: Path | None,
    fabric: str | None,
    colour: str | None,
    stack: tuple[str, ...] | None,
    meets: tuple[Meets, ...] | None,
    size_mm: tuple[float, float] | None,
    area: str | None,
    press: str,
    as_json: bool,
    units: Units,
) -> None:
    """Judge a stack of films (bottom first) on a fabric, or a plan file.

    A stack is judged under the best press steps that we can give it; a plan file under its own.

    \b
      presslore check --fabric adult-tee --stack matte-smooth,sparkle-coarse
      presslore check --fabric adult-tee --stack sparkle-coarse,matte-smooth --meets inset-under
      presslore check --fabric drawstring-bag --colour white --stack matte-smooth:navy
      presslore check --fabric adult-tee --stack foam-raised --size 90x60 --area back
      presslore check PLAN.json
    """
    knowledge = options.shop_knowledge()
    known = knowledge.catalogue
    names: dict[str, str] = {}
    if plan_file is not None:
        options.refuse_unused(
            ctx, "a plan file says this itself", "fabric", "colour", "stack", "meets", "size_mm",
            "area", "press",
        )  # fmt: skip
        plan = read_either_plan(plan_file)
        names = piece_names(plan.whole if isinstance(plan, OrderPlan) else plan)
        with options.naming(plan_file):
            report = check(plan, knowledge=knowledge)
    elif fabric and stack is not None:
        report = check(
            fabric=fabric,
            colour=colour,
            stack=stack,
            meets=meets,
            size_mm=size_mm,
            area=area,
            press=press,
            knowledge=knowledge,
        )
    else:
        raise BadInputError(
            "give --fabric ID and --stack FILM,FILM… (bottom first), or a plan file"
        )
    if as_json:
        options.show_json(report)
    else:
        on = known.press(report.press)
        _show(Terminal(options.as_dialled(units, on), names=names), report, on)


def _show(out: Terminal, report: CheckReport, press: Press) -> None:
    out.verdict(report.verdict, label=f"{_laid(report)} on {report.fabric}")
    findings, cautions = cautions_last(report.findings)
    out.findings("Findings", findings)
    if report.notes:
        out.heading("Worth a look")
        out.lines((f"· {note}" for note in report.notes), indent=2)
    given = "as given" if report.steps_given else "the best that we can give this stack"
    out.steps(f"Steps judged ({given})", report.steps, press=press)
    out.bond_lines(report.bond_lines)
    out.findings("Cautions", cautions)


def _laid(report: CheckReport) -> str:
    """The films bottom first; with how they meet where that is not all laps."""
    if set(report.meets) <= {"lap"}:
        return " + ".join(report.films)
    return stack_line(report.films, report.meets)
