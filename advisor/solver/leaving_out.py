"""Leaving out: a problem with some of its pieces left out, or with no others than some."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import networkx as nx

from advisor.job.records.print import Place
from advisor.layering.meeting import lapping_what_is_covered
from advisor.layering.records.problem import Problem

__all__ = ["only", "part_of", "parts", "without"]


def without(problem: Problem, *pieces: str) -> Problem:
    """The problem with pieces left out; what they parted then touches."""
    left = problem
    for piece in pieces:
        left = _without(left, piece)
    return left


def only(problem: Problem, pieces: Iterable[str]) -> Problem:
    """The problem of some of its pieces by themselves."""
    kept = set(pieces)
    return without(problem, *(piece.id for piece in problem.pieces if piece.id not in kept))


def parts(problem: Problem) -> tuple[tuple[str, ...], ...]:
    """The pieces that meet one another, directly or through others, bottom first."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(piece.id for piece in problem.pieces)
    graph.add_edges_from(meeting.pair for meeting in problem.meetings)
    found = [set(part) for part in nx.connected_components(graph)]
    return tuple(tuple(piece.id for piece in problem.pieces if piece.id in part) for part in found)


def part_of(problem: Problem, pieces: Iterable[str]) -> Problem:
    """The problem of some pieces that meet no others."""
    among = set(pieces)
    return replace(
        problem,
        print=replace(
            problem.print,
            pieces=tuple(piece for piece in problem.print.pieces if piece.id in among),
            meetings=tuple(m for m in problem.meetings if among.issuperset(m.pair)),
            places=tuple(place for place in problem.places if among.issuperset(place.stack)),
            close=tuple(two for two in problem.print.close if among.issuperset(two)),
        ),
        pieces=tuple(piece for piece in problem.pieces if piece.id in among),
    )


def _without(problem: Problem, piece: str) -> Problem:
    stacks: dict[tuple[str, ...], float] = {}
    for place in problem.places:
        stack = tuple(other for other in place.stack if other != piece)
        if stack:
            stacks[stack] = stacks.get(stack, 0.0) + place.area_mm2
    next_to = {pair for stack in stacks for pair in zip(stack[1:], stack, strict=False)}
    meetings = []
    for meeting in problem.meetings:
        if piece in meeting.pair:
            continue
        if meeting.hidden and meeting.pair in next_to:
            meeting = replace(meeting, hidden=False)
            meeting = replace(meeting, ways=meeting.open_ways)
        meetings.append(meeting)
    places = tuple(Place(stack, area_mm2) for stack, area_mm2 in stacks.items())
    return replace(
        problem,
        print=replace(
            problem.print,
            pieces=tuple(other for other in problem.print.pieces if other.id != piece),
            meetings=lapping_what_is_covered(meetings, places),
            places=places,
            close=tuple(two for two in problem.print.close if piece not in two),
        ),
        pieces=tuple(other for other in problem.pieces if other.id != piece),
    )
