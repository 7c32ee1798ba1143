"""Command plan: a job planned from artwork to press steps, shown, saved, and put on a ticket."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

import click

from advisor.answers.records import PROOF_LIMIT_S, Answered, NextBest, OtherPlan, Reordered
from advisor.command import options
from advisor.command.plan_shown import (
    show_care,
    show_others,
    show_plan,
    show_sample,
    terminal_for,
)
from advisor.command.planned import (
    PlannedJob,
    artwork_of,
    key_of_file,
    pressed_again,
    with_files,
    with_film_to_buy,
)
from advisor.command.progress import waiting_shown
from advisor.job.records.job import has_prints, job_document, read_job
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Plan
from advisor.words.answers import next_best, other_plans, solve, why_not_this
from advisor.words.hand_over import care_page, hand_over, hand_over_data
from rules.errors import BadInputError
from rules.facts.units import Units

__all__ = ["command"]


@click.command("plan")
@options.file_argument("job_file", metavar="JOB.yaml")
@options.prefer
@options.file("--out", metavar="PLAN.json", help="Save the plan as JSON.")
@options.file("--ticket", metavar="FILE.html", help="Save the job ticket to print.")
@click.option("--care", is_flag=True, help="How the customer is to care for it.")
@options.file("--care-card", metavar="FILE.html", help="Save that as a card to hand over.")
@click.option(
    "--alternatives",
    type=click.IntRange(0, 10),
    default=0,
    metavar="N",
    help="Also the best N plans that differ in something.",
)
@click.option(
    "--why",
    is_flag=True,
    help="After the press card every step with its reasons, the pieces, and the heat.",
)
@click.option(
    "--why-not",
    "questions",
    multiple=True,
    metavar="QUESTION",
    help='PIECE=FILM or "gold over navy": what stands against it, or what it costs.',
)
@click.option(
    "--seconds",
    type=options.Number(1, 3600),
    default=PROOF_LIMIT_S,
    show_default=True,
    metavar="S",
    help="Longest to look for the best plan.",
)
@click.option(
    "--afresh", is_flag=True, help="Look for the best plan, also where it was pressed before."
)
@options.as_json
@options.units
@options.shop
def command(
    job_file: Path,
    prefer: str | None,
    out: Path | None,
    ticket: Path | None,
    care: bool,
    care_card: Path | None,
    alternatives: int,
    why: bool,
    questions: tuple[str, ...],
    seconds: float,
    afresh: bool,
    as_json: bool,
    units: Units,
) -> None:
    """Plan a job: the card for the press, time, cost, and what to know first; reasons by --why.

    \b
      presslore job demo --out kites
      presslore plan kites/crew-tees.yaml --ticket ticket.html --out plan.json
      presslore plan kites/crew-tees.yaml --why
    """
    if ticket is not None:
        # Only here, since most plans go without one.
        from advisor.words.ticket import order_ticket_html, ticket_html
    knowledge = options.shop_knowledge()
    known = knowledge.catalogue
    folder = job_file.parent
    written = {"--out": out, "--ticket": ticket, "--care-card": care_card}
    if has_prints(job_document(job_file)):
        from advisor.command.prints_planned import plan_prints, show_prints

        if alternatives or questions:
            raise BadInputError(
                "--alternatives and --why-not are asked of one print: plan it as a job by itself",
                source=str(job_file),
            )
        _refuse_overwriting(written, (job_file,))
        made = plan_prints(
            job_file, prefer=prefer, seconds=seconds, afresh=afresh, shown=not as_json
        )
        if out is not None:
            options.save_file(out, made.plan.text())
        if ticket is not None:
            drawn = {name: (one.artwork, one.names) for name, one in made.prints.items()}
            options.save_file(ticket, order_ticket_html(made.plan, drawn, catalogue=known))
        handed = hand_over(_line_by_line(made.plan), known)
        if care_card is not None:
            options.save_file(care_card, care_page(handed.care, job=made.plan.whole.job))
        if as_json:
            data = hand_over_data(handed, care=care) | _reorder_data(made.again)
            options.show_json(made.plan.document() | data)
            return
        units = options.as_dialled(units, known.press(made.plan.whole.press))
        terminal = terminal_for(made.plan.whole, units)
        show_prints(terminal, made, why=why)
        show_sample(terminal, handed)
        if care:
            show_care(terminal, handed)
        _tell_saved(written, shown=True)
        return
    job = read_job(job_file, known)
    _refuse_overwriting(written, (job_file, folder / job.artwork))
    if prefer is not None:
        job = job.model_copy(update={"prefer": prefer})
    again: Reordered | None = None
    if not (afresh or alternatives or questions):
        again = pressed_again(job, folder, knowledge)
    others: Sequence[OtherPlan] = ()
    answers: list[Answered] = []
    nexts: Sequence[NextBest] = ()
    if again is not None and again.plan is not None:
        plan = again.plan
        laid = with_files(job, plan, folder, known)
    else:
        with (
            options.naming(job_file),
            waiting_shown("looking for the best plan", shown=not as_json),
        ):
            solved = solve(job, folder=folder, knowledge=knowledge, time_limit_s=seconds)
            nexts = next_best(solved, time_limit_s=seconds / 2) if why else ()
        plan = solved.plan
        # What is solved from is not read again, nor laid out; its names are on its sheets.
        laid = PlannedJob(job, plan, solved.prepared.artwork, (), known, solved.sheets)
        others = other_plans(solved, most=alternatives) if alternatives else ()
        answers = [why_not_this(solved, question) for question in questions]
    if plan.status == "planned":
        plan = with_film_to_buy(plan, laid, key=key_of_file(job_file))
    if out is not None:
        options.save_file(out, plan.text())
    if ticket is not None:
        artwork = artwork_of(job, plan, folder)
        options.save_file(ticket, ticket_html(plan, artwork=artwork, catalogue=known))
    handed = hand_over(_line_by_line(plan), known)
    if care_card is not None:
        options.save_file(care_card, care_page(handed.care, job=plan.job))
    if as_json:
        asked = {"alternatives": others, "why_not": answers, "next_best": nexts}
        more: dict[str, Any] = {
            key: [one.model_dump(mode="json") for one in of] for key, of in asked.items() if of
        }
        more |= hand_over_data(handed, care=care) | _reorder_data(again)
        options.show_json(plan.model_dump(mode="json") | more if more else plan)
        return
    press = known.press(plan.press)
    terminal = terminal_for(plan, options.as_dialled(units, press))
    show_plan(terminal, plan, press, handed, again, why=why, next_best=nexts)
    if care:
        show_care(terminal, handed)
    show_others(terminal, others, answers)
    _tell_saved(written, shown=True)


def _reorder_data(again: Reordered | None) -> dict[str, Any]:
    """How a job was pressed before, for a document; nothing where it never was."""
    if again is None:
        return {}
    return {"reorder": again.model_dump(mode="json", exclude={"plan", "order"})}


def _tell_saved(written: Mapping[str, Path | None], *, shown: bool) -> None:
    for path in written.values():
        if path is not None and shown:
            click.echo(f"saved {path}")


def _line_by_line(made: Plan | OrderPlan) -> Plan:
    """The plan, with the samples of each of its lines where it asks for any."""
    whole = made.whole if isinstance(made, OrderPlan) else made
    if not whole.wants_sample:
        return whole
    # Only here, since few plans ask for it.
    from advisor import line_by_line

    return line_by_line(made, options.shop_knowledge())


def _refuse_overwriting(written: Mapping[str, Path | None], needed: tuple[Path, ...]) -> None:
    """Before planning: every file to write can be written and is none that is read."""
    taken = {path.resolve() for path in needed}
    for option, path in written.items():
        if path is None:
            continue
        if path.resolve() in taken:
            raise BadInputError(
                "is needed by this job or named twice; name another file", source=f"{option} {path}"
            )
        taken.add(path.resolve())
        options.refuse_unwritable(path)
