"""Choose: lists every valid choice of films and ways of meeting, with python-constraint."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations, islice, pairwise
from typing import Any

from constraint import OptimizedBacktrackingSolver
from constraint import Problem as ConstraintProblem

from advisor.job.records.print import Pair, Place
from advisor.layering.assessment import assess, objective
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Choice, Option, Problem
from rules.facts.finding import Finding, verdict
from rules.facts.step import Meets

__all__ = ["Listing", "allowed_at_joint", "allowed_at_place", "list_choices", "rank"]

MOST_LISTED = 5_000
"""Choices listed before the listing says that there are more."""


@dataclass(frozen=True, slots=True)
class Listing:
    """The choices that can be pressed, best first.

    Attributes:
        listed: how many choices met every constraint on films and joints.
        complete: whether that is all of them; if not, the best is not proven.
        unpressable: the listed choices for which no order or no settings exist.
    """

    assessments: tuple[Assessment, ...]
    unpressable: tuple[Assessment, ...]
    listed: int
    complete: bool

    @property
    def best(self) -> Assessment | None:
        """The best choice, or ``None`` when nothing can be pressed."""
        return self.assessments[0] if self.assessments else None


def list_choices(problem: Problem, *, most: int = MOST_LISTED) -> Listing:
    """Every film for every piece and every way of meeting that the rulebook lets stand.

    The rulebook gives the domains and the allowed tuples; python-constraint searches. Each
    solution is then ordered, staged and measured (`advisor.layering.assessment`).

    Args:
        most: choices to list before giving up on completeness.
    """
    if any(not piece.options for piece in problem.pieces):
        return Listing((), (), 0, complete=True)
    solutions = list(islice(_solutions(problem), most + 1))
    complete = len(solutions) <= most
    assessed = [assess(problem, _choice(problem, found)) for found in solutions[:most]]
    ranked = sorted(
        (found for found in assessed if found.measures is not None),
        key=lambda found: rank(found, problem.prefer),
    )
    return Listing(
        assessments=tuple(ranked),
        unpressable=tuple(found for found in assessed if not found.possible),
        listed=min(len(solutions), most),
        complete=complete,
    )


def allowed_at_joint(
    problem: Problem, pair: Pair, upper: Option, lower: Option, way: Meets
) -> bool:
    """Whether two options may meet in that way: no ``stop`` on the joint or on an inset's rim."""
    meeting = problem.meeting(pair)
    if _stops(problem.at_joint(meeting, upper.film, lower.film, way)):
        return False
    if _stops(problem.seen(meeting, upper, lower)):
        return False
    if way == "inset-over":
        return not _stops(problem.on_film(upper.film, lower.film, rim=True))
    if way == "inset-under":
        return not _stops(problem.on_film(lower.film, upper.film, rim=True))
    return True


def allowed_at_place(
    problem: Problem,
    place: Place,
    options: Mapping[str, Option],
    meets: Mapping[Pair, Meets],
) -> bool:
    """Whether what then lies at a place may: on the fabric, film on film, and as a stack."""
    laid = place.laid(meets)
    if _stops(options[laid[0]].fabric_findings):
        return False
    for lower, upper in pairwise(laid):
        if _stops(problem.on_film(options[upper].film, options[lower].film, rim=False)):
            return False
    return not _stops(problem.in_stack(tuple(options[piece].film for piece in laid)))


def _stops(findings: Sequence[Finding]) -> bool:
    return verdict(findings) == "stop"


def rank(
    found: Assessment, prefer: str
) -> tuple[tuple[int, ...], tuple[str, ...], tuple[Meets, ...]]:
    """What choices are sorted by: the objective, then film names and ways, so that ties stand.

    Raises ``ValueError`` for a choice that cannot be pressed.
    """
    if found.measures is None:
        raise ValueError("only what can be pressed is ranked")
    names = tuple(film.id for film in found.choice.films.values())
    return (objective(found.measures, prefer), names, tuple(found.choice.meets.values()))


def _solutions(problem: Problem) -> Iterator[dict[Any, Any]]:
    model = ConstraintProblem(OptimizedBacktrackingSolver())
    options = {piece.id: piece.options for piece in problem.pieces}
    for piece_id, films in options.items():
        model.addVariable(piece_id, list(range(len(films))))
    for meeting in problem.meetings:
        model.addVariable(_spoken(meeting.pair), list(meeting.ways))
        if not meeting.hidden:
            model.addConstraint(
                _joint_constraint(problem, meeting.pair, options),
                [meeting.upper, meeting.lower, _spoken(meeting.pair)],
            )
    for place in problem.places:
        pairs = [
            (upper, lower)
            for lower, upper in combinations(place.stack, 2)
            if any(meeting.pair == (upper, lower) for meeting in problem.meetings)
        ]
        model.addConstraint(
            _place_constraint(problem, place, pairs, options), [*place.stack, *map(_spoken, pairs)]
        )
    return iter(model.getSolutionIter())


def _spoken(pair: Pair) -> str:
    return f"{pair[0]} over {pair[1]}"


def _joint_constraint(problem: Problem, pair: Pair, options: Mapping[str, Sequence[Option]]) -> Any:
    above, below = (options[piece] for piece in pair)

    @cache
    def holds(upper: int, lower: int, way: Meets) -> bool:
        return allowed_at_joint(problem, pair, above[upper], below[lower], way)

    return holds


def _place_constraint(
    problem: Problem,
    place: Place,
    pairs: Sequence[Pair],
    options: Mapping[str, Sequence[Option]],
) -> Any:
    depth = len(place.stack)

    @cache
    def holds(*values: Any) -> bool:
        laid = zip(place.stack, values[:depth], strict=True)
        chosen = {piece: options[piece][at] for piece, at in laid}
        meets = dict(zip(pairs, values[depth:], strict=True))
        return allowed_at_place(problem, place, chosen, meets)

    return holds


def _choice(problem: Problem, found: Mapping[Any, Any]) -> Choice:
    return Choice(
        options={piece.id: piece.options[found[piece.id]] for piece in problem.pieces},
        meets={meeting.pair: found[_spoken(meeting.pair)] for meeting in problem.meetings},
    )
