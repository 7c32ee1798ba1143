"""Ways: how films can lie over one another in a row, best first by a bound, and how many there are.

A row is a print whose pieces each lie within the one behind, so that what a piece adds depends on
the film below it, on how the two meet, and on the film that it comes to lie on where that one is
cut away: the lowest bound on what is still to come is found backwards, position by position, and
the search goes straight for the best (A*; Hart, Nilsson and Raphael 1968).
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, cached_property
from itertools import count, product
from typing import Any

import numpy as np

from advisor.layering.assessment import (
    MEASURES,
    WEAKNESS,
    ms_price,
    option_price,
    sample_price,
    tenths_um,
)
from advisor.layering.records.assessment import PER_CENT, halves_up
from advisor.layering.records.problem import Choice, Option, Problem
from advisor.layering.settings import press_times
from rules.alike import Pairs
from rules.facts.finding import Finding
from rules.facts.step import Meets
from rules.foreseen import Window, least_settings, wary_window

__all__ = ["Counted", "Way", "best_ways", "count_ways"]

FABRIC = -1
"""Where a piece lies when nothing that stays is below it."""

Amounts = tuple[int, ...]
"""Samples, weakness, parts of a cent, no thickness and milliseconds, as a preference has them."""

Films = tuple[int, int]
"""Two films of two positions, the lower first, by option."""

Below = tuple[int, int]
"""The position of the film that stays under a piece, or `FABRIC`, and its option there."""


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
    wary = _wary(problems)
    rows = [_Row(problem, wary) for problem in problems]
    heap = [
        (row.bound(start), start.names, next(serial), row, start)
        for row in rows
        for start in row.starts()
    ]
    heapq.heapify(heap)
    while heap:
        bound, _, _, row, laid = heapq.heappop(heap)
        if len(laid.films) == len(row.options):
            yield Way(bound, row.problem, row.choice(laid))
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
        total += sign * _Row(problem).counts().transpose([order.index(piece) for piece in pieces])
    films = [[option.film.id for option in options[piece]] for piece in pieces]
    sets = {
        tuple(sorted(of[i] for of, i in zip(films, at, strict=True)))
        for at in np.argwhere(total > 0).tolist()
    }
    return Counted(int(total.sum()), len(sets))


@dataclass(frozen=True, slots=True)
class _Laid:
    """The lower films of a row.

    Attributes:
        films: by option; ``below`` is what the topmost lies on, or would if the next is inset.
        under: films that stay under the topmost, tenths of a micrometre; ``thickest`` so far.
    """

    films: tuple[int, ...]
    ways: tuple[Meets, ...]
    names: tuple[str, ...]
    below: Below
    spent: Amounts
    under: int
    thickest: int


class _Row:
    """The tables of one row, and the search along it; ``wary`` films want a sample anywhere."""

    def __init__(self, problem: Problem, wary: Mapping[str, Window] | None = None) -> None:
        self.problem, self.wary = problem, wary or {}
        self.options = [piece.options for piece in problem.pieces]
        self.films = [[option.film for option in options] for options in self.options]
        self.levels = MEASURES[problem.prefer]
        self.times = press_times(problem)
        self.to_come = cache(self._to_come)
        self._contacts: dict[tuple[int, int], Mapping[Films, Amounts]] = {}
        of_film = Counter(film.id for films in self.films for film in films)
        # What is found twice in the same words counts once: a film that may come twice is free.
        self.twice = {film for film, times in of_film.items() if times > 1}

    def starts(self) -> Iterator[_Laid]:
        """The row begun with each film that may lie on the fabric."""
        for x, option in enumerate(self.options[0] if self.options else ()):
            on_fabric = self._on(0, (FABRIC, 0), x)
            if on_fabric is not None and self.to_come(0, (FABRIC, 0), x) is not None:
                spent = self._sum(self._fixed, self.own[0][x], on_fabric)
                tenths = tenths_um(option.film)
                yield _Laid((x,), (), (option.film.id,), (FABRIC, 0), spent, 0, tenths)

    def longer(self, laid: _Laid) -> Iterator[_Laid]:
        """The row with each film more, in each way."""
        at, c = len(laid.films), laid.films[-1]
        for x, option in enumerate(self.options[at]):
            own, tenths = self.own[at][x], tenths_um(option.film)
            for way, met in self.joints[at - 1].get((c, x), {}).items():
                lies_on = (at - 1, c) if way == "lap" else laid.below
                on_it = self._on(at, lies_on, x)
                if on_it is None or self.to_come(at, lies_on, x) is None:
                    continue
                under = laid.under
                if way == "lap":
                    under += tenths_um(self.films[at - 1][c])
                yield _Laid(
                    (*laid.films, x),
                    (*laid.ways, way),
                    (*laid.names, option.film.id),
                    lies_on,
                    self._sum(laid.spent, own, met, on_it),
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
            spent.append(self._amounts(samples=settings))
        amounts = dict(zip(self.levels, self._sum(*spent), strict=True))
        amounts["cents"] = halves_up(amounts["cents"], PER_CENT)
        amounts["seconds"] = halves_up(amounts["seconds"], 1000)
        amounts["thickness_um"] = halves_up(laid.thickest, 10)
        return tuple(amounts[level] for level in self.levels)

    def choice(self, laid: _Laid) -> Choice:
        """A whole row as a choice."""
        pieces = [piece.id for piece in self.problem.pieces]
        meets = {meeting.pair: meeting.ways[0] for meeting in self.problem.meetings}
        for lower, upper, way in zip(pieces, pieces[1:], laid.ways, strict=False):
            meets[upper, lower] = way
        options = {
            piece: options[x]
            for piece, options, x in zip(pieces, self.options, laid.films, strict=True)
        }
        return Choice(options, meets)

    def counts(self) -> Any:
        """How many ways each choice of films has, by option of each position."""
        sizes = [len(options) for options in self.options]
        lying: dict[int, Any] = {FABRIC: self._allowed(FABRIC, 0)}
        for at in range(1, len(sizes)):
            lapped, inset = np.zeros(sizes[at - 1 : at + 1]), np.zeros(sizes[at - 1 : at + 1])
            for pair, ways in self.joints[at - 1].items():
                lapped[pair], inset[pair] = "lap" in ways, len(ways.keys() - {"lap"})
            before = sum(lying.values())[..., None]
            grown = {
                below: counts[..., None]
                * _along(inset, (at - 1, at), at)
                * _along(self._allowed(below, at), (at,) if below == FABRIC else (below, at), at)
                for below, counts in lying.items()
            }
            on_top = lapped * self._allowed(at - 1, at)
            grown[at - 1] = before * _along(on_top, (at - 1, at), at)
            lying = grown
        return sum(lying.values()).astype(np.int64)

    def _allowed(self, below: int, at: int) -> Any:
        """1 where a film may lie on another, or on the fabric."""
        if below == FABRIC:
            rows = [self._on(at, (FABRIC, 0), x) for x in range(len(self.options[at]))]
            return np.array([float(found is not None) for found in rows])
        return np.array(
            [
                [float(self._on(at, (below, b), x) is not None) for x in range(len(self.films[at]))]
                for b in range(len(self.films[below]))
            ]
        )

    # What a piece adds

    def _to_come(self, at: int, below: Below, c: int) -> Amounts | None:
        """The least that the films above a position add; ``None`` where nothing may follow."""
        if at + 1 == len(self.options):
            return (0,) * len(self.levels)
        best: Amounts | None = None
        for x, own in enumerate(self.own[at + 1]):
            for way, met in self.joints[at].get((c, x), {}).items():
                lies_on = (at, c) if way == "lap" else below
                on_it = self._on(at + 1, lies_on, x)
                rest = None if on_it is None else self.to_come(at + 1, lies_on, x)
                if on_it is not None and rest is not None:
                    found = self._sum(own, met, on_it, rest)
                    best = found if best is None or found < best else best
        return best

    def _sum(self, *amounts: Amounts) -> Amounts:
        return tuple(map(sum, zip(*amounts, strict=True)))

    def _amounts(self, *, samples: int = 0, weak: int = 0, film: int = 0, ms: int = 0) -> Amounts:
        spoiled = samples * sample_price(self.problem)
        price = film + spoiled + ms * ms_price(self.problem.rates)
        of = {"samples": samples, "weak": weak, "cents": price, "thickness_um": 0, "seconds": ms}
        return tuple(of[level] for level in self.levels)

    @cached_property
    def _fixed(self) -> Amounts:
        """What every row takes: handling, and one full press as short as its films let it be."""
        shortest = (min((film.dwell_s.low for film in films), default=0) for films in self.films)
        ms = self.times.fixed + self.times.full + int(1000 * max(shortest, default=0))
        if len(self.options) > 1:
            # One piece may go down in that press, without a tack.
            ms += self.times.cover - self.times.tack
        return self._amounts(ms=ms)

    @cached_property
    def own(self) -> list[list[Amounts]]:
        """By position and option: what a film takes wherever it lies."""
        return [[self._own(option) for option in options] for options in self.options]

    def _own(self, option: Option) -> Amounts:
        film = option.film
        # The last press of a foam, and the only one of a single film, needs no tack before it; what
        # else goes without one has a full press of its own, which takes longer.
        tacked = len(self.options) > 1 and not film.foams
        tack = min(self.times.tack, self.times.full + int(1000 * film.dwell_s.low))
        return self._amounts(
            samples=0 if film.id in self.twice else _samples(option.findings),
            # A typed stack is of one size, so that it is alike whichever piece is meant.
            film=option_price(self.problem, self.problem.pieces[0].id, option),
            ms=self.times.waits[film.peel] + (tack if tacked else 0),
        )

    def _on(self, at: int, below: Below, x: int) -> Amounts | None:
        """What a film adds by what it lies on; ``None`` where it may not."""
        position, b = below
        if position != FABRIC:
            return self._contact(position, at).get((b, x))
        option = self.options[at][x]
        if any(finding.severity == "stop" for finding in option.fabric_findings):
            return None
        twice = option.film.id in self.twice
        return self._amounts(samples=0 if twice else _samples(option.fabric_findings))

    def _contact(self, below: int, at: int) -> Mapping[Films, Amounts]:
        """What the films of a position draw on those of a lower one, where they may lie there."""
        if (below, at) not in self._contacts:
            under, over = self.films[below], self.films[at]
            drawn = [_turned(self.problem.on_film_pairs(over, under, rim=False))]
            self._contacts[below, at] = self._tabled(below, at, drawn)
        return self._contacts[below, at]

    @cached_property
    def joints(self) -> list[dict[Films, dict[Meets, Amounts]]]:
        """By position, and by its film and the one above: the ways open to them."""
        return [self._joints_at(at) for at in range(len(self.options) - 1)]

    def _joints_at(self, at: int) -> dict[Films, dict[Meets, Amounts]]:
        under, over, asked = self.films[at], self.films[at + 1], self.problem
        meeting = asked.meeting((asked.pieces[at + 1].id, asked.pieces[at].id))
        open_to: dict[Films, dict[Meets, Amounts]] = {}
        for way in meeting.ways:
            drawn = [_turned(asked.at_joint_pairs(meeting, over, under, way))]
            if way == "inset-over":
                drawn.append(_turned(asked.on_film_pairs(over, under, rim=True)))
            elif way == "inset-under":
                drawn.append(asked.on_film_pairs(under, over, rim=True))
            more = self._amounts(weak=WEAKNESS[way], ms=self.times.registering[way])
            for films, amounts in self._tabled(at, at + 1, drawn).items():
                open_to.setdefault(films, {})[way] = self._sum(amounts, more)
        return open_to

    def _tabled(self, below: int, at: int, drawn: Sequence[Pairs]) -> dict[Films, Amounts]:
        """What two positions' films draw from one another, but for those that are stopped."""
        samples: Counter[Films] = Counter()
        stopped: set[Films] = set()
        for found in drawn:
            for (_, severity), pairs in found.items():
                if severity == "stop":
                    stopped.update(pairs)
                else:
                    samples.update(set(pairs))
        under, over = self.films[below], self.films[at]
        return {
            (b, x): self._amounts(
                samples=0 if {under[b].id, over[x].id} <= self.twice else samples[b, x]
            )
            for b, x in product(range(len(under)), range(len(over)))
            if (b, x) not in stopped
        }


def _turned(found: Pairs) -> Pairs:
    return {drawn: [(lower, upper) for upper, lower in pairs] for drawn, pairs in found.items()}


def _samples(findings: Sequence[Finding]) -> int:
    return sum(finding.severity == "sample" for finding in findings)


def _along(table: Any, axes: tuple[int, ...], last: int) -> Any:
    """A table whose axes are some positions, shaped to be multiplied over all up to the last."""
    shape = [1] * (last + 1)
    for axis, size in zip(axes, table.shape, strict=True):
        shape[axis] = size
    return table.reshape(shape)
