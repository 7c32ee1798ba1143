"""Small changes: the least sets of other films, ways and samples with which there is a plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Any, Literal

from advisor.job.records.print import Pair
from advisor.layering.records.problem import Option, Problem
from advisor.solver.conflict import is_narrowed
from advisor.solver.cpsat import OutOfTimeError, solved
from advisor.solver.leaving_out import part_of
from advisor.solver.model import PlanModel
from advisor.solver.records import Cut, RepairChange, SwapKind, Swaps
from advisor.solver.variables import most_stages, no
from rules.facts.step import Meets

__all__ = ["changed", "small_changes"]

Kinds = Mapping[str, Sequence[SwapKind | None]]
"""By piece, of each film that it may be cut from, what kind of change that is."""

Look = tuple[tuple[str, ...], SwapKind]
"""The pieces of one look, and a kind of other film that there is for all of them."""

MOST_TOGETHER = 4
"""Changes made together; a job that needs more is another job."""


def small_changes(
    problem: Problem, pieces: Sequence[str], swaps: Swaps, cuts: Sequence[Cut], deadline: float
) -> Iterator[tuple[RepairChange, ...]]:
    """Sets of changes from the least on, as long as there is time; none contains another.

    Args:
        pieces: that meet no others, among which the job is impossible.
        swaps: other films for the pieces.
        cuts: what was found against drafted plans.
    """
    with suppress(OutOfTimeError):
        yield from _found(problem, pieces, swaps, cuts, deadline)


def _found(
    problem: Problem, pieces: Sequence[str], swaps: Swaps, cuts: Sequence[Cut], deadline: float
) -> Iterator[tuple[RepairChange, ...]]:
    if not pieces:
        return
    part = part_of(problem, pieces)
    options: dict[str, list[Option]] = {}
    kinds: dict[str, list[SwapKind | None]] = {}
    for piece in part.pieces:
        options[piece.id], kinds[piece.id] = [*piece.options], [None] * len(piece.options)
        for how, others in swaps(piece.id).items():
            options[piece.id] += others
            kinds[piece.id] += [how] * len(others)
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
        deadline=deadline,
    )
    looks = [
        (look, how)
        for look in _looks(problem)
        if not kinds.keys().isdisjoint(look)
        for how in swaps(look[0])
        if all(how in swaps(piece) for piece in look)
    ]
    literals = _literals(part, model, kinds, looks)
    if not literals:
        return
    model.cp.add(sum(literal for _, literal in literals) <= MOST_TOGETHER)
    model.cp.minimize(sum(change.much * literal for change, literal in literals))
    while True:
        solution = solved(model.cp, deadline=deadline)
        if not solution.found:
            return
        made = [(change, literal) for change, literal in literals if solution.holds(literal)]
        yield tuple(change for change, _ in made)
        if not made:
            return
        model.never(("order",), *(literal for _, literal in made))


def _looks(problem: Problem) -> list[tuple[str, ...]]:
    """The pieces that a job gives one look: those of one colour in its artwork."""
    of_fill: dict[str, list[str]] = {}
    for piece in problem.pieces:
        shares = problem.cut_with_others(piece.id)
        of_fill.setdefault(piece.fill if shares else piece.id, []).append(piece.id)
    return [tuple(pieces) for pieces in of_fill.values()]


def _all_swapped(model: PlanModel, pieces: Sequence[str], how: SwapKind, kinds: Kinds) -> Any:
    """A literal: these pieces of one look are cut from one other film of that kind."""
    films, *others = (_swapped(model, piece, how, kinds) for piece in pieces)
    made = model.any_of(films.values())
    for other in others:
        model.cp.add(model.any_of(other.values()) == made)
        for cut_from, literal in films.items():
            model.clause(("order",), no(literal), other.get(cut_from, False))
    return made


def _swapped(
    model: PlanModel, piece: str, how: SwapKind, kinds: Kinds
) -> dict[tuple[str, str], Any]:
    """A literal for each other film and colour of a kind."""
    films = zip(model.options[piece], model.film[piece], kinds[piece], strict=True)
    return {(o.film.id, o.colour.name): literal for o, literal, kind in films if kind == how}


def _literals(
    problem: Problem, model: PlanModel, kinds: Kinds, looks: Sequence[Look]
) -> list[tuple[RepairChange, Any]]:
    """Each single change with the literal that makes it."""
    found: list[tuple[RepairChange, Any]] = []
    for meeting in problem.meetings:
        for way in meeting.open_ways if is_narrowed(meeting) else ():
            if way not in meeting.ways:
                literal = model.way[meeting.pair][way]
                found.append((RepairChange("meets", meeting.pair, way), literal))
    for look, how in looks:
        kind: Literal["buy", "film", "setpoint"] = "film" if how == "look" else how
        made = _all_swapped(model, [piece for piece in look if piece in kinds], how, kinds)
        found.append((RepairChange(kind, look, look=how == "look"), made))
    if model.sampled is not False:
        found.append((RepairChange("sample", to="yes"), model.sampled))
    return found


def changed(problem: Problem, changes: Sequence[RepairChange], swaps: Swaps) -> Problem:
    """The problem with small changes made."""
    ways: dict[Pair, Meets] = {}
    options: dict[str, tuple[Option, ...]] = {}
    sampled = problem.samples_allowed
    for change in changes:
        if change.kind == "meets":
            ways[change.pieces[0], change.pieces[1]] = change.to  # type: ignore[assignment]
        elif change.kind == "sample":
            sampled = True
        else:
            how = "look" if change.look else change.kind
            for piece in change.pieces:
                options[piece] = tuple(swaps(piece)[how])  # type: ignore[index]
    return replace(problem.narrowed(options, ways), samples_allowed=sampled)
