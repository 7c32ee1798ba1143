"""Repairs: the smallest changes to the wish that make an impossible job possible, each proved."""

from __future__ import annotations

import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations
from typing import Any, Literal

from advisor.job.records.print import Pair
from advisor.layering.assessment import objective
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Option, Problem
from advisor.solver.conflict import impossible_parts, is_narrowed
from advisor.solver.cpsat import solved
from advisor.solver.leaving_out import part_of, without
from advisor.solver.model import PlanModel, most_stages
from advisor.solver.records import Cut, ExamineOf
from advisor.solver.search import good_plan
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets
from rules.facts.text import Text, and_list, piece_name

__all__ = ["Repair", "RepairChange", "repairs"]

ChangeKind = Literal["sample", "meets", "film", "fabric", "drop"]

HOW_MUCH: dict[str, int] = {"sample": 1, "meets": 2, "film": 4, "fabric": 6, "drop": 8}
"""How much each kind of change takes from the wish: a sample nothing but time, another way of
meeting an edge, another film a look, another fabric the garment, a dropped layer a part of the
design. Common practice, no source."""

MOST_TOGETHER = 3
"""Changes made together; a job that needs more is another job."""

MOST_DRAFTS = 20
"""Plans of one repair that are examined; where none of them may be pressed it is not offered."""


@dataclass(frozen=True, slots=True)
class RepairChange:
    """One change to what was wished.

    Attributes:
        pieces: the piece that it changes, or the two of a joint, the upper first.
        to: what it becomes: a way of meeting, a film, a fabric; empty for a dropped piece.
        message: the change as advice, in words.
    """

    kind: ChangeKind
    pieces: tuple[str, ...]
    to: str
    message: Text

    @property
    def where(self) -> Text:
        """The piece, the joint as "upper on lower", or the job."""
        return Text(" on ".join(f"{piece_name(piece)}" for piece in self.pieces) or "the job")


@dataclass(frozen=True, slots=True)
class Repair:
    """Changes that make a plan possible, none of them to spare, with the plan that proves it."""

    changes: tuple[RepairChange, ...]
    assessment: Assessment

    @property
    def size(self) -> int:
        """How much it takes from the wish."""
        return sum(HOW_MUCH[change.kind] for change in self.changes)


def repairs(
    problem: Problem,
    *,
    swaps: Mapping[str, Sequence[Option]] | None = None,
    fabrics: Mapping[str, Problem] | None = None,
    cuts: Sequence[Cut] = (),
    among: Sequence[Problem] | None = None,
    examine_of: ExamineOf | None = None,
    most: int = 6,
    time_limit_s: float = 20.0,
) -> tuple[Repair, ...]:
    """Every smallest set of changes that makes the problem possible, the least first.

    Args:
        swaps: for each piece, films of another look that would do.
        fabrics: the same job on other fabrics, by the fabric's id.
        cuts: what was found against drafted plans.
        among: what `advisor.solver.conflict.impossible_parts` gave, where it is known.
        examine_of: what the plan of each repair has to pass; without it only the model is asked.
        most: repairs to give.
        time_limit_s: seconds to look for them, s.
    """
    deadline = time.monotonic() + time_limit_s
    known = among or impossible_parts(problem, cuts=cuts, deadline=deadline)
    part = tuple(piece.id for bad in known for piece in bad.pieces)
    draft = _Drafting(problem, examine_of, deadline)
    found: list[Repair] = []
    for changed in _small_changes(problem, part, swaps or {}, cuts, deadline):
        if len(found) >= most or time.monotonic() > deadline:
            break
        repair = _proved(problem, changed, swaps or {}, cuts, draft)
        if repair is not None:
            found.append(repair)
    for fabric, other in (fabrics or {}).items():
        plan = draft.passing(other, ())
        if plan is not None:
            change = RepairChange("fabric", (), fabric, Text(f"print on {fabric} instead"))
            found.append(Repair((change,), plan))
    for pieces in [*((piece,) for piece in part), *combinations(part, 2)]:
        if time.monotonic() > deadline:
            break
        if any(_drops(repair) <= set(pieces) for repair in found if _drops(repair)):
            continue
        left = without(problem, *pieces)
        plan = draft.passing(left, cuts) if left.pieces else None
        if plan is not None:
            found.append(Repair(tuple(_drop(piece) for piece in pieces), plan))
    found.sort(key=lambda repair: _least_first(problem, repair))
    return tuple(found[:most])


@dataclass(frozen=True, slots=True)
class _Drafting:
    """Plans of repaired problems, each examined as the plan of a job is.

    Attributes:
        seen: what was found against the same pieces on the same fabrics, for every later repair.
    """

    problem: Problem
    examine_of: ExamineOf | None
    deadline: float
    seen: dict[Cut, None] = field(default_factory=dict)

    def passing(self, repaired: Problem, cuts: Sequence[Cut]) -> Assessment | None:
        """A good plan that may be pressed; ``None`` where none was found in time."""
        alike = (
            repaired.fabrics == self.problem.fabrics
            and len(repaired.pieces) == len(self.problem.pieces)
        )  # fmt: skip
        known = dict.fromkeys((*cuts, *(self.seen if alike else ())))
        for _ in range(MOST_DRAFTS):
            plan = good_plan(repaired, cuts=tuple(known), deadline=self.deadline)
            if plan is None or self.examine_of is None:
                return plan
            found = self.examine_of(repaired)(plan)
            if all(cut.severity == "sample" and repaired.samples_allowed for cut in found):
                return plan
            known |= dict.fromkeys(found)
            if alike:
                self.seen.update(dict.fromkeys(found))
        return None


