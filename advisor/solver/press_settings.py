"""Press settings: dials, seconds and pressures of the finishing stages, within what films bear."""

from __future__ import annotations

from collections.abc import Callable
from itertools import permutations
from typing import Any

from advisor.layering.records.settings import FilmSettings
from advisor.layering.settings import dial_of
from advisor.solver.variables import Tag, Variables, most_stages, no, total
from rules.facts.film import Film
from rules.facts.practice import TACK_S

__all__ = ["HOTTEST_STEP", "PressSettings"]

HOTTEST_STEP = 4000
"""Beyond any press's dial: a bound for the solver."""


class PressSettings(Variables):
    """Constraints on how the presses of a model are set.

    Attributes:
        longest_s: seconds of the longest full press of any film; ``quickest_s`` of the shortest.
        unsuited: literals that each want a sample: no one pressure suits a stage.
    """

    def _set_presses(self) -> None:
        """Post how every stage is set; of a model without stages, what holds whatever they are."""
        self.unsuited: list[Any] = []
        every = [s for each in self.settings.values() for s in each]
        self.longest_s = max((s.most_s for s in every), default=0)
        self.quickest_s = min((s.least_s for s in every), default=0)
        for constrain in (
            (self._bear_tacks, self._finish_apart) if self.loose else
            (self._set_dials, self._bear_heat, self._press_in_time, self._bear_seconds,
             self._suit_pressures)
        ):  # fmt: skip
            constrain()

    def _set_dials(self) -> None:
        dial = dial_of(self.problem.limits)
        range_: tuple[int, int] = (dial.lowest, min(dial.highest, dial.harmed))
        if self.explained or range_[0] > range_[1]:
            range_ = (0, HOTTEST_STEP)
        self.setpoint = [self.cp.new_int_var(*range_, "") for _ in range(self.stages)]
        self.top, self.bottom = range_[1], range_[0]
        for k, setpoint in enumerate(self.setpoint):
            if range_ == (0, HOTTEST_STEP):
                self.hold(("press-range",), setpoint >= dial.lowest)
                self.hold(("press-range",), setpoint <= dial.highest)
                self.hold(("fabric-heat-limit",), setpoint <= dial.harmed)
            for piece in self.pieces:
                tag, here = ("setpoint-window", piece), self.finishes[piece][k]
                self.hold(tag, setpoint >= self.asks_for(piece, lambda s: s.lowest), here)
                self.hold(tag, setpoint <= self.asks_for(piece, lambda s: s.highest), here)

    def _bear_heat(self) -> None:
        for k in range(1, self.stages):
            for piece in self.pieces:
                bears = self.asks_for(piece, lambda s: s.bears)
                for down in self.finishes[piece][:k]:
                    hot_after = (down, self.stage_used[k])
                    self.hold(("heat-order", piece), self.setpoint[k] <= bears, *hot_after)

    def _press_in_time(self) -> None:
        self.shortest_s = [self.cp.new_int_var(0, self.longest_s, "") for _ in range(self.stages)]
        for k, shortest_s in enumerate(self.shortest_s):
            for piece in self.pieces:
                tag, here = ("dwell-window", piece), self.finishes[piece][k]
                self.hold(tag, shortest_s >= self.asks_for(piece, lambda s: s.least_s), here)
                self.hold(tag, shortest_s <= self.asks_for(piece, lambda s: s.most_s), here)

    def _bear_seconds(self) -> None:
        """Tacks and full presses within the seconds that each film bears."""
        self._press_directly()
        self.tacked_s: dict[tuple[str, int], Any] = {}
        for piece, tacks in self._tacks().items():
            for k, here in enumerate(self.finishes[piece]):
                self.tacked_s[piece, k] = round(TACK_S) * (tacks - total(self.direct[k:]))
                pressed_s = self.tacked_s[piece, k] + total(self.shortest_s[k:])
                bears_s = self.asks_for(piece, lambda s: s.bears_s)
                self.hold(("pressed-seconds", piece), pressed_s <= bears_s, here)

    def _bear_tacks(self) -> None:
        """Tacks and the shortest press within the seconds that each film bears, however staged.

        A full press in place of a tack takes at least as long as the quickest film wants.
        """
        tack_s, more = round(TACK_S), most_stages(self.problem) - 1
        least_saved = tack_s + max(0, tack_s - self.quickest_s) * more
        for piece, tacks in self._tacks().items():
            pressed_s = round(TACK_S) * tacks - least_saved
            spare_s = self.asks_for(piece, lambda s: s.bears_s - s.least_s)
            self.hold(("pressed-seconds", piece), pressed_s <= spare_s)

    def _finish_apart(self) -> None:
        """What no one full press suits is laid in an order in which the earlier bears the later."""
        for kind, bears in ((_seconds_of, _bears_seconds), (_steps_of, _bears_step)):
            first: dict[Kind, Any] = {}
            last: dict[Kind, Any] = {}
            beyond = self.stages * self.width
            for piece, settings in self.settings.items():
                rows: dict[Kind, list[int]] = {}
                for i, film in enumerate(settings):
                    rows.setdefault(kind(film), []).append(i)
                for alike, films in rows.items():
                    if alike not in first:
                        first[alike] = self.cp.new_int_var(0, beyond, "")
                        last[alike] = self.cp.new_int_var(-1, beyond - 1, "")
                    here = self.among(piece, films)
                    self.hold(("order",), first[alike] <= self.rank[piece], here)
                    self.hold(("order",), last[alike] >= self.rank[piece], here)
            for one, other in permutations(first, 2):
                if not _suit_one_press(one, other) and not bears(other, one):
                    self.hold(("order",), last[one] + 1 <= first[other])

    def _tacks(self) -> dict[str, Any]:
        """The presses that each piece is under, of those that may be too many for it."""
        most = self.stages * self.width
        most_s = self.stages * self.longest_s + round(TACK_S) * most
        after: Any = 0
        left: list[Any] = []
        untold: list[Any] = []
        for k in reversed(range(self.stages)):
            after = after + total(self.untold[k : k + 1])
            untold.insert(0, after + k * self.width + self.per_stage)
            for used in reversed(self.used[k * self.per_stage : (k + 1) * self.per_stage]):
                after = after + used
                left.insert(0, after)
        found = {}
        for piece in self.pieces:
            if any(s.bears_s < most_s for s in self.settings[piece]):
                found[piece] = self.cp.new_int_var(0, most, "")
                for here, still in zip(self.laid[piece], left, strict=True):
                    self.hold(("order",), found[piece] == still, here)
                for here, still in zip(self.later[piece], untold, strict=False):
                    self.hold(("order",), found[piece] == still - self.rank[piece], here)
        return found

    def _press_directly(self) -> None:
        """A literal for each stage whose last press is its full press, as its settings say.

        Nothing is cheaper with a tack more, so it is enough to say where there must be one.
        """
        order: Tag = ("order",)
        foams = self.any_of(self.foams.values())
        self.direct, marked = [self._bool() for _ in range(self.stages)], False
        self.bare = self._bool()
        if self.problem.limits.marked:
            self.never(order, self.bare)
        for k, direct in enumerate(self.direct):
            lone = self._bool()
            first = k * self.per_stage
            presses = [*self.used[first : first + self.per_stage], *self.untold[k : k + 1]]
            self.hold(order, total(presses) <= 1, lone)
            self.never(order, direct, no(self.stage_used[k]))
            foaming = [foams] if k + 1 == self.stages else []
            if foams is not False and k + 1 < self.stages:
                foaming = [self.both(foams, no(self.stage_used[k + 1]))]
            self.clause(order, ~direct, lone, *foaming)
            marks = self.any_of(self._drawn(k, lambda film: film.carrier_marks))
            self.never(order, direct, marks, marked, *map(no, foaming))
            marked = self.any_of([marked, *self._drawn(k, lambda film: film.marked_by_carriers)])
            if k == 0:
                self.never(order, self.bare, ~lone)
                self.never(order, self.bare, ~direct)
                for open_face in self._drawn(k, lambda film: film.carrier_um <= 0):
                    self.never(order, self.bare, open_face)

    def _drawn(self, k: int, of: Callable[[Film], bool]) -> list[Any]:
        """A literal for each piece: it is of such a film, and a stage finishes it."""
        return [
            self.both(
                self.finishes[piece][k],
                self.among(piece, (i for i, option in enumerate(options) if of(option.film))),
            )
            for piece, options in self.options.items()
        ]

    def _suit_pressures(self) -> None:
        """A literal for each stage that no one pressure suits."""
        pressures = range(len(self.problem.limits.press.pressures_kpa))
        self.unsuited += [self._bool() for _ in range(self.stages)]
        for k, unsuited in enumerate(self.unsuited):
            settings = [self._bool() for _ in pressures]
            self.clause(("pressure-window",), unsuited, *settings)
            for number, setting in enumerate(settings):
                for piece in self.pieces:
                    suits = self.among(
                        piece,
                        (i for i, s in enumerate(self.settings[piece]) if number in s.pressures),
                    )
                    here = self.finishes[piece][k]
                    self.never(("pressure-window", piece), setting, here, no(suits))
            if self.sample_free:
                self.clause(("pressure-window sample",), ~unsuited)


Kind = tuple[int, int, int]
"""What films have in common: the least and the most that they take, and what they bear in all."""


def _seconds_of(film: FilmSettings) -> Kind:
    return film.least_s, film.most_s, film.bears_s


def _steps_of(film: FilmSettings) -> Kind:
    return film.lowest, film.highest, film.bears


def _suit_one_press(one: Kind, other: Kind) -> bool:
    return max(one[0], other[0]) <= min(one[1], other[1])


def _bears_seconds(earlier: Kind, later: Kind) -> bool:
    return earlier[0] + later[0] <= earlier[2]


def _bears_step(earlier: Kind, later: Kind) -> bool:
    return later[0] <= earlier[2]
