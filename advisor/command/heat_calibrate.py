"""Command heat calibrate: a press's own contact, from temperatures that were read on it."""

from __future__ import annotations

from pathlib import Path

import click

from advisor.command import options
from advisor.command.terminal import Terminal
from advisor.heat.fit import ReadStack, calibrated, fit_press, read_readings, shelf_yaml
from advisor.heat.records import FitReport, Unknowns

__all__ = ["calibrate"]


@click.command("calibrate")
@options.file_argument("readings_file", metavar="READINGS.csv")
@click.option("--fabric", required=True, metavar="ID", help="The fabric that was pressed.")
@options.stack("Films on it, bottom first.")
@click.option("--carrier-on", is_flag=True, help="The topmost film had its carrier on.")
@click.option("--cover", metavar="ID", help="The cover sheet, if one lay on it.")
@click.option("--pad", metavar="ID", help="The pad, if one lay under it.")
@click.option(
    "--find",
    "unknowns",
    multiple=True,
    type=click.Choice(["contact", "pad", "fabric", "bed"]),
    help="What to find (contact by default); may be given more than once.",
)
@options.file("--keep", metavar="DIR", help="Keep it in this shop folder.")
@options.press
@options.as_json
@options.shop
def calibrate(
    readings_file: Path,
    fabric: str,
    stack: tuple[str, ...] | None,
    carrier_on: bool,
    cover: str | None,
    pad: str | None,
    unknowns: tuple[Unknowns, ...],
    keep: Path | None,
    press: str,
    as_json: bool,
) -> None:
    """Find a press's own contact from temperature-strip or thermocouple readings.

    READINGS.csv has the columns place, setpoint_c, seconds, celsius; a place is cover, face,
    fabric, pad, or a film's id for its bond line. Carriers are taken to be off,
    and the garment to have been pressed dry for ten seconds before, and cooled.
    """
    known = options.shop_knowledge().catalogue
    laid = ReadStack(
        fabric=known.fabric(fabric),
        films=tuple(known.film(name) for name in stack or ()),
        cover=known.sheet(cover) if cover else None,
        pad=known.sheet(pad) if pad else None,
        carrier_on=carrier_on,
    )
    fit = fit_press(
        read_readings(readings_file, laid),
        laid,
        press=known.press(press),
        unknowns=unknowns or ("contact",),
        materials=known.materials,
    )
    kept = []
    if keep is not None:
        fitted = calibrated(known.press(press), fit, materials=known.materials)
        for name, text in shelf_yaml(fitted).items():
            target = keep / name
            target.parent.mkdir(parents=True, exist_ok=True)
            options.save_file(target, text)
            kept.append(str(target))
    if as_json:
        options.show_json({**fit.model_dump(mode="json"), "kept": kept})
    else:
        _show(Terminal(), fit, kept)


def _show(out: Terminal, fit: FitReport, kept: list[str]) -> None:
    """What the readings say, each with its interval, and where it was kept."""
    out.line(
        f"{fit.readings} readings on {fit.press}; what is left between readings and fit is "
        f"typically {fit.typical_error_k:.1f} K."
    )
    carriers = "the topmost film's carrier on, all others off" if fit.carrier_on else "carriers off"
    out.line(f"Worked out with {carriers}, on a garment pressed dry before.")
    rows = [
        (
            one.unknown,
            one.of,
            f"{one.before:.4g} {one.unit}",
            f"{one.value:.4g} {one.unit}",
            f"{one.low:.4g} to {one.high:.4g}",
        )
        for one in fit.fitted
    ]
    out.table(("found", "of", "was", "is", "95 % interval"), rows)
    for name in kept:
        out.line(f"kept in {name}")
    if not kept:
        out.line("Say --keep DIR to keep it with the shop's shelf.")