@dataclass(frozen=True, slots=True)
class _Changed:
    """What one repair changes: ways by pair, pieces with another look, whether to sample."""

    ways: tuple[tuple[Pair, Meets], ...]
    swapped: tuple[str, ...]
    sampled: bool


def _small_changes(
    problem: Problem,
    pieces: Sequence[str],
    swaps: Mapping[str, Sequence[Option]],
    cuts: Sequence[Cut],
    deadline: float,
) -> Iterator[_Changed]:
    """Sets of changes from the least on; none of them contains another."""
    part = part_of(problem, pieces)
    options = {piece.id: piece.options + tuple(swaps.get(piece.id, ())) for piece in part.pieces}
    if not all(options.values()):
        return
    model = PlanModel(
        part,
        stages=most_stages(part),
        sample_free=not problem.samples_allowed,
        cuts=cuts,
        options=options,
        ways={meeting.pair: meeting.open_ways for meeting in part.meetings},
        waivable=not problem.samples_allowed,
    )
    literals = _literals(part, model, swaps)
    if not literals:
        return
    model.cp.add(sum(literal for _, literal in literals) <= MOST_TOGETHER)
    model.cp.minimize(sum(_how_much(changed) * literal for changed, literal in literals))
    while True:
        solution = solved(model.cp, deadline=deadline)
        if not solution.found:
            return
        made = [(changed, literal) for changed, literal in literals if solution.holds(literal)]
        yield _together([changed for changed, _ in made])
        if not made:
            return
        model.never(("order",), *(literal for _, literal in made))


def _how_much(changed: _Changed) -> int:
    return (
        HOW_MUCH["meets"] * len(changed.ways)
        + HOW_MUCH["film"] * len(changed.swapped)
        + HOW_MUCH["sample"] * changed.sampled
    )


def _literals(
    problem: Problem, model: PlanModel, swaps: Mapping[str, Sequence[Option]]
) -> list[tuple[_Changed, Any]]:
    """Each single change with the literal that makes it."""
    found: list[tuple[_Changed, Any]] = []
    for meeting in problem.meetings:
        for way in meeting.open_ways if is_narrowed(meeting) else ():
            if way not in meeting.ways:
                literal = model.way[meeting.pair][way]
                found.append((_Changed(((meeting.pair, way),), (), False), literal))
    for piece in problem.pieces:
        other = range(len(piece.options), len(piece.options) + len(swaps.get(piece.id, ())))
        literal = model.among(piece.id, other)
        if literal is not False:
            made = literal if literal is not True else model.cp.new_constant(1)
            found.append((_Changed((), (piece.id,), False), made))
    if model.sampled is not False:
        found.append((_Changed((), (), True), model.sampled))
    return found


def _together(changes: Sequence[_Changed]) -> _Changed:
    return _Changed(
        tuple(way for changed in changes for way in changed.ways),
        tuple(piece for changed in changes for piece in changed.swapped),
        any(changed.sampled for changed in changes),
    )


def _proved(
    problem: Problem,
    changed: _Changed,
    swaps: Mapping[str, Sequence[Option]],
    cuts: Sequence[Cut],
    draft: _Drafting,
) -> Repair | None:
    """The changes with a plan for the whole problem that makes just these."""
    ways = dict(changed.ways)
    other = replace(
        problem,
        samples_allowed=problem.samples_allowed or changed.sampled,
        print=problem.print.with_ways(ways),
        pieces=tuple(
            replace(piece, options=tuple(swaps[piece.id])) if piece.id in changed.swapped else piece
            for piece in problem.pieces
        ),
    )
    plan = draft.passing(other, cuts)
    if plan is None:
        return None
    changes = [
        RepairChange("meets", pair, way, _say_meets(*pair, way)) for pair, way in changed.ways
    ]
    for piece in changed.swapped:
        film = plan.choice.options[piece].film
        advice = Text(f"cut {piece_name(piece)} from {film.id}")
        changes.append(RepairChange("film", (piece,), film.id, advice))
    if changed.sampled:
        advice = Text("allow a sample to be pressed and washed first")
        changes.append(RepairChange("sample", (), "yes", advice))
    return Repair(tuple(changes), plan)


def _say_meets(upper: str, lower: str, way: Meets) -> Text:
    advice = MEETING_WORDS[way].advice
    return Text(advice.format(upper=piece_name(upper), lower=piece_name(lower)))


def _drop(piece: str) -> RepairChange:
    return RepairChange("drop", (piece,), "", Text(f"leave {piece_name(piece)} out"))


def _drops(repair: Repair) -> set[str]:
    return {piece for each in repair.changes if each.kind == "drop" for piece in each.pieces}


def _least_first(problem: Problem, repair: Repair) -> tuple[Any, ...]:
    measures = repair.assessment.measures
    reached = objective(measures, problem.prefer) if measures is not None else ()
    said = and_list([change.message for change in repair.changes])
    return (repair.size, len(repair.changes), reached, said)
