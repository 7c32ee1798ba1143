"""Prints: an order's garments with several prints each, every print planned and all composed."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from advisor.answers.order_of_places import PlacesInOrder, order_of_places
from advisor.answers.place_steps import PressState, part_of
from advisor.answers.plan import Solved
from advisor.answers.print_jobs import print_jobs
from advisor.answers.records import PROOF_LIMIT_S
from advisor.job.records.job import Wishes
from advisor.job.records.order import Order, OrderedGarment, read_order
from advisor.job.records.order_plan import Gets, LaidRun, LiesOn, OrderPlan, PlannedPrint
from advisor.job.records.people import NOBODY, People, read_people
from advisor.job.records.plan import Clash, Plan, Proof, Run, RunGarment
from advisor.job.records.print import Print, PrintLine
from advisor.job.records.print_job import PrintJob
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.finding import once_per_cause, verdict, worst_first
from rules.facts.text import Text
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["jobs_of", "plan_order"]

GAP_MM = 20.0
"""Between two prints under one another, mm. Common practice, no source."""


def plan_order(
    order: Order | Path | str,
    *,
    solve: Callable[..., Solved],
    folder: Path | None = None,
    knowledge: Knowledge | None = None,
    time_limit_s: float = PROOF_LIMIT_S,
) -> OrderPlan:
    """The plan of every print of an order, and the order of places on each garment.

    Each print is proved as a job by itself; then its presses are put between those of the others.

    Args:
        order: an order, or the path of its file.
        solve: plans one print as `advisor.answers.plan.solve` does.
        folder: where artwork and people are looked for; the file's own folder by default.
        time_limit_s: for each print.

    Raises:
        BadInputError: the order, an artwork or the list of people cannot be used.
        UnknownNameError: a garment, place, film or press is not known.
    """
    knowledge = knowledge or load_knowledge()
    known = knowledge.catalogue
    if not isinstance(order, Order):
        path = Path(order)
        order, folder = read_order(path, known), folder or path.parent
    folder = folder or Path()
    people, jobs = jobs_of(order, folder=folder, knowledge=knowledge)
    prints = tuple(
        _planned(job, solve(job.job, folder=folder, knowledge=knowledge, time_limit_s=time_limit_s))
        for job in jobs
    )
    if any(one.plan.status != "planned" for one in prints):
        return OrderPlan(whole=_not_planned(order, prints), prints=prints)
    prints = _hung(order, prints, known)
    composed = _composed(order, prints, knowledge)
    return OrderPlan(
        whole=_whole(order, prints, composed, people, known),
        prints=prints,
        laid=tuple(
            LaidRun(
                run=number,
                prints=tuple(p.id for one in places.laid for p, _ in one.part.bears),
                first_n=tuple(one.steps[0].n for one in places.laid for _ in one.part.bears),
                seconds_each=round(places.seconds, 1),
                orders=places.orders,
                refused=places.refused,
                why=places.why,
            )
            for number, (_, places) in enumerate(composed, 1)
        ),
        people=_gets(order, people, prints),
    )


def jobs_of(
    order: Order, *, folder: Path, knowledge: Knowledge
) -> tuple[People, tuple[PrintJob, ...]]:
    """The people of an order, and each of its prints as a job.

    Raises:
        BadInputError: the list of people, a place or an artwork cannot be used.
    """
    people = NOBODY
    if order.people:
        people = read_people(folder / order.people, order, knowledge.catalogue.words)
    return people, print_jobs(order, people, folder=folder, knowledge=knowledge)


def _planned(job: PrintJob, solved: Solved) -> PlannedPrint:
    lies = []
    for line, spot, printed in zip(job.lines, job.spots, solved.plan.print.lines, strict=False):
        lies.append(
            LiesOn(
                line=line,
                area=spot.area.name,
                top_mm=round(spot.top_mm, 1),
                across_mm=round(spot.across_mm, 1),
                width_mm=round(printed.width_mm, 1),
                height_mm=round(printed.height_mm, 1),
                told=spot.told,
            )
        )
    return PlannedPrint(
        id=job.id,
        at=job.place.id,
        part=job.place.part,
        side=job.place.side,
        lettering=job.column,
        lies=tuple(lies),
        plan=solved.plan,
    )


def _hung(
    order: Order, prints: Sequence[PlannedPrint], known: Catalogue
) -> tuple[PlannedPrint, ...]:
    """The prints with those that would overlap in one area hung one under another.

    Raises:
        BadInputError: the area does not hold them all.
    """
    hung: dict[tuple[str, int], LiesOn] = {}
    for number in range(len(order.garments)):
        there: list[tuple[str, LiesOn]] = []
        for print_ in prints:
            for lies in print_.lies:
                if lies.line != number:
                    continue
                for name, other in there:
                    if other.area == lies.area and _overlap(lies, other):
                        below_mm = other.top_mm + other.height_mm + GAP_MM
                        told = f"{GAP_MM:g} mm below the {name.replace('-', ' ')}"
                        lies = lies.model_copy(update={"top_mm": below_mm, "told": told})
                _refuse_low(lies, order.garments[number].garment, print_.id, known)
                there.append((print_.id, lies))
                hung[print_.id, number] = lies
    return tuple(
        one.model_copy(update={"lies": tuple(hung[one.id, lies.line] for lies in one.lies)})
        for one in prints
    )


def _refuse_low(lies: LiesOn, garment: str, print_id: str, known: Catalogue) -> None:
    area = known.garment(garment).print_area(lies.area)
    ends_mm = lies.top_mm + lies.height_mm
    if ends_mm > area.height_mm + 0.1:
        raise BadInputError(
            f"{print_id} would end {ends_mm:.0f} mm below the upper edge of the {lies.area} of "
            f"{garment}, which is {area.height_mm:.0f} mm high; make the prints there lower",
            field=f"garments.{lies.line}.prints",
        )


def _overlap(one: LiesOn, other: LiesOn) -> bool:
    across = abs(one.across_mm - other.across_mm) < (one.width_mm + other.width_mm) / 2
    return (
        across
        and one.top_mm < other.top_mm + other.height_mm
        and other.top_mm < one.top_mm + one.height_mm
    )


Composed = list[tuple[tuple[int, ...], PlacesInOrder]]
"""Runs: the lines of the order that are pressed alike, and their prints in order."""


def _composed(order: Order, prints: Sequence[PlannedPrint], knowledge: Knowledge) -> Composed:
    """The order of places of all garments that are pressed alike, run after run."""
    alike: dict[tuple[tuple[str, int], ...], list[int]] = {}
    for number in range(len(order.garments)):
        runs = tuple(
            (one.id, _run_of(one, number).run)
            for one in prints
            if any(lies.line == number for lies in one.lies)
        )
        alike.setdefault(runs, []).append(number)
    by_id = {one.id: one for one in prints}
    made: Composed = []
    stands, first_n = PressState(), 1
    for runs, lines in alike.items():
        parts = []
        for print_id, _ in runs:
            print_ = by_id[print_id]
            films = {p.id: knowledge.catalogue.film(p.film) for p in print_.plan.pieces}
            parts.append(part_of(print_, _run_of(print_, lines[0]), films))
        places = order_of_places(
            parts,
            stands,
            knowledge,
            first_n=first_n,
            run=len(made) + 1,
            quantity=sum(order.garments[number].quantity for number in lines),
        )
        made.append((tuple(lines), places))
        stands, first_n = places.laid[-1].after, places.laid[-1].steps[-1].n + 1
    return made


def _run_of(print_: PlannedPrint, line: int) -> Run:
    """The run of a print's plan that presses the garments of a line of the order."""
    at = next(n for n, lies in enumerate(print_.lies) if lies.line == line)
    return next(run for run in print_.plan.runs if any(g.line == at for g in run.garments))


