"""Command shelf set, remove, count, export, import: the shop's own shelf changed and exchanged."""

from __future__ import annotations

from dataclasses import asdict
from pathlib import Path

import click

from advisor.command import options
from advisor.command.shelf_shown import value_line
from advisor.command.terminal import Terminal
from advisor.shop import acts
from rules.catalogue import load_catalogue
from rules.facts.film import Film

__all__ = ["acts", "bring_in", "count", "remove_entry", "set_value", "take_out"]

KINDS = click.Choice(["films", "fabrics", "garments", "presses", "sheets"])


@click.command("set", context_settings={"ignore_unknown_options": True})
@click.argument("name", metavar="ID")
@click.argument("field")
@click.argument("value")
@options.as_json
@options.shop
def set_value(name: str, field: str, value: str, as_json: bool) -> None:
    """Change one value of a thing on the shelf, such as its price, and leave the others.

    \b
      presslore shelf set matte-smooth price 6.20
      presslore shelf set matte-smooth metres 41.5
      presslore shelf set matte-smooth colour teal=#008080      (teal= takes it away)
      presslore shelf set our-glitter setpoint 310-320F
    """
    field, fact = acts.set_typed(name, field, value, store=options.shop_store())
    if as_json:
        options.show_json(fact)
    else:
        out = Terminal()
        out.line(f"{name}: {value_line(fact, field, out.units)}")


@click.command("remove")
@click.argument("name", metavar="ID")
@options.as_json
@options.shop
def remove_entry(name: str, as_json: bool) -> None:
    """Take what the shop entered of a thing off its shelf; what ships under that id stays."""
    ships = acts.remove(name, store=options.shop_store())
    left = ships.on_shelf_m if isinstance(ships, Film) else None
    stays = left is not None and left != load_catalogue().film(name).on_shelf_m
    if as_json:
        told = {"removed": name, "ships": ships is not None}
        options.show_json(told | ({"on_shelf_m": left} if stays else {}))
    elif ships is None:
        Terminal().line(f"{name} is off the shelf")
    elif stays:
        Terminal().line(
            f"{name} is again as it ships, but for its count: {left:g} m stay on the shelf, as "
            f"jobs took of it; `presslore shelf set {name} metres M` says what is there"
        )
    else:
        Terminal().line(f"{name} is again as it ships")


@click.command("count", context_settings={"ignore_unknown_options": True})
@click.argument("film")
@click.argument("by", metavar="±M", type=options.Number())
@options.as_json
@options.shop
def count(film: str, by: float, as_json: bool) -> None:
    """Count metres of a film up, or down as they are used.

    \b
      presslore shelf count matte-smooth +25
      presslore shelf count matte-smooth -1.2
    """
    left_m = acts.count_metres(film, by, store=options.shop_store())
    if as_json:
        options.show_json({"film": film, "by_m": by, "left_m": left_m})
    else:
        Terminal().line(f"{film}: {left_m:g} m on the shelf")


@click.command("export")
@options.file_argument("target", metavar="FILE.yaml|FILE.csv")
@click.option("--kind", type=KINDS, default="films", show_default=True, help="What a CSV lists.")
@options.as_json
@options.shop
def take_out(target: Path, kind: str, as_json: bool) -> None:
    """Write what the shop entered to a file: all of it as YAML, or one kind as CSV."""
    text, written = acts.taken_out(target, kind, store=options.shop_store())
    options.save_file(target, text)
    if as_json:
        options.show_json({"file": str(target), "entries": written})
    else:
        Terminal().line(f"wrote {written} of the shop's own entries to {target}")


@click.command("import")
@options.file_argument("source", metavar="FILE.yaml|FILE.csv")
@click.option("--kind", type=KINDS, default="films", show_default=True, help="What a CSV lists.")
@click.option("--metres", is_flag=True, help="Its metres are those that are there now.")
@options.as_json
@options.shop
def bring_in(source: Path, kind: str, metres: bool, as_json: bool) -> None:
    """Take in a list of entries, all of them or none; the same id takes the old one's place.

    The metres of a film that you have counted stay, since jobs took of it, unless you say --metres.
    """
    came = acts.bring_in(source, kind, store=options.shop_store(), counts=metres)
    if as_json:
        options.show_json({"file": str(source), **asdict(came)})
        return
    out = Terminal()
    out.line(f"took in {came.new} new entries and put {came.replaced} in the place of old ones")
    out.lines(
        (
            f"{film}: stays at the {there_m:g} m that were counted, not as the file says; "
            "--metres takes the file's"
            for film, there_m in came.counted.items()
        ),
        indent=2,
    )
