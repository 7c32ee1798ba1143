"""Conflict: why nothing is possible, as few facts, rules and wishes as cannot hold together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import cpmpy as cp
from cpmpy.tools.explain import quickxplain

from advisor.artwork.overlay import open_ways
from advisor.layering.records.problem import Problem
from advisor.solver.conflict_model import (
    ConflictModel,
    conflict_model,
    part_of,
    parts,
    with_refused,
)
from advisor.solver.conflict_told import FactKind, RuleInstance, Told, say_way, wished
from advisor.solver.ctrl_c import ctrl_c_waits
from advisor.solver.feasible import STEADY, Feasibility, feasible
from advisor.solver.model import Cut, Table, Tag
from rules.errors import PressloreError, ProgramError

__all__ = [
    "FactKind", "OutOfTimeError", "Part", "RuleInstance", "impossible_parts", "minimal_conflict",
    "say_way",
]  # fmt: skip


class OutOfTimeError(PressloreError):
    """It is not known whether the problem can be planned, because time ran out."""


Part = tuple[Problem, Feasibility]
"""Pieces that meet one another, and whether they are possible by themselves."""


def minimal_conflict(
    problem: Problem, *, cuts: Sequence[Cut] = (), among: Sequence[Part] | None = None
) -> tuple[RuleInstance, ...]:
    """Facts, rules and wishes that cannot hold together; without any one of them they could.

    Found by QuickXplain (Junker, AAAI 2004) through CPMpy; bottom layer first, wishes before
    what speaks against them.

    Args:
        cuts: what the heat simulation refuted.
        among: what `impossible_parts` gave, where it is known.

    Raises:
        ProgramError: the problem can be planned, so that whoever asked was wrong to.
        OutOfTimeError: time ran out before that was known.
    """
    missing = next((p for p in problem.pieces if not p.options and not p.refused), None)
    if missing is not None:
        return (wished(missing),)
    part, found = (among or impossible_parts(problem, cuts=cuts))[0]
    if found.possible is None:
        raise OutOfTimeError("time ran out before it was clear whether this can be planned")
    if found.possible:
        raise ProgramError("this can be planned, so nothing stands in its way")
    tags = _core(part, found.tables, None, cuts)
    pairs = {frozenset(tag[1:3]) for tag in tags if len(tag) > 2}
    tables = frozenset(table for table in _every_table(part) if frozenset(table[1:3]) in pairs)
    tags = _core(part, tables, tags, cuts)
    told = Told(part, cuts)
    level = {piece.id: n for n, piece in enumerate(problem.pieces)}

    def low_to_high(instance: RuleInstance) -> tuple[Any, ...]:
        levels = sorted(level[piece] for piece in instance.pieces) or [len(level)]
        return (instance.kind != "wish", levels[0], levels, instance.rule)

    return tuple(sorted((told.instance(tag) for tag in tags), key=low_to_high))


def impossible_parts(problem: Problem, *, cuts: Sequence[Cut] = ()) -> tuple[Part, ...]:
    """Every set of meeting pieces that is impossible by itself; everything where none is.

    Where a film may foam nothing is parted: it takes its carrier through the full press, which
    spares all that is down a tack, wherever it lies.
    """
    groups = parts(problem)
    found: list[Part] = []
    apart = len(groups) > 1 and not cuts and not _may_foam(problem)
    for pieces in groups if apart else ():
        part = part_of(problem, pieces)
        alone = feasible(part)
        if alone.possible is False:
            found.append((part, alone))
    return tuple(found) or ((problem, feasible(problem, cuts=cuts)),)


def _may_foam(problem: Problem) -> bool:
    every = with_refused(problem).values()
    return any(option.film.foams for options in every for option in options)


def _core(
    problem: Problem,
    tables: frozenset[Table] | None,
    among: Iterable[Tag] | None,
    cuts: Sequence[Cut],
) -> tuple[Tag, ...]:
    model = conflict_model(problem, with_refused(problem), tables=tables, cuts=cuts)
    tags = _telling(model, tuple(model.asked if among is None else among))
    literals = {tag: model.asked[tag] for tag in model.asked if tag in set(tags)}
    names = {str(literal): tag for tag, literal in literals.items()}
    hard = [constraint for tag, constraint in model.hard if tag is None or tag in literals]
    with ctrl_c_waits():
        core = quickxplain(list(literals.values()), hard)
    return tuple(names[str(literal)] for literal in core)


def _telling(model: ConflictModel, tags: tuple[Tag, ...]) -> tuple[Tag, ...]:
    """Tags that the solver needs to see that nothing is possible: a good place to start from."""
    solver = cp.SolverLookup.get("ortools")
    for _, constraint in model.hard:
        solver += constraint
    while True:
        literals = {str(model.asked[tag]): tag for tag in tags}
        assumed = [model.asked[tag] for tag in tags]
        if solver.solve(assumptions=assumed, **STEADY) is not False:
            raise ProgramError("this can be planned, so nothing stands in its way")
        needed = {literals[str(literal)] for literal in solver.get_core()}
        if len(needed) == len(tags):
            return tags
        tags = tuple(tag for tag in tags if tag in needed)


def _every_table(problem: Problem) -> list[Table]:
    found: list[Table] = []
    for place in problem.places:
        for i, lower in enumerate(place.stack):
            found += [("film", upper, lower, "False") for upper in place.stack[i + 1 :]]
    for meeting in problem.meetings:
        upper, lower = meeting.pair
        found += [("film", upper, lower, "True"), ("film", lower, upper, "True")]
        found += [("joint", upper, lower, way) for way in open_ways(meeting)]
    return found
