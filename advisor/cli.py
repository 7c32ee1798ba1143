"""Command line: finds a command by its name, loads it then, and turns errors into one line."""

from __future__ import annotations

import os
import sys
from importlib import import_module
from typing import Any, NamedTuple, NoReturn

import click

from rules.errors import PressloreError, nearest_names

__all__ = ["COMMANDS", "Entry", "cli", "main"]

ANSWERED, BAD_INPUT, OUR_MISTAKE, STOPPED = 0, 2, 70, 130
LONGEST_LINE = 2400
DEBUG = "PRESSLORE_DEBUG"


class Entry(NamedTuple):
    """A command: its name, which is its file's in `advisor.command`, and its line in the help."""

    name: str
    summary: str


COMMANDS = (
    Entry("look", "Which films give a wanted look, and which cannot."),
    Entry("plan", "Plan a job: films, order, press steps, cost."),
    Entry("check", "Judge a stack of films, or a plan edited by hand."),
    Entry("heat", "How hot every bond line gets, and for how long."),
    Entry("cut", "Cut files, mirrored at true size, with previews."),
    Entry("run", "A job is pressed: film goes off the shelf, its plan is kept."),
    Entry("log", "What became of what was pressed, after so many washes."),
    Entry("quote", "What an order is to cost, for you and for the customer."),
    Entry("rules", "The rules: what they ask, why, and what instead."),
    Entry("shelf", "Films, fabrics, garments, presses and sheets."),
    Entry("job", "Write, check and try out job files."),
    Entry("app", "Open the same questions as pages in the browser."),
)
"""Every command in the order of the help; a new one is one line here."""


class _Presslore(click.Group):
    """A group whose commands are loaded only when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        return [entry.name for entry in COMMANDS]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        if cmd_name not in self.list_commands(ctx):
            return None
        command: click.Command = import_module(f"advisor.command.{cmd_name}").command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        with formatter.section("Commands"):
            formatter.write_dl(COMMANDS)

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        if args and not args[0].startswith("-") and self.get_command(ctx, args[0]) is None:
            near = nearest_names(args[0], self.list_commands(ctx))
            hint = f"nearest: {', '.join(near)}" if near else "`presslore --help` lists them"
            raise click.UsageError(f"no command is called {args[0]!r}; {hint}", ctx)
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        # Here rather than in main, because click would answer these two in its own words.
        try:
            answer = super().invoke(ctx)
            sys.stdout.flush()
        except BrokenPipeError:
            _forget_output()
            raise click.exceptions.Exit(ANSWERED) from None
        except KeyboardInterrupt:
            _say("stopped")
            raise click.exceptions.Exit(STOPPED) from None
        return answer

    def main(self, *args: Any, **options: Any) -> NoReturn:
        options |= {"prog_name": options.get("prog_name") or "presslore", "standalone_mode": False}
        try:
            code = super().main(*args, **options)
            sys.exit(code if isinstance(code, int) else ANSWERED)
        except click.ClickException as error:
            _say(error.format_message(), _path(error))
            sys.exit(BAD_INPUT)
        except click.Abort:
            _say("stopped")
            sys.exit(STOPPED)
        except PressloreError as error:
            _say(str(error))
            sys.exit(BAD_INPUT)
        except OSError as error:
            place = f"{error.filename}: " if error.filename else ""
            _say(f"{place}{error.strerror or error}")
            sys.exit(BAD_INPUT)
        except Exception as error:
            if os.environ.get(DEBUG):
                raise
            _say(
                f"this is our mistake, not yours ({type(error).__name__}: {error}); set {DEBUG}=1 "
                "and run it again for the details to report"
            )
            sys.exit(OUR_MISTAKE)


def _path(error: click.ClickException) -> str:
    """The command as it was typed: one that is hidden is the group's own answer."""
    context = error.ctx if isinstance(error, click.UsageError) else None
    while context is not None and context.command.hidden and context.parent is not None:
        context = context.parent
    return context.command_path if context is not None else "presslore"


def _say(message: str, prefix: str = "presslore") -> None:
    """One line on standard error, whatever the message holds."""
    line = " ".join(message.split())
    line = "".join(letter if letter.isprintable() else "?" for letter in line)
    if len(line) > LONGEST_LINE:
        line = line[: LONGEST_LINE - 1] + "…"
    click.echo(f"{prefix}: {line}", err=True)


def _forget_output() -> None:
    """Point standard output at nothing, so that closing it at the end does not fail again."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())


@click.group(
    "presslore",
    cls=_Presslore,
    context_settings={"help_option_names": ["-h", "--help"]},
    no_args_is_help=False,
    invoke_without_command=True,
)
@click.option(
    "--shop",
    multiple=True,
    envvar="PRESSLORE_SHOP",
    type=click.Path(),
    metavar="DIR",
    help="A shop's own catalogue folder, laid over the built-in one (also PRESSLORE_SHOP).",
)
@click.option(
    "--store",
    envvar="PRESSLORE_STORE",
    type=click.Path(),
    metavar="FILE",
    help="Where the shop keeps what is its own (also PRESSLORE_STORE).",
)
@click.version_option(package_name="presslore", message="presslore %(version)s")
@click.pass_context
def cli(ctx: click.Context, shop: tuple[str, ...], store: str | None) -> None:
    """Presslore: which heat-applied films may lie over each other, and how to press them.

    Exit codes: 0 answered (also when the answer is stop or impossible), 2 bad input.
    """
    ctx.meta["advisor.shop"], ctx.meta["advisor.store"] = shop, store
    if ctx.invoked_subcommand is None:
        click.echo(ctx.get_help())


def main() -> NoReturn:
    """Run the command line on this process's arguments."""
    try:
        cli.main()
    except SystemExit as ended:
        if ended.code == STOPPED:
            # A search that has not ended yet would bring the interpreter down as it leaves.
            sys.stderr.flush()
            os._exit(STOPPED)
        raise


if __name__ == "__main__":
    main()
