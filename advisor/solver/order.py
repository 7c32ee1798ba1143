"""Optimise order: which press each piece goes down in, and what must go before what."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import cpmpy as cp

from advisor.solver.model import PlanModel, Tag

__all__ = ["Order", "foaming", "lies_on"]


class Order:
    """The press that each piece goes down in, over a `PlanModel`.

    Args:
        model: the films and ways of meeting.
        presses: most presses.

    Attributes:
        in_press: for each piece a literal for each press.
        rank: the press of each piece, from 0.
        total: the number of presses.
        lone: a literal: everything goes down in one press.
        foams: for each piece a literal: its film foams.
    """

    def __init__(self, model: PlanModel, *, presses: int) -> None:
        self.model, self.presses, self.pieces = model, presses, model.pieces
        self.in_press = {
            piece: [cp.boolvar() for _ in range(self.presses)] for piece in self.pieces
        }
        self.rank: dict[str, Any] = {}
        for piece, at in self.in_press.items():
            self.rank[piece] = cp.intvar(0, self.presses - 1)
            model.post(("order",), cp.sum(at) == 1)
            model.post(
                ("order",), cp.sum([i * here for i, here in enumerate(at)]) == self.rank[piece]
            )
        self.used = [cp.boolvar() for _ in range(self.presses)]
        for i, used in enumerate(self.used):
            members = [self.in_press[piece][i] for piece in self.pieces]
            model.post(("order",), cp.any(members) == used)
            if i:
                model.post(("order",), used.implies(self.used[i - 1]))
        self.total = cp.sum(self.used)
        for one, other in combinations(self.pieces, 2):
            if frozenset((one, other)) in model.problem.close:
                model.post(("carriers", one, other), self.rank[one] != self.rank[other])
        self.lone: Any = True if presses == 1 else ~self.used[1]
        lies_on(model, self.rank)
        self.foams = foaming(model)
        for piece, foams in self.foams.items():
            if foams is False:
                continue
            for other, also in self.foams.items():
                if other != piece and also is not True:
                    flat = True if also is False else ~also
                    before(model, ("foams", piece, other), self.rank, (other, piece), foams, flat)


def lies_on(model: PlanModel, rank: dict[str, Any]) -> None:
    """What lies on another goes down after it."""
    for (upper, lower), ways in model.way.items():
        tag = ("press-order", upper, lower)
        before(model, tag, rank, (lower, upper), model.meets((upper, lower), "lap", "inset-over"))
        if "inset-under" in ways:
            before(model, tag, rank, (upper, lower), ways["inset-under"])


def before(
    model: PlanModel, tag: Tag, rank: dict[str, Any], pieces: tuple[str, str], *when: Any
) -> None:
    """The first of two pieces goes down before the second, when all literals hold."""
    if any(literal is False for literal in when):
        return
    first, then = pieces
    follows = rank[first] + 1 <= rank[then]
    held = [literal for literal in when if literal is not True]
    model.post(tag, cp.all(held).implies(follows) if held else follows)


def foaming(model: PlanModel) -> dict[str, Any]:
    """For each piece a literal: its film foams."""
    return {piece: model.where(piece, lambda option: option.film.foams) for piece in model.pieces}
