"""Plan shown: a plan on the terminal, what stands in its way, and what could be instead."""

from __future__ import annotations

import collections
from collections.abc import Sequence

from advisor.answers.records import Answered, NextBest, OtherPlan, Reordered
from advisor.command.terminal import Terminal
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from advisor.words.card import press_cards
from advisor.words.hand_over import HandOver, set_by
from advisor.words.plan import (
    NO_ORDER,
    cautions_last,
    cooling_words,
    findings_on_card,
    has_no_order,
    joint_clause,
    order_proof_words,
    piece_names,
    proof_in_short,
    proof_words,
    ran_out,
    run_words,
)
from rules.facts.press import Press
from rules.facts.text import and_list
from rules.facts.units import Units

__all__ = [
    "show_cards", "show_care", "show_conflict", "show_in_short", "show_order_answer", "show_others",
    "show_plan", "show_refused", "show_sample", "terminal_for",
]  # fmt: skip

NO_CHANGE = "No change of one or a few things that was tried makes it possible."

UNDECIDED = "▲ UNDECIDED  in the time given"

MOST_CLASHES = 12
"""Members of a conflict that are written out."""


def terminal_for(plan: Plan, units: Units) -> Terminal:
    """A terminal that calls pieces as a plan does."""
    return Terminal(units, names=piece_names(plan))


def show_plan(
    out: Terminal,
    plan: Plan,
    press: Press,
    handed: HandOver,
    again: Reordered | None = None,
    *,
    why: bool = False,
    next_best: Sequence[NextBest] = (),
) -> None:
    """The answer and the press card first; what to know; with ``why`` every reason after.

    Args:
        next_best: what each piece would be cut from were it not of its film.
    """
    planned = plan.status == "planned"
    proof = proof_words(plan.proof, plan.status, plan.prefer) if why else proof_in_short(plan)
    show_answer(out, plan, again, proof=proof)
    show_conflict(out, plan)
    if planned:
        show_cards(out, plan, press)
    show_sample(out, handed)
    if planned and not why:
        show_in_short(out, plan)
        return
    if planned:
        _show_pieces(out, plan)
        if next_best:
            out.heading("Why these films")
            out.lines((f"· {out.names[one.piece]}: {one.said}" for one in next_best), indent=2)
        _show_steps(out, plan, press)
    findings, cautions = cautions_last(plan.findings)
    out.findings("Findings", findings)
    notes = [note for note in plan.notes if note not in plan.ruled_out]
    for heading, said in (("Ruled out", plan.ruled_out), ("Notes on the artwork", notes)):
        if said:
            out.heading(heading)
            out.lines(said, indent=2)
    show_refused(out, plan)
    out.findings("Cautions", cautions)


def show_refused(out: Terminal, plan: Plan) -> None:
    """The films that show what is wished and are refused."""
    if plan.refused:
        out.heading("Films refused")
        rows = [
            (out.names.get(one.piece, one.piece), one.film, one.rule, one.message)
            for one in plan.refused
        ]
        out.table(("piece", "film", "rule", "because"), rows, whole=3)


def show_cards(out: Terminal, plan: Plan, press: Press) -> None:
    """The press cards of a plan, for the garments of each."""
    for card in press_cards(plan, press):
        garments = and_list([run_words(plan, run, out.units) for run in card.runs])
        out.heading(f"Press card for {garments}")
        out.pairs((line.what, line.do) for line in card.lines)
        for run in card.runs:
            if run.cooling:
                out.lines([cooling_words(run, out.units)], indent=2)


def show_in_short(out: Terminal, plan: Plan) -> None:
    """How pieces meet where they do not plainly lap, each finding in a line, the cautions."""
    special = [joint for joint in plan.seen_joints if joint.meets != "lap"]
    findings, cautions = findings_on_card(plan)
    told = [f"· {joint_clause(joint, out.names, out.units)}" for joint in special]
    if told or findings or plan.notes:
        out.heading("To know")
        out.lines(told, indent=2)
        out.in_short(findings)
        out.lines((f"· {note}" for note in plan.notes), indent=2)
    if cautions:
        out.heading("Cautions: local rules, licensed practice and the makers' instructions first")
        out.in_short(cautions)
    out.line()
    out.line("--why gives every step with its reasons, the pieces and the heat at each bond line")


def show_sample(out: Terminal, handed: HandOver) -> None:
    """What to press, wash and look at first, where a sample is asked for."""
    if handed.sample is not None:
        out.heading("Sample first: what to do")
        out.pairs(handed.sample.lines)


def show_care(out: Terminal, handed: HandOver) -> None:
    """The customer's care cards, each with what sets its limits."""
    for card in handed.care:
        out.heading(f"Care of {', '.join(card.garments)}")
        out.pairs(
            (line.what, f"{line.said} ({line.symbol})" if line.symbol else line.said)
            for line in card.lines
        )
        out.lines([set_by(card.care)], indent=2, style="dim")


