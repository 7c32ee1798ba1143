"""Repairs: the smallest changes to the wish that make an impossible job possible, each proved."""

from __future__ import annotations

import math
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Any

from advisor.layering.assessment import objective
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.conflict import impossible_parts
from advisor.solver.leaving_out import without
from advisor.solver.plain_plan import first_plan
from advisor.solver.records import (
    Cut,
    Examine,
    ExamineOf,
    Otherwise,
    Repair,
    RepairChange,
    Swaps,
)
from advisor.solver.search import good_plan
from advisor.solver.small_changes import changed, small_changes

__all__ = ["can_be_planned", "repairs"]

MOST_DRAFTS = 20
"""Plans of one repair that are examined; where none of them may be pressed it is not offered."""

QUICKLY_S = 1.0
"""Seconds to see whether there is a plan, where that is asked of many problems."""


def repairs(
    problem: Problem,
    *,
    swaps: Swaps = lambda piece: {},
    otherwise: Iterable[Otherwise] = (),
    cuts: Sequence[Cut] = (),
    among: Sequence[Problem] | None = None,
    blamed: Sequence[str] | None = None,
    examine_of: ExamineOf | None = None,
    most: int = 6,
    deadline: float = math.inf,
) -> tuple[Repair, ...]:
    """Every smallest set of changes that makes the problem possible, the least first.

    Args:
        swaps: other films for the pieces.
        otherwise: the same job changed as a whole; of several of a kind, the first that will do.
        cuts: what was found against drafted plans.
        among: what `advisor.solver.conflict.impossible_parts` gave, where it is known; where it is
            empty, only what is changed as a whole is tried.
        blamed: the pieces of a conflict, one of which any that is left out must be.
        examine_of: what the plan of each repair has to pass; without it only the model is asked.
        most: repairs to give.
        deadline: of ``time.monotonic``, until when they are looked for.
    """
    known = impossible_parts(problem, cuts=cuts, deadline=deadline) if among is None else among
    part = tuple(piece.id for bad in known for piece in bad.pieces)
    draft = _Drafting(problem, cuts, examine_of, deadline)
    found: list[Repair] = []
    for changes in small_changes(problem, part, swaps, cuts, deadline):
        if len(found) >= most or time.monotonic() > deadline:
            break
        if not any(_where(repair.changes) <= _where(changes) for repair in found):
            found += draft.repair(changes, changed(problem, changes, swaps))
    for other in otherwise:
        if time.monotonic() > deadline:
            break
        if not any(_kinds(repair.changes) == _kinds(other.changes) for repair in found):
            made = other.made()
            found += draft.repair(other.changes, *made) if made is not None else ()
    one_of = set(part if blamed is None else blamed)
    for pieces in [*((piece,) for piece in part), *combinations(part, 2)]:
        if time.monotonic() > deadline:
            break
        drops = tuple(RepairChange("drop", (piece,)) for piece in pieces)
        if one_of & set(pieces) and not any(
            _where(repair.changes) <= _where(drops) for repair in found
        ):
            found += draft.repair(drops, without(problem, *pieces))
    found.sort(key=lambda repair: _least_first(problem, repair))
    return tuple(found[:most])


def _where(changes: Sequence[RepairChange]) -> set[tuple[object, ...]]:
    """What is changed where, whatever film or way it becomes."""
    return {(c.kind, c.pieces, c.line, c.to if c.kind == "meets" else "") for c in changes}


def _kinds(changes: Sequence[RepairChange]) -> set[tuple[object, ...]]:
    """What kinds of change are made to which lines."""
    return {(change.kind, change.line) for change in changes}


