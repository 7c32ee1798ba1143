"""Shared films: prints of an order in films of the other prints, where the order is better so.

Each print is planned alone, and what suits it best there may not suit the order: prints pressed
together are pressed for the slowest, and films of other settings turn the dial between them.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from advisor.answers.next_films import Compose, SolvePrint, named_films, plan_in_films
from advisor.answers.whole_order import Composed
from advisor.job.records.job import Rates
from advisor.job.records.order_plan import PlannedPrint
from advisor.job.records.plan import Plan
from advisor.job.records.print_job import PrintJob
from rules.facts.text import Text, and_list
from rules.knowledge import Knowledge

__all__ = ["EACH_S", "InOrder", "Weigh", "for_the_order", "with_shared_films", "worth"]

SEARCH_S, EACH_S = 10.0, 2.0
"""How long films to share are looked for at most, and one print's plan in them, s."""

MOST_TRIED = 16
"""So many other choices are put in order at most, each of which takes a fraction of a second."""

SETTINGS = ("setpoint", "pressure", "pad")

PlanWithin = Callable[[int, frozenset[str]], Plan | None]
Weigh = Callable[[Sequence[PlannedPrint], Composed], Plan]
Chosen = dict[int, Plan]


class InOrder(NamedTuple):
    """Prints in order of places, and what the order comes to so."""

    prints: tuple[PlannedPrint, ...]
    composed: Composed
    whole: Plan


def with_shared_films(
    jobs: Sequence[PrintJob],
    prints: tuple[PlannedPrint, ...],
    composed: Composed,
    *,
    solve: SolvePrint,
    compose: Compose,
    weigh: Weigh,
    knowledge: Knowledge,
    deadline: float,
) -> InOrder:
    """The order with a film less, again and again, as long as it is better for that.

    Film by film, the prints that lose by it are planned without it: in any other film, and in
    those that the order is cut from besides. What is better is kept: fewer samples, then what the
    order prefers. It is a search of the likeliest; that there is none better is not proved.

    Args:
        prints: each in the films that are best for it alone; ``composed`` harms none of them.
        solve: plans a print by other knowledge, in so many seconds.
        compose: lays prints in order.
        weigh: the order as one plan.
        deadline: of ``time.monotonic``, after which no other choice is tried.
    """
    deadline = min(deadline, time.monotonic() + SEARCH_S)
    known, plans = knowledge.catalogue, dict[tuple[int, frozenset[str]], Plan | None]()

    def plan_within(at: int, names: frozenset[str]) -> Plan | None:
        """The print of that number in these films and those that its job names."""
        within_s = min(EACH_S, deadline - time.monotonic())
        if (at, names) not in plans and within_s > 0:
            allowed = names | named_films(jobs[at].job, known)
            films = {name: film for name, film in known.films.items() if name in allowed}
            fewer = replace(knowledge, catalogue=replace(known, films=films))
            plans[at, names] = plan_in_films(jobs[at].job, fewer, solve, within_s)
        return plans.get((at, names))

    best = InOrder(prints, composed, weigh(prints, composed))
    now, tried = best, 0

    def in_order(chosen: Chosen) -> InOrder:
        laid, order = compose(
            [
                one.model_copy(update={"plan": chosen.get(at, one.plan)})
                for at, one in enumerate(now.prints)
            ]
        )
        return InOrder(laid, order, weigh(laid, order))

    def better() -> InOrder | None:
        """The best of the first kind of choices that holds one better than now."""
        nonlocal tried
        for choices in _kinds(now, frozenset(known.films), plan_within):
            found = []
            for chosen in choices:
                if tried == MOST_TRIED or time.monotonic() > deadline:
                    break
                tried += 1
                found.append(in_order(chosen))
            sound = (one for one in found if one.whole.status == "planned")
            reached = min(sound, key=lambda one: worth(one.whole), default=now)
            if worth(reached.whole) < worth(now.whole):
                return reached
        return None

    while (found := better()) is not None:
        now = found
    return now._replace(prints=_told(best, now))


