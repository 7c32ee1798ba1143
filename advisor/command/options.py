"""Options that several commands share, and what every command does with them."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import partial, wraps
from pathlib import Path
from typing import Any, TypeVar

import click
from click.core import ParameterSource
from pydantic import BaseModel

from advisor.job.saving import refuse_unwritable, save_file
from advisor.shop.knowledge import shop_knowledge as knowledge_of_shop
from rules.errors import BadInputError
from rules.facts.press import Press
from rules.facts.text import Text
from rules.facts.units import MM_PER_INCH, Units, f_to_c
from rules.knowledge import Knowledge

__all__ = [
    "Degrees",
    "Number",
    "Size",
    "Temperature",
    "area",
    "as_dialled",
    "as_json",
    "file",
    "file_argument",
    "garment_colour",
    "in_units",
    "listed",
    "naming",
    "prefer",
    "press",
    "refuse_unused",
    "refuse_unwritable",
    "save_file",
    "shop",
    "shop_folders",
    "shop_knowledge",
    "shop_store",
    "show_json",
    "size",
    "stack",
    "units",
    "units_asked_for",
]  # fmt: skip

Command = TypeVar("Command", bound=Callable[..., Any])

# The command opens its files itself, so that its own sentence says what is wrong with one.
file = partial(click.option, type=click.Path(path_type=Path))
file_argument = partial(click.argument, type=click.Path(path_type=Path))
as_json = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object and nothing else."
)
garment_colour = click.option(
    "--colour",
    metavar="NAME|#HEX",
    help="The garment's colour; its fabric's usual one without this.",
)
area = click.option(
    "--area",
    metavar="NAME",
    help="Where on the garment, such as back; its usual place without this.",
)
press = click.option(
    "--press", default="clamshell-38x38", show_default=True, metavar="ID", help="Which heat press."
)
prefer = click.option(
    "--prefer",
    type=click.Choice(["durable", "softest", "fastest", "cheapest"]),
    help="What matters most after safety.",
)


class Number(click.FloatRange):
    """A finite number, within limits where they are given; every number option is of this type."""

    def _describe_range(self) -> str:
        """Nothing in the help where there are no limits."""
        return "" if self.min is None and self.max is None else super()._describe_range()

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The number that was typed; ``nan`` is within no limits and beyond none."""
        number = float(super().convert(value, param, ctx))
        if not math.isfinite(number):
            self.fail(f"{value!r} is not a finite number.", param, ctx)
        return number


@dataclass(frozen=True, slots=True)
class Temperature:
    """A temperature as it was typed, with C or F after it or with neither."""

    number: float
    degrees: str = ""

    def in_units(self, units: Units) -> tuple[float, Units]:
        """The same in °C, and the units to speak of it in; a bare number is in the reader's.

        >>> Temperature(320).in_units(Units(fahrenheit=True))
        (160.0, Units(fahrenheit=True, inches=False))
        """
        if self.degrees == "F" or (units.fahrenheit and not self.degrees):
            return f_to_c(self.number), replace(units, fahrenheit=True)
        return self.number, units


class Degrees(click.ParamType[Temperature]):
    """A temperature as it is typed: a number, or one with C or F after it."""

    name = "degrees"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> Temperature:
        """What was typed."""
        typed = _WITH_DEGREES.fullmatch(str(value).strip())
        number = Number().convert(typed["number"] if typed else value, param, ctx)
        return Temperature(number, typed["degrees"].upper() if typed else "")


_WITH_DEGREES = re.compile(r"(?P<number>[-+.\d]+)\s*°?\s*(?P<degrees>[cCfF])")


@contextmanager
def in_units(units: Units) -> Iterator[None]:
    """Word a complaint about a value in these units."""
    try:
        yield
    except BadInputError as error:
        if not isinstance(error.reason, Text):
            raise
        reason = error.reason.shown(units)
        raise BadInputError(reason, source=error.source, field=error.field) from None


class Size(click.ParamType[tuple[float, float]]):
    """A width and a height as they are typed, in mm, or in inches with ``in`` after them."""

    name = "size"

    def convert(
        self, value: Any, param: click.Parameter | None, ctx: click.Context | None
    ) -> tuple[float, float]:
        """The size, mm."""
        typed = _WITH_HEIGHT.fullmatch(str(value).strip())
        if typed is None:
            self.fail(f"{value!r} is not written as WxH, such as 90x60 or 3.5x2.5in", param, ctx)
        # One unit, said once or after each, is of both; millimetres go without saying.
        said = {_UNITS[unit.lower()] for unit in (typed["first"], typed["unit"]) if unit}
        if len(said) > 1:
            self.fail(f"{value!r} is in two units; write both in mm or both in inches", param, ctx)
        factor = MM_PER_INCH if "in" in said else 1.0
        return float(typed["width"]) * factor, float(typed["height"]) * factor


