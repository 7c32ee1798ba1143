"""Optimise stages: what finishes together, at which setpoint and for how long, as constraints."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import cpmpy as cp

from advisor.layering.stages import dial_c
from advisor.solver.model import PlanModel, Tag
from advisor.solver.order import Order
from rules.facts.film import Film
from rules.facts.practice import TACK_S

__all__ = ["StageVariables", "Stages", "Windows", "direct_press", "when"]


HOTTEST_C = 400.0
"""Hotter than any press gets, °C: a bound for the solver."""


@dataclass(frozen=True, slots=True)
class StageVariables:
    """One finishing stage, in steps of the dial and whole seconds."""

    used: Any
    last_rank: Any
    shortest_s: Any
    dwell_s: Any
    setpoint: Any


class Windows:
    """What each piece's film asks of setpoint and dwell, in steps of the dial and whole seconds.

    Attributes:
        dial: the lowest and the highest step that press and fabric allow.
        longest_s: the longest full press that any film takes.
    """

    def __init__(self, model: PlanModel) -> None:
        self.model, self.press = model, model.problem.limits.press
        films = [option.film for options in model.options.values() for option in options]
        self.longest_s = max(math.floor(film.dwell_s.high) for film in films)
        most_c = min(self.press.setpoint_high_c, model.problem.limits.harmed_c)
        lowest = self.up(self.press.setpoint_low_c)
        self.dial = (lowest, max(lowest - 1, self.down(most_c)))
        self.lowest = self._films(lambda film: self.up(film.setpoint_c.low))
        self.highest = self._films(lambda film: self.down(film.setpoint_c.high))
        self.bears = self._films(lambda film: self.down(film.bears_c))
        self.least_s = self._films(lambda film: math.ceil(film.dwell_s.low))
        self.best_s = self._films(lambda film: math.ceil(film.dwell_s.best))
        self.most_s = self._films(lambda film: math.floor(film.dwell_s.high))
        self.bears_s = self._films(lambda film: math.floor(film.bears_s + 1e-9))

    def up(self, setpoint_c: float) -> int:
        """The next step of the dial at or above a temperature."""
        return round(dial_c(setpoint_c, self.press, up=True) / self.press.setpoint_step_c)

    def down(self, setpoint_c: float) -> int:
        """The next step of the dial at or below a temperature."""
        return round(dial_c(setpoint_c, self.press, up=False) / self.press.setpoint_step_c)

    def hold(self, at: dict[str, Any], setpoint: Any, shortest_s: Any) -> None:
        """The films of the pieces ``at`` a stage take its setpoint and its shortest dwell."""
        for piece, here in at.items():
            model = self.model
            when(model, ("setpoint-window", piece), here, setpoint >= self.lowest[piece])
            when(model, ("setpoint-window", piece), here, setpoint <= self.highest[piece])
            when(model, ("dwell-window", piece), here, shortest_s >= self.least_s[piece])
            when(model, ("dwell-window", piece), here, shortest_s <= self.most_s[piece])

    def _films(self, of: Callable[[Film], int]) -> dict[str, Any]:
        return {
            piece: self.model.number(piece, lambda option: of(option.film))
            for piece in self.model.pieces
        }


def when(model: PlanModel, tag: Tag, here: Any, constraint: Any) -> None:
    """Post a constraint that holds where the literal ``here`` does."""
    model.post(tag, constraint if here is True else here.implies(constraint))


class Stages:
    """The finishing stages over an `Order`, with the settings that `advisor.layering.stages` takes.

    Args:
        order: the presses.
        count: most finishing stages.
        open_dial: let what press and fabric allow be constraints of their own, so that they can
            be part of an explanation.

    Attributes:
        finishes: for each piece a literal for each stage.
        direct: a literal: the last press is a full press, with its carriers on.
        unsuited: for each stage a literal that is true where no pressure suits.
    """

    def __init__(self, order: Order, *, count: int, open_dial: bool = False) -> None:
        self.order, self.model, self.count = order, order.model, count
        self.problem, self.pieces = self.model.problem, self.model.pieces
        self.press = self.problem.limits.press
        self.windows = Windows(self.model)
        self.dial = self.windows.dial if not open_dial else (0, self.windows.up(HOTTEST_C))
        self.open_dial = open_dial
        single = self.count == 1
        self.finishes: dict[str, list[Any]] = {
            piece: [True] if single else [cp.boolvar() for _ in range(self.count)]
            for piece in self.pieces
        }
        if not single:
            for at in self.finishes.values():
                self.model.post(("order",), cp.sum(at) == 1)
        self.direct = direct_press(order)
        self.stages: list[StageVariables] = []
        for k in range(self.count):
            self.stages.append(self._stage(k))
        self._pressed()
        self.unsuited = [self._unsuited(k) for k in range(count)]

    def _stage(self, k: int) -> StageVariables:
        model, post = self.model, self.model.post
        windows, longest_s = self.windows, self.windows.longest_s
        setpoint = cp.intvar(*self.dial)
        shortest_s, dwell_s = cp.intvar(0, longest_s), cp.intvar(0, longest_s)
        at = {piece: self.finishes[piece][k] for piece in self.pieces}
        used: Any = True
        if self.count == 1:
            last: Any = self.order.total - 1
        else:
            used = cp.boolvar()
            last = cp.intvar(-1, self.order.presses - 1)
            post(("order",), cp.any(list(at.values())) == used)
            post(("order",), (~used).implies(shortest_s == 0))
            post(("order",), (~used).implies(dwell_s == 0))
            before = self.stages[k - 1].last_rank if k else -1
            post(("order",), last >= before)
            if k:
                post(("order",), used.implies(self.stages[k - 1].used))
            else:
                post(("order",), used)
            post(("order",), (~used).implies(last == before))
            if k == self.count - 1:
                post(("order",), last == self.order.total - 1)
            for piece, here in at.items():
                post(("order",), here.implies(self.order.rank[piece] <= last))
                if k:
                    post(("order",), here.implies(self.order.rank[piece] > before))
        windows.hold(at, setpoint, shortest_s)
        if self.open_dial:
            press, limits = self.press, self.problem.limits
            post(("press-range",), setpoint >= windows.up(press.setpoint_low_c))
            post(("press-range",), setpoint <= windows.down(press.setpoint_high_c))
            post(("fabric-heat-limit",), setpoint <= windows.down(limits.harmed_c))
        for piece, here in at.items():
            when(model, ("dwell-window", piece), here, dwell_s <= windows.most_s[piece])
            down = self.finishes[piece][:k]
            if down:
                earlier = cp.any(down)
                held = earlier if used is True else earlier & used
                when(model, ("heat-order", piece), held, setpoint <= windows.bears[piece])
                when(model, ("foams", piece), held, ~_as_literal(self.order.foams[piece]))
        post(("order",), dwell_s >= shortest_s)
        self._exact_max(("order",), shortest_s, windows.least_s, at, used)
        return StageVariables(used, last, shortest_s, dwell_s, setpoint)

    def _exact_max(
        self, tag: tuple[str, ...], top: Any, of: dict[str, Any], at: dict[str, Any], used: Any
    ) -> None:
        """``top`` is no more than the largest of its pieces asks for."""
        reaches = []
        for piece, here in at.items():
            literal: Any = cp.boolvar()
            self.model.post(tag, literal.implies(top <= of[piece]))
            if here is not True:
                self.model.post(tag, literal.implies(here))
            reaches.append(literal)
        if used is not True:
            reaches.append(~used)
        self.model.post(tag, cp.any(reaches))

    def _pressed(self) -> None:
        """Pressed seconds within what films bear; full presses shortened only as far as needed.

        The same rule as in layering: a stage takes the seconds that the later ones, at their
        shortest, leave to every film that is down by then, and no more than its films' best.
        """
        model, windows, tack_s = self.model, self.windows, round(TACK_S)
        tacked = {
            piece: tack_s * (self.order.total - self.order.rank[piece] - self.direct)
            for piece in self.pieces
        }
        for k, stage in enumerate(self.stages):
            later = sum(other.shortest_s for other in self.stages[k + 1 :])
            reasons: list[Any] = [] if stage.used is True else [~stage.used]
            for piece in self.pieces:
                for m in range(k + 1):
                    here = self.finishes[piece][m]
                    pressed = sum(self.stages[j].dwell_s for j in range(m, k)) + stage.dwell_s
                    spent = tacked[piece] + pressed + later
                    when(model, ("pressed-seconds", piece), here, spent <= windows.bears_s[piece])
                    if self._may_shorten(piece):
                        tight: Any = cp.boolvar()
                        self.model.post(("order",), tight.implies(spent >= windows.bears_s[piece]))
                        if here is not True:
                            self.model.post(("order",), tight.implies(here))
                        reasons.append(tight)
                here = self.finishes[piece][k]
                capped: Any = cp.boolvar()
                self.model.post(("order",), capped.implies(stage.dwell_s >= windows.most_s[piece]))
                if here is not True:
                    self.model.post(("order",), capped.implies(here))
                reasons.append(capped)
            wanted: Any = cp.boolvar()
            for piece in self.pieces:
                here = self.finishes[piece][k]
                reached = wanted.implies(stage.dwell_s >= windows.best_s[piece])
                self.model.post(("order",), reached if here is True else here.implies(reached))
            reasons.append(wanted)
            self.model.post(("order",), cp.any(reasons))
            at = {piece: self.finishes[piece][k] for piece in self.pieces}
            self._exact_max(("order",), stage.dwell_s, windows.best_s, at, stage.used)

    def _may_shorten(self, piece: str) -> bool:
        pressed = self.windows.longest_s * self.count + round(TACK_S) * self.order.presses
        return any(option.film.bears_s < pressed for option in self.model.options[piece])

    def _unsuited(self, k: int) -> Any:
        """A literal: no pressure of the press suits all films that finish in this stage."""
        unsuited: Any = cp.boolvar()
        accepts: dict[tuple[frozenset[int], ...], None] = {}
        for kpa in self.press.pressures_kpa:
            accepts[
                tuple(
                    frozenset(
                        i
                        for i, option in enumerate(self.model.options[piece])
                        if option.film.pressure_kpa.low <= kpa <= option.film.pressure_kpa.high
                    )
                    for piece in self.pieces
                )
            ] = None
        best = [
            one
            for one in accepts
            if not any(
                one != other and all(a <= b for a, b in zip(one, other, strict=True))
                for other in accepts
            )
        ]
        settings = [cp.boolvar() for _ in best]
        for setting, suiting in zip(settings, best, strict=True):
            for piece, at in zip(self.pieces, suiting, strict=True):
                suits = self.model.among(piece, at)
                if suits is not True:
                    self.model.never(
                        ("pressure-window", piece),
                        setting,
                        self.finishes[piece][k],
                        True if suits is False else ~suits,
                    )
        self.model.post(("pressure-window",), cp.any([unsuited, *settings]))
        return unsuited


def direct_press(order: Order) -> Any:
    """A literal: the last press is a full press, because it is the only one or foams."""
    foams = [literal for literal in order.foams.values() if literal is not False]
    if any(literal is True for literal in foams):
        return True
    if not foams:
        return order.lone
    direct: Any = cp.boolvar()
    order.model.post(("order",), cp.any([order.lone, *foams]) == direct)
    return direct


def _as_literal(value: Any) -> Any:
    return cp.BoolVal(value) if isinstance(value, bool) else value
