"""Judge plan: every rule on a plan, perhaps edited by hand, as its runs press it.

What a film is and how far it draws in is looked up and worked out: a plan's word for it may be old.
"""

from __future__ import annotations

from dataclasses import replace

from advisor.answers.given_steps import fingerprint
from advisor.answers.judge import Judgement, judge_print
from advisor.answers.pressed_print import PressedPrint, refuse_unknown_names, width_as_made
from advisor.job.plan_file import refuse_mismatched_parts
from advisor.job.records.plan import BondLineResult, Plan, PlannedPiece, Run
from rules.book.colour_difference import colour_difference
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import Finding, once_per_cause, verdict, worst_first
from rules.facts.text import Text, and_list
from rules.knowledge import Knowledge

__all__ = [
    "as_wanted_in", "colours_that_no_film_has", "judge_plan", "judged", "pressed_prints",
    "refuse_unplanned",
]  # fmt: skip


def judge_plan(plan: Plan, knowledge: Knowledge) -> Judgement:
    """Every finding on a plan, each run on each of its fabrics with its own steps.

    Raises:
        BadInputError: the plan has no pieces or no steps, or its parts do not fit one another.
        UnknownNameError: a film, garment, fabric or press is not in the catalogue, or a step
            names a piece that the plan lacks.
    """
    refuse_unplanned(plan)
    refuse_mismatched_parts(plan)
    findings: list[Finding] = list(colours_that_no_film_has(plan, knowledge))
    lines: list[BondLineResult] = []
    for run in plan.runs:
        for pressed in pressed_prints(plan, run, knowledge.catalogue):
            of_run, seen = judge_print(pressed, knowledge)
            findings += of_run
            lines += seen
    return once_per_cause(worst_first(findings)), tuple(lines)


def refuse_unplanned(plan: Plan) -> None:
    """Refuse a plan without steps, with what stands in the way of it and the least that would help.

    Raises:
        BadInputError: it has none.
    """
    if plan.pieces and plan.steps and plan.runs:
        return
    if plan.status == "planned":
        raise BadInputError("this plan has no steps to check; plan the job first")
    said = "is impossible" if plan.status == "impossible" else "has no plan"
    why = "; ".join(dict.fromkeys(str(clash.message) for clash in plan.conflict))
    helps = [and_list(change.message for change in changes) for changes in plan.repairs[:1]]
    raise BadInputError(
        Text(
            f"{plan.job!r} {said}"
            + (f": {why}" if why else "")
            + "".join(f"; the smallest change that would help: {change}" for change in helps)
        )
    )


def judged(plan: Plan, knowledge: Knowledge) -> Plan:
    """A plan with all that is found of it, and its verdict; errors are those of `judge_plan`."""
    findings, lines = judge_plan(plan, knowledge)
    return plan.model_copy(
        update={"findings": findings, "verdict": verdict(findings), "bond_lines": lines}
    )


def as_wanted_in(was: Plan, plan: Plan) -> Plan:
    """A plan in the films and colours of another, with the colours that were wanted there.

    Whoever plans a piece again in the colour that it had does not wish for that colour by it. What
    is found of it is to be asked again.
    """
    wanted = {piece.id: (piece.wanted, piece.delta_e) for piece in was.pieces}
    pieces = tuple(
        piece.model_copy(update=dict(zip(("wanted", "delta_e"), wanted[piece.id], strict=True)))
        if piece.id in wanted
        else piece
        for piece in plan.pieces
    )
    plan = plan.model_copy(update={"pieces": pieces})
    return plan.model_copy(update={"told_of": fingerprint(plan)})


def pressed_prints(plan: Plan, run: Run, catalogue: Catalogue) -> tuple[PressedPrint, ...]:
    """The print as one run of a plan presses it, on each of the run's fabrics.

    Raises:
        UnknownNameError: a film, fabric or press is not known, or a step names a piece that the
            plan lacks.
    """
    films = {piece.id: catalogue.film(piece.film) for piece in plan.pieces}
    steps = tuple(step for step in plan.steps if step.run == run.run)
    before = [step for step in plan.steps if step.run < run.run]
    dialled = [step for step in before if step.setpoint_c is not None]
    by_hand = [step for step in dialled if step.action == "setpoint"]
    left = (by_hand or dialled)[-1:]
    refuse_unknown_names(steps, tuple(films), catalogue.sheets)
    return tuple(
        PressedPrint(
            print=plan.print,
            films=films,
            colours={piece.id: _colour(piece, films[piece.id]) for piece in plan.pieces},
            delta_e={piece.id: _delta_e(piece, films[piece.id]) for piece in plan.pieces},
            meets=plan.meets,
            widths={
                (joint.upper, joint.lower): width_as_made(plan.print, films, joint)
                for joint in plan.open_joints
            },
            lines=tuple(garment.line for garment in run.garments),
            fabric=catalogue.fabric(fabric),
            press=catalogue.press(plan.press),
            sheets=catalogue.sheets,
            steps=steps,
            as_cut=tuple(
                replace(plan.print.piece(piece.id), sizes=piece.as_cut)
                for piece in plan.pieces
                if piece.as_cut
            ),
            dial_c=left[0].setpoint_c if left else None,
            finishes={piece.id: piece.finish for piece in plan.pieces},
        )
        for fabric in run.fabrics
    )


def _colour(piece: PlannedPiece, film: Film) -> Colour:
    """The colour as the catalogue has it; a printable film is printed in the plan's."""
    written = Colour(name=piece.colour, srgb=piece.srgb)
    known = () if film.printed else film.colours
    colour = next((one for one in known if one.name == piece.colour), written)
    return colour.model_copy(update={"assumed": piece.colour_assumed})


def _delta_e(piece: PlannedPiece, film: Film) -> float:
    """How far the film's colour is from the one wanted; an older plan only says how far."""
    if piece.wanted is None:
        return piece.delta_e
    # To a hundredth, as the choice was weighed.
    return round(colour_difference(piece.wanted, _colour(piece, film).srgb), 2)


def colours_that_no_film_has(plan: Plan, knowledge: Knowledge) -> tuple[Finding, ...]:
    """A stop for each piece whose film does not come in the colour that the plan writes."""
    rule, found = knowledge.rules.rule("colour-match"), []
    for piece in plan.pieces:
        film = knowledge.catalogue.film(piece.film)
        names = [colour.name for colour in film.colours]
        if film.family != "printable" and piece.colour not in names:
            found.append(
                Finding(
                    rule=rule.id,
                    severity="stop",
                    where=Text(piece.id),
                    message=Text(f"{film.id} does not come in {piece.colour}"),
                    why=Text("what is not on any roll cannot be cut"),
                    instead=Text(f"take one of its colours: {and_list(names, last='or')}"),
                    basis=film.basis_of("colours"),
                )
            )
    return tuple(found)
