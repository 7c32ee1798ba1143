"""Command run: what is done with a job at the press, and the film that it takes."""

from __future__ import annotations

import sys
from contextlib import suppress
from dataclasses import asdict
from pathlib import Path
from typing import Any

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
from advisor.cutting.records.rolls import LAID, OrderTaken
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Plan
from advisor.shop.pressed import (
    all_pressed,
    job_key,
    key_of_any_quantity,
    last_cut,
    last_pressed,
    pressed_before,
    take_back,
    take_back_numbered,
    told_pressed,
)
from advisor.shop.records import PressedJob
from rules.errors import BadInputError

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
    if undo:
        because = "--undo takes back what was pressed"
        options.refuse_unused(click.get_current_context(), because, "plan_file", "again")
    store = options.shop_store()
    catalogue = options.shop_knowledge().catalogue
    asked = asked_with_files(job_file, catalogue)
    key = job_key(asked.asked, *asked.files)
    with options.naming(job_file):
        if undo:
            _show_undone(take_back(key, job=asked.asked.job, store=store), as_json, store)
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
        taken = taken_by(*prints, key=key)
        cut = last_cut(key, store=store)
        if cut is not None and taken.laid != "cut":
            raise BadInputError(
                f"was cut in {cut.films}, and this plan presses {taken.films}; give the plan that "
                "it was cut by as --plan, or cut it once more",
                field=plan.job,
            )
        pressed = told_pressed(
            key, plan, taken.rolls, catalogue=catalogue, order=order,
            alike=key_of_any_quantity(asked.asked, *asked.drawings),
            store=store, again=before is not None,
        )  # fmt: skip
    _show(pressed, taken, as_json)


@command.command("undo")
@click.argument("number", type=click.IntRange(min=1), metavar="NUMBER")
@options.as_json
@options.shop
def undo_numbered(number: int, as_json: bool) -> None:
    """Take back what was pressed under a number of `run list`, whatever its job says by now."""
    store = options.shop_store()
    _show_undone(take_back_numbered(number, store=store), as_json, store)


@command.command("list")
@options.as_json
@options.shop
def list_pressed(as_json: bool) -> None:
    """What was pressed, the newest first, with the film that it took."""
    pressed = all_pressed(store=options.shop_store())
    if as_json:
        options.show_json({"pressed": [_document(one) for one in pressed]})
        return
    columns, out = ("number", "pressed on", "job", "film"), Terminal()
    if not pressed:
        out.line("nothing is told to be pressed")
        return
    rows = [(f"{one.number}", one.on, one.job, one.films) for one in pressed]
    out.table(columns, rows, whole=3)
    out.line("`presslore run undo NUMBER` takes one back")


def _pressed_by(
    asked: AskedFile, plan_file: Path | None, before: PressedJob | None
) -> tuple[Plan, OrderPlan | None, tuple[PlannedJob, ...]]:
    """What it was pressed by: the plan that is given, that of before, or the one of today."""
    if plan_file is None and before is not None:
        # A plan that is not read any more is made anew.
        with suppress(ValidationError):
            return kept_prints(asked, before.plan)
    return planned_prints(asked, plan_file)


def _document(job: PressedJob) -> dict[str, Any]:
    return {
        "number": job.number,
        "job": job.job,
        "pressed_at": f"{job.pressed_at.isoformat()}Z",
        "taken": [asdict(each) for each in job.taken],
    }


def _show_undone(job: PressedJob, as_json: bool, store: Path | None) -> None:
    before = last_pressed(job.key, store=store)
    if as_json:
        options.show_json({**_document(job), "done": False, "still_pressed": before is not None})
        return
    out = Terminal()
    once = "once less" if before else "not"
    out.line(f"{job.job} of {job.on} counts as {once} pressed; back on the shelf:", "bold")
    out.lines(
        (
            f"{each.film}: {each.counted_m:.2f} m, now {each.left_m:.2f} m there"
            for each in job.taken
        ),
        indent=2,
    )
    if before:
        out.line(
            f"it was pressed on {before.on} too ({before.films}): `presslore run undo "
            f"{before.number}` takes that back"
        )


def _show(job: PressedJob, taken: OrderTaken, as_json: bool) -> None:
    if as_json:
        options.show_json({**_document(job), "done": True, "laid": taken.laid})
        return
    out = Terminal()
    out.line(f"{job.job} is pressed; its plan is kept", "bold")
    out.line(f"metres off the shelf: {LAID[taken.laid]}")
    for each in job.taken:
        short_m = each.wanted_m - each.counted_m
        short = f"; {short_m:.2f} m more than the shelf had" if short_m > 0.005 else ""
        out.lines(
            [f"{each.film}: {each.wanted_m:.2f} m taken, {each.left_m:.2f} m left{short}"], indent=2
        )
        if short:
            out.lines([f"`presslore shelf set {each.film} metres M` says what is there"], indent=4)