@dataclass(frozen=True, slots=True)
class _Drafting:
    """Plans of repaired problems, each examined as the plan of a job is.

    Attributes:
        seen: what was found on the same press and garments, for every later repair.
    """

    problem: Problem
    cuts: Sequence[Cut]
    examine_of: ExamineOf | None
    deadline: float
    seen: dict[Cut, None] = field(default_factory=dict)

    def repair(
        self,
        changes: Sequence[RepairChange],
        repaired: Problem,
        examine: Examine | None = None,
    ) -> tuple[Repair, ...]:
        """The repair, if it has a plan that may be pressed."""
        if not repaired.pieces:
            return ()
        if examine is None and self.examine_of is not None:
            examine = self.examine_of(repaired)
        plan = self._passing(repaired, examine)
        if plan is not None and not _of_one_film(changes, plan):
            plan = self._passing(_cut_from_one(repaired, changes, plan), examine)
        if plan is None:
            return ()
        return (Repair(tuple(_with_film(change, plan) for change in changes), plan),)

    def _passing(self, repaired: Problem, examine: Examine | None) -> Assessment | None:
        """A good plan that may be pressed; ``None`` where none was found in time."""
        # What heat says of some pieces holds whatever else is printed.
        same = (repaired.limits, repaired.fabrics, repaired.print.lines) == (
            self.problem.limits, self.problem.fabrics, self.problem.print.lines
        )  # fmt: skip
        known = dict.fromkeys((*self.cuts, *self.seen) if same else ())
        for _ in range(MOST_DRAFTS):
            plan = good_plan(repaired, cuts=tuple(known), deadline=self.deadline)
            if plan is None or examine is None:
                return plan
            found = examine(plan)
            if not any(cut.forbids(repaired) for cut in found):
                return plan
            known |= dict.fromkeys(found)
            if same:
                self.seen.update(dict.fromkeys(found))
        return None


def _of_one_film(changes: Sequence[RepairChange], plan: Assessment) -> bool:
    """Whether what is given another film is cut from one, as a job says it of a look."""
    options = plan.choice.options
    return all(
        len({options[piece].roll for piece in change.pieces}) == 1
        for change in changes
        if change.kind in {"film", "buy"}
    )


def _cut_from_one(repaired: Problem, changes: Sequence[RepairChange], plan: Assessment) -> Problem:
    """The repaired problem with each changed look cut from what its first piece is cut from."""
    roll = {
        piece: plan.choice.options[change.pieces[0]].roll
        for change in changes
        if change.kind in {"film", "buy"}
        for piece in change.pieces
    }
    return repaired.narrowed(
        {
            piece.id: tuple(option for option in piece.options if option.roll == roll[piece.id])
            for piece in repaired.pieces
            if piece.id in roll
        }
    )


def _with_film(change: RepairChange, plan: Assessment) -> RepairChange:
    """A change of film that says which it comes to, of a setpoint how many °C."""
    options = [
        plan.choice.options[piece] for piece in change.pieces if piece in plan.choice.options
    ]
    if change.kind == "setpoint":
        return replace(change, to=f"{max(option.film.setpoint_c.low for option in options):g}")
    if change.kind not in {"film", "buy"}:
        return change
    return replace(change, to=options[0].film.id, colour=options[0].colour.name)


def _least_first(problem: Problem, repair: Repair) -> tuple[Any, ...]:
    measures = repair.assessment.measures
    reached = objective(measures, problem.prefer) if measures is not None else ()
    order = {piece.id: n for n, piece in enumerate(problem.pieces)}
    where = [
        (change.kind, tuple(order[piece] for piece in change.pieces), change.to, change.line or 0)
        for change in repair.changes
    ]
    # To leave out what nobody sees changes nothing that is seen.
    unseen = {one.piece for one in problem.print.set_aside if not one.seen}
    seen = any(c.kind != "drop" or not unseen.issuperset(c.pieces) for c in repair.changes)
    return (seen, repair.size, len(repair.changes), reached, where)


def can_be_planned(problem: Problem) -> bool:
    """Whether there is a plan at all, before heat and finished steps are looked at."""
    return not isinstance(first_plan(problem, deadline=time.monotonic() + QUICKLY_S), str)
