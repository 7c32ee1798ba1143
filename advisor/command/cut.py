"""Command cut: a job planned, separated per film and written as cut files, pictures and lists."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path

import click

from advisor.command import options
from advisor.command.planned import keep_taken, planned_job, planned_order
from advisor.command.prints_cut import (
    make_folder,
    refuse_unplanned,
    save_press_list,
    with_less,
)
from advisor.command.progress import nesting_shown, say_stopped
from advisor.command.terminal import Terminal
from advisor.cutting.cutting import LIST_CSV, LIST_JSON, cut_job, taken_of_cut
from advisor.cutting.records.report import CutReport, SimplerPiece
from advisor.cutting.records.rolls import RollNeed, whole_cm
from advisor.job.records.job import Rates, has_prints, job_document
from rules.errors import BadInputError
from rules.facts.units import Units, show_mm, show_size, show_spot

__all__ = ["command", "show_fine"]

MOST_SHOWN = 12
MOST_NEST_S = 3600.0


@click.command("cut")
@options.file_argument("job_file", metavar="JOB.yaml")
@options.file("--out", required=True, metavar="DIR", help="The folder to write to.")
@options.file("--plan", "plan_file", metavar="PLAN.json", help="Cut this plan.")
@click.option("--gang", is_flag=True, help="All names of a size on one sheet.")
@click.option("--simplify", is_flag=True, help="Cut the simpler shapes that are proposed.")
@click.option(
    "--nest",
    "nest_seconds",
    type=options.Number(),
    metavar="SECONDS",
    help="Nest the whole order on its rolls and say the metres: 20 suits most orders, 0 lays "
    "bounding rectangles, more may save film. All films together.",
)
@options.units
@options.prefer
@options.as_json
@options.shop
def command(
    job_file: Path,
    out: Path,
    plan_file: Path | None,
    gang: bool,
    simplify: bool,
    nest_seconds: float | None,
    prefer: str | None,
    units: Units,
    as_json: bool,
) -> None:
    """Cut a job: a mirrored SVG and DXF at true size for every film and garment size.

    \b
      presslore job demo --out kites
      presslore cut kites/crew-tees.yaml --out kites/cut
      presslore cut kites/crew-tees.yaml --out kites/cut --nest 20
    """
    if nest_seconds is not None and not 0 <= nest_seconds <= MOST_NEST_S:
        raise BadInputError(
            f"is {nest_seconds:g}; give 0 to {MOST_NEST_S:g} seconds", source="--nest"
        )
    if out.exists() and not out.is_dir():
        raise BadInputError("is a file; name a folder", source=f"--out {out}")
    order = None
    if has_prints(job_document(job_file)):
        order = planned_order(job_file, plan_file, prefer=prefer)
        refuse_unplanned(order, source=str(job_file))
        asked = [(out / name, made) for name, made in order.prints.items()]
    else:
        asked = [(out, planned_job(job_file, plan_file, prefer=prefer))]
    rates = asked[0][1].job.rates
    reports: list[CutReport] = []
    share_s = None if nest_seconds is None else nest_seconds / len(asked)
    say: Callable[[], None] | None = partial(say_stopped, files=True)
    if order is not None:
        make_folder(out)
    with nesting_shown(nest_seconds or 0.0, shown=not as_json) as watch:
        for folder, made in asked:
            # What the prints before take of a film is no longer there for this one.
            taken = [(roll.film, roll.length_m) for report in reports for roll in report.rolls]
            if any(roll.interrupted for report in reports for roll in report.rolls):
                # One Ctrl-C ends the nesting of all of them.
                share_s, say = 0.0, None
            reports.append(
                cut_job(
                    made.plan,
                    made.artwork,
                    out=folder,
                    names=made.names,
                    catalogue=with_less(made.catalogue, taken),
                    gang=gang,
                    simplify=simplify,
                    smallest=bool(made.job.artwork),
                    rates=rates,
                    nest_seconds=share_s,
                    on_nesting=watch,
                    on_stopped=say,
                )
            )
    set_names = sum(len(made.names) for _, made in asked)
    keep_taken(job_file, taken_of_cut(reports, set_names, catalogue=asked[0][1].catalogue))
    press_list = None if order is None else save_press_list(order.plan, out)
    if as_json and order is not None:
        cut = [
            {"print": name, **report.model_dump(mode="json")}
            for name, report in zip(order.prints, reports, strict=True)
        ]
        options.show_json(
            {"job": order.order.job, "folder": str(out), "prints": cut, "press_list": press_list}
        )
    elif as_json:
        options.show_json(reports[0])
    else:
        if plan_file is None and asked[0][1].plan.verdict != "go":
            # What a plan from a file comes to is told as it is read.
            Terminal().verdict(asked[0][1].plan.verdict, label=reports[0].job)
        names = ["the whole order"] if order is None else [f"the print {n}" for n in order.prints]
        for name, report in zip(names, reports, strict=True):
            _show(Terminal(units), report, rates, of=name)
        if order is not None:
            _show_film_in_all(Terminal(units), reports, rates)
        if press_list:
            Terminal().line(f"who gets which, in the order of pressing: {press_list}")


def _show(out: Terminal, report: CutReport, rates: Rates, *, of: str) -> None:
    out.line(f"{report.job}: {report.artwork}, cut into {report.folder}", "bold")
    for file in report.files:
        side = "mirrored" if file.mirrored else "not mirrored"
        whose = f", for {file.name}" if file.name else ""
        out.lines(
            [
                f"{file.svg}: cut {file.count}{whose}; {file.colour} {file.film}, {side}, "
                f"carrier {show_size(*file.carrier_mm)}"
            ],
            indent=2,
        )
    show_fine(out, report)
    if report.rolls:
        _show_rolls(out, report, rates, of=of)
    if report.notes:
        out.heading("Notes")
        out.lines(report.notes, indent=2)
    out.line(f"each also as .dxf; see {LIST_CSV}, {LIST_JSON} and the previews")


def show_fine(out: Terminal, report: CutReport) -> None:
    """What is too fine, what a simpler piece would lose, and the smallest width that cuts."""
    if report.fine:
        many = len(report.fine)
        out.heading(f"Too fine for its film: {many} {'place' if many == 1 else 'places'}")
        shown = sorted(report.fine, key=lambda detail: detail.measure_mm / detail.least_mm)
        lines = [
            f"{detail.kind} of {show_mm(detail.measure_mm):g} "
            f"{detail.inside or f'in {detail.name or detail.piece}'} at "
            f"{show_spot(detail.x_mm, detail.y_mm)}, {show_mm(detail.width_mm):g} wide; "
            f"{detail.film} takes {show_mm(detail.least_mm):g}"
            + (" (made by cutting)" if detail.by_separation else "")
            for detail in shown[:MOST_SHOWN]
        ]
        if len(shown) > MOST_SHOWN:
            lines.append(f"and {len(shown) - MOST_SHOWN} more, in {LIST_JSON}")
        out.lines(lines, indent=2)
    if report.simpler and not report.fine:
        out.heading("Made simpler for its film")
    out.lines([_simpler(one) for one in report.simpler], indent=2)
    limit = report.smallest
    # The plan's own notes tell it where one of the sizes is too small.
    if limit is not None and limit.told not in report.notes:
        out.line(limit.told)


def _simpler(one: SimplerPiece) -> str:
    change = f"simpler: {one.piece} at {show_mm(one.width_mm):g} wide, area {one.change_pct:+.1f} %"
    if one.lost and not one.used:
        return (
            f"{change}, but then {one.lost}: thicken it in the drawing or print it larger; "
            "--simplify only where it need not be seen"
        )
    if one.used:
        return f"{change}; {one.lost}" if one.lost else change
    return f"{change}; cut it with --simplify"


def _show_rolls(out: Terminal, report: CutReport, rates: Rates, *, of: str) -> None:
    """What the order, or a print of it, takes of each film: a table, then sentences."""
    out.heading(f"Film for {of}")
    columns = ("film", "parts", "length", "waste", "cost", "on shelf", "short")
    rows = [
        (
            f"{roll.film} {roll.colour}",
            f"{roll.parts}",
            f"{whole_cm(roll.length_m):.2f} m",
            f"{roll.waste_pct:.0f} %",
            rates.money(roll.cost),
            f"{roll.on_shelf_m:.2f} m",
            f"{whole_cm(roll.short_m):.2f} m" if roll.short_m else "enough",
        )
        for roll in report.rolls
    ]
    out.table(columns, rows, whole=len(columns))
    for roll in report.rolls:
        out.lines(
            [roll.sentence, f"{roll.note}; cut {roll.cut_svg}, drawn in {roll.png}"], indent=2
        )
    out.line(f"film in all for {of}: {rates.money(sum(roll.cost for roll in report.rolls))}")


def _show_film_in_all(out: Terminal, reports: Sequence[CutReport], rates: Rates) -> None:
    """What all prints of an order take of each film and colour together, where it was nested."""
    rolls: dict[tuple[str, str], list[RollNeed]] = {}
    for roll in (roll for report in reports for roll in report.rolls):
        rolls.setdefault((roll.film, roll.colour), []).append(roll)
    if not rolls:
        return
    out.heading("Film for the whole order, all prints together")
    rows = []
    for (film, colour), alike in rolls.items():
        # Each print's shelf lacks what those before it take.
        short_m = sum(whole_cm(roll.short_m) for roll in alike)
        rows.append(
            (
                f"{film} {colour}",
                f"{sum(whole_cm(roll.length_m) for roll in alike):.2f} m",
                rates.money(sum(roll.cost for roll in alike)),
                f"{short_m:.2f} m" if short_m else "enough",
            )
        )
    out.table(("film", "length", "cost", "short"), rows, whole=4)
    every = (roll.cost for alike in rolls.values() for roll in alike)
    out.line(f"film in all: {rates.money(sum(every))}")
