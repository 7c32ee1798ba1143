"""To buy: films of which an order takes more than lies on the shelf, told with its plan."""

from __future__ import annotations

from advisor.command.planned import PlannedJob, taken_by
from advisor.cutting.records import OrderTaken
from advisor.job.records.plan import Plan
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.text import Text

__all__ = ["to_buy", "with_film_to_buy"]


def with_film_to_buy(plan: Plan, *made: PlannedJob) -> Plan:
    """The plan with a note for each film of which its prints take more than the shelf has."""
    if plan.status != "planned":
        return plan
    try:
        taken = taken_by(*made)
    except BadInputError:
        # What cannot be cut as it is, is told by the plan's findings and by ``cut``.
        return plan
    notes = (*plan.notes, *to_buy(taken, made[0].catalogue))
    return plan.model_copy(update={"notes": notes})


def to_buy(taken: OrderTaken, known: Catalogue, *, nested: bool = False) -> tuple[Text, ...]:
    """A sentence for each film that runs short; the shelf counts its colours together.

    Args:
        taken: by all prints together, laid as rectangles unless ``nested``.

    >>> from advisor.cutting.records import RollTaken
    >>> from rules.catalogue import load_catalogue
    >>> navy, white = (
    ...     RollTaken(film="matte-smooth", colour=colour, metres=15.5, price_per_m=7.4)
    ...     for colour in ("navy", "white")
    ... )
    >>> taken = OrderTaken(rolls=(navy, white), cut_m=1, carriers=2)
    >>> print(*to_buy(taken, load_catalogue()))
    matte-smooth: 31.00 m needed, laid as rectangles, 22.00 m on the shelf: 9.00 m to buy
    >>> to_buy(OrderTaken(rolls=(navy,), cut_m=1, carriers=1), load_catalogue())
    ()
    """
    laid = "nested" if nested else "laid as rectangles"
    needed: dict[str, float] = {}
    for roll in taken.rolls:
        needed[roll.film] = needed.get(roll.film, 0.0) + roll.metres
    return tuple(
        Text(
            f"{film}: {metres:.2f} m needed, {laid}, {there_m:.2f} m on the shelf: "
            f"{metres - there_m:.2f} m to buy"
        )
        for film, metres in needed.items()
        if metres > (there_m := known.film(film).on_shelf_m) + 0.005
    )
