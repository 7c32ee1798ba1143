"""Stack limits: from what depth and what thickness on every film has the rules object."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from advisor.layering.assessment import tenths_um
from advisor.layering.records.problem import Option, Problem
from rules.facts.film import Film
from rules.facts.finding import Finding, seriousness, worst_first
from rules.facts.subjects import Stack

__all__ = ["StackLimit", "foreseen", "stack_limits"]

THIN = 10
"""A film this thin leaves only the number of films to object to, tenths of a micrometre."""

FindingsByRule = Mapping[str, Finding]
"""What each rule says, by its id."""


@dataclass(frozen=True, slots=True)
class StackLimit:
    """A finding that a stack draws from so many films on, or from such a thickness on.

    Attributes:
        finding: as said of the mildest stack that draws it.
        depth: films over one another; ``None`` for a limit on thickness.
        tenths_um: thickness in tenths of a micrometre; ``None`` for a limit on depth.
    """

    finding: Finding
    depth: int | None = None
    tenths_um: int | None = None

    def reached(self, films: Sequence[Film]) -> bool:
        """Whether these films over one another are as many, or as thick, as that."""
        if self.depth is not None:
            return len(films) >= self.depth
        return sum(map(tenths_um, films)) >= (self.tenths_um or 0)


def foreseen(limits: Sequence[StackLimit], finding: Finding, films: Sequence[Film]) -> bool:
    """Whether a finding on a stack is one that the limits already say of it."""
    return any(
        limit.finding.rule == finding.rule
        and seriousness(limit.finding.severity) <= seriousness(finding.severity)
        and limit.reached(films)
        for limit in limits
    )


def stack_limits(
    problem: Problem, options: Mapping[str, Sequence[Option]] | None = None
) -> tuple[StackLimit, ...]:
    """What the rulebook says of deeper and of thicker stacks, found by asking it.

    A rule on stacks that looks at how many films lie over one another, or at how thick they are
    together, objects alike whatever the films are; what it objects to in some films only is no
    limit, and is found in the plans that have them.

    Args:
        options: the films open to each piece; those of the problem by default.
    """
    domains = {p.id: (options or {}).get(p.id, p.options) for p in problem.pieces}
    films = {option.film.id: option.film for choices in domains.values() for option in choices}
    if not films:
        return ()
    sample, *others = films.values()

    def deep(depth: int, film: Film = sample) -> FindingsByRule:
        return _judged(problem, (_thick(film, THIN),) * depth)

    def thick(tenths: int, film: Film = sample) -> FindingsByRule:
        return _judged(problem, (_thick(film, tenths),))

    deepest = max((len(place.stack) for place in problem.places), default=0)
    thickest = max(
        sum(max((tenths_um(o.film) for o in domains[p]), default=0) for p in place.stack)
        for place in problem.places
    )
    known: dict[tuple[object, ...], tuple[StackLimit, ...]] = problem.rule_answers.stack_limits
    key = (*films, deepest, thickest)
    if key not in known:
        known[key] = tuple(
            StackLimit(finding, depth=depth)
            for finding, depth in _thresholds(deep, 0, deepest)
            if all(_says(deep(depth, film), finding) for film in others)
        ) + tuple(
            StackLimit(finding, tenths_um=tenths)
            for finding, tenths in _thresholds(thick, THIN, thickest)
            if all(_says(thick(tenths, film), finding) for film in others)
        )
    return known[key]


def _thresholds(
    at: Callable[[int], FindingsByRule], low: int, high: int
) -> list[tuple[Finding, int]]:
    """(finding, the least number that draws it), by halving between two numbers."""
    if high <= low:
        return []
    below, above = at(low), at(high)
    new = [f for f in above.values() if not _says(below, f)]
    if not new:
        return []
    if high - low == 1:
        return [(finding, high) for finding in new]
    middle = (low + high) // 2
    return _thresholds(at, low, middle) + _thresholds(at, middle, high)


def _says(judged: FindingsByRule, finding: Finding) -> bool:
    """Whether a finding's rule says as much already."""
    known = judged.get(finding.rule)
    return known is not None and seriousness(known.severity) <= seriousness(finding.severity)


def _judged(problem: Problem, films: tuple[Film, ...]) -> FindingsByRule:
    if not films:
        return {}
    found = problem.knowledge.judge(*(Stack(fabric, films) for fabric in problem.fabrics))
    return {f.rule: f for f in reversed(worst_first(found))}


def _thick(film: Film, tenths: float) -> Film:
    """The film as if its whole thickness were that, tenths of a micrometre."""
    return film.model_copy(update={"face_um": tenths / 10, "adhesive_um": 0.0})
