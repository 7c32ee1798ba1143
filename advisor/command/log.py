"""Command log: what became of what was pressed, after so many washes."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path
from typing import Any

import click

from advisor.command import options
from advisor.command.log_why import why
from advisor.command.planned import read_either_plan
from advisor.command.terminal import Terminal
from advisor.job.records.order_plan import OrderPlan
from advisor.shop.log import (
    all_logged,
    keep_logged,
    logged_as_typed,
    pressed_by_plan,
    pressed_stack,
    remove_logged,
    tallied,
)
from advisor.shop.records import BondTally, LoggedBond, LoggedPress
from rules.book.outcomes import OUTCOMES
from rules.errors import BadInputError
from rules.facts.units import Units

__all__ = ["command"]


@click.group("log")
def command() -> None:
    """Keep what became of samples and garments, what that says of each bond line, and why."""


command.add_command(why)


@command.command("add")
@options.file_argument("plan_file", required=False, metavar="[PLAN.json]")
@click.option("--fabric", metavar="ID", help="The fabric, or the garment, that it was pressed on.")
@options.stack("The films, bottom first.")
@options.press
@click.option(
    "--setpoint",
    type=options.Degrees(),
    metavar="DEGREES",
    help="What the dial said at the full press, as it reads; or 160C, 320F.",
)
@click.option(
    "--dwell",
    "dwell_s",
    type=options.Number(),
    metavar="S",
    help="Seconds of the full press; of all of them together, where there were several.",
)
@click.option("--outcome", required=True, metavar="|".join(OUTCOMES), help="What became of it.")
@click.option(
    "--line", "lines", multiple=True, metavar="FILM-on-WHAT=OUTCOME",
    help="What became of one bond line, where it is another than of the rest.",
)  # fmt: skip
@click.option("--washes", required=True, metavar="N", help="How often each garment was washed.")
@click.option(
    "--garments", default="1", show_default=True, metavar="N", help="How many there were."
)
@click.option("--note", default="", metavar="TEXT", help="What else there is to say of it.")
@click.option("--when", metavar="YYYY-MM-DD", help="The day of the press; today without this.")
@options.as_json
@options.units
@options.shop
def add(
    plan_file: Path | None,
    fabric: str | None,
    stack: tuple[str, ...] | None,
    press: str,
    setpoint: options.Temperature | None,
    dwell_s: float | None,
    as_json: bool,
    units: Units,
    **typed: Any,
) -> None:
    """Log what became of a stack (bottom first) or of what a plan presses.

    \b
      presslore log add --fabric adult-tee --stack matte-smooth,sparkle-coarse \\
        --outcome sound --line sparkle-coarse-on-matte-smooth=edge-lift --washes 5
      presslore log add PLAN.json --outcome sound --washes 25 --garments 7
    """
    known = options.shop_knowledge().catalogue
    if plan_file is not None:
        options.refuse_unused(
            click.get_current_context(), "a plan file says this itself", "stack", "press",
            "setpoint", "dwell_s",
        )  # fmt: skip
        plan = read_either_plan(plan_file)
        with options.naming(plan_file):
            whole = plan.whole if isinstance(plan, OrderPlan) else plan
            untold = pressed_by_plan(whole, fabric, known)
    elif fabric and stack is not None:
        setpoint_c = None
        if setpoint is not None:
            setpoint_c, _ = setpoint.in_units(options.as_dialled(units, known.press(press)))
        untold = pressed_stack(fabric, stack, press, known, setpoint_c=setpoint_c, dwell_s=dwell_s)
    else:
        raise BadInputError(
            "give --fabric ID and --stack FILM,FILM… (bottom first), or a plan file"
        )
    kept = keep_logged(logged_as_typed(untold, **typed), store=options.shop_store())
    if as_json:
        options.show_json(_document(kept))
        return
    out = Terminal()
    out.line(f"logged as number {kept.number}: {_pressed(kept)}", "bold")
    out.lines((f"{_line(bond)}: {OUTCOMES[bond.outcome]}" for bond in kept.bonds), indent=2)
    if len(kept.bonds) > 1 and typed["outcome"] != "sound" and not typed["lines"]:
        out.line("that counts against each of these bond lines; --line says it of one")


@command.command("show")
@click.option("--film", metavar="ID", help="Only what has this film in it.")
@click.option("--fabric", metavar="ID", help="Only what was pressed on this fabric, or garment.")
@options.as_json
@options.shop
def show(film: str | None, fabric: str | None, as_json: bool) -> None:
    """What is logged, the newest first, and how each bond line did over all of that."""
    known = options.shop_knowledge().catalogue
    store = options.shop_store()
    # What was logged of a film that is gone can still be asked for by its id.
    kept = {name for one in all_logged(store=store) for name in _names(one)}
    film = film if film is None or film in kept else known.film(film).id
    if fabric is not None and fabric not in kept:
        fabric = known.fabric(fabric).id.partition(":")[0]
    logged = all_logged(film=film, fabric=fabric, store=store)
    tallies = [
        tally for tally in tallied(logged) if film is None or film in (tally.film, tally.below)
    ]
    if as_json:
        options.show_json({
            "logged": [_document(one) for one in logged],
            "bond_lines": [asdict(tally) for tally in tallies],
        })  # fmt: skip
        return
    out = Terminal()
    if not logged:
        out.line("nothing is logged of that" if film or fabric else "nothing is logged")
        return
    rows = [
        (f"{one.number}", f"{one.pressed_on}", _pressed(one), _became(one), one.note)
        for one in logged
    ]
    out.table(("number", "pressed on", "what", "outcome", "note"), rows, whole=2)
    out.heading("By bond line")
    out.lines((_told(tally) for tally in tallies), indent=2)
    out.line("`presslore log remove NUMBER` takes one out again")


@command.command("remove")
@click.argument("number", type=click.IntRange(min=1), metavar="NUMBER")
@options.as_json
@options.shop
def remove(number: int, as_json: bool) -> None:
    """Take what is logged under a number of `log show` out again."""
    was = remove_logged(number, store=options.shop_store())
    if as_json:
        options.show_json({**_document(was), "removed": True})
    else:
        Terminal().line(f"number {number} is out of the log: {_pressed(was)}, {_became(was)}")


def _names(one: LoggedPress) -> set[str]:
    return {one.fabric, *(name for bond in one.bonds for name in (bond.film, bond.below))}


def _document(one: LoggedPress) -> dict[str, Any]:
    return {**asdict(one), "pressed_on": f"{one.pressed_on}"}


def _line(bond: LoggedBond | BondTally) -> str:
    return f"{bond.film} on {bond.below}"


def _pressed(one: LoggedPress) -> str:
    times = "garment" if one.garments == 1 else "garments"
    films = ", ".join(_line(bond) for bond in one.bonds)
    return f"{one.garments} {times} of {films}; {one.fabric}, {one.press}, {one.washes} washes"


def _became(one: LoggedPress) -> str:
    """What became of it, with the bond line where not all of them fared alike."""
    if len({bond.outcome for bond in one.bonds}) == 1:
        return one.bonds[0].outcome
    return ", ".join(f"{_line(bond)} {bond.outcome}" for bond in one.bonds)


def _told(tally: BondTally) -> str:
    return (
        f"{_line(tally)} ({tally.fabric}, {tally.press}): {tally.sound} of {tally.trials} sound "
        f"after {tally.washes} washes or more: at least {tally.at_least:.2f} of them last, at "
        f"{tally.confidence * 100:.0f} %"
    )
