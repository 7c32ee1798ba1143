"""Command plan: a job planned from artwork to press steps, shown, saved, and put on a ticket."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING

import click

from advisor.answers.plan import PROOF_LIMIT_S, solve
from advisor.command.options import (
    JOB_FILE,
    json_option,
    naming,
    prefer_option,
    shop_catalogue,
    shop_option,
    show_json,
    unit_options,
)
from advisor.command.waiting_shown import waiting_shown
from advisor.job.plan_file import plan_json
from advisor.job.records.job import Job, read_job
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from advisor.job.saving import refuse_unwritable, save_file
from advisor.words.phrases import (
    Units,
    cautions_last,
    named,
    piece_names,
    proof_said,
    ran_out,
    renamed,
    run_said,
    said_joint,
)
from rules.catalogue import Catalogue
from rules.errors import BadInputError

if TYPE_CHECKING:
    from rich.console import Console

    from advisor.answers.questions import Answered, OtherPlan

__all__ = ["command"]


@click.command("plan")
@click.argument("job_file", type=JOB_FILE, metavar="JOB.yaml")
@prefer_option
@click.option("--out", type=JOB_FILE, metavar="PLAN.json", help="Save the plan as JSON.")
@click.option("--ticket", type=JOB_FILE, metavar="FILE.html", help="Save the job ticket to print.")
@click.option(
    "--alternatives",
    type=click.IntRange(0, 10),
    default=0,
    metavar="N",
    help="Also the best N plans that differ in something.",
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
    type=click.FloatRange(1, 3600),
    default=PROOF_LIMIT_S,
    show_default=True,
    metavar="S",
    help="Longest to look for the best plan.",
)
@json_option
@unit_options
@shop_option
def command(
    job_file: Path,
    prefer: str | None,
    out: Path | None,
    ticket: Path | None,
    alternatives: int,
    questions: tuple[str, ...],
    seconds: float,
    as_json: bool,
    fahrenheit: bool,
    inches: bool,
) -> None:
    """Plan a job: the film of each piece, how they meet, every press step, time and cost.

    \b
      presslore job demo --out kites
      presslore plan kites/crew-tees.yaml --ticket ticket.html --out plan.json
    """
    job = read_job(job_file)
    folder = job_file.parent
    _refuse_overwriting(out, ticket, (job_file, folder / job.artwork))
    known = shop_catalogue()
    if prefer is not None:
        job = job.model_copy(update={"prefer": prefer})
    with naming(job_file), waiting_shown("looking for the best plan", shown=not as_json):
        solved = solve(job, folder=folder, catalogue=known, time_limit_s=seconds)
    made = solved.plan
    others: tuple[OtherPlan, ...] = ()
    answers: tuple[Answered, ...] = ()
    if alternatives or questions:
        from advisor.answers.questions import other_plans, why_not_this

        others = other_plans(solved, most=alternatives) if alternatives else ()
        answers = tuple(why_not_this(solved, question) for question in questions)
    if out is not None:
        save_file(out, plan_json(made))
    if ticket is not None:
        save_file(ticket, _ticket(made, job, folder, known))
    if as_json:
        show_json(_with_more(made, others, answers))
        return
    units = Units(fahrenheit=fahrenheit, inches=inches)
    _show(made, known, units)
    _show_others(others, answers, units)
    for path in (out, ticket):
        if path is not None:
            click.echo(f"saved {path}")


def _with_more(made: Plan, others: tuple[OtherPlan, ...], answers: tuple[Answered, ...]) -> str:
    """The plan as JSON, with alternatives and answers only where they were asked for."""
    document = made.model_dump(mode="json")
    if others:
        document["alternatives"] = [other.model_dump(mode="json") for other in others]
    if answers:
        document["why_not"] = [answer.model_dump(mode="json") for answer in answers]
    return (
        json.dumps(document, indent=2, ensure_ascii=False) if others or answers else plan_json(made)
    )


def _show_others(
    others: tuple[OtherPlan, ...], answers: tuple[Answered, ...], units: Units
) -> None:
    """Plans that differ with what they gain and lose, and what stands against a wish."""
    if not others and not answers:
        return
    from advisor.command import terminal

    console = terminal.make_console()
    if others:
        terminal.show_heading(console, "Alternatives")
    for number, other in enumerate(others, 1):
        terminal.show_verdict(console, other.plan.verdict, label=f"alternative {number}")
        terminal.show_lines(console, other.differs)
        terminal.show_lines(console, [f"gains: {gain}" for gain in other.gains])
        terminal.show_lines(console, [f"loses: {lost}" for lost in other.loses])
    for answer in answers:
        terminal.show_heading(console, f"Why not {answer.question}?")
        terminal.show_lines(console, [units.sentence(answer.said)])
        terminal.show_lines(console, answer.differs)


def _refuse_overwriting(out: Path | None, ticket: Path | None, needed: tuple[Path, ...]) -> None:
    """Before planning: every file to write can be written and is none that is read."""
    taken = {path.resolve() for path in needed}
    for option, path in (("--out", out), ("--ticket", ticket)):
        if path is None:
            continue
        if path.resolve() in taken:
            raise BadInputError(
                "is needed by this job or named twice; name another file", source=f"{option} {path}"
            )
        taken.add(path.resolve())
        refuse_unwritable(path)


def _ticket(made: Plan, job: Job, folder: Path, known: Catalogue) -> str:
    from advisor.artwork.job_artwork import job_artwork
    from advisor.words.ticket.page import ticket_html

    artwork = job_artwork(job, folder / job.artwork)
    return ticket_html(made, artwork=artwork, catalogue=known)


def _show(made: Plan, known: Catalogue, units: Units) -> None:
    from advisor.command import terminal

    console = terminal.make_console()
    console.print(terminal.words(f"{made.job}: {made.artwork} on the {made.press} press", "bold"))
    if made.status == "planned":
        terminal.show_verdict(console, made.verdict)
        pieces = sum(line.quantity for run in made.runs for line in run.garments)
        console.print(
            terminal.words(
                f"{made.minutes:.0f} min at the press and {made.cost:.2f} {made.currency} for "
                f"{pieces} {'garment' if pieces == 1 else 'garments'}"
            )
        )
    elif made.status == "impossible":
        console.print(terminal.words("■ IMPOSSIBLE  as asked", "bold red"))
    else:
        console.print(terminal.words("▲ UNDECIDED  in the time given", "bold yellow"))
    proof = proof_said(made.proof, made.status, made.prefer)
    if ran_out(made):
        proof = f"{proof}; --seconds looks longer"
    console.print(terminal.words(proof))
    _show_conflict(console, made, units)
    if made.status == "planned":
        _show_pieces(console, made, units)
        _show_steps(console, made, known, units)
    findings, cautions = cautions_last(named(made.findings, piece_names(made)))
    if findings:
        terminal.show_heading(console, "Findings")
        terminal.show_findings(console, findings, units=units)
    if made.notes:
        planned = made.status == "planned"
        terminal.show_heading(console, "Notes on the artwork" if planned else "Ruled out")
        names = piece_names(made)
        terminal.show_lines(console, [renamed(note, names) for note in made.notes], indent=2)
    if made.refused:
        _show_refused(console, made, units)
    if cautions:
        terminal.show_heading(console, "Cautions")
        terminal.show_findings(console, cautions, units=units)


def _show_conflict(console: Console, made: Plan, units: Units) -> None:
    """What stands in the way of a plan, and the changes that would clear it, if there are any."""
    from advisor.command import terminal

    names = piece_names(made)
    if made.conflict:
        alone = len(made.conflict) == 1
        heading = "What stands in the way" if alone else "These cannot all hold"
        terminal.show_heading(console, heading)
        for clash in made.conflict:
            console.print(terminal.words(f"{clash.rule}  {renamed(clash.where, names)}", "bold"))
            terminal.show_lines(console, [units.sentence(renamed(clash.message, names))])
    if made.repairs:
        terminal.show_heading(console, "What would make it possible, the smallest change first")
        for number, repair in enumerate(made.repairs, 1):
            said = "; and ".join(
                units.sentence(renamed(change.message, names)) for change in repair
            )
            console.print(terminal.words(f"{number:>3}  {said}"))


def _show_pieces(console: Console, made: Plan, units: Units) -> None:
    from advisor.command import terminal

    terminal.show_heading(console, "Pieces, in the order they go down")
    largest = [max(piece.sizes, key=lambda size: size.width_mm) for piece in made.pieces]
    rows = [
        (
            str(piece.rank),
            terminal.swatch(console, piece.colour, piece.srgb),
            piece.film,
            "the names" if piece.id == NAMES_PIECE else piece.fill,
            f"{units.length(size.width_mm)} × {units.length(size.height_mm)}",
            "the fabric" if piece.on_fabric else "other films",
        )
        for piece, size in sorted(
            zip(made.pieces, largest, strict=True), key=lambda entry: entry[0].rank
        )
    ]
    terminal.show_table(console, ("press", "colour", "film", "fill", "largest", "lies on"), rows)
    if made.joints:
        names = piece_names(made)
        terminal.show_heading(console, "How they meet")
        terminal.show_lines(
            console, [f"· {said_joint(joint, names, units)}" for joint in made.joints], indent=2
        )


def _show_steps(console: Console, made: Plan, known: Catalogue, units: Units) -> None:
    from advisor.command import terminal

    names, press = piece_names(made), known.press(made.press)
    for run in made.runs:
        numbered = f"Run {run.run}: " if len(made.runs) > 1 else "Steps for "
        terminal.show_heading(console, f"{numbered}{run_said(run, units)}")
        steps = [step for step in made.steps if step.run == run.run]
        terminal.show_steps(console, steps, names=names, press=press, units=units)
    if made.bond_lines:
        terminal.show_heading(console, "Heat at the bond lines")
        terminal.show_bond_lines(console, made.bond_lines, units=units, names=names)


def _show_refused(console: Console, made: Plan, units: Units) -> None:
    from advisor.command import terminal

    names = piece_names(made)
    terminal.show_heading(console, "Films refused")
    terminal.show_table(
        console,
        ("piece", "film", "rule", "because"),
        [
            (
                names.get(entry.piece, entry.piece),
                entry.film,
                entry.rule,
                units.sentence(renamed(entry.message, names)),
            )
            for entry in made.refused
        ],
        whole=3,
    )
