"""Command plan: a job planned from artwork to press steps, shown, saved, and put on a ticket."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import click

from advisor.answers.records import PROOF_LIMIT_S
from advisor.command import options
from advisor.command.plan_shown import show_care, show_others, show_plan
from advisor.command.planned import artwork_of, plan_json
from advisor.command.progress import waiting_shown
from advisor.command.terminal import Terminal
from advisor.job.records.job import read_job
from advisor.words.answers import other_plans, solve, why_not_this
from advisor.words.hand_over import care_page, hand_over, hand_over_data
from advisor.words.plan import piece_names
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
    as_json: bool,
    units: Units,
) -> None:
    """Plan a job: the card for the press, time, cost, and what to know first; reasons by --why.

    \b
      presslore job demo --out kites
      presslore plan kites/crew-tees.yaml --ticket ticket.html --out plan.json
      presslore plan kites/crew-tees.yaml --why
    """
    knowledge = options.shop_knowledge()
    known = knowledge.catalogue
    job = read_job(job_file, known)
    folder = job_file.parent
    written = {"--out": out, "--ticket": ticket, "--care-card": care_card}
    _refuse_overwriting(written, (job_file, folder / job.artwork))
    if prefer is not None:
        job = job.model_copy(update={"prefer": prefer})
    with options.naming(job_file), waiting_shown("looking for the best plan", shown=not as_json):
        solved = solve(job, folder=folder, knowledge=knowledge, time_limit_s=seconds)
    plan = solved.plan
    others = other_plans(solved, most=alternatives) if alternatives else ()
    answers = [why_not_this(solved, question) for question in questions]
    if out is not None:
        options.save_file(out, plan_json(plan))
    if ticket is not None:
        from advisor.words.ticket.page import ticket_html

        artwork = artwork_of(job, plan, folder)
        options.save_file(ticket, ticket_html(plan, artwork=artwork, catalogue=known))
    handed = hand_over(plan, known)
    if care_card is not None:
        options.save_file(care_card, care_page(handed.care, job=plan.job))
    if as_json:
        asked = {"alternatives": others, "why_not": answers}
        more: dict[str, Any] = {
            key: [one.model_dump(mode="json") for one in of] for key, of in asked.items() if of
        }
        more |= hand_over_data(handed, care=care)
        options.show_json(plan.model_dump(mode="json") | more if more else plan)
        return
    terminal = Terminal(units, names=piece_names(plan))
    show_plan(terminal, plan, known.press(plan.press), handed, why=why)
    if care:
        show_care(terminal, handed)
    show_others(terminal, others, answers)
    for path in written.values():
        if path is not None:
            click.echo(f"saved {path}")


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
