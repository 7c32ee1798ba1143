"""Stack limits: from what depth and what thickness the rules on stacks begin to object."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.layering.assessment import tenths_um
from advisor.layering.records.problem import Option, Problem
from rules.facts.film import Film
from rules.facts.finding import Finding, seriousness
from rules.facts.subjects import Stack

__all__ = ["StackLimit", "stack_limits"]

THIN_UM = 1.0
"""A film this thin leaves only the number of films to object to, µm."""


@dataclass(frozen=True, slots=True)
class StackLimit:
    """A finding that a stack draws from so many films on, or from such a thickness on.

    Attributes:
        finding: as said of the mildest stack that draws it.
        depth: films over one another; ``None`` for a limit on thickness.
        tenths_um: thickness in tenths of a micrometre; ``None`` for a limit on depth.
    """

    finding: Finding
    depth: int | None
    tenths_um: int | None


def stack_limits(
    problem: Problem, options: Mapping[str, Sequence[Option]]
) -> tuple[StackLimit, ...]:
    """What the rulebook says of deeper and of thicker stacks, found by asking it.

    A rule on stacks looks at how many films lie over one another or at how thick they are
    together, and objects the more the more there is; so the least depth and thickness at which
    it says something more serious are all that a solver needs.
    """
    films = [option.film for choices in options.values() for option in choices]
    if not films:
        return ()
    sample = films[0]
    found: list[StackLimit] = []
    deepest = max((len(place.stack) for place in problem.places), default=0)
    said: dict[str, Finding] = {}
    for depth in range(1, deepest + 1):
        judged = _judged(problem, (_thick(sample, 10 * THIN_UM),) * depth)
        found += [StackLimit(finding, depth, None) for finding in _new(judged, said)]
    most = max(
        (
            sum(
                max((tenths_um(option.film) for option in options[piece]), default=0)
                for piece in place.stack
            )
            for place in problem.places
        ),
        default=0,
    )
    found += [
        StackLimit(finding, None, tenths) for finding, tenths in _thresholds(problem, sample, most)
    ]
    return tuple(found)


def _thresholds(problem: Problem, sample: Film, most: int) -> list[tuple[Finding, int]]:
    """(finding, least thickness that draws it), by halving between thin and thickest."""

    def at(tenths: int) -> dict[str, Finding]:
        return {f.rule: f for f in _judged(problem, (_thick(sample, tenths),))}

    found: list[tuple[Finding, int]] = []

    def between(low: int, high: int) -> None:
        below, above = at(low), at(high)
        new = [f for f in above.values() if _more_serious(f, below.get(f.rule))]
        if not new:
            return
        if high - low == 1:
            found.extend((finding, high) for finding in new)
            return
        middle = (low + high) // 2
        between(low, middle)
        between(middle, high)

    lowest = round(10 * THIN_UM)
    if most > lowest:
        between(lowest, most)
    return found


def _new(findings: Sequence[Finding], said: dict[str, Finding]) -> list[Finding]:
    new = [finding for finding in findings if _more_serious(finding, said.get(finding.rule))]
    said.update({finding.rule: finding for finding in new})
    return new


def _more_serious(finding: Finding, known: Finding | None) -> bool:
    return known is None or seriousness(finding.severity) < seriousness(known.severity)


def _judged(problem: Problem, films: tuple[Film, ...]) -> tuple[Finding, ...]:
    return problem.knowledge.judge(Stack(problem.fabrics[0], films))


def _thick(sample: Film, tenths: float) -> Film:
    """The film as if its whole thickness were that, tenths of a micrometre."""
    return sample.model_copy(update={"face_um": tenths / 10, "adhesive_um": 0.0})
