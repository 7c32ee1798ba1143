"""Command heat: temperatures at every bond line, plain layers, and calibrating a press."""

from __future__ import annotations

import json
from pathlib import Path

import click

from advisor.command.options import (
    JOB_FILE,
    json_option,
    press_option,
    shop_catalogue,
    shop_option,
    show_json,
    unit_options,
)
from advisor.words.phrases import Units
from rules.catalogue import Catalogue
from rules.errors import BadInputError

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


@command.command("over", hidden=True)
@click.argument("plan_file", required=False, type=JOB_FILE, metavar="[PLAN.json]")
@click.option("--stack", metavar="FILM,FILM…", help="The films, bottom first.")
@click.option("--fabric", metavar="ID", help="The fabric, or the garment, that the stack lies on.")
@click.option("--setpoint", "setpoint_c", type=float, metavar="°C", help="The dial, °C.")
@click.option("--dwell", "dwell_s", type=float, metavar="S", help="The full press, seconds.")
@click.option("--cover", metavar="ID", help="The cover sheet of the full press.")
@click.option("--layers", "layers_file", type=JOB_FILE, metavar="FILE", help="Plain layers, JSON.")
@click.option("--plot", "plot_file", type=JOB_FILE, metavar="FILE", help="Draw it: .svg or .png.")
@press_option
@json_option
@unit_options
@shop_option
@click.pass_context
def over(
    ctx: click.Context,
    plan_file: Path | None,
    stack: str | None,
    fabric: str | None,
    setpoint_c: float | None,
    dwell_s: float | None,
    cover: str | None,
    layers_file: Path | None,
    plot_file: Path | None,
    press: str,
    as_json: bool,
    fahrenheit: bool,
    inches: bool,
) -> None:
    """Heat over the schedule of a plan, of a stack, or through plain layers."""
    given = [name for name in (plan_file, stack, layers_file) if name is not None]
    if len(given) != 1:
        raise BadInputError("give a plan file, or --stack with --fabric, or --layers")
    _refuse_unused(ctx, plan_file, layers_file)
    if layers_file is not None:
        _layers(layers_file, as_json=as_json)
        return
    from advisor.answers.heat import heat_report
    from advisor.heat.trial import stack_schedule

    known = shop_catalogue()
    if plan_file is not None:
        _plan(plan_file, plot_file, known, as_json, Units(fahrenheit=fahrenheit, inches=inches))
        return
    if not fabric or stack is None:
        raise BadInputError("name the fabric that the stack lies on", field="--fabric")
    films = [known.film(name.strip()) for name in stack.split(",") if name.strip()]
    schedule = stack_schedule(
        films,
        fabric=known.fabric(fabric),
        press=known.press(press),
        sheets=known.sheets,
        setpoint_c=setpoint_c,
        dwell_s=dwell_s,
        cover=cover,
        materials=known.materials,
    )
    report = heat_report(schedule, [tuple(schedule.films)], materials=known.materials)
    if plot_file is not None:
        from advisor.words.heat_plot import plot

        plot(report, plot_file, fahrenheit=fahrenheit)
    if as_json:
        show_json(report.model_dump_json(indent=2))
        return
    from advisor.command.heat_shown import show_report

    show_report(report, Units(fahrenheit=fahrenheit, inches=inches))


def _refuse_unused(ctx: click.Context, plan_file: Path | None, layers_file: Path | None) -> None:
    """Refuse what a plan file or plain layers say themselves, instead of passing it over."""
    if plan_file is None and layers_file is None:
        return
    options = ["fabric", "setpoint_c", "dwell_s", "cover", "press"]
    options += ["plot_file"] if layers_file is not None else []
    given = [
        f"--{option.removesuffix('_c').removesuffix('_s').removesuffix('_file')}"
        for option in options
        if ctx.get_parameter_source(option) is not click.core.ParameterSource.DEFAULT
    ]
    if given:
        what = "plain layers stand alone" if layers_file else "a plan file says this itself"
        raise BadInputError(f"{what}; leave out {', '.join(given)}")