def show_others(out: Terminal, others: Sequence[OtherPlan], answers: Sequence[Answered]) -> None:
    """Plans that differ with what they gain and lose, and what stands against a wish."""
    if others:
        out.heading("Alternatives")
    for number, other in enumerate(others, 1):
        out.verdict(other.plan.verdict, label=f"alternative {number}")
        out.lines(other.differs)
        out.lines(f"gains: {gain}" for gain in other.gains)
        out.lines(f"loses: {loss}" for loss in other.loses)
    for answer in answers:
        out.heading(f"Why not {answer.question}?")
        out.lines([answer.said, *answer.differs])


def show_answer(
    out: Terminal,
    plan: Plan,
    again: Reordered | None = None,
    *,
    proof: str,
    undecided: str = UNDECIDED,
) -> None:
    """Job, verdict, minutes, cost, and how sure it is, or what it was when it was pressed.

    Args:
        proof: how sure it is, in words; ``undecided`` what is said where there is no answer.
    """
    out.line(f"{plan.job}: {plan.artwork} on the {plan.press} press", "bold")
    if plan.status == "planned":
        out.verdict(plan.verdict)
        pieces = plan.quantity
        out.line(
            f"{plan.minutes:.0f} min at the press and {plan.cost:.2f} {plan.currency} for "
            f"{pieces} {'garment' if pieces == 1 else 'garments'}"
        )
    elif plan.status == "impossible":
        out.line("■ IMPOSSIBLE  as asked", "bold red")
    else:
        out.line(undecided, "bold yellow")
    if again is None or again.plan is None:
        out.line(proof + ("; --seconds looks longer" if ran_out(plan) else ""))
    if again is not None:
        out.line(again.said, "bold")
        since = [f"· {one.message}" for one in again.since] or ["· nothing has changed since"]
        out.lines(since, indent=2)


def show_order_answer(out: Terminal, order: OrderPlan, again: Reordered | None = None) -> None:
    """The same of an order with several prints."""
    undecided = UNDECIDED
    if has_no_order(order):
        undecided = f"{NO_ORDER.shape} {NO_ORDER.word}  {NO_ORDER.meaning}"
    show_answer(out, order.whole, again, proof=order_proof_words(order), undecided=undecided)


def show_conflict(out: Terminal, plan: Plan, *, none: str = NO_CHANGE) -> None:
    """What stands in the way of a plan, and the changes that would clear it, if there are any.

    Args:
        none: what is said where there are none.
    """
    if plan.conflict:
        alone = len(plan.conflict) == 1
        out.heading("What stands in the way" if alone else "These cannot all hold")
    # One that time cut short may have hundreds of members, which nobody reads.
    for clash in plan.conflict[:MOST_CLASHES]:
        out.line(f"{clash.rule}  {clash.where}", "bold")
        out.lines([clash.message])
    if len(plan.conflict) > MOST_CLASHES:
        rules = collections.Counter(clash.rule for clash in plan.conflict[MOST_CLASHES:])
        more = ", ".join(f"{many} of {rule}" for rule, many in rules.items())
        out.line(f"and {more}; --json lists them all")
    if plan.repairs:
        out.heading("What would make it possible, the smallest change first")
    elif plan.conflict:
        out.line(none)
    for number, repair in enumerate(plan.repairs, 1):
        out.line(f"{number:>3}  {'; and '.join(f'{change.message}' for change in repair)}")


def _show_pieces(out: Terminal, plan: Plan) -> None:
    out.heading("Pieces, in the order they go down")
    rows = []
    for piece in sorted(plan.pieces, key=lambda piece: piece.rank):
        printed = plan.print.piece(piece.id)
        largest = max(printed.sizes, key=lambda size: size.width_mm)
        width, height = out.units.length(largest.width_mm), out.units.length(largest.height_mm)
        rows.append(
            (
                str(piece.rank),
                out.swatch(piece.colour, piece.srgb),
                piece.film,
                "the names" if piece.id == NAMES_PIECE else printed.fill or "",
                f"{width} × {height}",
                "the fabric" if piece.on_fabric else "other films",
            )
        )
    out.table(("press", "colour", "film", "fill", "largest", "lies on"), rows)
    if plan.seen_joints:
        out.heading("How they meet")
        out.lines(
            (f"· {joint_clause(joint, out.names, out.units)}" for joint in plan.seen_joints),
            indent=2,
        )


def _show_steps(out: Terminal, plan: Plan, press: Press) -> None:
    for run in plan.runs:
        numbered = f"Run {run.run}: " if len(plan.runs) > 1 else "Steps for "
        steps = (step for step in plan.steps if step.run == run.run)
        out.steps(f"{numbered}{run_words(plan, run, out.units)}", steps, press=press)
        if run.cooling:
            out.lines([cooling_words(run, out.units)])
    out.bond_lines(plan.bond_lines)