def _kinds(
    now: InOrder, shelf: frozenset[str], plan_within: PlanWithin
) -> Iterator[Iterator[Chosen]]:
    """Other plans of the prints that lose by a film: all of them in any other film, all in those
    that the order is cut from besides, and one alone in either.
    """
    lose = _at_odds(now)
    in_order = _films(one.plan for one in now.prints)
    pools = (shelf, frozenset(in_order))

    def without(film: str, pool: frozenset[str]) -> Chosen:
        plans = {
            at: plan_within(at, pool - {film})
            for at in lose
            if film in _films([now.prints[at].plan])
        }
        return {at: plan for at, plan in plans.items() if plan and film not in _films([plan])}

    for pool in pools:
        yield (chosen for film in in_order if (chosen := without(film, pool)))
    yield (
        {at: plan}
        for pool in pools
        for film in in_order
        if len(chosen := without(film, pool)) > 1
        for at, plan in chosen.items()
    )


def _at_odds(now: InOrder) -> list[int]:
    """The prints that another film might suit better, for what lies beside them.

    Where the press stands as it is from the first press on, only prints that are pressed together
    and cut from different films can lose by them.
    """
    steps = now.whole.steps
    first = next(at for at, step in enumerate(steps) if step.action == "press")
    if any(step.action in SETTINGS for step in steps[first:]):
        return list(range(len(now.prints)))
    lose = set()
    for _, places in now.composed:
        for one in places.laid:
            beside = [print_ for print_, _ in one.part.bears]
            if len({_films([print_.plan]) for print_ in beside}) > 1:
                lose |= {print_.id for print_ in beside}
    return [at for at, one in enumerate(now.prints) if one.id in lose]


def _films(plans: Iterable[Plan]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(piece.film for plan in plans for piece in plan.pieces))


def worth(whole: Plan) -> tuple[float, ...]:
    """The order by what it prefers, samples first; its cost and minutes are of all garments."""
    exact = {"cents": whole.cost, "seconds": whole.minutes}
    proof = whole.proof
    return tuple(
        exact.get(name, value)
        for name, value in zip(proof.measures, proof.objective or (), strict=True)
    )


def _told(best: InOrder, now: InOrder) -> tuple[PlannedPrint, ...]:
    """The prints, each that is not in the films best for it alone saying why."""
    return tuple(
        one
        if one.plan == was.plan
        else for_the_order(one, one.plan, was.plan, (_why(was, one, best, now), *one.plan.notes))
        for was, one in zip(best.prints, now.prints, strict=True)
    )


def for_the_order(
    print_: PlannedPrint, plan: Plan, alone: Plan, notes: tuple[Text, ...]
) -> PlannedPrint:
    """A print by a plan that is taken for the order's sake: it is not the best of its own."""
    proof = plan.proof.model_copy(update={"optimal": False, "bound": None})
    kept = {"proof": proof, "refused": alone.refused, "notes": notes}
    return print_.model_copy(update={"plan": plan.model_copy(update=kept)})


def _why(was: PlannedPrint, one: PlannedPrint, best: InOrder, now: InOrder) -> Text:
    films, alone = _films([one.plan]), _films([was.plan])
    sharing = [
        other.id
        for other in now.prints
        if other.id != one.id and set(films) & set(_films([other.plan]))
    ]
    too = ""
    if sharing:
        too = f", as {sharing[0]} is" if len(sharing) == 1 else f", as {len(sharing)} others are"
    asked = [sum(f.severity == "sample" for f in order.whole.findings) for order in (now, best)]
    so, alone_so = (
        _comes_to(order.whole, samples if asked[0] != asked[1] else None)
        for order, samples in zip((now, best), asked, strict=True)
    )
    return Text(
        f"cut from {and_list(films)}{too}: the order comes to {so} so, and to {alone_so} with all "
        f"prints in the films best for each alone, this in {and_list(alone)}"
    )


def _comes_to(whole: Plan, samples: int | None) -> str:
    asked = "" if samples is None else f"{samples} to sample, "
    money = Rates(currency=whole.currency).money(whole.cost)
    return f"{asked}{money} and {whole.minutes:.0f} min"