def _plan(
    plan_file: Path, plot_file: Path | None, known: Catalogue, as_json: bool, units: Units
) -> None:
    """Every run of a plan on each of its fabrics; a drawing shows the first."""
    from advisor.answers.heat import heat_report
    from advisor.answers.plan_check import schedule_of
    from advisor.job.plan_file import read_plan

    made = read_plan(plan_file)
    if not made.runs:
        raise BadInputError("has no steps to follow heat through", source=str(plan_file))
    reports = []
    for run in made.runs:
        for fabric in run.fabrics:
            schedule, columns = schedule_of(made, run, fabric, known)
            report = heat_report(schedule, columns, materials=known.materials)
            reports.append((run.run, report))
    if plot_file is not None:
        from advisor.words.heat_plot import plot

        plot(reports[0][1], plot_file, fahrenheit=units.fahrenheit)
    if as_json:
        runs = [{"run": n, **report.model_dump(mode="json")} for n, report in reports]
        show_json(json.dumps({"runs": runs}, indent=2, ensure_ascii=False))
        return
    from advisor.command.heat_shown import show_report

    for number, report in reports:
        show_report(report, units, label=f"run {number} on {report.fabric}")


def _layers(path: Path, *, as_json: bool) -> None:
    from advisor.heat.plain_layers import plain_layers

    document = _json(path)
    try:
        answer = plain_layers(document)
    except BadInputError as error:
        raise BadInputError(error.reason, source=str(path), field=error.field) from None
    if as_json:
        show_json(json.dumps(answer, indent=2, ensure_ascii=False))
        return
    from advisor.command.heat_shown import show_layers

    show_layers(document, answer)


def _json(path: Path) -> dict[str, object]:
    try:
        if path.stat().st_size > LARGEST_LAYERS_BYTES:
            raise BadInputError("is larger than 1 MB", source=str(path))
        document = json.loads(path.read_text(encoding="utf-8"))
    except (UnicodeDecodeError, json.JSONDecodeError, RecursionError):
        raise BadInputError("is not JSON", source=str(path)) from None
    except OSError as error:
        raise BadInputError(f"cannot be read: {error.strerror}", source=str(path)) from None
    if not isinstance(document, dict):
        raise BadInputError("is not an object with layers", source=str(path))
    return document


@command.command("calibrate")
@click.argument("readings_file", type=JOB_FILE, metavar="READINGS.csv")
@click.option("--fabric", required=True, metavar="ID", help="The fabric that was pressed.")
@click.option("--stack", default="", metavar="FILM,FILM…", help="Films on it, bottom first.")
@click.option("--cover", metavar="ID", help="The cover sheet, if one lay on it.")
@click.option("--pad", metavar="ID", help="The pad, if one lay under it.")
@click.option(
    "--find",
    "unknowns",
    multiple=True,
    type=click.Choice(["contact", "pad", "fabric", "bed"]),
    help="What to find (contact by default); may be given more than once.",
)
@click.option("--keep", type=JOB_FILE, metavar="DIR", help="Keep it in this shop folder.")
@press_option
@json_option
@shop_option
def calibrate(
    readings_file: Path,
    fabric: str,
    stack: str,
    cover: str | None,
    pad: str | None,
    unknowns: tuple[str, ...],
    keep: Path | None,
    press: str,
    as_json: bool,
) -> None:
    """Find a press's own contact from temperature-strip or thermocouple readings.

    READINGS.csv has the columns place, setpoint_c, seconds, celsius; a place is cover, face,
    fabric, pad, or a film's id for its bond line.
    """
    from advisor.heat.fit import ReadStack, calibrated, fit_press, read_readings, shelf_yaml
    from advisor.job.saving import save_file

    known = shop_catalogue()
    laid = ReadStack(
        fabric=known.fabric(fabric),
        films=tuple(known.film(name.strip()) for name in stack.split(",") if name.strip()),
        cover=known.sheet(cover) if cover else None,
        pad=known.sheet(pad) if pad else None,
    )
    readings = read_readings(readings_file, laid)
    fit = fit_press(
        readings,
        laid,
        press=known.press(press),
        unknowns=unknowns or ("contact",),  # type: ignore[arg-type]
        materials=known.materials,
    )
    kept: list[str] = []
    if keep is not None:
        found = calibrated(known.press(press), fit, materials=known.materials)
        for name, text in shelf_yaml(found).items():
            target = keep / name
            target.parent.mkdir(parents=True, exist_ok=True)
            save_file(target, text)
            kept.append(str(target))
    if as_json:
        show_json(json.dumps({**fit.model_dump(mode="json"), "kept": kept}, indent=2))
        return
    from advisor.command.heat_shown import show_fit

    show_fit(fit, kept)
