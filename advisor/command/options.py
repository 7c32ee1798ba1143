"""Options that several commands share: JSON, the shop's catalogue, units."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, TypeVar

import click

from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError

__all__ = [
    "JOB_FILE",
    "json_option",
    "naming",
    "prefer_option",
    "press_option",
    "shop_catalogue",
    "shop_folders",
    "shop_option",
    "show_json",
    "unit_options",
]  # fmt: skip

Command = TypeVar("Command", bound=Callable[..., Any])

JOB_FILE = click.Path(path_type=Path)
"""A file that the command opens itself, so that its own sentence says what is wrong with it."""

json_option = click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object and nothing else."
)
press_option = click.option(
    "--press", default="clamshell-38x38", show_default=True, metavar="ID", help="Which heat press."
)
prefer_option = click.option(
    "--prefer",
    type=click.Choice(["durable", "softest", "fastest", "cheapest"]),
    help="What matters most after safety.",
)


def shop_option(command: Command) -> Command:
    """Let ``--shop`` stand after the command as well as before it."""

    def add(ctx: click.Context, _: click.Parameter, folders: tuple[str, ...]) -> None:
        ctx.meta["advisor.shop"] = (*ctx.meta.get("advisor.shop", ()), *folders)

    return click.option(
        "--shop",
        multiple=True,
        type=click.Path(),
        metavar="DIR",
        callback=add,
        expose_value=False,
        help="A shop's own catalogue folder, laid over the built-in one.",
    )(command)


def unit_options(command: Command) -> Command:
    """Add ``--fahrenheit`` and ``--inches``."""
    inches = click.option("--inches", is_flag=True, help="Lengths in inches.")
    return click.option("--fahrenheit", is_flag=True, help="Temperatures in °F.")(inches(command))


def shop_folders() -> tuple[Path, ...]:
    """The shop's catalogue folders as named on the command line or in the environment."""
    context = click.get_current_context()
    return tuple(Path(folder) for folder in context.meta.get("advisor.shop", ()))


def shop_catalogue() -> Catalogue:
    """The built-in catalogue with the shop's own folders laid over it."""
    return load_catalogue(*shop_folders())


@contextmanager
def naming(path: Path) -> Iterator[None]:
    """Name the file in a complaint about what it holds, where the complaint names none."""
    try:
        yield
    except BadInputError as error:
        raise (error if error.source else error.at(source=str(path))) from None


def show_json(text: str) -> None:
    """Print one JSON object, as UTF-8 wherever it goes."""
    click.echo(text.rstrip("\n").encode("utf-8") + b"\n", nl=False)
