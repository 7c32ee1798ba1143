"""In order: prints of an order in order of places, what that comes to, and why not otherwise."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import NamedTuple

from advisor.answers.order_of_places import PlacesInOrder
from advisor.answers.place_steps import PlacePart
from advisor.answers.whole_order import Composed
from advisor.job.records.job import Rates
from advisor.job.records.order_plan import PlannedPrint
from advisor.job.records.plan import Plan
from rules.facts.practice import CLOSE_S, LOAD_S, TURN_S
from rules.facts.text import Text

__all__ = [
    "InOrder", "LayInOrder", "at_least", "comes_to", "for_the_order", "samples", "with_more",
    "worth",
]  # fmt: skip


class InOrder(NamedTuple):
    """Prints in order of places, and what the order comes to so."""

    prints: tuple[PlannedPrint, ...]
    composed: Composed
    whole: Plan


LayInOrder = Callable[[Sequence[PlannedPrint]], InOrder]


def worth(whole: Plan) -> tuple[float, ...]:
    """The order by what it prefers, samples first; its cost and minutes are of all garments."""
    exact = {"cents": whole.cost, "seconds": whole.minutes}
    proof = whole.proof
    return tuple(
        exact.get(name, value)
        for name, value in zip(proof.measures, proof.objective or (), strict=True)
    )


def at_least(made: InOrder, rates: Rates) -> Plan:
    """The order with its least minutes and cost, in whatever films take no less each by itself.

    No press is set twice, each side is preheated once, and what can lie there goes down in one
    press as quickly as the slowest of it. That a hotter platen may press for less is left out.
    """
    whole = made.whole
    spared_s = sum(
        _spared_s(places) * sum(whole.print.lines[line].quantity for line in lines)
        for lines, places in made.composed
    )
    return with_more(whole, -spared_s / 3600 * rates.rate_per_hour, -spared_s / 60)


def with_more(whole: Plan, cost: float, minutes: float) -> Plan:
    """An order that costs and takes so much more."""
    more = {"cost": whole.cost + cost, "minutes": whole.minutes + minutes}
    return whole.model_copy(update=more)


def _spared_s(places: PlacesInOrder) -> float:
    """Seconds of a garment beyond those that its prints take in any order and at any dial."""
    sides: dict[tuple[str, str], list[PlacePart]] = {}
    for one in places.laid:
        sides.setdefault(one.part.side, []).append(one.part)
    loads = len({side[0] for side in sides})
    least_s = LOAD_S * loads + TURN_S * (len(sides) - loads)
    for parts in sides.values():
        warming_s = min(part.warming_s for part in parts)
        least_s += CLOSE_S + warming_s + max(_alone_s(part) for part in parts)
    return max(0.0, places.seconds - least_s)


def _alone_s(part: PlacePart) -> float:
    """What a part takes, or the slowest of its prints by itself where they are of several films."""
    films = {tuple(piece.film for piece in one.plan.pieces) for one, _ in part.bears}
    if len(films) == 1:
        return part.work_s
    slowest_s = max(60 * run.garments[0].minutes_each for _, run in part.bears)
    return min(part.work_s, slowest_s - LOAD_S - CLOSE_S - part.warming_s)


def samples(whole: Plan) -> int:
    """How many findings of an order ask for a sample."""
    return sum(finding.severity == "sample" for finding in whole.findings)


def for_the_order(
    print_: PlannedPrint, plan: Plan, alone: Plan, notes: tuple[Text, ...]
) -> PlannedPrint:
    """A print by a plan that is taken for the order's sake: it is not the best of its own."""
    proof = plan.proof.model_copy(update={"optimal": False, "bound": None})
    kept = {"proof": proof, "refused": alone.refused, "notes": notes}
    return print_.model_copy(update={"plan": plan.model_copy(update=kept)})


def comes_to(whole: Plan, samples: int | None = None) -> str:
    """What an order comes to, in words; with its samples where these are told."""
    asked = "" if samples is None else f"{samples} to sample, "
    money = Rates(currency=whole.currency).money(whole.cost)
    return f"{asked}{money} and {whole.minutes:.0f} min"
