"""Command run: what is done with a job at the press, and the film that it takes."""

from __future__ import annotations

import sys
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path

import click
from pydantic import ValidationError

from advisor.command import options
from advisor.command.planned import (
    AskedFile,
    PlannedJob,
    asked_with_files,
    kept_prints,
    planned_prints,
    taken_by,
)
from advisor.command.terminal import Terminal
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Plan
from advisor.shop.pressed import (
    job_key,
    key_of_any_quantity,
    last_alike,
    last_pressed,
    pressed_before,
    take_back,
    told_pressed,
)
from advisor.shop.records import PressedJob

__all__ = ["command"]


@click.group("run")
def command() -> None:
    """Tell what happened to a job at the press."""


@command.command("done")
@options.file_argument("job_file", metavar="JOB.yaml")
@options.file("--plan", "plan_file", metavar="PLAN.json", help="It was pressed by this plan.")
@click.option("--again", is_flag=True, help="It was pressed once more: count its film again.")
@click.option("--undo", is_flag=True, help="It was not pressed: put its film back.")
@options.as_json
@options.shop
def done(job_file: Path, plan_file: Path | None, again: bool, undo: bool, as_json: bool) -> None:
    """A job is pressed: its film goes off the shelf, and its plan is kept for a reorder.

    \b
      presslore run done kites/crew-tees.yaml
      presslore run done kites/crew-tees.yaml --undo
    """
    store = options.shop_store()
    catalogue = options.shop_knowledge().catalogue
    asked = asked_with_files(job_file, catalogue)
    key = job_key(asked.asked, *asked.files)
    alike = key_of_any_quantity(asked.asked, *asked.drawings)
    with options.naming(job_file):
        if undo:
            # What was pressed may have been asked in another quantity than the file says by now.
            last = last_alike(key, asked.asked.job, alike, store=store)
            _show(take_back(last.key if last else key, store=store), as_json, undone=True)
            return
        before = last_pressed(key, store=store)
        if before is not None and not again:
            if as_json or not sys.stdin.isatty():
                raise pressed_before(before)
            click.confirm(
                f"{before.job} was pressed on {before.on} already. Count its film once more?",
                abort=True,
            )
        plan, order, prints = _pressed_by(asked, plan_file, before)
        rolls = taken_by(*prints).rolls
        pressed = told_pressed(
            key, plan, rolls, catalogue=catalogue, order=order, alike=alike,
            store=store, again=before is not None,
        )  # fmt: skip
    _show(pressed, as_json, undone=False)


def _pressed_by(
    asked: AskedFile, plan_file: Path | None, before: PressedJob | None
) -> tuple[Plan, OrderPlan | None, tuple[PlannedJob, ...]]:
    """What it was pressed by: the plan that is given, that of before, or the one of today."""
    if plan_file is None and before is not None:
        # A plan that is not read any more is made anew.
        with suppress(ValidationError):
            return kept_prints(asked, before.plan)
    return planned_prints(asked, plan_file)


def _show(job: PressedJob, as_json: bool, *, undone: bool) -> None:
    if as_json:
        options.show_json(
            {
                "job": job.job,
                "done": not undone,
                "pressed_at": f"{job.pressed_at.isoformat()}Z",
                "taken": [asdict(each) for each in job.taken],
            }
        )
        return
    out = Terminal()
    if undone:
        out.line(f"{job.job} counts as not pressed; its film is back on the shelf", "bold")
        out.lines((f"{each.film}: {each.counted_m:.2f} m" for each in job.taken), indent=2)
        return
    out.line(f"{job.job} is pressed; its plan is kept", "bold")
    for each in job.taken:
        short_m = each.wanted_m - each.counted_m
        short = f"; {short_m:.2f} m more than the shelf had" if short_m > 0.005 else ""
        out.lines(
            [f"{each.film}: {each.wanted_m:.2f} m taken, {each.left_m:.2f} m left{short}"], indent=2
        )
        if short:
            out.lines([f"`presslore shelf set {each.film} metres M` says what is there"], indent=4)
