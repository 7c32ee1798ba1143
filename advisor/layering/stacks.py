"""Stacks: the films over one another at each place, and what the rules make of them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence

from rules.facts.film import Film
from rules.facts.finding import Finding, seriousness

__all__ = ["deepest_and_thickest", "stack_findings", "stacks_of"]

Films = tuple[Film, ...]


def stacks_of(columns: Iterable[Sequence[str]], films: Mapping[str, Film]) -> tuple[Films, ...]:
    """The distinct stacks of films, the deepest first, then the thickest, then the others.

    Args:
        columns: what lies over one another at each place, by piece, bottom first.
    """
    stacks = [tuple(films[piece] for piece in column) for column in columns]
    first = deepest_and_thickest(stacks)
    by_films = {tuple(film.id for film in stack): stack for stack in (*first, *stacks)}
    return tuple(by_films.values())


def deepest_and_thickest(stacks: Sequence[Films]) -> tuple[Films, ...]:
    """The deepest stack and the thickest one, or the one that is both; none of none.

    >>> deepest_and_thickest([])
    ()
    """
    if not stacks:
        return ()
    deepest = max(stacks, key=len)
    thickest = max(stacks, key=lambda stack: sum(film.thickness_um for film in stack))
    return (deepest,) if deepest == thickest else (deepest, thickest)


def stack_findings(
    stacks: Sequence[Films], judge: Callable[[Films], Sequence[Finding]]
) -> tuple[Finding, ...]:
    """Each rule's most serious finding on the stacks of a print, told of the first that draws it.

    What a rule says of a deep stack holds for every stack that is part of it: one cause, one
    finding.
    """
    worst: dict[str, Finding] = {}
    for stack in stacks:
        for finding in judge(stack):
            known = worst.get(finding.rule)
            if known is None or seriousness(finding.severity) < seriousness(known.severity):
                worst[finding.rule] = finding
    return tuple(worst.values())
