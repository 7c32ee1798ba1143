"""Command heat: temperatures at every bond line of a plan or a stack, or through plain layers."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click

from advisor.answers.heat import heat_report
from advisor.answers.judge_plan import pressed_prints
from advisor.command import options
from advisor.command.heat_calibrate import calibrate
from advisor.command.heat_shown import show_layers, show_report
from advisor.command.planned import read_plan
from advisor.command.terminal import Terminal
from advisor.heat.plain_layers import plain_layers
from advisor.heat.records import HeatReport
from advisor.heat.trial import stack_schedule
from rules.catalogue import Catalogue
from rules.catalogue.documents import file_text, parse_json
from rules.errors import BadInputError
from rules.facts.film import Film
from rules.facts.units import Units
from rules.knowledge import Knowledge

__all__ = ["command"]

LARGEST_LAYERS_BYTES = 1_000_000


class _Heat(click.Group):
    """A group that answers ``heat …`` itself and knows ``heat calibrate`` beside it."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not args or args[0] not in (*self.commands, "--help", "-h"):
            args = ["over", *args]
        return super().parse_args(ctx, args)


@click.group("heat", cls=_Heat, subcommand_metavar="[PLAN.json] [OPTIONS] | calibrate …")
def command() -> None:
    """How hot every bond line gets, and when each adhesive softens and bonds.

    \b
      presslore heat PLAN.json
      presslore heat --stack matte-smooth,sparkle-coarse --fabric cotton-jersey-tee
                     --setpoint 160 --dwell 15 --cover ptfe-cover --plot heat.svg
      presslore heat --layers LAYERS.json --json
      presslore heat calibrate READINGS.csv --press ID --fabric ID
    """


command.add_command(calibrate)


@command.command("over", hidden=True)
@options.file_argument("plan_file", required=False, metavar="[PLAN.json]")
@options.stack("The films, bottom first.")
@click.option("--fabric", metavar="ID", help="The fabric, or the garment, that the stack lies on.")
@click.option(
    "--setpoint",
    "setpoint",
    type=options.Degrees(),
    metavar="DEGREES",
    help="The dial, as it reads; or 160C, 320F.",
)
@click.option(
    "--dwell", "dwell_s", type=options.Number(), metavar="S", help="The full press, seconds."
)
@click.option("--cover", metavar="ID", help="The cover sheet of the full press.")
@options.file("--layers", "layers_file", metavar="FILE", help="Plain layers, JSON.")
@options.file("--plot", "plot_file", metavar="FILE", help="Draw it: .svg or .png.")
@options.press
@options.as_json
@options.units
@options.shop
@click.pass_context
def over(
    ctx: click.Context,
    plan_file: Path | None,
    stack: tuple[str, ...] | None,
    fabric: str | None,
    setpoint: options.Temperature | None,
    dwell_s: float | None,
    cover: str | None,
    layers_file: Path | None,
    plot_file: Path | None,
    press: str,
    as_json: bool,
    units: Units,
) -> None:
    """Heat over the schedule of a plan, of a stack, or through plain layers."""
    if sum(given is not None for given in (plan_file, stack, layers_file)) != 1:
        raise BadInputError("give a plan file, or --stack with --fabric, or --layers")
    of_stacks = ("fabric", "setpoint", "dwell_s", "cover", "press")
    if layers_file is not None:
        options.refuse_unused(ctx, "plain layers stand alone", *of_stacks, "plot_file")
        _answer_layers(layers_file, as_json=as_json)
        return
    knowledge = options.shop_knowledge()
    known = knowledge.catalogue
    if plan_file is not None:
        options.refuse_unused(ctx, "a plan file says this itself", *of_stacks)
        runs = _plan_reports(plan_file, knowledge)
    elif fabric:
        on = known.press(press)
        units = options.as_dialled(units, on)
        setpoint_c = None
        if setpoint is not None:
            setpoint_c, units = setpoint.in_units(units)
        with options.in_units(units):
            schedule = stack_schedule(
                [_film(name, known) for name in stack or ()],
                fabric=known.fabric(fabric),
                press=on,
                sheets=known.sheets,
                setpoint_c=setpoint_c,
                dwell_s=dwell_s,
                cover=cover,
                materials=known.materials,
            )
        runs = [(0, heat_report(schedule, [tuple(schedule.films)], knowledge=knowledge))]
    else:
        raise BadInputError("name the fabric that the stack lies on", field="--fabric")
    if plot_file is not None:
        from advisor.words.heat_plot import plot

        plot(runs[0][1], plot_file, fahrenheit=units.fahrenheit)
    if not as_json:
        for run, report in runs:
            show_report(Terminal(units), report, run=run)
    elif plan_file is None:
        options.show_json(runs[0][1])
    else:
        options.show_json(
            {"runs": [{"run": n, **report.model_dump(mode="json")} for n, report in runs]}
        )


def _film(name: str, known: Catalogue) -> Film:
    """A film as a stack names it: heat needs no colour of it, but it must be one of its own."""
    word, colon, colour = name.partition(":")
    film = known.film(word)
    if colon:
        known.film_colour(colour, film)
    return film


def _plan_reports(plan_file: Path, knowledge: Knowledge) -> list[tuple[int, HeatReport]]:
    """Every run of a plan, by its number, on each of its fabrics."""
    plan = read_plan(plan_file)
    if not plan.runs:
        raise BadInputError("has no steps to follow heat through", source=str(plan_file))
    reports = []
    for run in plan.runs:
        for pressed in pressed_prints(plan, run, knowledge.catalogue):
            report = heat_report(pressed.schedule, pressed.columns, knowledge=knowledge)
            reports.append((run.run, report))
    return reports


def _answer_layers(path: Path, *, as_json: bool) -> None:
    document = _read_layers(path)
    try:
        answer = plain_layers(document)
    except BadInputError as error:
        raise error.at(source=str(path)) from None
    if as_json:
        options.show_json(answer)
    else:
        show_layers(Terminal(), document, answer)


def _read_layers(path: Path) -> dict[str, Any]:
    text = file_text(path, most_bytes=LARGEST_LAYERS_BYTES, kind="a list of layers")
    document = parse_json(text, source=str(path))
    if not isinstance(document, dict):
        raise BadInputError("is not an object with layers", source=str(path))
    return document