def _whole(
    order: Order,
    prints: Sequence[PlannedPrint],
    composed: Composed,
    people: People,
    known: Catalogue,
) -> Plan:
    """The order as one plan: the pieces of all prints, and every step in its order."""
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
    }  # fmt: skip
    return _bare(order, prints).model_copy(
        update={
            "status": "impossible" if harm else "planned",
            "verdict": "stop" if harm else verdict(findings),
            "conflict": tuple(
                Clash(rule=f.rule, where=f.where, message=f.message + "; " + f.instead)
                for f in harm
            ),
            "print": _print(order, prints, known),
            "pieces": tuple(
                piece.model_copy(update={"id": f"{one.id}/{piece.id}", "as_cut": ()})
                for one in prints
                for piece in one.plan.pieces
            ),
            "joints": tuple(
                joint.model_copy(
                    update={
                        "upper": f"{one.id}/{joint.upper}",
                        "lower": f"{one.id}/{joint.lower}",
                    }
                )
                for one in prints
                for joint in one.plan.joints
            ),
            "notes": (*map(Text, people.notes), *_notes(prints)),
        }
        | planned
    )


def _print(order: Order, prints: Sequence[PlannedPrint], known: Catalogue) -> Print:
    """What is printed on the garments of the order, print by print."""
    return Print(
        pieces=(),
        meetings=tuple(
            replace(met, upper=f"{one.id}/{met.upper}", lower=f"{one.id}/{met.lower}")
            for one in prints
            for met in one.plan.print.meetings
        ),
        places=tuple(
            replace(place, stack=tuple(f"{one.id}/{piece}" for piece in place.stack))
            for one in prints
            for place in one.plan.print.places
        ),
        close=(),
        lines=_lines(order, prints, known),
        registration_mm=order.registration_mm,
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
                minutes_each=round(places.seconds / 60, 2),
                cost_each=round(cost, 2),
            )
        )
    return Run(
        run=number,
        fabrics=tuple(dict.fromkeys(_fabric(order.garments[line], known) for line in lines)),
        garments=tuple(garments),
        cools_s=sum(run.cools_s for one in places.laid for _, run in one.part.bears),
        cooling=max(run.cooling for one in places.laid for _, run in one.part.bears),
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
    """The order as a plan that says nothing yet of how it is pressed."""
    proofs = [one.plan.proof for one in prints]
    return Plan(
        job=order.job,
        artwork=", ".join(dict.fromkeys(one.plan.artwork for one in prints)),
        status="planned",
        verdict="stop",
        prefer=order.prefer,
        press=order.press,
        proof=Proof(
            optimal=all(proof.optimal for proof in proofs),
            bound=None,
            objective=None,
            measures=proofs[0].measures,
        ),
        currency=order.rates.currency,
    )


def _not_planned(order: Order, prints: Sequence[PlannedPrint]) -> Plan:
    """What stands in the way of the prints that have no plan."""
    without = [one for one in prints if one.plan.status != "planned"]
    impossible = any(one.plan.status == "impossible" for one in without)
    return _bare(order, prints).model_copy(
        update={
            "status": "impossible" if impossible else "unknown",
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


def _gets(order: Order, people: People, prints: Sequence[PlannedPrint]) -> tuple[Gets, ...]:
    """What each person gets, per print."""

    def lettered(line: int) -> Mapping[str, str]:
        return {
            one.id: one.lettering
            for one in prints
            if one.lettering is not None and any(lies.line == line for lies in one.lies)
        }

    return tuple(
        Gets(
            row=person.row,
            line=person.line,
            quantity=person.quantity,
            says=dict(person.says),
            lettered={
                print_id: person.lettered(column)
                for print_id, column in lettered(person.line).items()
                if person.lettered(column)
            },
        )
        for person in people.rows
    )
