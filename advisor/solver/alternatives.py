"""Alternatives: the best plans that differ in something that a person cares about."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass

from advisor.layering.assessment import objective
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.proof import optimise
from advisor.solver.records import Cut, Examine
from rules.facts.text import Text

__all__ = ["Alternative", "alternatives", "layers", "with_another_film"]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another plan, the best of its kind.

    Attributes:
        optimal: whether it is proved the best that differs so.
        objective: as `advisor.solver.records.Optimum` has it.
    """

    assessment: Assessment
    optimal: bool
    objective: tuple[int, ...] | None


def alternatives(
    problem: Problem,
    best: Assessment,
    *,
    most: int = 3,
    examine: Examine | None = None,
    time_limit_s: float = 20.0,
) -> tuple[Alternative, ...]:
    """The best plan with another way of meeting, with a layer less, and with another film.

    Further ones, up to ``most``, each differ in a film from all before. Ordered by the objective.

    Args:
        best: the plan to differ from.
        examine: as in `advisor.solver.proof.optimise`.
        time_limit_s: seconds for all of them together, s.
    """
    deadline = time.monotonic() + time_limit_s
    found: list[Alternative] = []
    seen = [best]

    def take(cuts: tuple[Cut, ...], most_layers: int | None = None) -> bool:
        left_s = deadline - time.monotonic()
        if left_s <= 0 or len(found) >= most:
            return False
        other = optimise(
            problem, examine=examine, time_limit_s=left_s, cuts=cuts, most_layers=most_layers
        )
        if other.assessment is None:
            return False
        if not any(_same(other.assessment, one) for one in seen):
            seen.append(other.assessment)
            found.append(Alternative(other.assessment, other.optimal, other.objective))
        return True

    if best.choice.meets:
        take((Cut((), tuple(best.choice.meets.items()), Text("as in the best plan")),))
    deepest = layers(problem, best)
    if deepest > 1:
        take((), deepest - 1)
    while take(tuple(_films(one) for one in seen)):
        pass
    found.sort(key=lambda one: _reached(one.assessment, problem.prefer))
    return tuple(found)


def with_another_film(
    problem: Problem,
    best: Assessment,
    *,
    examine: Examine | None = None,
    time_limit_s: float = 10.0,
) -> Iterator[tuple[str, Alternative | None]]:
    """For each piece the best plan in which it is of another film; ``None`` where none can be.

    A piece of which nothing is found in its share of the time is left out.

    Args:
        best: the plan whose films are meant.
        examine: as in `advisor.solver.proof.optimise`.
        time_limit_s: seconds for all pieces together, s.
    """
    deadline, options = time.monotonic() + time_limit_s, best.choice.options
    for at, (piece, option) in enumerate(options.items()):
        share_s = (deadline - time.monotonic()) / (len(options) - at)
        if share_s <= 0:
            return
        cut = Cut(((piece, option.film.id),), (), Text("the film of the plan"))
        other = optimise(problem, examine=examine, time_limit_s=share_s, cuts=(cut,))
        if other.assessment is not None:
            yield piece, Alternative(other.assessment, other.optimal, other.objective)
        elif other.status == "impossible":
            yield piece, None


def layers(problem: Problem, found: Assessment) -> int:
    """Films over one another at the deepest place."""
    meets = found.choice.meets
    return max((len(place.laid(meets)) for place in problem.places), default=0)


def _same(one: Assessment, other: Assessment) -> bool:
    return one.choice.meets == other.choice.meets and _film_ids(one) == _film_ids(other)


def _film_ids(found: Assessment) -> list[str]:
    return [option.film.id for option in found.choice.options.values()]


def _films(found: Assessment) -> Cut:
    films = tuple((piece, option.film.id) for piece, option in found.choice.options.items())
    return Cut(films, (), Text("the films of a plan already shown"))


def _reached(found: Assessment, prefer: str) -> tuple[int, ...]:
    return objective(found.measures, prefer) if found.measures is not None else ()
