"""Schedules: every order of presses and cut into stages that a choice leaves open."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations, permutations

from advisor.layering.assessment import assess
from advisor.layering.meeting import pressed_before
from advisor.layering.order import precedences
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.pressing import Arrangement
from advisor.layering.records.problem import Choice, Problem
from advisor.layering.stages import MOST_STAGES

__all__ = ["schedules_of"]


def schedules_of(problem: Problem, choice: Choice) -> Iterator[Assessment]:
    """A choice in every such schedule, assessed; for few pieces, none of which share a press."""
    films, meets = choice.films, choice.meets
    before: dict[str, set[str]] = {piece: set() for piece in films}
    for link in precedences(films, pressed_before(meets)):
        before[link.then].add(link.first)
    for order in permutations(films):
        if all(before[piece] <= set(order[:at]) for at, piece in enumerate(order)):
            groups = tuple((piece,) for piece in order)
            for stages in range(min(len(order), MOST_STAGES)):
                for edges in combinations(range(1, len(order)), stages):
                    arrangement = Arrangement(groups, (0, *edges, len(order)), fewest=True)
                    yield assess(problem, choice, arrangement=arrangement)
