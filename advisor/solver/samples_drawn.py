"""Samples drawn: what the films of two pieces draw, worded only where samples are counted."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from advisor.job.records.print import Meeting
from advisor.layering.records.asked import Said
from advisor.layering.records.problem import Option, Problem
from advisor.solver.records import Cut
from advisor.solver.variables import Trigger
from rules.facts.film import Film
from rules.facts.step import Meets

__all__ = ["drawn_by", "said_at_joint", "said_of_seen", "said_on_film", "sampled_always"]


def sampled_always(problem: Problem, cuts: Sequence[Cut]) -> frozenset[tuple[str, ...]]:
    """What wants a sample in every plan, where samples are allowed."""
    if not problem.samples_allowed:
        return frozenset()
    drawn = [finding.said for finding in problem.drawn if finding.severity == "sample"]
    found = [cut.cause for cut in cuts if cut.always and cut.severity == "sample"]
    return frozenset([*drawn, *found])


def drawn_by(
    said: Callable[[str, int, int], Iterable[Said]],
    rule: str,
    pairs: Sequence[tuple[int, int]],
    when: Any,
    above: Sequence[Any],
    below: Sequence[Any],
) -> Iterator[tuple[Said, Trigger]]:
    """What the films of two pieces draw, each with the literals that draw it."""
    for i, j in pairs:
        for one in said(rule, i, j):
            yield one, (when, above[i], below[j])


def said_on_film(
    problem: Problem,
    above: Sequence[Film],
    below: Sequence[Film],
    rim: bool,
    rule: str,
    i: int,
    j: int,
) -> tuple[Said, ...]:
    """What a rule says of one option of the upper piece lying on one of the lower."""
    return problem.said_on_film(rule, above[i], below[j], rim=rim)


def said_of_seen(
    problem: Problem,
    meeting: Meeting,
    above: Sequence[Option],
    below: Sequence[Option],
    rule: str,
    i: int,
    j: int,
) -> tuple[Said, ...]:
    """What a rule says of how two options look side by side."""
    return problem.said_of_seen(rule, meeting, above[i], below[j])


def said_at_joint(
    problem: Problem,
    meeting: Meeting,
    above: Sequence[Film],
    below: Sequence[Film],
    way: Meets,
    rule: str,
    i: int,
    j: int,
) -> tuple[Said, ...]:
    """What a rule says of two options that meet in a way."""
    return problem.said_at_joint(rule, meeting, above[i], below[j], way)
