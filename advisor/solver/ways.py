"""Ways: how films can lie over one another in a row, best first by a bound.

A row is a print whose pieces each lie within the one behind, so that what a piece adds depends on
the film below it, on how the two meet, and on the film that it comes to lie on where that one is
cut away: the lowest bound on what is still to come is found backwards, position by position, and
the search goes straight for the best (A*; Hart, Nilsson and Raphael 1968).
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import count

from advisor.layering.records.assessment import PER_CENT, halves_up
from advisor.layering.records.problem import Choice, Option, Problem
from advisor.solver.way_tables import FABRIC, Amounts, Below, RowTables, total
from rules.facts.step import Meets
from rules.foreseen import Window, foreseen_through, least_settings, wary_window

__all__ = ["Way", "best_ways"]


Through = Callable[[Option, tuple[str, ...]], int]
"""Samples for what a fabric does to a film through those under it, bottom first."""


@dataclass(frozen=True, slots=True)
class Way:
    """A film for each piece of a row and a way for each two, with what it costs at least.

    Attributes:
        bound: no schedule has a smaller objective, in the order of the problem's preference.
    """

    bound: tuple[int, ...]
    problem: Problem
    choice: Choice

    @property
    def films(self) -> tuple[str, ...]:
        """Its films, bottom first."""
        return tuple(option.film.id for option in self.choice.options.values())

    @property
    def meets(self) -> tuple[Meets, ...]:
        """How each neighbouring pair meets, bottom first."""
        films = list(self.choice.options)
        pairs = zip(films[1:], films, strict=False)
        return tuple(self.choice.meets[pair] for pair in pairs)


def best_ways(problems: Sequence[Problem]) -> Iterator[Way]:
    """Every way of some rows that the rules on films and joints let stand, by rising bound.

    Order, settings, deep stacks and heat are not weighed: they only make a way cost more.

    Args:
        problems: rows of alike preference.
    """
    serial = count()
    wary, through = _wary(problems), _through(problems)
    rows = [_Row(problem, wary, through) for problem in problems]
    heap = [
        (row.bound(start), start.names, next(serial), row, start)
        for row in rows
        for start in row.starts()
    ]
    heapq.heapify(heap)
    while heap:
        bound, _, _, row, laid = heapq.heappop(heap)
        if len(laid.films) == len(row.tables.options):
            yield Way(bound, row.tables.problem, row.choice(laid))
            continue
        for more in row.longer(laid):
            heapq.heappush(heap, (row.bound(more), more.names, next(serial), row, more))


def _wary(problems: Sequence[Problem]) -> dict[str, Window]:
    """The films of some rows on the same fabrics that want a sample wherever they are pressed."""
    films = {o.film.id: o.film for each in problems for p in each.pieces for o in p.options}
    found = {}
    for name, film in films.items():
        on = problems[0]
        if window := wary_window(film, on.fabrics, on.limits.press, on.knowledge):
            found[name] = window
    return found


def _through(problems: Sequence[Problem]) -> Through:
    """What the fabrics do to a film through those under it, as far as is known unpressed."""
    films = {o.film.id: o.film for each in problems for p in each.pieces for o in p.options}
    known: dict[tuple[str, ...], int] = {}

    def samples(option: Option, pile: tuple[str, ...]) -> int:
        key, on = (option.film.id, option.colour.name, *pile), problems[0]
        if key not in known:
            under = tuple(films[name] for name in pile)
            known[key] = foreseen_through(
                option.film, option.colour, under, on.fabrics, on.knowledge
            )
        return known[key]

    return samples


@dataclass(frozen=True, slots=True)
class _Laid:
    """The lower films of a row.

    Attributes:
        films: by option; ``below`` is what the topmost lies on, or would if the next is inset.
        pile: films that stay under the topmost, bottom first; ``under`` is how thick they are,
            tenths of a micrometre; ``thickest`` so far.
    """

    films: tuple[int, ...]
    ways: tuple[Meets, ...]
    names: tuple[str, ...]
    below: Below
    spent: Amounts
    pile: tuple[str, ...]
    under: int
    thickest: int


class _Row:
    """The search along one row; ``wary`` films want a sample anywhere."""

    def __init__(self, problem: Problem, wary: Mapping[str, Window], through: Through) -> None:
        self.tables, self.wary = RowTables(problem), wary
        self.through, self.to_come = through, cache(self._to_come)

    def starts(self) -> Iterator[_Laid]:
        """The row begun with each film that may lie on the fabric."""
        for x, option in enumerate(self.tables.options[0] if self.tables.options else ()):
            on_fabric = self.tables.on(0, (FABRIC, 0), x)
            if on_fabric is not None and self.to_come(0, (FABRIC, 0), x) is not None:
                spent = total(self.tables.fixed, self.tables.own[0][x], on_fabric)
                tenths = self.tables.tenths_um[0][x]
                yield _Laid((x,), (), (option.film.id,), (FABRIC, 0), spent, (), 0, tenths)

    def longer(self, laid: _Laid) -> Iterator[_Laid]:
        """The row with each film more, in each way."""
        at, c = len(laid.films), laid.films[-1]
        for x, option in enumerate(self.tables.options[at]):
            own, tenths = self.tables.own[at][x], self.tables.tenths_um[at][x]
            for way, met in self.tables.joints[at - 1].get((c, x), {}).items():
                lies_on = (at - 1, c) if way == "lap" else laid.below
                on_it = self.tables.on(at, lies_on, x)
                if on_it is None or self.to_come(at, lies_on, x) is None:
                    continue
                pile, under = laid.pile, laid.under
                if way == "lap":
                    pile = (*pile, laid.names[-1])
                    under += self.tables.tenths_um[at - 1][c]
                stained = 0
                if pile and option.film.id not in self.tables.twice:
                    stained = self.through(option, pile)
                yield _Laid(
                    (*laid.films, x),
                    (*laid.ways, way),
                    (*laid.names, option.film.id),
                    lies_on,
                    total(laid.spent, own, met, on_it, self.tables.amounts(samples=stained)),
                    pile,
                    under,
                    max(laid.thickest, under + tenths),
                )

    def bound(self, laid: _Laid) -> tuple[int, ...]:
        """The least objective that a row so begun can have."""
        rest = self.to_come(len(laid.films) - 1, laid.below, laid.films[-1])
        if rest is None:
            raise ValueError("nothing may follow what is laid")
        spent = [laid.spent, rest]
        if settings := least_settings(self.wary[n] for n in laid.names if n in self.wary):
            # Films that share a press want the sample of its heat together.
            spent.append(self.tables.amounts(samples=settings))
        amounts = dict(zip(self.tables.levels, total(*spent), strict=True))
        amounts["cents"] = halves_up(amounts["cents"], PER_CENT)
        amounts["seconds"] = halves_up(amounts["seconds"], 1000)
        amounts["thickness_um"] = halves_up(laid.thickest, 10)
        return tuple(amounts[level] for level in self.tables.levels)

    def choice(self, laid: _Laid) -> Choice:
        """A whole row as a choice."""
        pieces = [piece.id for piece in self.tables.problem.pieces]
        meets = {meeting.pair: meeting.ways[0] for meeting in self.tables.problem.meetings}
        for lower, upper, way in zip(pieces, pieces[1:], laid.ways, strict=False):
            meets[upper, lower] = way
        options = {
            piece: options[x]
            for piece, options, x in zip(pieces, self.tables.options, laid.films, strict=True)
        }
        return Choice(options, meets)

    def _to_come(self, at: int, below: Below, c: int) -> Amounts | None:
        """The least that the films above a position add; ``None`` where nothing may follow."""
        if at + 1 == len(self.tables.options):
            return (0,) * len(self.tables.levels)
        best: Amounts | None = None
        for x, own in enumerate(self.tables.own[at + 1]):
            for way, met in self.tables.joints[at].get((c, x), {}).items():
                lies_on = (at, c) if way == "lap" else below
                on_it = self.tables.on(at + 1, lies_on, x)
                rest = None if on_it is None else self.to_come(at + 1, lies_on, x)
                if on_it is not None and rest is not None:
                    found = total(own, met, on_it, rest)
                    best = found if best is None or found < best else best
        return best
