"""Sharing: which pieces can go down in one press, and how many presses that leaves of use."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import combinations

import networkx as nx

from advisor.layering.records.problem import Option, Problem

__all__ = ["cliques", "most_presses", "part_sizes", "presses_of_use"]


def presses_of_use(problem: Problem, options: Mapping[str, Sequence[Option]]) -> int:
    """Presses of one stage in which all can go down: what lies apart shares them.

    Pieces that neither meet nor lie close go down alongside one another; where a film foams, all
    that does not goes before it. Two are always of use: after a tack a carrier has cooled far
    sooner than after a full press of all at once.
    """
    longest = max(part_sizes(problem, options), default=1)
    return max(1, min(len(options), max(2, 2 * longest if _foams(options) else longest)))


def most_presses(problem: Problem, options: Mapping[str, Sequence[Option]]) -> int:
    """Presses of one stage beyond which none is of use, not even to share a carrier.

    What lies apart may share a carrier only if it goes down in the same press, for which others
    wait: but two presses after one another, of which no piece of the one meets or lies close to one
    of the other, are one. A part of the print has at most one such two for each piece but one.
    """
    parted = sum(size - 1 for size in part_sizes(problem, options))
    return max(1, min(len(options), max(2, 1 + parted + _foams(options))))


def part_sizes(problem: Problem, pieces: Iterable[str]) -> list[int]:
    """How many pieces each part of a print has that neither meets nor lies close to another."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(pieces)
    graph.add_edges_from(meeting.pair for meeting in problem.meetings)
    graph.add_edges_from((min(two), max(two)) for two in problem.close)
    return [len(part) for part in nx.connected_components(graph)]


def _foams(options: Mapping[str, Sequence[Option]]) -> bool:
    return any(option.film.foams for choices in options.values() for option in choices)


def cliques(pieces: Sequence[str], apart: Callable[[str, str], bool]) -> list[tuple[str, ...]]:
    """Groups of which each two are apart; every two that are apart are in one of them.

    >>> cliques("abcd", lambda one, other: "d" not in one + other or "c" in one + other)
    [('a', 'b', 'c'), ('c', 'd')]
    """
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(pieces)
    graph.add_edges_from(two for two in combinations(pieces, 2) if apart(*two))
    found: list[tuple[str, ...]] = []
    for two in graph.edges:
        if not any({*two} <= {*known} for known in found):
            group = list(two)
            for piece in pieces:
                if all(graph.has_edge(piece, each) for each in group):
                    group.append(piece)
            found.append(tuple(group))
    return found
