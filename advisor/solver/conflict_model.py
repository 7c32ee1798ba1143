"""Conflict model: a problem whose every rule, fact and wish can be taken away on its own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import cpmpy as cp
import networkx as nx

from advisor.artwork.overlay import open_ways
from advisor.job.records.print import Meeting
from advisor.layering.records.problem import Option, Problem
from advisor.layering.stages import MOST_STAGES
from advisor.solver.model import Cut, PlanModel, Rules, Table, Tag
from advisor.solver.order import Order
from advisor.solver.stages import Stages
from rules.facts.finding import Finding

__all__ = [
    "ConflictModel",
    "conflict_model",
    "film_rules",
    "is_narrowed",
    "part_of",
    "parts",
    "with_refused",
]  # fmt: skip

WITHOUT_FILMS = {"press-order"}
"""Facts that hold whatever film a piece is cut from."""

STRUCTURE = {"film", "meets", "order", "carriers"}
"""Constraints that say what the variables mean; no one can wish them away."""


@dataclass(frozen=True, slots=True)
class ConflictModel:
    """What must hold anyway, and for each fact, rule instance or wish a literal that asks for it.

    Attributes:
        hard: constraints, each with the tag that asks for it, or ``None``.
        asked: by tag, in the order in which they are preferred in an explanation.
    """

    model: PlanModel
    hard: tuple[tuple[Tag | None, Any], ...]
    asked: Mapping[Tag, Any]


def conflict_model(
    problem: Problem,
    options: Mapping[str, Sequence[Option]],
    *,
    tables: frozenset[Table] | None = None,
    cuts: Sequence[Cut] = (),
) -> ConflictModel:
    """The feasibility of a problem as separate asks.

    Args:
        options: the films that are wished for, those refused at once included.
        tables: contacts and joints to judge; all where ``None``.
    """
    forbidden = [(rule, partial(_finds, rule, "stop")) for rule in film_rules(problem)]
    if not problem.samples_allowed:
        forbidden += [
            (f"{rule} sample", partial(_finds, rule, "sample")) for rule in film_rules(problem)
        ]
    ways = {meeting.pair: open_ways(meeting) for meeting in problem.meetings}
    model = PlanModel(problem, options, Rules(tuple(forbidden)), tables=tables, ways=ways)
    for n, cut in enumerate(cuts):
        model.forbid(cut, ("cut", str(n), *(piece for piece, _ in cut.films)))
    stages = Stages(
        Order(model, presses=len(model.pieces)),
        count=min(MOST_STAGES, len(model.pieces)),
        open_dial=True,
    )
    sampled: Any = cp.boolvar()
    if not problem.samples_allowed:
        for literal in stages.unsuited:
            model.post(("pressure-window sample",), ~literal)
    # Read before the constraints are, since a literal about several ways brings its own.
    as_wished = {
        meeting.pair: _as_literal(model.meets(meeting.pair, *meeting.ways))
        for meeting in problem.meetings
        if is_narrowed(meeting)
    }
    free = {piece: cp.boolvar() for piece in model.pieces}
    hard: list[tuple[Tag | None, Any]] = []
    asked: dict[Tag, Any] = {}
    for tag, constraint in model.constraints:
        if tag[0] in STRUCTURE:
            hard.append((None, constraint))
            continue
        rule = tag[0].removesuffix(" sample")
        key = (rule, tag[1]) if rule == "foams" else (rule, *tag[1:])
        asked.setdefault(key, cp.boolvar())
        unless = [~asked[key]]
        if tag[0] != rule:
            unless.append(sampled)
        if rule not in WITHOUT_FILMS:
            unless += [free[piece] for piece in tag[1:] if piece in free]
        hard.append((key, cp.any([*unless, constraint])))
    for piece in model.pieces:
        asked["wish", piece] = ~free[piece]
    for pair, literal in as_wished.items():
        kept: Any = cp.boolvar()
        hard.append((None, ~kept | literal))
        asked["wish-meets", *pair] = kept
    if not problem.samples_allowed:
        asked["wish-samples",] = ~sampled
    return ConflictModel(model, tuple(hard), asked)


def film_rules(problem: Problem) -> tuple[str, ...]:
    """The rules that judge films, joints and stacks, in the order of the rulebook."""
    judged = ("film_on_fabric", "artwork", "film_on_film", "joint", "stack")
    return tuple(rule.id for kind in judged for rule in problem.knowledge.rules.by_judged[kind])


def is_narrowed(meeting: Meeting) -> bool:
    """Whether fewer ways are wished for than the artwork leaves open."""
    return set(meeting.ways) != set(open_ways(meeting))


def with_refused(problem: Problem) -> dict[str, tuple[Option, ...]]:
    """The films wished for each piece, with those that were refused at once."""
    return {
        piece.id: piece.options
        + tuple(refusal.option for refusal in piece.refused if refusal.option is not None)
        for piece in problem.pieces
    }


def parts(problem: Problem) -> tuple[tuple[str, ...], ...]:
    """The pieces that meet one another, directly or through others, bottom first."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(piece.id for piece in problem.pieces)
    graph.add_edges_from(meeting.pair for meeting in problem.meetings)
    found = [set(part) for part in nx.connected_components(graph)]
    return tuple(tuple(piece.id for piece in problem.pieces if piece.id in part) for part in found)


def part_of(problem: Problem, pieces: Sequence[str]) -> Problem:
    """The problem of some pieces that meet no others."""
    among = set(pieces)
    return replace(
        problem,
        print=replace(
            problem.print,
            pieces=tuple(piece for piece in problem.print.pieces if piece.id in among),
            meetings=tuple(m for m in problem.meetings if m.upper in among and m.lower in among),
            places=tuple(place for place in problem.places if among.issuperset(place.stack)),
            close=tuple(two for two in problem.print.close if among.issuperset(two)),
        ),
        pieces=tuple(piece for piece in problem.pieces if piece.id in among),
    )


def _finds(rule: str, severity: str, findings: Sequence[Finding]) -> bool:
    return any(f.rule == rule and f.severity == severity for f in findings)


def _as_literal(value: Any) -> Any:
    return cp.BoolVal(value) if isinstance(value, bool) else value
