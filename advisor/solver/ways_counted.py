"""Ways counted: how many ways there are to lay films over one another, without listing them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from advisor.layering.records.problem import Problem
from advisor.solver.way_tables import FABRIC, RowTables

__all__ = ["Counted", "count_ways"]


@dataclass(frozen=True, slots=True)
class Counted:
    """How many ways there are that the rules on films and joints let stand.

    Attributes:
        film_sets: how many choices of films, in whatever order, have such a way.
    """

    ways: int
    film_sets: int


def count_ways(problems: Sequence[Problem], without: Sequence[Problem] = ()) -> Counted:
    """What `best_ways` gives in all, counted without listing it.

    Args:
        problems: rows of the same pieces in different orders.
        without: such rows again, whose ways are not to be counted.
    """
    if not problems or any(not piece.options for piece in problems[0].pieces):
        return Counted(0, 0)
    pieces = sorted(piece.id for piece in problems[0].pieces)
    options = {piece.id: piece.options for piece in problems[0].pieces}
    total = np.zeros([len(options[piece]) for piece in pieces], dtype=np.int64)
    for sign, problem in [*((1, each) for each in problems), *((-1, each) for each in without)]:
        order = [piece.id for piece in problem.pieces]
        total += sign * _counts(RowTables(problem)).transpose(
            [order.index(piece) for piece in pieces]
        )
    films = [[option.film.id for option in options[piece]] for piece in pieces]
    sets = {
        tuple(sorted(of[i] for of, i in zip(films, at, strict=True)))
        for at in np.argwhere(total > 0).tolist()
    }
    return Counted(int(total.sum()), len(sets))


def _counts(row: RowTables) -> Any:
    """How many ways each choice of films has, by option of each position."""
    sizes = [len(options) for options in row.options]
    lying: dict[int, Any] = {FABRIC: _allowed(row, FABRIC, 0)}
    for at in range(1, len(sizes)):
        lapped, inset = np.zeros(sizes[at - 1 : at + 1]), np.zeros(sizes[at - 1 : at + 1])
        for pair, ways in row.joints[at - 1].items():
            lapped[pair], inset[pair] = "lap" in ways, len(ways.keys() - {"lap"})
        before = sum(lying.values())[..., None]
        grown = {
            below: counts[..., None]
            * _along(inset, (at - 1, at), at)
            * _along(_allowed(row, below, at), (at,) if below == FABRIC else (below, at), at)
            for below, counts in lying.items()
        }
        on_top = lapped * _allowed(row, at - 1, at)
        grown[at - 1] = before * _along(on_top, (at - 1, at), at)
        lying = grown
    return sum(lying.values()).astype(np.int64)


def _allowed(row: RowTables, below: int, at: int) -> Any:
    """1 where a film may lie on another, or on the fabric."""
    if below == FABRIC:
        rows = [row.on(at, (FABRIC, 0), x) for x in range(len(row.options[at]))]
        return np.array([float(found is not None) for found in rows])
    return np.array(
        [
            [float(row.on(at, (below, b), x) is not None) for x in range(len(row.films[at]))]
            for b in range(len(row.films[below]))
        ]
    )


def _along(table: Any, axes: tuple[int, ...], last: int) -> Any:
    """A table whose axes are some positions, shaped to be multiplied over all up to the last."""
    shape = [1] * (last + 1)
    for axis, size in zip(axes, table.shape, strict=True):
        shape[axis] = size
    return table.reshape(shape)
