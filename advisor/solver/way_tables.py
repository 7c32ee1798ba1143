"""Way tables: what each film of a row adds, by what it lies on and how it meets it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from functools import cached_property
from itertools import product

from advisor.layering.assessment import (
    MEASURES,
    WEAKNESS,
    ms_price,
    option_price,
    sample_price,
    tenths_um,
)
from advisor.layering.records.problem import Option, Problem
from advisor.layering.settings import press_times
from rules.alike import Pairs
from rules.facts.finding import Finding
from rules.facts.step import Meets

__all__ = ["FABRIC", "Amounts", "Below", "RowTables", "total"]

FABRIC = -1
"""Where a piece lies when nothing that stays is below it."""

Amounts = tuple[int, ...]
"""Samples, weakness, parts of a cent, no thickness and milliseconds, as a preference has them."""

Films = tuple[int, int]
"""Two films of two positions, the lower first, by option."""

Below = tuple[int, int]
"""The position of the film that stays under a piece, or `FABRIC`, and its option there."""


def total(*amounts: Amounts) -> Amounts:
    """Several amounts as one."""
    return tuple(map(sum, zip(*amounts, strict=True)))


class RowTables:
    """What the films of one row add, by position and option."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.options = [piece.options for piece in problem.pieces]
        self.films = [[option.film for option in options] for options in self.options]
        self.tenths_um = [[tenths_um(film) for film in films] for films in self.films]
        self.levels = MEASURES[problem.prefer]
        self.times = press_times(problem)
        self._contacts: dict[tuple[int, int], Mapping[Films, Amounts]] = {}
        of_film = Counter(film.id for films in self.films for film in films)
        # What is found twice in the same words counts once: a film that may come twice is free.
        self.twice = {film for film, times in of_film.items() if times > 1}

    def amounts(self, *, samples: int = 0, weak: int = 0, film: int = 0, ms: int = 0) -> Amounts:
        """Samples, weakness, film in parts of a cent and milliseconds, with what they cost."""
        spoiled = samples * sample_price(self.problem)
        price = film + spoiled + ms * ms_price(self.problem.rates)
        of = {"samples": samples, "weak": weak, "cents": price, "thickness_um": 0, "seconds": ms}
        return tuple(of[level] for level in self.levels)

    @cached_property
    def fixed(self) -> Amounts:
        """What every row takes: handling, and one full press as short as its films let it be."""
        shortest = (min((film.dwell_s.low for film in films), default=0) for films in self.films)
        ms = self.times.fixed + self.times.full + int(1000 * max(shortest, default=0))
        if len(self.options) > 1:
            # One piece may go down in that press, without a tack.
            ms += self.times.cover - self.times.tack
        return self.amounts(ms=ms)

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
        return self.amounts(
            samples=0 if film.id in self.twice else _samples(option.findings),
            # A typed stack is of one size, so that it is alike whichever piece is meant.
            film=option_price(self.problem, self.problem.pieces[0].id, option),
            ms=self.times.waits[film.peel] + (tack if tacked else 0),
        )

    def on(self, at: int, below: Below, x: int) -> Amounts | None:
        """What a film adds by what it lies on; ``None`` where it may not."""
        position, b = below
        if position != FABRIC:
            return self._contact(position, at).get((b, x))
        option = self.options[at][x]
        if any(finding.severity == "stop" for finding in option.fabric_findings):
            return None
        twice = option.film.id in self.twice
        return self.amounts(samples=0 if twice else _samples(option.fabric_findings))

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
            more = self.amounts(weak=WEAKNESS[way], ms=self.times.registering[way])
            for films, amounts in self._tabled(at, at + 1, drawn).items():
                open_to.setdefault(films, {})[way] = total(amounts, more)
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
            (b, x): self.amounts(
                samples=0 if {under[b].id, over[x].id} <= self.twice else samples[b, x]
            )
            for b, x in product(range(len(under)), range(len(over)))
            if (b, x) not in stopped
        }


def _turned(found: Pairs) -> Pairs:
    return {drawn: [(lower, upper) for upper, lower in pairs] for drawn, pairs in found.items()}


def _samples(findings: Sequence[Finding]) -> int:
    return sum(finding.severity == "sample" for finding in findings)
