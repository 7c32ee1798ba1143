"""Optimise bound: the films that no better plan can use, by arithmetic on cost and heat alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement
from typing import Any

import networkx as nx
import numpy as np
from numpy.typing import NDArray

from advisor.layering.assessment import MS_PER_HOUR, halves_up, hour_cents, option_cents, tenths_um
from advisor.layering.cost import CLOSE_S, COVER_S
from advisor.layering.records.problem import Option, Problem
from advisor.solver.time import press_ms
from rules.facts.practice import TACK_S

__all__ = [
    "Bounds", "longest_pile", "most_presses", "still_useful", "thin_enough", "union_of",
]  # fmt: skip

Domains = Mapping[str, Sequence[Option]]
NEVER = 10**9
"""More cents than any film costs: what no film of a piece suits."""


@dataclass(frozen=True, slots=True)
class Bounds:
    """What is known of every plan that is no worse than the best so far.

    Attributes:
        most_cents: it costs no more, hundredths of the currency.
        least_ms: it takes at least that beside its full presses, ms.
        spoilage_cents: what its samples cost.
        sample_free: it has no finding of kind sample, so that one pressure suits each stage.
    """

    most_cents: int
    least_ms: int
    spoilage_cents: int
    sample_free: bool


def still_useful(problem: Problem, domains: Domains, bounds: Bounds, *, stages: int) -> Domains:
    """The films that a plan of exactly so many stages within the bounds could use.

    A piece without any film shows that there is no such plan.
    """
    left = domains
    while True:
        fewer = _useful_once(problem, left, bounds, stages=stages)
        if not all(fewer.values()) or _count(fewer) == _count(left):
            return fewer
        left = fewer


def _count(domains: Domains) -> int:
    return sum(map(len, domains.values()))


def _useful_once(problem: Problem, domains: Domains, bounds: Bounds, *, stages: int) -> Domains:
    """One pass: a film is kept if with it some setting still keeps within the bounds.

    A stage has one setpoint and, where no samples are wanted, one pressure; every film that
    finishes in it takes them. For each setpoint (for two stages: each pair) the cheapest films
    that take it and the least time make a bound.
    """
    takes = _Takes(problem, domains, sample_free=bounds.sample_free)
    if stages == 1:
        settings = takes.one_stage(presses=most_presses(problem, domains, bounds))
    elif stages == 2:
        settings = takes.two_stages()
    else:
        settings = takes.any_stages(stages)
    flat = takes.cents
    kept = np.zeros(len(flat), dtype=bool)
    for setting in settings:
        allowed = np.where(setting.allowed, flat, NEVER)
        least = np.minimum.reduceat(allowed, takes.starts)
        ms = bounds.least_ms + round(1000 * setting.seconds)
        spent = (
            int(least.sum())
            + halves_up(hour_cents(problem.rates) * ms, MS_PER_HOUR)
            + bounds.spoilage_cents
        )
        over = flat - np.repeat(least, takes.counts)
        some = 0
        if setting.some is not None:
            some = int(np.where(setting.allowed & setting.some, over, NEVER).min(initial=NEVER))
        if spent + some <= bounds.most_cents:
            kept |= setting.allowed & (spent + np.maximum(over, some) <= bounds.most_cents)
    parts = np.split(kept, takes.starts[1:])
    return {
        piece: tuple(option for option, keep in zip(options, part, strict=True) if keep)
        for (piece, options), part in zip(domains.items(), parts, strict=True)
    }


def thin_enough(problem: Problem, domains: Domains, most_um: int) -> Domains:
    """The films that are not thicker than that by themselves, where a piece lies on top."""
    on_top = {place.stack[-1] for place in problem.places}
    return {
        piece: tuple(
            option
            for option in options
            if piece not in on_top or halves_up(tenths_um(option.film), 10) <= most_um
        )
        for piece, options in domains.items()
    }


def union_of(every: Domains, several: Sequence[Domains]) -> Domains:
    """The films of each piece that any of these domains holds."""
    return {
        piece: tuple(
            option
            for option in options
            if any(option is other for domains in several for other in domains[piece])
        )
        for piece, options in every.items()
    }


def longest_pile(problem: Problem) -> int:
    """The most pieces of which each meets the next: no pile needs more presses."""
    graph: nx.Graph[str] = nx.Graph()
    graph.add_nodes_from(piece.id for piece in problem.pieces)
    graph.add_edges_from(meeting.pair for meeting in problem.meetings)
    return max(len(part) for part in nx.connected_components(graph))


def most_presses(problem: Problem, domains: Domains, bounds: Bounds, *, stages: int = 1) -> int:
    """Presses beyond which no plan of so many stages is within the bounds.

    The least time counts no more presses than the longest pile needs; more are paid for.
    """
    pieces = len(problem.pieces)
    rate = hour_cents(problem.rates)
    if not rate:
        return pieces
    films = sum(min(map(option_cents, options)) for options in domains.values())
    most_ms = (2 * (bounds.most_cents - films) + 1) * MS_PER_HOUR // (2 * rate)
    shortest_s = min(o.film.dwell_s.low for options in domains.values() for o in options)
    full_s = stages * (CLOSE_S + shortest_s) + (stages - 1) * COVER_S
    more = (most_ms - bounds.least_ms - round(1000 * full_s)) // press_ms()
    return int(max(1, min(pieces, longest_pile(problem) + more + 1)))


Numbers = NDArray[Any]


@dataclass(frozen=True, slots=True)
class _Setting:
    """Seconds of the full presses, the films that take them, and films of which one is used."""

    seconds: float
    allowed: Numbers
    some: Numbers | None = None


class _Takes:
    """Which films take which setpoint, dwell and pressure; the films of all pieces in a row."""

    def __init__(self, problem: Problem, domains: Domains, *, sample_free: bool) -> None:
        every = [option for options in domains.values() for option in options]
        films = [option.film for option in every]
        self.counts = np.array([len(options) for options in domains.values()])
        self.starts = np.concatenate([[0], np.cumsum(self.counts)[:-1]])
        self.cents = np.array([option_cents(option) for option in every])
        self.low_c = np.array([film.setpoint_c.low for film in films])
        self.high_c = np.array([film.setpoint_c.high for film in films])
        self.low_s = np.ceil([film.dwell_s.low for film in films])
        self.best_s = np.ceil([film.dwell_s.best for film in films])
        self.high_s = np.floor([film.dwell_s.high for film in films])
        self.bears_s = np.array([film.bears_s for film in films])
        self.low_kpa = np.array([film.pressure_kpa.low for film in films])
        self.high_kpa = np.array([film.pressure_kpa.high for film in films])
        self.pressures_kpa = problem.limits.press.pressures_kpa if sample_free else None
        self.setpoints_c = np.unique(self.low_c)

    def one_stage(self, *, presses: int) -> list[_Setting]:
        """Settings of a single full press, with the films that take them.

        A setpoint lifted or lowered to the highest low end of its films still suits them all, so
        that low ends are setpoints enough. The dwell is the longest best of its films, unless one
        of them takes no more, or is fragile: it bears too few seconds for its tacks beside it.
        """
        found = []
        fragile = self.bears_s < TACK_S * presses + self.best_s.max()
        for allowed in self._warm_and_pressed():
            for dwell_s in np.unique([self.best_s, self.high_s]):
                takes = allowed & (self.low_s <= dwell_s) & (dwell_s <= self.high_s)
                found.append(_Setting(CLOSE_S + dwell_s, takes & (self.best_s <= dwell_s)))
                found.append(_Setting(CLOSE_S + dwell_s, takes, self.high_s == dwell_s))
            for dwell_s in np.unique(self.low_s):
                takes = allowed & (self.low_s <= dwell_s) & (dwell_s <= self.high_s)
                found.append(_Setting(CLOSE_S + dwell_s, takes, fragile))
        return [one for one in found if self._suffices(one.allowed)]

    def two_stages(self) -> list[_Setting]:
        """Settings of two full presses: each two setpoints."""
        at = [self._takes_c(setpoint_c) for setpoint_c in self.setpoints_c]
        seconds = self._least_seconds(2)
        pairs = combinations_with_replacement(at, 2)
        found = [_Setting(seconds, one | other) for one, other in pairs]
        return [one for one in found if self._suffices(one.allowed)]

    def any_stages(self, stages: int) -> list[_Setting]:
        """So many stages, with every film."""
        every = np.ones(len(self.cents), dtype=bool)
        return [_Setting(self._least_seconds(stages), every)]

    def _takes_c(self, setpoint_c: float) -> Numbers:
        return (self.low_c <= setpoint_c) & (setpoint_c <= self.high_c)

    def _warm_and_pressed(self) -> Iterator[Numbers]:
        for setpoint_c in self.setpoints_c:
            warm = self._takes_c(setpoint_c)
            if self.pressures_kpa is None:
                yield warm
                continue
            for kpa in self.pressures_kpa:
                yield warm & (self.low_kpa <= kpa) & (kpa <= self.high_kpa)

    def _suffices(self, allowed: Numbers) -> bool:
        return bool(np.logical_or.reduceat(allowed, self.starts).all())

    def _least_seconds(self, stages: int) -> float:
        """Each stage finishes some piece, and takes no less than that piece's films ask for."""
        shortest = np.sort(np.minimum.reduceat(self.low_s, self.starts))
        return float(stages * (CLOSE_S + COVER_S) + shortest[-1] + shortest[: stages - 1].sum())
