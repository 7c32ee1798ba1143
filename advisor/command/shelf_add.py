"""Command shelf add: a thing of the shop's own, by the few values that it must state."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

import click

from advisor.command import options
from advisor.command.shelf_edit import acts
from advisor.command.shelf_shown import show_added
from advisor.command.terminal import Terminal

__all__ = ["add"]

Command = Callable[..., None]


@click.group("add")
def add() -> None:
    """Put a thing of the shop's own on its shelf; what you do not say is proposed."""


def _stated(*values: tuple[str, str, str]) -> Callable[[Command], Command]:
    """Add an option for each value: its name, how it is written, what it is."""

    def with_options(command: Command) -> Command:
        for option, metavar, help_text in reversed(values):
            command = click.option(option, metavar=metavar, help=help_text)(command)
        command = click.argument("thing", metavar="ID")(command)
        more = click.option(
            "--value", "more", multiple=True, metavar="FIELD=VALUE",
            help="Any other value; `presslore shelf ID` names them.",
        )  # fmt: skip
        like = click.option("--like", metavar="ID", help="What the rest is proposed from.")
        called = click.option("--name", "name", metavar="TEXT", help="Its name in full.")
        return called(like(more(options.as_json(options.shop(command)))))

    return with_options


@add.command("film")
@_stated(
    ("--finish", "F", "What its face shows, such as matte or sparkle."),
    ("--setpoint", "C", "Degrees of its data sheet: 160, 150-165 or 320F."),
    ("--dwell", "S", "Seconds of its data sheet: 15 or 12-15."),
    ("--peel", "hot|warm|cold", "How its carrier comes off."),
    ("--family", "F", "Its family; one that we do not know counts as other."),
    ("--colour", "NAME=#HEX;…", "Its colours."),
    ("--price", "P", "Price per metre."),
    ("--metres", "M", "Metres on the shelf."),
    ("--pressure", "KPA", "Pressure on the platen: 30 or 20-45."),
)
def film(thing: str, as_json: bool, **given: Any) -> None:
    """Add a film by four values of its data sheet.

    \b
      presslore shelf add film our-glitter --finish sparkle --setpoint 320F --dwell 12 --peel warm
    """
    _add("films", thing, given, as_json)


@add.command("fabric")
@_stated(
    ("--fibres", "F=PCT;…", "Its fibres in percent: cotton=95;elastane=5."),
    ("--weight", "GSM", "Grams per square metre, or 5.5oz for ounces per square yard."),
    ("--construction", "WORD", "knit, woven, non-woven, felt, coated-sheet, foam-laminate."),
    ("--colour", "NAME=#HEX", "Its colour."),
    ("--coating", "WORD", "none, polyurethane, water-repellent, silicone, pvc."),
)
def fabric(thing: str, as_json: bool, **given: Any) -> None:
    """Add a fabric."""
    _add("fabrics", thing, given, as_json)


@add.command("garment")
@_stated(
    ("--fabric", "ID", "What it is made of."),
    ("--for", "WHO", "adult, child, infant or nobody."),
    ("--price", "P", "What one costs."),
    ("--areas", "NAME=WxH;…", "Its print areas in mm, the usual one first: front=300x400."),
)
def garment(thing: str, as_json: bool, **given: Any) -> None:
    """Add a garment."""
    _add("garments", thing, given, as_json)


@add.command("press")
@_stated(
    ("--platen", "WxD", "The platen in mm, such as 380x380, or in inches, 15x15in."),
    ("--dial", "LOW-HIGH", "What its dial can be set to: 60-215, or 140-420F."),
    ("--pressure", "L/M/F", "kPa at light, medium and firm, as 15/30/45; or unknown."),
)
def press(thing: str, as_json: bool, **given: Any) -> None:
    """Add a heat press, also one whose pressure nobody has measured."""
    _add("presses", thing, given, as_json)


@add.command("sheet")
@_stated(
    ("--kind", "cover|pad", "What it is for."),
    ("--thickness", "UM", "Micrometres, or 5mm."),
    ("--bears", "C", "The highest temperature that it bears."),
)
def sheet(thing: str, as_json: bool, **given: Any) -> None:
    """Add a cover sheet or a pad."""
    _add("sheets", thing, given, as_json)


def _add(kind: str, name: str, given: Mapping[str, Any], as_json: bool) -> None:
    texts = [(word, text) for word, text in given.items() if word not in _NOT_VALUES and text]
    for pair in given["more"]:
        word, _, text = pair.partition("=")
        texts.append((word, text))
    store = options.shop_store()
    entry, fact = acts.add_stated(kind, name, texts, like=given["like"], store=store)
    proposed = [field for field in fact.values() if fact.basis_of(field) == "proposed"]
    if as_json:
        options.show_json({**fact.model_dump(mode="json"), "proposed": proposed})
    else:
        show_added(Terminal(), entry, fact, proposed)


_NOT_VALUES = {"like", "more"}
