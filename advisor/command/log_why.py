"""Command log why: what a fault may come from, in the very plan that was pressed."""

from __future__ import annotations

from pathlib import Path

import click

from advisor import why_failed
from advisor.answers.records import LikelyCause, WhyFailed
from advisor.command import options
from advisor.command.planned import read_either_plan
from advisor.command.terminal import Terminal
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Plan
from rules.book.faults import FAULTS
from rules.errors import BadInputError, UnknownNameError
from rules.facts.text import Text
from rules.facts.units import Units

__all__ = ["why"]


@click.command("why")
@options.file_argument("plan_file", metavar="PLAN.json")
@click.option("--fault", required=True, metavar="|".join(FAULTS), help="What is wrong.")
@click.option("--print", "print_id", metavar="ID", help="Which print of an order it is.")
@options.as_json
@options.units
@options.shop
def why(plan_file: Path, fault: str, print_id: str | None, as_json: bool, units: Units) -> None:
    """Say what a fault may come from, the likeliest first, and what would cure it.

    The plan is taken as what was pressed: where something was done otherwise, write that into its
    steps first. Each change that is given was checked: the rule no longer objects to it, and no
    other does more.

    \b
      presslore log why PLAN.json --fault edge-lift
    """
    knowledge = options.shop_knowledge()
    plan = _meant(read_either_plan(plan_file), print_id, plan_file)
    with options.naming(plan_file):
        found = why_failed(plan, fault, knowledge=knowledge)
    if as_json:
        options.show_json(found)
        return
    press = knowledge.catalogue.press(plan.press)
    _show(Terminal(options.as_dialled(units, press)), found)


def _meant(plan: Plan | OrderPlan, print_id: str | None, plan_file: Path) -> Plan:
    if isinstance(plan, Plan):
        if print_id is not None:
            raise BadInputError(
                "is the plan of one print; leave --print out", source=f"{plan_file}"
            )
        return plan
    prints = {each.id: each.plan for each in plan.prints}
    if print_id is None:
        raise BadInputError(
            f"has several prints: say which with --print, of {', '.join(prints)}",
            source=f"{plan_file}",
        )
    if print_id not in prints:
        raise UnknownNameError("print", print_id, prints, source=f"{plan_file}")
    return prints[print_id]


def _show(out: Terminal, found: WhyFailed) -> None:
    out.line(f"{found.seen}: {found.job} on {', '.join(found.fabrics)}, {found.press}", "bold")
    for number, cause in enumerate(found.causes, 1):
        out.line()
        out.line(f"{number}  {cause.cause}{_by(cause)}", "bold")
        told = [f"look at: {cause.look_at}", f"{_lead(cause)}: {cause.change}"]
        out.lines(([cause.message] if cause.message else []) + [Text(one) for one in told])


def _by(cause: LikelyCause) -> str:
    """Which rule says so, or that it is practice."""
    if not cause.rule:
        return " (common practice; no plan tells it)"
    return f" ({cause.rule}: {cause.severity or 'content, with little to spare'})"


def _lead(cause: LikelyCause) -> str:
    if cause.proved:
        return "instead, and checked"
    return "find out" if cause.margin is not None and cause.margin.amount >= 0 else "instead"
