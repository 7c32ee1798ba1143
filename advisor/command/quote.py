"""Command quote: what an order is to cost, for the shop with its figures or for the customer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict
from decimal import Decimal
from pathlib import Path
from typing import Any

import click

from advisor.command import options
from advisor.command.planned import key_of_file, planned_job, planned_order, taken_by
from advisor.command.progress import say_stopped
from advisor.command.terminal import Terminal
from advisor.job.records.job import Rates, has_prints, job_document
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Plan
from advisor.shop.pricing import (
    BY_GARMENT,
    CustomerQuote,
    Quote,
    all_figures,
    by_quantity,
    keep_figures,
    kept_figures,
    quote,
    quote_page,
    shown_in,
)
from rules.errors import BadInputError
from rules.facts.units import Units

__all__ = ["command"]

MOST_NEST_S = 600.0


@click.command("quote")
@options.file_argument("job_file", metavar="[JOB.yaml]", required=False)
@options.file("--plan", "plan_file", metavar="PLAN.json", help="Quote this plan.")
@click.option("--customer", is_flag=True, help="As the customer gets it, without your figures.")
@options.file("--page", metavar="FILE.html", help="Write the customer's page, to print or send.")
@click.option("--locale", default="en", show_default=True, help="How amounts are written.")
@click.option(
    "--nest",
    "nest_seconds",
    type=options.Number(0, MOST_NEST_S),
    default=0.0,
    metavar="SECONDS",
    help="Nest the order for so long. 0: as it was cut with --nest, or an estimate by bounding "
    "rectangles where nobody has.",
)
@click.option("--figures", is_flag=True, help="Show what your quotes reckon with.")
@click.option(
    "--set",
    "changes",
    multiple=True,
    metavar="FIGURE=VALUE",
    help="Keep a figure for every quote, such as margin_pct=35 or breaks=1,12,48.",
)
@options.units
@options.prefer
@options.as_json
@options.shop
def command(
    job_file: Path | None,
    plan_file: Path | None,
    customer: bool,
    page: Path | None,
    locale: str,
    nest_seconds: float,
    figures: bool,
    changes: tuple[str, ...],
    prefer: str | None,
    units: Units,
    as_json: bool,
) -> None:
    """Quote a job before tax: film, cutting, weeding, pressing, garments, set-up, margin.

    \b
      presslore quote kites/crew-tees.yaml
      presslore quote kites/crew-tees.yaml --customer --page quote.html
      presslore quote --set margin_pct=35 --set breaks=1,12,48
    """
    store = options.shop_store()
    kept = keep_figures(_changes(changes), store=store) if changes else kept_figures(store)
    if job_file is None:
        if not figures and not changes:
            raise BadInputError("name the job to quote, or ask for --figures")
        told = all_figures(kept, Rates())
        if as_json:
            options.show_json(_values(told))
        else:
            _show_figures(Terminal(), told)
        return
    shown_in(Decimal(0), "EUR", locale)
    if has_prints(job_document(job_file)):
        order = planned_order(job_file, plan_file, prefer=prefer)
        given: Plan | OrderPlan = order.plan
        rates, known = order.order.rates, order.catalogue
        prints = order.prints.values() if order.plan.whole.status == "planned" else ()
        with options.naming(job_file):
            key = key_of_file(job_file)
            taken = taken_by(*prints, key=key, seconds=nest_seconds)
    else:
        made = planned_job(job_file, plan_file, prefer=prefer)
        given, rates, known = made.plan, made.job.rates, made.catalogue
        with options.naming(job_file):
            key = key_of_file(job_file)
            taken = taken_by(made, key=key, seconds=nest_seconds)
    if any(roll.interrupted for roll in taken.rolls):
        say_stopped()
    with options.naming(job_file):
        # Only here, since figures need nothing of what judges a plan.
        from advisor import line_by_line

        plan = line_by_line(given, options.shop_knowledge())
        whole = quote(plan, taken, rates=rates, figures=kept, catalogue=known)
    if page is not None:
        options.save_file(page, quote_page(whole.for_customer, locale=locale))
    if customer:
        if as_json:
            options.show_json(_plain(asdict(whole.for_customer)))
        else:
            _show(Terminal(units), whole.for_customer, locale)
        return
    short = taken.to_buy(known)
    told = all_figures(kept, rates)
    if as_json:
        document = _plain(asdict(whole)) | {"to_buy": [str(one) for one in short]}
        options.show_json(document | ({"figures": _values(told)} if figures else {}))
        return
    out = Terminal(units)
    _show(out, whole, locale)
    if short:
        out.heading("To buy first")
        out.lines(short, indent=2)
    if figures:
        out.heading("Figures that it reckons with")
        _show_figures(out, told)


def _changes(given: tuple[str, ...]) -> dict[str, str]:
    changes = {}
    for pair in given:
        name, equals, value = pair.partition("=")
        if not equals:
            raise BadInputError(f"{pair!r} is not written as FIGURE=VALUE", source="--set")
        changes[name.strip()] = value
    return changes


def _values(told: Mapping[str, tuple[Any, str]]) -> dict[str, Any]:
    return {name: value for name, (value, _) in told.items()}


def _show_figures(out: Terminal, told: Mapping[str, tuple[Any, str]]) -> None:
    rows = [
        (name, ", ".join(map(str, value)) if isinstance(value, tuple) else f"{value:g}", says)
        for name, (value, says) in told.items()
    ]
    out.table(("figure", "is", "who says it"), rows, whole=2)


def _plain(value: Any) -> Any:
    """Amounts as numbers, which JSON has no other kind of."""
    if isinstance(value, Decimal):
        return float(value)
    if isinstance(value, dict):
        return {name: _plain(each) for name, each in value.items()}
    return [_plain(each) for each in value] if isinstance(value, list | tuple) else value


def _show(out: Terminal, answer: Quote | CustomerQuote, locale: str) -> None:
    def money(amount: Decimal) -> str:
        # Not every terminal shows the blanks that hold a number and its sign together.
        return " ".join(shown_in(amount, answer.currency, locale).split())

    out.line(
        f"{answer.job}: {money(answer.total)} for {answer.quantity} garments, before tax", "bold"
    )
    items = [
        (item.what, str(item.quantity), money(item.each), money(item.amount))
        for item in answer.items
    ]
    out.table(("garment", "pieces", "each", "amount"), items)
    if isinstance(answer, Quote):
        out.heading("What the price is made of")
        out.table(
            ("part", "amount", "comes from"),
            [(line.what, money(line.amount), line.basis) for line in answer.lines],
            whole=2,
        )
    out.heading(by_quantity(answer.items))
    rows = [
        (str(at.quantity), BY_GARMENT if at.each is None else money(at.each), money(at.total))
        for at in answer.breaks
    ]
    out.table(("garments", "each", "all"), rows, whole=3)
