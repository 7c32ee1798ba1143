"""A job planned, with its artwork and its names: what several commands begin with."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import click

from advisor.answers.records import Reordered
from advisor.artwork.job_artwork import as_planned, job_artwork
from advisor.artwork.records import Artwork
from advisor.command import options
from advisor.command.terminal import VERDICTS
from advisor.cutting.records.cut import Lettering, SizedCut
from advisor.cutting.records.rolls import OrderTaken
from advisor.job.plan_file import read_either_plan, read_order_plan, read_plan
from advisor.job.records.job import Job, has_prints, job_document, read_job
from advisor.job.records.order import Order, read_order
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.people import People
from advisor.job.records.plan import Plan
from advisor.job.records.print_job import PrintJob
from advisor.shop.pressed import job_key, keep_cut, taken_as_cut
from rules.catalogue import Catalogue
from rules.catalogue.documents import MOST_BYTES, file_bytes
from rules.errors import BadInputError
from rules.facts.text import Text
from rules.knowledge import Knowledge

__all__ = [
    "PlannedJob", "PlannedOrder", "artwork_of", "asked_with_files", "keep_taken", "kept_prints",
    "key_of_file", "planned_job", "planned_order", "planned_prints", "pressed_again",
    "read_either_plan", "read_plan", "read_prints", "taken_by", "with_files", "with_film_to_buy",
]  # fmt: skip


class PlannedJob(NamedTuple):
    """A job with its plan, the artwork as planned, and the names set on it.

    ``sheets`` are those of the plan, where they are laid out already.
    """

    job: Job
    plan: Plan
    artwork: Artwork
    names: tuple[Lettering, ...]
    catalogue: Catalogue
    sheets: tuple[SizedCut, ...] = ()


def planned_job(job_file: Path, plan_file: Path | None, *, prefer: str | None) -> PlannedJob:
    """The job of a file by a plan of it, as it was pressed before, or planned now.

    Raises:
        BadInputError: a file cannot be read, or the plan is of another job.
    """
    job = read_job(job_file, options.shop_knowledge().catalogue)
    if prefer is not None:
        job = job.model_copy(update={"prefer": prefer})
    return _planned_job(job, job_file.parent, plan_file)


def _planned_job(job: Job, folder: Path, plan_file: Path | None) -> PlannedJob:
    # Only here, since a plan that is read needs nothing of what makes one.
    from advisor import plan

    knowledge = options.shop_knowledge()
    if plan_file is not None:
        made = read_plan(plan_file)
    else:
        again = pressed_again(job, folder, knowledge)
        kept = None if again is None else again.plan
        made = kept or plan(job, folder=folder, knowledge=knowledge)
    if made.job != job.job:
        raise BadInputError(
            f"is the plan of {made.job!r}, not of {job.job!r}; plan this job with --out",
            source=str(plan_file),
            field="job",
        )
    if plan_file is not None and made.steps:
        _tell_what_check_says(made, plan_file, knowledge)
    return with_files(job, made, folder, knowledge.catalogue)


def _tell_what_check_says(made: Plan | OrderPlan, plan_file: Path, knowledge: Knowledge) -> None:
    """Say on standard error what stands against a plan from a file, which anyone may have edited.

    Raises:
        BadInputError: it has no steps, or its parts do not fit one another.
    """
    # Only here, as above.
    from advisor import check
    from advisor.command.plan_shown import terminal_for

    with options.naming(plan_file):
        report = check(made, knowledge=knowledge)
    if report.verdict == "go":
        return
    said = VERDICTS[report.verdict]
    click.echo(f"{plan_file}: {said.shape} {said.word}: {said.meaning}", err=True)
    whole = made.whole if isinstance(made, OrderPlan) else made
    names = terminal_for(whole, options.units_asked_for()).names
    for finding in report.findings:
        if finding.severity == report.verdict:
            told = Text(f"  {finding.where}: {finding.message} ({finding.rule})")
            click.echo(told.shown(options.units_asked_for(), names), err=True)


def with_files(job: Job, made: Plan, folder: Path, known: Catalogue) -> PlannedJob:
    """A job and a plan of it with its artwork and its names."""
    # Only here, since a plan that is read needs nothing of what sets letters.
    from advisor.cutting.lettering import letter_names

    artwork = artwork_of(job, made, folder)
    names = letter_names(job.names, artwork, folder=folder) if job.names else ()
    return PlannedJob(job, made, artwork, names, known)


class ReadOrder(NamedTuple):
    """An order with its people, and each of its prints as a job."""

    order: Order
    people: People
    prints: tuple[PrintJob, ...]


def read_prints(
    job_file: Path, *, prefer: str | None = None, with_looks: bool = False
) -> ReadOrder:
    """The order of a file that lists prints, not yet planned.

    Args:
        with_looks: also refuse a print whose looks do not suit its artwork.

    Raises:
        BadInputError: the order, its people, a place or an artwork cannot be used.
    """
    order = read_order(job_file, options.shop_knowledge().catalogue)
    if prefer is not None:
        order = order.model_copy(update={"prefer": prefer})
    with options.naming(job_file):
        return _with_prints(order, job_file.parent, with_looks=with_looks)


def _with_prints(order: Order, folder: Path, *, with_looks: bool = False) -> ReadOrder:
    # Only here, as above.
    from advisor import jobs_of

    knowledge = options.shop_knowledge()
    made = jobs_of(order, folder=folder, knowledge=knowledge, with_looks=with_looks)
    return ReadOrder(order, *made)


class PlannedOrder(NamedTuple):
    """An order with its plan, and each of its prints as a planned job, by its id.

    ``again`` says how it was pressed before, if it was.
    """

    order: Order
    plan: OrderPlan
    prints: Mapping[str, PlannedJob]
    catalogue: Catalogue
    again: Reordered | None = None


def planned_order(
    job_file: Path,
    plan_file: Path | None = None,
    *,
    prefer: str | None,
    seconds: float | None = None,
    afresh: bool = False,
) -> PlannedOrder:
    """The order of a file that lists prints, by a plan of it, as it was pressed before, or anew.

    Args:
        afresh: look for the best plan, also where it was pressed before.

    Raises:
        BadInputError: a file cannot be read, or the plan is of another order.
    """
    read = read_prints(job_file, prefer=prefer)
    with options.naming(job_file):
        return _planned_order(read, job_file.parent, plan_file, seconds=seconds, afresh=afresh)


def _planned_order(
    read: ReadOrder,
    folder: Path,
    plan_file: Path | None,
    *,
    seconds: float | None = None,
    afresh: bool = False,
) -> PlannedOrder:
    # Only here, as above.
    from advisor import given_plan, order_again, plan_order

    knowledge, (order, people, jobs) = options.shop_knowledge(), read
    limit = {} if seconds is None else {"time_limit_s": seconds}
    again = None
    if plan_file is None and not afresh:
        files = _files_of_order(order, folder)
        again = order_again(
            order, files=files, drawings=_drawings(order, files), folder=folder,
            knowledge=knowledge, store=options.shop_store(),
        )  # fmt: skip
    if plan_file is not None:
        with options.naming(plan_file):
            made = given_plan(read_order_plan(plan_file), order, people, jobs, knowledge)
        _tell_what_check_says(made, plan_file, knowledge)
    elif again is not None and again.order is not None:
        made = again.order
    else:
        made = plan_order(order, folder=folder, knowledge=knowledge, **limit)
    prints = {
        print_.id: with_files(job, print_.plan, folder, knowledge.catalogue)
        for print_, job in zip(made.prints, (one.job for one in jobs), strict=True)
    }
    return PlannedOrder(order, made, prints, knowledge.catalogue, again)


def artwork_of(job: Job, made: Plan, folder: Path) -> Artwork:
    """The artwork of a job, as its plan has it.

    Raises:
        BadInputError: it cannot be read.
    """
    return as_planned(job_artwork(job, folder / job.artwork), made.print, job=job)


def taken_by(*made: PlannedJob, key: str, seconds: float = 0.0) -> OrderTaken:
    """What planned jobs take of film, cutting and weeding together.

    As they were cut, where they were nested then; or else by `order_taken`.

    Args:
        key: of what was asked; see `key_of_file`.
        seconds: of nesting, all of them together.
    """
    # Only here, since what nests the rolls is large and seldom asked.
    from advisor.cutting.taken import order_taken, taken_in_all

    films = {(piece.film, piece.colour) for one in made for piece in one.plan.pieces}
    if made and not seconds:
        store = options.shop_store()
        cut = taken_as_cut(key, films, catalogue=made[0].catalogue, store=store)
        if cut is not None:
            return cut
    each: list[OrderTaken] = []
    for one in made:
        # One Ctrl-C ends the nesting of all of them.
        stopped = any(roll.interrupted for taken in each for roll in taken.rolls)
        each.append(
            order_taken(
                one.plan, one.artwork, catalogue=one.catalogue, names=one.names,
                rates=one.job.rates, seconds=0.0 if stopped else seconds / len(made),
                sheets=one.sheets,
            )
        )  # fmt: skip
    return each[0] if len(each) == 1 else taken_in_all(each)


def with_film_to_buy(plan: Plan, *made: PlannedJob, key: str) -> Plan:
    """The plan with a note for each film of which its prints take more than the shelf has."""
    if plan.status != "planned":
        return plan
    try:
        taken = taken_by(*made, key=key)
    except BadInputError:
        # What cannot be cut as it is, is told by the plan's findings and by ``cut``.
        return plan
    return plan.model_copy(update={"notes": (*plan.notes, *taken.to_buy(made[0].catalogue))})


def _files_of(job: Job, folder: Path) -> tuple[bytes, bytes]:
    """The artwork and the list of names that a job refers to, as they lie in its folder.

    Raises:
        BadInputError: a file cannot be read.
    """
    asked = [folder / job.artwork] + ([folder / job.names.file] if job.names else [])
    artwork, *names = _read(asked)
    return artwork, names[0] if names else b""


def pressed_again(job: Job, folder: Path, knowledge: Knowledge) -> Reordered | None:
    """The job as it was pressed before, if it was; what its files lack is told by the planner."""
    from advisor import plan_again

    try:
        artwork, names = _files_of(job, folder)
    except BadInputError:
        return None
    store = options.shop_store()
    return plan_again(
        job, artwork=artwork, names=names, folder=folder, knowledge=knowledge, store=store
    )


class AskedFile(NamedTuple):
    """What a job file asks, of one print or of several, with all that it refers to."""

    path: Path
    asked: Job | Order
    files: tuple[bytes, ...]

    @property
    def drawings(self) -> tuple[bytes, ...]:
        """Its files without the list of names or people."""
        return _drawings(self.asked, self.files)


def asked_with_files(job_file: Path, known: Catalogue) -> AskedFile:
    """What a file asks, read once.

    Raises:
        BadInputError: a file cannot be read, or asks for what cannot be.
    """
    folder = job_file.parent
    if not has_prints(job_document(job_file)):
        job = read_job(job_file, known)
        return AskedFile(job_file, job, _files_of(job, folder))
    order = read_order(job_file, known)
    return AskedFile(job_file, order, _files_of_order(order, folder))


def key_of_file(job_file: Path) -> str:
    """What tells what a file asks from all else that was pressed or cut; see `job_key`.

    Raises:
        BadInputError: a file cannot be read, or asks for what cannot be.
    """
    asked = asked_with_files(job_file, options.shop_knowledge().catalogue)
    return job_key(asked.asked, *asked.files)


def keep_taken(job_file: Path, taken: OrderTaken | None) -> None:
    """Keep what a job took as it was cut, or that nobody nested it; see `keep_cut`."""
    keep_cut(key_of_file(job_file), taken, store=options.shop_store())


def _files_of_order(order: Order, folder: Path) -> tuple[bytes, ...]:
    named = [print_.artwork for line in order.garments for print_ in line.prints]
    return _read([folder / name for name in dict.fromkeys([*named, order.people]) if name])


def _drawings(asked: Job | Order, files: tuple[bytes, ...]) -> tuple[bytes, ...]:
    if isinstance(asked, Order):
        return files[:-1] if asked.people else files
    return files[:1]


def planned_prints(
    asked: AskedFile, plan_file: Path | None
) -> tuple[Plan, OrderPlan | None, tuple[PlannedJob, ...]]:
    """The plan of what a file asks, the whole of it where it is an order with several prints, and
    each print of it as a planned job; see `planned_job`.
    """
    folder = asked.path.parent
    if isinstance(asked.asked, Order):
        made = _planned_order(_with_prints(asked.asked, folder), folder, plan_file)
        return made.plan.whole, made.plan, tuple(made.prints.values())
    one = _planned_job(asked.asked, folder, plan_file)
    return one.plan, None, (one,)


def kept_prints(
    asked: AskedFile, kept: Mapping[str, Any]
) -> tuple[Plan, OrderPlan | None, tuple[PlannedJob, ...]]:
    """The same by the plan that was kept when it was pressed, whatever the shelf has by now.

    Raises:
        ValidationError: it was kept in a form that is not read any more.
    """
    folder, known = asked.path.parent, options.shop_knowledge().catalogue
    if isinstance(asked.asked, Order):
        order = OrderPlan.from_document(kept)
        jobs = [one.job for one in _with_prints(asked.asked, folder).prints]
        return (
            order.whole,
            order,
            tuple(
                with_files(job, print_.plan, folder, known)
                for print_, job in zip(order.prints, jobs, strict=True)
            ),
        )
    plan = Plan.model_validate(kept)
    return plan, None, (with_files(asked.asked, plan, folder, known),)


def _read(paths: Sequence[Path]) -> tuple[bytes, ...]:
    return tuple(
        file_bytes(path, most_bytes=MOST_BYTES, kind="a file of the job") for path in paths
    )
