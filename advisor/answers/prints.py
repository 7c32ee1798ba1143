"""Prints: an order's garments with several prints each, every print planned and all composed."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from advisor.answers.hung import hung
from advisor.answers.in_order import InOrder
from advisor.answers.judge_plan import as_wanted_in, judged, refuse_unplanned
from advisor.answers.lines_apart import told_of_lines_apart
from advisor.answers.next_films import with_next_films
from advisor.answers.order_of_places import order_of_places
from advisor.answers.place_steps import PressState, part_of
from advisor.answers.plan import Solved
from advisor.answers.prepared_job import prepared_job, unsettable_in
from advisor.answers.print_jobs import naming_print, print_jobs
from advisor.answers.records import PROOF_LIMIT_S
from advisor.answers.shared_films import EACH_S, with_shared_films
from advisor.answers.whole_agrees import refuse_disagreeing
from advisor.answers.whole_order import Composed, plan_of_none, whole_plan
from advisor.job.records.job import Job, Wish
from advisor.job.records.order import Order, read_order
from advisor.job.records.order_plan import Gets, LaidRun, LiesOn, OrderPlan, PlannedPrint
from advisor.job.records.people import NOBODY, People, read_people
from advisor.job.records.plan import Plan, Run
from advisor.job.records.print_job import PrintJob
from rules.errors import BadInputError
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["given_plan", "jobs_of", "order_plan", "plan_order", "put_in_order", "run_of"]


def plan_order(
    order: Order | Path | str,
    *,
    solve: Callable[..., Solved],
    folder: Path | None = None,
    knowledge: Knowledge | None = None,
    time_limit_s: float = PROOF_LIMIT_S,
    as_pressed: Sequence[PlannedPrint] = (),
) -> OrderPlan:
    """The plan of every print of an order, and the order of places on each garment.

    Each print is proved as a job by itself; then its presses are put between those of the others.
    Where these harm it in every order, its next films are tried; else films that prints share are
    taken where the order is better so. `unknown` is an order of which
    each print can be pressed, and none of the choices tried can be put in order.

    Args:
        order: an order, or the path of its file.
        solve: plans one print as `advisor.answers.plan.solve` does.
        folder: where artwork and people are looked for; the file's own folder by default.
        time_limit_s: for all prints together; each gets its share of what those before left.
        as_pressed: prints of before, from whose films they are cut.

    Raises:
        BadInputError: the order, an artwork or the list of people cannot be used.
        UnknownNameError: a garment, place, film or press is not known.
    """
    deadline = time.monotonic() + time_limit_s
    knowledge = knowledge or load_knowledge()
    known = knowledge.catalogue
    if not isinstance(order, Order):
        path = Path(order)
        order, folder = read_order(path, known), folder or path.parent
    folder = folder or Path()
    people, jobs = jobs_of(order, folder=folder, knowledge=knowledge)
    was = {one.id: one.plan for one in as_pressed}
    jobs = tuple(
        replace(one, job=in_films_of(one.job, was[one.id])) if one.id in was else one
        for one in jobs
    )

    def solve_by(job: Job, known: Knowledge, within_s: float) -> Solved:
        return solve(job, folder=folder, knowledge=known, time_limit_s=within_s)

    made: list[PlannedPrint] = []
    for at, job in enumerate(jobs):
        share_s = max(0.0, deadline - time.monotonic()) / (len(jobs) - at)
        with naming_print(job):
            solved = solve(job.job, folder=folder, knowledge=knowledge, time_limit_s=share_s)
        planned = _planned(job, solved)
        if job.column is None:
            plan = told_of_lines_apart(
                job.job, solved.plan, deadline=deadline,
                solve_in=lambda asked, within_s: solve_by(asked, knowledge, within_s).plan,
            )  # fmt: skip
            planned = planned.model_copy(update={"plan": plan})
        if job.id in was and planned.plan.status == "planned":
            as_wanted = judged(as_wanted_in(was[job.id], planned.plan), knowledge)
            planned = planned.model_copy(update={"plan": as_wanted})
        made.append(planned)
    prints = tuple(made)
    if any(one.plan.status != "planned" for one in prints):
        return OrderPlan(whole=plan_of_none(order, prints), prints=prints)

    def laid(prints: Sequence[PlannedPrint]) -> tuple[tuple[PlannedPrint, ...], Composed]:
        return put_in_order(order, prints, knowledge)

    def weighed(prints: Sequence[PlannedPrint], composed: Composed, choices: int = 0) -> Plan:
        return whole_plan(order, prints, composed, people, known, choices=choices)

    prints, composed = laid(prints)
    choices = 0
    if any(places.harm for _, places in composed):
        prints, composed, choices = with_next_films(
            jobs, prints, composed,
            solve=solve_by, compose=laid, knowledge=knowledge, deadline=deadline,
        )  # fmt: skip
    else:
        by_id = {one.id: one.job for one in jobs}
        at_dials: dict[tuple[object, ...], Plan] = {}

        def solve_at(one: PlannedPrint, dial_c: float) -> Plan:
            key = (one.id, dial_c, *((p.id, p.film, p.colour, p.srgb) for p in one.plan.pieces))
            if key not in at_dials:
                at_dials[key] = solve(
                    by_id[one.id], folder=folder, knowledge=knowledge, time_limit_s=EACH_S,
                    dial_c=dial_c, kept=one.plan,
                ).plan  # fmt: skip
            return at_dials[key]

        def lay(prints: Sequence[PlannedPrint]) -> InOrder:
            lying, made = laid(prints)
            return InOrder(lying, made, weighed(lying, made))

        prints, composed, _ = with_shared_films(
            jobs, prints,
            solve=solve_by, solve_at=solve_at, lay=lay, knowledge=knowledge, deadline=deadline,
        )  # fmt: skip
    return order_plan(order, weighed(prints, composed, choices), prints, composed, people)


def in_films_of(job: Job, plan: Plan) -> Job:
    """The job with every piece cut from what a plan cuts it from."""
    for piece in plan.pieces:
        job = job.with_look(piece.id, Wish(film=piece.film, colour=piece.colour or None))
    return job


def put_in_order(
    order: Order, prints: Sequence[PlannedPrint], knowledge: Knowledge
) -> tuple[tuple[PlannedPrint, ...], Composed]:
    """Planned prints where they lie on the garments, and the order in which they are pressed.

    Raises:
        BadInputError: an area does not hold them all.
    """
    worn = [line.garment for line in order.garments]
    lying = hung(worn, prints, knowledge.catalogue)
    return lying, _composed(order, lying, knowledge)


def order_plan(
    order: Order,
    whole: Plan,
    prints: tuple[PlannedPrint, ...],
    composed: Composed,
    people: People,
) -> OrderPlan:
    """The plan of an order whose prints are put in order."""
    return OrderPlan(
        whole=whole,
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
        people=_gets(people, prints),
    )


def given_plan(
    plan: OrderPlan,
    order: Order,
    people: People,
    jobs: Sequence[PrintJob],
    knowledge: Knowledge,
) -> OrderPlan:
    """A plan that someone gives for an order, perhaps edited: its own, and the same throughout.

    Raises:
        BadInputError: it is of another order or has no steps, has other people or garments than the
            order lists, or says one thing here and another there.
        UnknownNameError: it names what it or a garment lacks.
    """
    if plan.whole.job != order.job or [one.id for one in plan.prints] != [one.id for one in jobs]:
        raise BadInputError(
            f"is not the plan of {order.job!r} with its prints; plan this order with --out",
            field="job",
        )
    refuse_unplanned(plan.whole)
    refuse_disagreeing(plan, knowledge.catalogue)
    for number, (line, asked) in enumerate(
        zip(plan.whole.print.lines, order.garments, strict=False)
    ):
        if (line.garment, line.quantity) != (asked.garment, asked.quantity):
            raise BadInputError(
                f"is {line.quantity} × {line.garment} in the plan and {asked.quantity} × "
                f"{asked.garment} in the order; plan this order with --out",
                field=f"print.lines.{number}",
            )
    given, listed = (
        {one.row: one for one in of} for of in (plan.people, _gets(people, plan.prints))
    )
    for row in sorted(given.keys() | listed.keys()):
        if given.get(row) != listed.get(row):
            raise BadInputError(
                f"row {row} of the list gets {_told(given.get(row))} by the plan and "
                f"{_told(listed.get(row))} by the order; plan this order with --out",
                field="people",
            )
    return plan


def _told(gets: Gets | None) -> str:
    """What a person gets, as it is told of one whom two files do not agree on."""
    if gets is None:
        return "nothing"
    said = ", ".join(gets.says.values())
    return f"{gets.quantity} × line {gets.line} ({said})"


def jobs_of(
    order: Order, *, folder: Path, knowledge: Knowledge, with_looks: bool = False
) -> tuple[People, tuple[PrintJob, ...]]:
    """The people of an order, and each of its prints as a job.

    Args:
        with_looks: also refuse a print whose looks do not suit its artwork, as planning does.

    Raises:
        BadInputError: the list of people, a place or an artwork cannot be used.
    """
    people = NOBODY
    if order.people:
        people = read_people(
            folder / order.people,
            order,
            knowledge.catalogue.words,
            unsettable=unsettable_in(order, folder),
        )
    jobs = print_jobs(order, people, folder=folder, knowledge=knowledge)
    for one in jobs if with_looks else ():
        with naming_print(one):
            prepared_job(one.job, folder=folder, knowledge=knowledge)
    return people, jobs


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


def _composed(order: Order, prints: Sequence[PlannedPrint], knowledge: Knowledge) -> Composed:
    """The order of places of all garments that are pressed alike, run after run."""
    alike: dict[tuple[tuple[str, int], ...], list[int]] = {}
    for number in range(len(order.garments)):
        runs = tuple(
            (one.id, run_of(one, [number]).run)
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
            parts.append(part_of(print_, run_of(print_, lines), films))
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


def run_of(print_: PlannedPrint, lines: Sequence[int]) -> Run:
    """The run of a print's plan that presses the garments of some lines of the order, and no others
    of it: what lies on the press is their cloth.
    """
    own = [n for n, lies in enumerate(print_.lies) if lies.line in lines]
    run = next(run for run in print_.plan.runs if any(g.line in own for g in run.garments))
    garments = tuple(garment for garment in run.garments if garment.line in own)
    fabrics = (print_.plan.print.lines[garment.line].fabric for garment in garments)
    return run.model_copy(update={"garments": garments, "fabrics": tuple(dict.fromkeys(fabrics))})


def _gets(people: People, prints: Sequence[PlannedPrint]) -> tuple[Gets, ...]:
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
