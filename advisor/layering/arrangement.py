"""Arrangement: which pieces share a press and which presses a stage, for a given choice."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from advisor.job.records.print import Pair
from advisor.layering.cost import garment_seconds, peel_seconds
from advisor.layering.order import group_presses
from advisor.layering.records.pressing import (
    Arrangement,
    Grouping,
    HeatLimits,
    Precedence,
    Stage,
    StageConflict,
)
from advisor.layering.stages import MOST_STAGES, choose_stages, stages_between
from rules.facts.film import Film
from rules.facts.practice import CLOSE_S, COVER_S, LAY_S, PEEL_S, TACK_S
from rules.facts.step import Meets

__all__ = ["MOST_PIECES_EXACT", "SecondsBasis", "best_arrangement", "stage_edges", "with_settings"]

MOST_PIECES_EXACT = 5
"""Up to so many pieces every order is weighed; beyond, the solver weighs them."""


@dataclass(frozen=True, slots=True)
class SecondsBasis:
    """What the seconds of an arrangement depend on beside the arrangement.

    Attributes:
        carriers: by piece, its carrier among those of its press.
        runs: garments of each run.
    """

    films: Mapping[str, Film]
    meets: Mapping[Pair, Meets]
    carriers: Mapping[str, str]
    limits: HeatLimits
    warming_s: float
    runs: tuple[int, ...]

    def seconds(self, groups: Sequence[Sequence[str]], stages: Sequence[Stage]) -> float:
        """What one garment takes so arranged, as `garment_seconds` adds it up, s."""
        return garment_seconds(
            groups,
            stages,
            self.films,
            self.meets,
            carriers=self.carriers,
            press=self.limits.press,
            warming_s=self.warming_s,
            runs=self.runs,
        )


def best_arrangement(
    pressing: SecondsBasis, order: Sequence[Precedence], close: frozenset[frozenset[str]]
) -> tuple[Grouping, tuple[Stage, ...] | StageConflict]:
    """The presses and stages that leave fewest stages without a suiting pressure, then quickest.

    Exact up to ``MOST_PIECES_EXACT`` pieces; for more, the fewest presses with their best stages.

    Args:
        order: must be free of cycles.
        close: pairs whose carriers would overlap in one press.
    """
    films = pressing.films
    quick = group_presses(
        tuple(films),
        order,
        close | _never_together(films),
        hotter_first={piece: film.setpoint_c.low for piece, film in films.items()},
    )
    edges = _edges(len(quick.groups))
    candidates = [(quick.groups, edge) for edge in edges if len(edge) <= MOST_STAGES + 1]
    best = min(_weighed(pressing, candidates), default=None)
    if len(films) <= MOST_PIECES_EXACT:
        search = _StageSearch(pressing, order, close, best)
        best = search.best
    if best is None:
        conflict = choose_stages(quick.groups, films, pressing.limits)
        if not isinstance(conflict, StageConflict):
            raise ValueError("stages were found that were not weighed")
        return quick, conflict
    _, groups, edge = best
    fewest = quick.fewest and len(groups) == len(quick.groups)
    return with_settings(pressing, Arrangement(groups, edge, fewest))


def with_settings(
    pressing: SecondsBasis, arrangement: Arrangement
) -> tuple[Grouping, tuple[Stage, ...] | StageConflict]:
    """A given arrangement with its settings, or the conflict that these run into."""
    stages = stages_between(arrangement.edges, arrangement.groups, pressing.films, pressing.limits)
    return Grouping(arrangement.groups, arrangement.fewest), stages


def stage_edges(stages: Sequence[Stage]) -> tuple[int, ...]:
    """The edges of settled stages, as `stages_between` takes them.

    >>> stage_edges(())
    (0,)
    """
    return (0, *(stage.last + 1 for stage in stages))


Groups = tuple[tuple[str, ...], ...]
Weighed = tuple[tuple[int, int], Groups, tuple[int, ...]]


def _edges(presses: int) -> list[tuple[int, ...]]:
    return [
        (0, *cuts, presses)
        for count in range(1, min(presses, MOST_STAGES) + 1)
        for cuts in combinations(range(1, presses), count - 1)
    ]


def _weighed(
    pressing: SecondsBasis, candidates: Sequence[tuple[Groups, tuple[int, ...]]]
) -> Iterator[Weighed]:
    for groups, edges in candidates:
        stages = stages_between(edges, groups, pressing.films, pressing.limits)
        if not isinstance(stages, StageConflict):
            yield _weight(pressing, groups, stages), groups, edges


def _weight(pressing: SecondsBasis, groups: Groups, stages: Sequence[Stage]) -> tuple[int, int]:
    seconds = pressing.seconds(groups, stages)
    return sum(not stage.pressure_suits for stage in stages), round(1000 * seconds)


class _StageSearch:
    """Every order of presses and cut into stages, left as soon as it cannot be quicker."""

    def __init__(
        self,
        pressing: SecondsBasis,
        order: Sequence[Precedence],
        close: frozenset[frozenset[str]],
        best: Weighed | None,
    ) -> None:
        self.pressing, self.close, self.best = pressing, close, best
        self.before: dict[str, set[str]] = {piece: set() for piece in pressing.films}
        for link in order:
            self.before[link.then].add(link.first)
        nothing_pressed_s = pressing.seconds((), ())
        shortest_s = min(film.dwell_s.low for film in pressing.films.values())
        fewest = len(set(pressing.carriers.values()))
        self.handling_s = nothing_pressed_s + fewest * (LAY_S + PEEL_S) + shortest_s
        self.stages = MOST_STAGES if self._more_stages_may_pay() else 1
        self._lay((), (0,), 0.0)

    def _more_stages_may_pay(self) -> bool:
        """Whether a second stage could do anything for this choice.

        Not where one stage suits all films, nothing is ever shortened, and two of the shortest
        full presses, without a tack of what each of them lays, take longer than the one.
        """
        if self.best is None or self.best[0][0] > 0 or len(self.best[2]) > 2:
            return True
        films = self.pressing.films.values()
        wanted = math.ceil(max(film.dwell_s.best for film in films))
        if any(film.bears_s - TACK_S * len(self.before) < wanted for film in films):
            return True
        lows = [film.dwell_s.low for film in films]
        return wanted + CLOSE_S + 2 * TACK_S > max(lows) + min(lows)

    def _lay(self, groups: Groups, edges: tuple[int, ...], spent_s: float) -> None:
        done = {piece for group in groups for piece in group}
        if len(done) == len(self.before):
            for found in _weighed(self.pressing, [(groups, (*edges, len(groups)))]):
                if self.best is None or found < self.best:
                    self.best = found
            return
        if self._cannot_win(spent_s):
            return
        free = [p for p in self.before if p not in done and self.before[p] <= done]
        for group in self._together(free):
            peels = sorted({self.pressing.films[piece].peel for piece in group})
            wait = sum(map(peel_seconds, peels))
            laid = (*groups, group)
            spent = spent_s + CLOSE_S + TACK_S + wait
            self._lay(laid, edges, spent)
            if len(edges) < self.stages and len(done) + len(group) < len(self.before):
                shortest = max(
                    self.pressing.films[piece].dwell_s.low
                    for started in laid[edges[-1] :]
                    for piece in started
                )
                # What a stage lays at once may go down in its full press, the first uncovered.
                tacked = CLOSE_S + TACK_S if len(laid) == edges[-1] + 1 else 0.0
                covered = 0.0 if tacked and len(laid) == 1 else COVER_S
                spent_by_then = spent - tacked + CLOSE_S + covered + shortest
                self._lay(laid, (*edges, len(laid)), spent_by_then)

    def _cannot_win(self, spent_s: float) -> bool:
        """Whether what is spent, the handling and one more press already exceed the best.

        The last press may be a direct one, so that its tack and cover are not counted.
        """
        if self.best is None or self.best[0][0] > 0:
            return False
        return self.handling_s + spent_s + CLOSE_S > self.best[0][1] / 1000

    def _together(self, free: Sequence[str]) -> Iterator[tuple[str, ...]]:
        """Every set of free pieces that lie apart, the largest first."""
        for size in range(len(free), 0, -1):
            for group in combinations(free, size):
                if all(frozenset(two) not in self.close for two in combinations(group, 2)):
                    yield group


def _never_together(films: Mapping[str, Film]) -> frozenset[frozenset[str]]:
    """Pairs that cannot finish in one press, so that neither may they go down in one."""
    return frozenset(
        frozenset((one, other))
        for one, a in films.items()
        for other, b in films.items()
        if one < other
        and (
            max(a.setpoint_c.low, b.setpoint_c.low) > min(a.setpoint_c.high, b.setpoint_c.high)
            or max(a.dwell_s.low, b.dwell_s.low) > min(a.dwell_s.high, b.dwell_s.high)
        )
    )
