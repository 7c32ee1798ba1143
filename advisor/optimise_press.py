"""Optimise press: ranks, presses, finishing stages and seconds of a plan as constraints."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import partial
from itertools import combinations
from typing import Any

import cpmpy as cp

from advisor.arrange import Arrangement
from advisor.cost import (
    BUTT_EXTRA_S,
    CLOSE_S,
    COVER_S,
    INSET_EXTRA_S,
    LAY_S,
    LOAD_S,
    PEEL_S,
    change_ms_per_c,
)
from advisor.optimise_model import PlanModel
from advisor.problem import Option
from advisor.stages import dial_c
from rules.practice import PEEL_WAIT_S, TACK_S, preheat_s

__all__ = ["PressModel", "most_presses"]

LONGEST_MS = 100_000_000
"""More than any garment takes at the press, ms: a bound for the solver."""


@dataclass(frozen=True, slots=True)
class _Stage:
    """One finishing stage, in steps of the dial and whole seconds."""

    used: Any
    last_rank: Any
    shortest_s: Any
    dwell_s: Any
    setpoint: Any


class PressModel:
    """The presses over a `PlanModel`: what goes down when, what finishes together, how long.

    Args:
        model: the films and ways of meeting.
        presses: most presses; ``stages``: most finishing stages.
    """

    def __init__(self, model: PlanModel, *, presses: int, stages: int) -> None:
        self.model, self.problem = model, model.problem
        self.pieces = model.pieces
        self.press = self.problem.limits.press
        self.presses, self.count = presses, stages
        self._order()
        self._stages()
        self.unsuited = [self._unsuited(k) for k in range(stages)]
        self.milliseconds = self._milliseconds()

    def arrangement(self, *, fewest: bool) -> Arrangement:
        """The presses and stages that the solver has found."""
        ranks = {piece: _value(self.rank[piece]) for piece in self.pieces}
        groups = tuple(
            tuple(piece for piece in self.pieces if ranks[piece] == rank)
            for rank in range(max(ranks.values()) + 1)
        )
        ends = [_value(stage.last_rank) + 1 for stage in self.stages]
        return Arrangement(groups, (0, *dict.fromkeys(ends)), fewest)

    def _post(self, rule: str, piece: str, constraint: Any) -> None:
        self.model.post((rule, piece), constraint)

    def _order(self) -> None:
        model = self.model
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
            if frozenset((one, other)) in self.problem.close:
                model.post(("carriers", one, other), self.rank[one] != self.rank[other])
        for (upper, lower), ways in model.way.items():
            over = model.meets((upper, lower), "lap", "inset-over")
            self._before(("press-order", upper, lower), lower, upper, over)
            if "inset-under" in ways:
                self._before(("press-order", upper, lower), upper, lower, ways["inset-under"])
        self.foams = {
            piece: model.where(piece, lambda option: option.film.foams) for piece in self.pieces
        }
        for piece, foams in self.foams.items():
            if foams is False:
                continue
            for other, also in self.foams.items():
                if other != piece and also is not True:
                    flat = True if also is False else ~also
                    self._before(("foam-last", piece, other), other, piece, foams, flat)

    def _before(self, tag: tuple[str, ...], first: str, then: str, *when: Any) -> None:
        if any(literal is False for literal in when):
            return
        follows = self.rank[first] + 1 <= self.rank[then]
        held = [literal for literal in when if literal is not True]
        self.model.post(tag, cp.all(held).implies(follows) if held else follows)

    def _films(self, of: Callable[[Option], float]) -> dict[str, Any]:
        return {
            piece: self.model.number(piece, lambda option: int(of(option))) for piece in self.pieces
        }

    def _stages(self) -> None:
        up, down = self._up, self._down
        self.lowest = self._films(lambda option: up(option.film.setpoint_c.low))
        self.highest = self._films(lambda option: down(option.film.setpoint_c.high))
        self.bears = self._films(lambda option: down(option.film.bears_c))
        self.least_s = self._films(lambda option: math.ceil(option.film.dwell_s.low))
        self.best_s = self._films(lambda option: math.ceil(option.film.dwell_s.best))
        self.most_s = self._films(lambda option: math.floor(option.film.dwell_s.high))
        self.bears_s = self._films(lambda option: math.floor(option.film.bears_s + 1e-9))
        self.dial = (up(self.press.setpoint_low_c), down(self.press.setpoint_high_c))
        harmed = down(self.problem.limits.harmed_c)
        single = self.count == 1
        self.finishes: dict[str, list[Any]] = {
            piece: [True] if single else [cp.boolvar() for _ in range(self.count)]
            for piece in self.pieces
        }
        if not single:
            for at in self.finishes.values():
                self.model.post(("order",), cp.sum(at) == 1)
        self.lone = self._lone()
        foaming = [foams for foams in self.foams.values() if foams is not False]
        self.direct: Any = self.lone
        if any(foams is True for foams in foaming):
            self.direct = True
        elif foaming:
            self.direct = cp.boolvar()
            self.model.post(("order",), cp.any([self.lone, *foaming]) == self.direct)
        self.stages: list[_Stage] = []
        for k in range(self.count):
            self.stages.append(self._stage(k, harmed))
        self._pressed()

    def _up(self, c: float) -> int:
        return round(dial_c(c, self.press, up=True) / self.press.setpoint_step_c)

    def _down(self, c: float) -> int:
        return round(dial_c(c, self.press, up=False) / self.press.setpoint_step_c)

    def _lone(self) -> Any:
        """Everything goes down in one press."""
        if self.presses == 1:
            return True
        several = self.used[1]
        return ~several

    def _stage(self, k: int, harmed: int) -> _Stage:
        model, post = self.model, self.model.post
        lowest_dial, highest_dial = self.dial
        longest = max(math.floor(o.film.dwell_s.high) for os in model.options.values() for o in os)
        setpoint = cp.intvar(lowest_dial, highest_dial)
        shortest_s, dwell_s = cp.intvar(0, longest), cp.intvar(0, longest)
        at = {piece: self.finishes[piece][k] for piece in self.pieces}
        if self.count == 1:
            used: Any = True
            last: Any = self.total - 1
        else:
            used = _flag()
            last = cp.intvar(-1, self.presses - 1)
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
                post(("order",), last == self.total - 1)
            for piece, here in at.items():
                post(("order",), here.implies(self.rank[piece] <= last))
                if k:
                    post(("order",), here.implies(self.rank[piece] > before))
        model.post(("fabric-heat-limit",), setpoint <= harmed)
        for piece, here in at.items():
            self._when(("setpoint-window", piece), here, setpoint >= self.lowest[piece])
            self._when(("setpoint-window", piece), here, setpoint <= self.highest[piece])
            self._when(("dwell-window", piece), here, shortest_s >= self.least_s[piece])
            self._when(("dwell-window", piece), here, shortest_s <= self.most_s[piece])
            self._when(("dwell-window", piece), here, dwell_s <= self.most_s[piece])
            down = self.finishes[piece][:k]
            if down:
                earlier = cp.any(down)
                held = earlier if used is True else earlier & used
                self._when(("heat-order", piece), held, setpoint <= self.bears[piece])
                self._when(("foam-last", piece), held, ~_as_literal(self.foams[piece]))
        post(("dwell-window",), dwell_s >= shortest_s)
        self._exact_max(("dwell-window",), shortest_s, self.least_s, at, used)
        return _Stage(used, last, shortest_s, dwell_s, setpoint)

    def _when(self, tag: tuple[str, ...], here: Any, constraint: Any) -> None:
        self.model.post(tag, constraint if here is True else here.implies(constraint))

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

        The same rule as `advisor.stages` follows: a stage takes the seconds that the later ones,
        at their shortest, leave to every film that is down by then, and no more than its films'
        best.
        """
        tack_s = round(TACK_S)
        tacked = {
            piece: tack_s * (self.total - self.rank[piece] - self.direct) for piece in self.pieces
        }
        for k, stage in enumerate(self.stages):
            later = sum(other.shortest_s for other in self.stages[k + 1 :])
            reasons: list[Any] = [] if stage.used is True else [~stage.used]
            for piece in self.pieces:
                for m in range(k + 1):
                    here = self.finishes[piece][m]
                    pressed = sum(self.stages[j].dwell_s for j in range(m, k)) + stage.dwell_s
                    spent = tacked[piece] + pressed + later
                    self._when(("pressed-seconds", piece), here, spent <= self.bears_s[piece])
                    if self._may_shorten(piece):
                        tight: Any = cp.boolvar()
                        self.model.post(("order",), tight.implies(spent >= self.bears_s[piece]))
                        if here is not True:
                            self.model.post(("order",), tight.implies(here))
                        reasons.append(tight)
                here = self.finishes[piece][k]
                capped: Any = cp.boolvar()
                self.model.post(("order",), capped.implies(stage.dwell_s >= self.most_s[piece]))
                if here is not True:
                    self.model.post(("order",), capped.implies(here))
                reasons.append(capped)
            wanted: Any = cp.boolvar()
            for piece in self.pieces:
                here = self.finishes[piece][k]
                reached = wanted.implies(stage.dwell_s >= self.best_s[piece])
                self.model.post(("order",), reached if here is True else here.implies(reached))
            reasons.append(wanted)
            self.model.post(("order",), cp.any(reasons))
            at = {piece: self.finishes[piece][k] for piece in self.pieces}
            self._exact_max(("order",), stage.dwell_s, self.best_s, at, stage.used)

    def _may_shorten(self, piece: str) -> bool:
        longest = max(
            math.floor(option.film.dwell_s.high)
            for options in self.model.options.values()
            for option in options
        )
        pressed = longest * self.count + round(TACK_S) * self.presses
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

    def _milliseconds(self) -> Any:
        problem, model = self.problem, self.model
        fixed_s = LOAD_S + CLOSE_S + max(preheat_s(f.holds_water_pct) for f in problem.fabrics)
        fixed_s += len(self.pieces) * (LAY_S + PEEL_S)
        press_s = CLOSE_S + TACK_S
        terms = [_ms(fixed_s) + _ms(press_s) * (self.total - self.direct)]
        terms.append(-_ms(COVER_S) * (self.lone * 1))
        terms += [
            _ms(CLOSE_S + COVER_S) * stage.used + 1000 * stage.dwell_s for stage in self.stages
        ]
        terms += self._waits()
        for ways in model.way.values():
            for way, literal in ways.items():
                extra_s = BUTT_EXTRA_S if way == "butt" else 0.0
                extra_s = INSET_EXTRA_S if way.startswith("inset") else extra_s
                if extra_s:
                    terms.append(_ms(extra_s) * literal)
        if self.count > 1:
            terms += self._changes()
        total = cp.intvar(0, LONGEST_MS)
        model.post(("order",), cp.sum(terms) == total)
        return total

    def _waits(self) -> list[Any]:
        """The longest wait before peeling in each press."""
        terms = []
        known = 0.0
        for wait_s in sorted({seconds for seconds in PEEL_WAIT_S.values() if seconds > 0}):
            slow = {
                piece: self.model.where(piece, partial(_waits_for, wait_s)) for piece in self.pieces
            }
            for i in range(self.presses):
                waits: Any = cp.boolvar()
                for piece, waiting in slow.items():
                    self.model.never(("order",), self.in_press[piece][i], waiting, ~waits)
                terms.append(_ms(wait_s - known) * waits)
            known = wait_s
        return terms

    def _changes(self) -> list[Any]:
        """Heating and cooling between stages, at the setpoints that `advisor.stages` takes."""
        step = self.press.setpoint_step_c
        heating, cooling = change_ms_per_c(self.press, self.problem.quantity)
        lowest, highest = self.dial
        terms = []
        for k in range(self.count):
            self._settle(k)
            if k:
                rise, fall = cp.intvar(0, highest - lowest), cp.intvar(0, highest - lowest)
                before, stage = self.stages[k - 1], self.stages[k]
                self.model.post(
                    ("order",), stage.used.implies(stage.setpoint - before.setpoint <= rise)
                )
                self.model.post(
                    ("order",), stage.used.implies(before.setpoint - stage.setpoint <= fall)
                )
                terms.append(round(heating * step) * rise + round(cooling * step) * fall)
        return terms

    def _settle(self, k: int) -> None:
        """The setpoint nearest to the median of what the finishing films like best."""
        model, stage = self.model, self.stages[k]
        step, careful = self.press.setpoint_step_c, self.problem.limits.careful_c
        bests = sorted(
            {option.film.setpoint_c.best for os in model.options.values() for option in os}
        )
        at = {piece: self.finishes[piece][k] for piece in self.pieces}
        number = cp.sum(list(at.values()))
        hot: Any = cp.boolvar()
        hot_pieces = []
        for piece, here in at.items():
            is_hot = model.where(piece, lambda option: option.film.setpoint_c.low > careful)
            if is_hot is not False:
                hot_pieces.append(here if is_hot is True else here & is_hot)
        if self.press.setpoint_low_c > careful:
            model.post(("order",), hot)
        else:
            model.post(("order",), (cp.any(hot_pieces) == hot) if hot_pieces else ~hot)
        within = []
        for best in bests:
            counted = []
            for piece, here in at.items():
                cool = model.where(piece, partial(_likes_at_most, best))
                if cool is True:
                    counted.append(here)
                elif cool is not False:
                    both: Any = cp.boolvar()
                    model.post(("order",), (here & cool) == both)
                    counted.append(both)
            reached: Any = cp.boolvar()
            model.post(("order",), (2 * cp.sum([0, *counted]) >= number) == reached)
            within.append(reached)
        above = [True, *(~reached for reached in within[:-1])]
        at_top = self._edge(k, self.highest, at)
        at_bottom = self._edge(k, self.lowest, at)
        if self.dial[0] > 0:
            bottom: Any = cp.boolvar()
            model.post(("order",), bottom.implies(stage.setpoint <= self.dial[0]))
            at_bottom.append(bottom)
        for best, reached, beyond in zip(bests, within, above, strict=True):
            median = [stage.used, reached] + ([] if beyond is True else [beyond])
            for capped, held in ((False, [*median, hot]), (True, [*median, ~hot])):
                wanted = round(dial_c(min(best, careful) if capped else best, self.press) / step)
                when = cp.all(held)
                model.post(("order",), when.implies(cp.any([stage.setpoint >= wanted, *at_top])))
                model.post(("order",), when.implies(cp.any([stage.setpoint <= wanted, *at_bottom])))

    def _edge(self, k: int, of: dict[str, Any], at: dict[str, Any]) -> list[Any]:
        """Literals that hold only where the setpoint stands at that end of its window."""
        stage, post = self.stages[k], self.model.post
        top = of is self.highest
        edges = []
        for piece, here in at.items():
            edge: Any = cp.boolvar()
            reached = stage.setpoint >= of[piece] if top else stage.setpoint <= of[piece]
            post(("order",), edge.implies(here))
            post(("order",), edge.implies(reached))
            edges.append(edge)
            if top and k:
                over: Any = cp.boolvar()
                post(("order",), over.implies(cp.any(self.finishes[piece][:k])))
                post(("order",), over.implies(stage.setpoint >= self.bears[piece]))
                edges.append(over)
        if top:
            ceiling: Any = cp.boolvar()
            most = min(self.dial[1], self._down(self.problem.limits.harmed_c))
            post(("order",), ceiling.implies(stage.setpoint >= most))
            edges.append(ceiling)
        return edges


def most_presses(pieces: Iterable[str]) -> int:
    """Presses that are enough: one for each piece.

    >>> most_presses(["sea", "sun"])
    2
    """
    return len(tuple(pieces))


def _waits_for(wait_s: float, option: Option) -> bool:
    return PEEL_WAIT_S[option.film.peel] >= wait_s


def _likes_at_most(best_c: float, option: Option) -> bool:
    return option.film.setpoint_c.best <= best_c


def _flag() -> Any:
    return cp.boolvar()


def _ms(seconds: float) -> int:
    return round(1000 * seconds)


def _as_literal(value: Any) -> Any:
    return cp.BoolVal(value) if isinstance(value, bool) else value


def _value(expression: Any) -> int:
    return int(expression if isinstance(expression, int) else expression.value())
