"""Reorder: a job that was pressed before, planned as it was, with what has changed since."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from advisor.answers.judge_plan import as_wanted_in, judged
from advisor.answers.plan import Solved
from advisor.answers.prints import in_films_of, jobs_of, order_plan, plan_order, put_in_order
from advisor.answers.records import Reordered, Since
from advisor.answers.whole_order import whole_plan
from advisor.job.records.job import Job
from advisor.job.records.order import Order
from advisor.job.records.order_plan import OrderPlan, PlannedPrint
from advisor.job.records.people import People
from advisor.job.records.plan import Plan, Proof
from advisor.shop.pressed import (
    job_key,
    known_of,
    last_alike,
    last_pressed,
)
from advisor.shop.records import FilmTaken, PressedJob
from rules.catalogue import Catalogue
from rules.errors import UnknownNameError
from rules.facts.film import Film
from rules.facts.finding import Finding
from rules.knowledge import Knowledge

__all__ = ["order_again", "plan_again"]

PRICE = "price_per_m"


def plan_again(
    job: Job,
    *,
    artwork: bytes,
    names: bytes = b"",
    solve: Callable[..., Solved],
    folder: Path | None = None,
    knowledge: Knowledge,
    store: Path | None,
) -> Reordered | None:
    """The plan that a job was pressed by last, judged anew; nothing where it never was.

    The same films, ways of meeting and steps; what rules and heat say of them is of today, and so
    is the price of its film. It was the best plan of its day: of today nobody has looked. One that
    was pressed in another quantity is planned anew in the same films.

    Args:
        job: as it is asked now; one that was edited since is another job.
        artwork: its drawing, and ``names`` its list of names, as files hold them.
        solve: plans a job as `advisor.answers.plan.solve` does.
        folder: where its list of names lies; without it another quantity is another job.
        knowledge: what is judged by now.
        store: the file of the shop's store.

    Raises:
        BadInputError: the store cannot be read.
    """
    key = job_key(job, artwork, names)
    if folder is None:
        pressed = last_pressed(key, store=store)
    else:
        pressed = last_alike(key, job, artwork, store=store)
    if pressed is None:
        return None
    try:
        was = Plan.model_validate(pressed.plan)
    except ValidationError:
        return _unread(pressed)
    gone, changed = _since(pressed, was, knowledge.catalogue)
    if gone:
        return Reordered(pressed_on=pressed.on, plan=None, since=changed)
    if pressed.key == key:
        plan = judged(was, knowledge)
        cost = round(was.cost + _dearer(changed, pressed.taken), 2)
        plan = plan.model_copy(update={"cost": cost})
    else:
        same = in_films_of(job, was)
        plan = solve(same, folder=folder, svg=artwork, knowledge=knowledge).plan
        changed = (_of_other_quantity(job, was), *changed)
        if plan.status != "planned":
            return Reordered(pressed_on=pressed.on, plan=None, since=changed)
        plan = judged(as_wanted_in(was, plan), knowledge)
    said = (*changed, *_said_now(was.findings, plan.findings))
    return Reordered(pressed_on=pressed.on, plan=_not_weighed(plan), since=said)


def order_again(
    order: Order,
    *,
    files: Sequence[bytes],
    drawings: Sequence[bytes],
    solve: Callable[..., Solved],
    folder: Path,
    knowledge: Knowledge,
    store: Path | None,
) -> Reordered | None:
    """The same of an order with several prints: their plans as they were, put in order today.

    Args:
        files: its drawings and its list of people, as `advisor.shop.pressed.job_key` takes them;
            ``drawings`` without the list.
        folder: where they lie.

    Raises:
        BadInputError: the store cannot be read.
    """
    key = job_key(order, *files)
    pressed = last_alike(key, order, *drawings, store=store)
    if pressed is None:
        return None
    try:
        was = OrderPlan.from_document(pressed.plan)
    except ValidationError:
        return _unread(pressed)
    gone, changed = _since(pressed, was.whole, knowledge.catalogue)
    kept = _kept(was, changed, knowledge.catalogue) if gone else was.prints
    if not kept:
        return Reordered(pressed_on=pressed.on, plan=None, since=changed)
    dearer = _dearer(changed, pressed.taken)
    people, _ = jobs_of(order, folder=folder, knowledge=knowledge)
    same = pressed.key == key or _same_people(order, people, was)
    if gone or not same:
        made = plan_order(order, solve=solve, folder=folder, knowledge=knowledge, as_pressed=kept)
        if not gone:
            changed = (_of_other_quantity(order, was.whole), *changed)
        if made.whole.status != "planned":
            return Reordered(pressed_on=pressed.on, plan=None, since=changed)
        anew = [Since(kind="anew", what=one.id) for one in was.prints if one not in kept]
        changed = (*changed, *anew)
        # Their cost is of today.
        dearer = 0.0
    else:
        as_now = [one.model_copy(update={"plan": judged(one.plan, knowledge)}) for one in kept]
        prints, composed = put_in_order(order, as_now, knowledge)
        whole = whole_plan(order, prints, composed, people, knowledge.catalogue, choices=0)
        if whole.status != "planned":
            harm = tuple(f for _, places in composed for f in places.harm)
            since = (*changed, *_said_now((), harm))
            return Reordered(pressed_on=pressed.on, plan=None, since=since)
        made = order_plan(order, whole, prints, composed, people)
    prints = tuple(one.model_copy(update={"plan": _not_weighed(one.plan)}) for one in made.prints)
    whole = _not_weighed(made.whole)
    whole = whole.model_copy(update={"cost": round(whole.cost + dearer, 2)})
    said = (*changed, *_said_now(was.whole.findings, whole.findings))
    made = made.model_copy(update={"whole": whole, "prints": prints})
    return Reordered(pressed_on=pressed.on, plan=whole, order=made, since=said)


def _same_people(order: Order, people: People, was: OrderPlan) -> bool:
    """Whether as many garments go to the very people that they went to, whatever their list."""
    then = [(one.line, one.quantity, dict(one.says)) for one in was.people]
    now = [(one.line, one.quantity, dict(one.says)) for one in people.rows]
    many = [line.quantity for line in order.garments]
    return bool(now) and now == then and many == [one.quantity for one in was.whole.print.lines]


def _kept(was: OrderPlan, changed: Sequence[Since], known: Catalogue) -> tuple[PlannedPrint, ...]:
    """The prints that can be cut as they were; none where more than films is gone."""
    films = {piece.film for piece in was.whole.pieces}
    if any(one.kind == "gone" and one.what not in films for one in changed):
        return ()
    return tuple(one for one in was.prints if not list(_gone(one.plan, known)))


def _of_other_quantity(job: Job | Order, was: Plan) -> Since:
    now = sum(line.quantity for line in job.garments)
    return Since(kind="quantity", what=job.job, was=was.quantity, now=now)


def _unread(pressed: PressedJob) -> Reordered:
    unread = Since(kind="unread", what=pressed.job)
    return Reordered(pressed_on=pressed.on, plan=None, since=(unread,))


def _not_weighed(plan: Plan) -> Plan:
    """A plan as it was pressed, of which nobody has looked whether it is the best of today."""
    proof = Proof(optimal=False, bound=None, objective=None, measures=())
    return plan.model_copy(update={"proof": proof})


def _since(pressed: PressedJob, was: Plan, known: Catalogue) -> tuple[bool, tuple[Since, ...]]:
    """Whether the shelf lacks what a plan needs, and what has changed, that first."""
    gone = tuple(dict.fromkeys(_gone(was, known)))
    if not gone:
        return False, tuple(_changed(pressed, was, known))
    things, changed = {one.what for one in gone}, []
    # Of what is not known any more nothing else is told.
    with suppress(UnknownNameError):
        changed = [one for one in _changed(pressed, was, known) if one.what not in things]
    return True, (*gone, *changed)


def _gone(was: Plan, known: Catalogue) -> Iterator[Since]:
    """What the plan needs and the shelf has no more."""
    films = dict.fromkeys((piece.film, piece.colour) for piece in was.pieces)
    for film, colour in films:
        if film not in known.films or known.film(film).on_shelf_m <= 0:
            yield Since(kind="gone", what=film)
        elif not _comes_in(known.film(film), colour):
            yield Since(kind="gone", what=film, field="colours", was=colour)
    fabrics = dict.fromkeys(name.partition(":")[0] for run in was.runs for name in run.fabrics)
    yield from (Since(kind="gone", what=name) for name in fabrics if name not in known.fabrics)
    garments = dict.fromkeys(line.garment for line in was.print.lines if line.garment)
    yield from (Since(kind="gone", what=name) for name in garments if name not in known.garments)
    if was.press not in known.presses:
        yield Since(kind="gone", what=was.press)


def _comes_in(film: Film, colour: str) -> bool:
    return film.printed or colour in [one.name for one in film.colours]


def _changed(pressed: PressedJob, was: Plan, known: Catalogue) -> Iterator[Since]:
    """The values of films, fabrics and press that are not as they were."""
    for kind, facts in known_of(was, known).items():
        for name, now in facts.items():
            then: Mapping[str, Any] = pressed.shelf.get(kind, {}).get(name, now)
            for field, value in now.items():
                # A value that nobody knew of then has not changed.
                if then.get(field, value) != value:
                    yield Since(
                        kind="price" if field == PRICE else "value",
                        what=name, field=field, was=then[field], now=value,
                    )  # fmt: skip


def _dearer(changed: Sequence[Since], taken: Sequence[FilmTaken]) -> float:
    """What the film of the order costs more than it did, by the metres that it took."""
    metres = {each.film: each.wanted_m for each in taken}
    prices = [one for one in changed if one.kind == "price"]
    return float(sum((one.now - one.was) * metres.get(one.what, 0.0) for one in prices))


def _said_now(then: Sequence[Finding], now: Sequence[Finding]) -> Iterator[Since]:
    """What rules say that they did not, and said that they do no more."""

    def told(findings: Sequence[Finding]) -> dict[tuple[str, str, str], Finding]:
        return {(one.rule, str(one.where), one.severity): one for one in findings}

    before, after = told(then), told(now)
    for key, one in after.items():
        if key not in before:
            yield Since(
                kind="rule", what=one.rule, severity=one.severity, where=one.where,
                message=one.message,
            )  # fmt: skip
    for key, one in before.items():
        if key not in after and one.severity != "note":
            yield Since(kind="silent", what=one.rule, severity=one.severity, where=one.where)