_UNITS = {"mm": "mm", "in": "in", '"': "in"}
_NUMBER = r"\d+(?:\.\d+)?"
_WITH_HEIGHT = re.compile(
    rf'(?P<width>{_NUMBER})\s*(?P<first>mm|in|")?\s*[x×*]\s*'
    rf'(?P<height>{_NUMBER})\s*(?P<unit>mm|in|")?',
    re.IGNORECASE,
)
size = click.option(
    "--size", "size_mm", type=Size(), metavar="WxH",
    help="The print's width and height in mm (or 3.5x2.5in); one that fits without this.",
)  # fmt: skip


def stack(help_text: str) -> Callable[[Command], Command]:
    """Add ``--stack FILM,FILM…``; see `listed`."""
    return listed("--stack", "FILM,FILM…", help_text)


def listed(option: str, metavar: str, help_text: str) -> Callable[[Command], Command]:
    """Add an option of several words, handed on as a tuple, or as ``None`` without it."""

    def split(_: click.Context, __: click.Parameter, text: str | None) -> tuple[str, ...] | None:
        if text is None:
            return None
        words = [word.strip() for word in text.strip(", ").split(",")]
        if "" in words and len(words) > 1:
            raise BadInputError(
                f"{text!r} says nothing at place {words.index('') + 1}; write what belongs there, "
                "or take a comma out",
                source=option,
            )
        return tuple(word for word in words if word)

    return click.option(option, metavar=metavar, callback=split, help=help_text)


def shop(command: Command) -> Command:
    """Let ``--shop`` and ``--store`` stand after the command as well as before it."""

    def add(ctx: click.Context, _: click.Parameter, folders: tuple[str, ...]) -> None:
        ctx.meta["advisor.shop"] = (*ctx.meta.get("advisor.shop", ()), *folders)

    def keep(ctx: click.Context, _: click.Parameter, store: str | None) -> None:
        if store is not None:
            ctx.meta["advisor.store"] = store

    command = click.option(
        "--store",
        type=click.Path(),
        metavar="FILE",
        callback=keep,
        expose_value=False,
        help="Where the shop keeps what is its own.",
    )(command)
    return click.option(
        "--shop",
        multiple=True,
        type=click.Path(),
        metavar="DIR",
        callback=add,
        expose_value=False,
        help="A shop's own catalogue folder, laid over the built-in one.",
    )(command)


def units(command: Callable[..., None]) -> Callable[..., None]:
    """Add ``--fahrenheit`` and ``--inches``; the command is handed them as ``units``."""

    @wraps(command)
    def with_units(*args: Any, fahrenheit: bool, inches: bool, **options: Any) -> None:
        units = Units(fahrenheit=fahrenheit, inches=inches)
        with in_units(units):
            command(*args, units=units, **options)

    inches = click.option("--inches", is_flag=True, help="Lengths in inches.")
    fahrenheit = click.option(
        "--fahrenheit", is_flag=True,
        help="Temperatures in °F, as on a press whose dial reads them.",
    )  # fmt: skip
    return fahrenheit(inches(with_units))


def units_asked_for() -> Units:
    """The units that the command at work was asked to speak in."""
    given = click.get_current_context().params
    return Units(fahrenheit=bool(given.get("fahrenheit")), inches=bool(given.get("inches")))


def as_dialled(units: Units, press: Press) -> Units:
    """The reader's units, with temperatures as the dial reads that they are set on.

    >>> from rules.catalogue import load_catalogue
    >>> press = load_catalogue().press("clamshell-38x38")
    >>> as_dialled(Units(), press.model_copy(update={"dial_reads": "fahrenheit"})).fahrenheit
    True
    """
    return replace(units, fahrenheit=units.fahrenheit or press.dial_reads == "fahrenheit")


def shop_folders() -> tuple[Path, ...]:
    """The shop's catalogue folders as named on the command line or in the environment."""
    context = click.get_current_context()
    return tuple(Path(folder) for folder in context.meta.get("advisor.shop", ()))


def shop_store() -> Path | None:
    """The file of the shop's store, where one is named on the command line or the environment."""
    named = click.get_current_context().meta.get("advisor.store")
    return Path(named) if named else None


def shop_knowledge() -> Knowledge:
    """The rules, and the catalogue with the shop's store and its own folders laid over it."""
    return knowledge_of_shop(*shop_folders(), store=shop_store())


def refuse_unused(ctx: click.Context, because: str, *names: str) -> None:
    """Refuse options that have no say beside what else is given, instead of passing them over."""
    options = {param.name: param.opts[0] for param in ctx.command.params}
    given = [
        options[name]
        for name in names
        if ctx.get_parameter_source(name) is not ParameterSource.DEFAULT
    ]
    if given:
        raise BadInputError(f"{because}; leave out {', '.join(given)}")


@contextmanager
def naming(path: Path) -> Iterator[None]:
    """Name the file in a complaint about what it holds, where the complaint names none."""
    try:
        yield
    except BadInputError as error:
        raise (error if error.source else error.at(source=str(path))) from None


def show_json(answer: BaseModel | Mapping[str, Any]) -> None:
    """Print one JSON object, as UTF-8 wherever it goes."""
    if isinstance(answer, BaseModel):
        text = answer.model_dump_json(indent=2)
    else:
        text = json.dumps(answer, ensure_ascii=False, indent=2)
    click.echo(text.encode("utf-8") + b"\n", nl=False)
