"""Prints planned: an order with several prints on a garment, as command plan shows and saves it."""

from __future__ import annotations

from pathlib import Path

from advisor.command.plan_shown import (
    show_cards,
    show_conflict,
    show_in_short,
    show_order_answer,
    show_refused,
)
from advisor.command.planned import (
    PlannedOrder,
    key_of_file,
    planned_order,
    with_film_to_buy,
)
from advisor.command.progress import waiting_shown
from advisor.command.terminal import Terminal
from advisor.job.records.order_plan import OrderPlan, PlannedPrint
from advisor.words.plan import capital_words
from rules.facts.text import and_list
from rules.facts.units import Units

__all__ = ["plan_prints", "show_prints", "spot_words"]

WISH_ANOTHER = (
    "Wish another film for one of them, one that bears more seconds or is pressed for fewer, or "
    "place it on another part of the garment: what lies on a sleeve is pressed by nothing else."
)

MOST_PEOPLE = 60
"""So many people are listed on a terminal; the ticket and --json list them all."""


def plan_prints(
    job_file: Path, *, prefer: str | None, seconds: float, afresh: bool, shown: bool
) -> PlannedOrder:
    """Plan an order; ``shown`` tells meanwhile what is waited for."""
    with waiting_shown("looking for the best plan of each print", shown=shown):
        made = planned_order(job_file, prefer=prefer, seconds=seconds, afresh=afresh)
    prints = made.prints.values()
    whole = with_film_to_buy(made.plan.whole, *prints, key=key_of_file(job_file))
    return made._replace(plan=made.plan.model_copy(update={"whole": whole}))


def show_prints(out: Terminal, made: PlannedOrder, *, why: bool) -> None:
    """The answer and the prints, their order of places, the press cards and who gets which."""
    plan, whole = made.plan, made.plan.whole
    press = made.catalogue.press(whole.press)
    show_order_answer(out, plan, made.again)
    show_conflict(out, whole, none=WISH_ANOTHER)
    _show_prints(out, plan)
    if whole.status != "planned":
        show_refused(out, whole)
        out.lines(whole.notes, indent=2)
        return
    _show_places(out, plan)
    show_cards(out, whole, press)
    _show_people(out, plan)
    if why:
        for laid in plan.laid:
            steps = (step for step in whole.steps if step.run == laid.run)
            out.steps(f"Run {laid.run}, every step", steps, press=press)
        out.bond_lines(whole.bond_lines)
        out.findings("Findings", whole.findings)
        out.lines(whole.notes, indent=2)
        return
    show_in_short(out, whole)


def _show_prints(out: Terminal, plan: OrderPlan) -> None:
    out.heading("Prints")
    rows = []
    for one in plan.prints:
        what = f"lettering of {one.lettering}" if one.lettering else one.plan.artwork
        high = capital_words(mm for piece in one.plan.pieces for mm in piece.capitals_mm)
        what += f", {high.shown(out.units)}" if high else ""
        films = and_list(f"{piece.colour} {piece.film}" for piece in one.plan.pieces) or "no plan"
        sizes = dict.fromkeys(out.units.size(lies.width_mm, lies.height_mm) for lies in one.lies)
        rows.append((one.id, what, " and ".join(sizes), spot_words(one, out.units), films))
    out.table(("print", "what", "size", "where", "films"), rows, whole=3)


def spot_words(one: PlannedPrint, units: Units) -> str:
    """Where a print lies, from what a person measures it.

    >>> from advisor.job.records.order_plan import LiesOn
    >>> low = LiesOn(line=0, area="back", top_mm=60, across_mm=0, width_mm=240, height_mm=180)
    >>> print_ = PlannedPrint.model_construct(at="back", lies=(low,))
    >>> spot_words(print_, Units())
    '60 mm below the upper edge of the back'
    """
    told: dict[str, list[int]] = {}
    for n, lies in enumerate(one.lies):
        told.setdefault(lies.where.shown(units), []).append(n)
    if len(told) == 1:
        return next(iter(told))
    lines = one.plan.print.lines
    return "; ".join(
        f"{and_list(dict.fromkeys(f'{lines[n].garment}' for n in at))}: {words}"
        for words, at in told.items()
    )


def _show_places(out: Terminal, plan: OrderPlan) -> None:
    out.heading("Order of places")
    for laid in plan.laid:
        sides: dict[int, list[str]] = {}
        for print_id, n in zip(laid.prints, laid.first_n, strict=True):
            sides.setdefault(n, []).append(print_id)
        order = ", then ".join(and_list(prints) for prints in sides.values())
        why = f": {laid.why}" if laid.why else ""
        out.lines([f"run {laid.run}: {order}{why}"], indent=2)


def _show_people(out: Terminal, plan: OrderPlan) -> None:
    """Who gets which, garment by garment in the order in which they are pressed."""
    if not plan.people:
        return
    out.heading("Who gets which")
    listed = plan.press_list()
    rows = [
        (
            "" if one.row is None else f"{one.row}",
            f"{one.quantity} × {one.worn}",
            *(one.says.get(column) or "–" for column in plan.told_apart),
            *(one.gets.get(column, "–") for column in plan.lettered),
        )
        for one in listed
    ]
    columns = ("row", "garment", *plan.told_apart, *plan.lettered)
    out.table(columns, rows[:MOST_PEOPLE], whole=len(columns))
    if len(rows) > MOST_PEOPLE:
        out.line(f"and {len(rows) - MOST_PEOPLE} more rows; --ticket and --json list them all")
