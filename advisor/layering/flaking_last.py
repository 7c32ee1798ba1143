"""Flaking last: among press orders that cost the same, the one that lays flaking films last."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from advisor.layering.arrangement import stage_edges
from advisor.layering.assessment import assess
from advisor.layering.meeting import pressed_before
from advisor.layering.order import precedences
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.pressing import Arrangement
from advisor.layering.records.problem import Problem

__all__ = ["flaking_last", "may_move"]


def may_move(found: Assessment) -> bool:
    """Whether a press of shedding films comes before one without, so that they may change places.

    Where none does, `flaking_last` leaves a plan as it is, whatever the order lets pass.
    """
    films = found.choice.films
    groups = found.grouping.groups if found.grouping is not None else ()
    sheds = [any(films[piece].sheds for piece in group) for group in groups]
    return any(
        earlier and not later
        for stage in found.stages
        for earlier, later in pairwise(sheds[stage.first : stage.last + 1])
    )


def flaking_last(problem: Problem, found: Assessment) -> Assessment:
    """The same choice with presses of shedding films moved as late as the order lets them go.

    Loose flakes of a peeled sparkle stray under whatever is laid afterwards. Presses change
    places only within a finishing stage, and only where the measures stay as they were.
    """
    if found.grouping is None or found.measures is None:
        return found
    films = found.choice.films
    follows = {
        (link.first, link.then) for link in precedences(films, pressed_before(found.choice.meets))
    }

    def may_pass(earlier: Sequence[str], later: Sequence[str]) -> bool:
        return not any((a, b) in follows for a in earlier for b in later)

    groups = list(found.grouping.groups)
    for stage in found.stages:
        last = stage.last - 1 if stage.direct else stage.last
        for end in range(last, stage.first, -1):
            for at in range(stage.first, end):
                sheds = any(films[piece].sheds for piece in groups[at])
                clean = not any(films[piece].sheds for piece in groups[at + 1])
                if sheds and clean and may_pass(groups[at], groups[at + 1]):
                    groups[at], groups[at + 1] = groups[at + 1], groups[at]
    if tuple(groups) == found.grouping.groups:
        return found
    moved = Arrangement(tuple(groups), stage_edges(found.stages), found.grouping.fewest)
    again = assess(problem, found.choice, arrangement=moved)
    return again if again.measures == found.measures else found
