"""Whole order: the plans of its prints as one plan, with the steps of each garment in order."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from advisor.answers.order_of_places import PlacesInOrder
from advisor.job.records.job import Wishes
from advisor.job.records.order import Order, OrderedGarment
from advisor.job.records.order_plan import PlannedPrint
from advisor.job.records.people import People
from advisor.job.records.plan import (
    Clash,
    Plan,
    PlannedJoint,
    PlannedPiece,
    Proof,
    Run,
    RunGarment,
)
from advisor.job.records.print import Meeting, Place, Print, PrintLine
from rules.catalogue import Catalogue
from rules.facts.finding import Finding, once_per_cause, verdict, worst_first
from rules.facts.text import Text

__all__ = [
    "Composed",
    "joints_in_all",
    "meetings_in_all",
    "pieces_in_all",
    "places_in_all",
    "plan_of_none",
    "whole_plan",
]

Composed = list[tuple[tuple[int, ...], PlacesInOrder]]
"""Runs: the lines of the order that are pressed alike, and their prints in order."""


def whole_plan(
    order: Order,
    prints: Sequence[PlannedPrint],
    composed: Composed,
    people: People,
    known: Catalogue,
    *,
    choices: int,
) -> Plan:
    """The order as one plan: the pieces of all prints, and every step in its order.

    Args:
        choices: how many choices of films were tried beside the best of each print.
    """
    bare = _bare(order, prints)
    findings = once_per_cause(worst_first(f for _, places in composed for f in places.findings))
    harm = [finding for _, places in composed for finding in places.harm]
    runs = tuple(_run(order, number, *run, known=known) for number, run in enumerate(composed, 1))
    minutes = cost = 0.0
    for run in runs:
        for garment in run.garments:
            quantity = order.garments[garment.line].quantity
            minutes += quantity * garment.minutes_each
            cost += quantity * garment.cost_each
    planned = {} if harm else {
        "steps": tuple(s for _, places in composed for one in places.laid for s in one.steps),
        "runs": runs,
        "minutes": round(minutes, 1),
        "cost": round(cost, 2),
        "findings": findings,
        "bond_lines": tuple(line for one in prints for line in one.plan.bond_lines),
        "proof": _counted(bare.proof, order, prints, findings, runs),
    }  # fmt: skip
    return bare.model_copy(
        update={
            "status": "unknown" if harm else "planned",
            "verdict": "stop" if harm else verdict(findings),
            "conflict": tuple(
                Clash(rule=f.rule, where=f.where, message=f.message + "; " + f.instead)
                for f in harm
            ),
            "print": _print(order, prints, known),
            "pieces": pieces_in_all(prints),
            "joints": joints_in_all(prints),
            "notes": (
                *([_tried(choices)] if harm else []),
                *map(Text, people.notes),
                *_notes(prints),
            ),
        }
        | planned
    )


def pieces_in_all(prints: Sequence[PlannedPrint]) -> tuple[PlannedPiece, ...]:
    """The pieces of all prints, as the whole calls them."""
    return tuple(
        piece.model_copy(update={"id": f"{one.id}/{piece.id}", "as_cut": ()})
        for one in prints
        for piece in one.plan.pieces
    )


def joints_in_all(prints: Sequence[PlannedPrint]) -> tuple[PlannedJoint, ...]:
    """The joints of all prints, as the whole calls them."""
    return tuple(
        joint.model_copy(
            update={"upper": f"{one.id}/{joint.upper}", "lower": f"{one.id}/{joint.lower}"}
        )
        for one in prints
        for joint in one.plan.joints
    )


def _counted(
    bare: Proof,
    order: Order,
    prints: Sequence[PlannedPrint],
    findings: Sequence[Finding],
    runs: Sequence[Run],
) -> Proof:
    """What the order comes to, garment by garment on average.

    One print that comes to what it was proved to come to is proved; of several nothing is, for
    what each gains by the films of the others. One that is planned as it was pressed before was
    not weighed anew and has no objective.
    """
    own = [
        dict(zip(one.plan.proof.measures, one.plan.proof.objective, strict=True))
        for one in prints
        if one.plan.proof.objective is not None
    ]
    if len(own) < len(prints):
        return bare
    garments = [garment for run in runs for garment in run.garments]
    number = {garment.line: order.garments[garment.line].quantity for garment in garments}
    in_all = sum(number.values())

    def average(of: Callable[[RunGarment], float]) -> int:
        return round(sum(of(one) * number[one.line] for one in garments) / in_all)

    measured = {
        "samples": sum(finding.severity == "sample" for finding in findings),
        "weak": sum(one["weak"] for one in own),
        "cents": average(lambda one: 100 * one.cost_each),
        "thickness_um": max(one["thickness_um"] for one in own),
        "seconds": average(lambda one: 60 * one.minutes_each),
    }
    reached = tuple(measured[each] for each in bare.measures)
    alone = prints[0].plan.proof
    if len(prints) == 1 and alone.optimal and reached == alone.objective:
        return alone
    return bare.model_copy(update={"objective": reached})


def _tried(choices: int) -> Text:
    others = f" and of {choices} other choices" if choices else ""
    return Text(
        f"each print can be pressed alone; of its best films{others}, pressed in every order of "
        "places, each order harms a print; that there is none better is not proved"
    )


def _print(order: Order, prints: Sequence[PlannedPrint], known: Catalogue) -> Print:
    """What is printed on the garments of the order, print by print."""
    return Print(
        pieces=(),
        meetings=meetings_in_all(prints),
        places=places_in_all(prints),
        close=(),
        lines=_lines(order, prints, known),
        registration_mm=order.registration_mm,
    )


def meetings_in_all(prints: Sequence[PlannedPrint]) -> tuple[Meeting, ...]:
    """What meets what in all prints, as the whole calls them."""
    return tuple(
        replace(met, upper=f"{one.id}/{met.upper}", lower=f"{one.id}/{met.lower}")
        for one in prints
        for met in one.plan.print.meetings
    )


def places_in_all(prints: Sequence[PlannedPrint]) -> tuple[Place, ...]:
    """What lies over what in all prints, as the whole calls them."""
    return tuple(
        replace(place, stack=tuple(f"{one.id}/{piece}" for piece in place.stack))
        for one in prints
        for place in one.plan.print.places
    )


def _run(
    order: Order, number: int, lines: Sequence[int], places: PlacesInOrder, *, known: Catalogue
) -> Run:
    """A run of the order, each garment with the minutes and the cost of all its prints."""
    rate = order.rates.rate_per_hour / 3600
    garments = []
    for line in lines:
        cost = places.seconds * rate
        for print_, run in (of_part for one in places.laid for of_part in one.part.bears):
            at = next(n for n, lies in enumerate(print_.lies) if lies.line == line)
            own = next(garment for garment in run.garments if garment.line == at)
            cost += own.cost_each - 60 * own.minutes_each * rate
        garments.append(
            RunGarment(
                line=line,
                # So exact that 500 garments add up to the second and the cent.
                minutes_each=round(places.seconds / 60, 5),
                cost_each=round(cost, 5),
            )
        )
    several = sum(order.garments[line].quantity for line in lines) > 1
    return Run(
        run=number,
        fabrics=tuple(dict.fromkeys(_fabric(order.garments[line], known) for line in lines)),
        garments=tuple(garments),
        cools_s=sum(run.cools_s for one in places.laid for _, run in one.part.bears),
        cooling=max(run.cooling for one in places.laid for _, run in one.part.bears),
        batched=several and not all(one.stays and one.part.one_setting for one in places.laid[1:]),
    )


def _fabric(line: OrderedGarment, known: Catalogue) -> str:
    fabric = known.fabric(line.fabric or line.garment)
    return known.fabric(f"{fabric.id}:{line.colour}").id if line.colour else fabric.id


def _lines(order: Order, prints: Sequence[PlannedPrint], known: Catalogue) -> tuple[PrintLine, ...]:
    """The garments of the order, each with the places that it is printed at."""
    made = []
    for number, line in enumerate(order.garments):
        there = [(one, lies) for one in prints for lies in one.lies if lies.line == number]
        made.append(
            PrintLine(
                garment=line.garment,
                area=", ".join(dict.fromkeys(one.at for one, _ in there)),
                fabric=_fabric(line, known),
                quantity=line.quantity,
                width_mm=max(lies.width_mm for _, lies in there),
                height_mm=max(lies.height_mm for _, lies in there),
            )
        )
    return tuple(made)


def _bare(order: Wishes, prints: Sequence[PlannedPrint]) -> Plan:
    """The order as a plan that says nothing yet of how it is pressed, nor is proved."""
    return Plan(
        job=order.job,
        artwork=", ".join(dict.fromkeys(one.plan.artwork for one in prints)),
        status="planned",
        verdict="stop",
        prefer=order.prefer,
        press=order.press,
        proof=Proof(
            optimal=False, bound=None, objective=None, measures=prints[0].plan.proof.measures
        ),
        currency=order.rates.currency,
    )


def plan_of_none(order: Order, prints: Sequence[PlannedPrint]) -> Plan:
    """What stands in the way of the prints that have no plan."""
    without = [one for one in prints if one.plan.status != "planned"]
    impossible = [one.plan for one in without if one.plan.status == "impossible"]
    bare = _bare(order, prints)
    proved = any(plan.proof.optimal for plan in impossible)
    return bare.model_copy(
        update={
            "status": "impossible" if impossible else "unknown",
            "proof": bare.proof.model_copy(update={"optimal": proved}),
            "conflict": tuple(
                clash.model_copy(update={"where": Text(f"{one.id}: {clash.where}")})
                for one in without
                for clash in one.plan.conflict
            ),
            "repairs": without[0].plan.repairs if len(without) == 1 else (),
            "refused": tuple(
                refused.model_copy(update={"piece": f"{one.id}/{refused.piece}"})
                for one in without
                for refused in one.plan.refused
            ),
            "notes": _notes(without),
        }
    )


def _notes(prints: Sequence[PlannedPrint]) -> tuple[Text, ...]:
    return tuple(Text(f"{one.id}: {note}") for one in prints for note in one.plan.notes)
