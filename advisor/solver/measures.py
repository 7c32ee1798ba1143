"""Measures: what a plan costs, over a model of what can be pressed, as the assessment adds it up.

Each is a bound from below that a plan reaches, since all of them are minimised; so a constraint
that only keeps a measure from being too small is enough.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from advisor.layering.assessment import (
    WEAKNESS,
    ms_price,
    option_price,
    roll_price,
    sample_price,
    tenths_um,
)
from advisor.layering.records.assessment import PER_CENT
from advisor.layering.settings import press_times
from advisor.solver.dial_changes import dial_changes
from advisor.solver.model import PlanModel
from advisor.solver.press_settings import HOTTEST_STEP
from advisor.solver.variables import no, total, weighed
from rules.facts.film import Peel

__all__ = ["Measured"]

FOREVER = 10**9
"""More than any measure: a bound for the solver."""

MOST_WEIGHT = 10**9
"""What one of the measures that are made least together is weighed by, at most."""

COUNTED = {"samples", "weak"}
"""Measures that count a few of many choices."""


@dataclass(frozen=True, slots=True)
class Goal:
    """What is made least at once: a measure, or several, each weighed beyond all the next can be.

    Attributes:
        of: what the measures come to together, each by its weight.
        counts: whether it is a count of a few of many choices.
    """

    levels: tuple[str, ...]
    weights: tuple[int, ...]
    of: Any
    counts: bool = False

    def value(self, measured: Sequence[int]) -> int:
        """What such measures come to together."""
        return sum(weight * each for weight, each in zip(self.weights, measured, strict=True))


class Measured:
    """The measures of a model's plans.

    Of a model without stages, what a plan of some stages or more comes to at least.

    Args:
        changes: whether the changes of setpoint between stages are counted; without them the
            model is far smaller, and "none is better" holds all the same.
        fewest: of a model without stages, how many stages a plan has at least.

    Attributes:
        measures: by name, as `advisor.layering.assessment.Measures` has them.
    """

    def __init__(self, model: PlanModel, *, changes: bool = True, fewest: int = 0) -> None:
        self.model, self.cp, self.problem = model, model.cp, model.problem
        self.times = press_times(model.problem)
        self.changes = changes and model.stages > 1
        self.beyond = self._beyond()
        samples = self._samples()
        ms = self._milliseconds(fewest)
        film = [
            weighed(model.film[piece], [option_price(self.problem, piece, one) for one in options])
            for piece, options in model.options.items()
        ]
        spoiled = sample_price(self.problem) * samples
        rolls = roll_price(self.problem) * (self._rolls() - 1)
        price = total([ms_price(self.problem.rates) * ms, spoiled, rolls, *film])
        thickness = self._whole("thickness_um")
        for place in self.problem.places:
            model.hold(("order",), model.thickness_there(place) <= 10 * thickness + 4)
        self.measures: dict[str, Any] = {
            "samples": samples,
            "weak": total(
                WEAKNESS[way] * literal
                for ways in model.way.values()
                for way, literal in ways.items()
                if WEAKNESS[way]
            ),
            "cents": self._halves_up(price, PER_CENT, "cents"),
            "thickness_um": thickness,
            "seconds": self._halves_up(ms, 1000, "seconds"),
        }

    @property
    def plainness(self) -> Any:
        """Films as the shelf lists them, laps before insets, pieces bottom first, added up.

        Piece by piece, so that what is changed elsewhere in a job leaves the rest as it was.
        """
        model, terms = self.model, []
        for n, (piece, films) in enumerate(model.film.items(), 1):
            terms += [weighed(films, [n * at for at in range(len(films))]), n * model.rank[piece]]
        for n, ways in enumerate(model.way.values(), 1):
            terms.append(weighed([*ways.values()], [n * at for at in range(len(ways))]))
        return total(terms)

    def goals(self, levels: Sequence[str]) -> list[Goal]:
        """What is to be made least, one after another, in the order of ``levels``.

        What counts a few of many is made least by itself; what adds up, together, as far as whole
        numbers go: one after the other takes two to three times as long on 15 to 25 pieces.
        """
        goals: list[Goal] = []
        for level in levels:
            goal = Goal((level,), (1,), self.measures[level], level in COUNTED)
            before = goals[-1] if goals else goal
            weights = tuple(weight * self.beyond[level] for weight in before.weights)
            known = isinstance(goal.of, int) or isinstance(before.of, int)
            alone = goal.counts or before.counts or max(weights) > MOST_WEIGHT
            if not goals or (alone and not known):
                goals.append(goal)
                continue
            counts = goal.counts if isinstance(before.of, int) else before.counts
            both = before.of * self.beyond[level] + goal.of
            goals[-1] = Goal((*before.levels, level), (*weights, 1), both, counts)
        return goals

    def _beyond(self) -> dict[str, int]:
        """More than each measure comes to in any plan."""
        options = self.model.options.values()
        thickest = sum(max(tenths_um(option.film) for option in each) for each in options)
        return {
            "samples": FOREVER,
            "weak": 2 * len(self.model.way) + 1,
            "cents": FOREVER,
            "thickness_um": thickest // 10 + 2,
            "seconds": self._longest_ms() // 1000 + 2,
        }

    def _rolls(self) -> Any:
        """How many rolls are cut from: what shares film and colour is on one."""
        model = self.model
        cut: dict[str, list[Any]] = {}
        for piece, options in model.options.items():
            for option, literal in zip(options, model.film[piece], strict=True):
                cut.setdefault(option.roll, []).append(literal)
        used = []
        for literals in cut.values():
            if len(literals) == 1:
                used += literals
                continue
            roll = self.cp.new_bool_var("")
            for literal in literals:
                model.never(("order",), literal, ~roll)
            used.append(roll)
        return total(used)

    def _whole(self, measure: str = "") -> Any:
        return self.cp.new_int_var(0, self.beyond.get(measure, FOREVER) - 1, "")

    def _halves_up(self, amount: Any, unit: int, measure: str) -> Any:
        """``advisor.layering.records.assessment.halves_up``, kept from being too small."""
        whole = self._whole(measure)
        self.cp.add(2 * amount + unit <= 2 * unit * whole + 2 * unit - 1)
        return whole

    def _samples(self) -> Any:
        """How many different findings want a sample first: the same one counts once."""
        model = self.model
        if model.sample_free:
            return len(model.always)
        found = []
        for triggers in model.samples.values():
            wanted = self.cp.new_bool_var("")
            for trigger in triggers:
                model.never(("order",), *trigger, ~wanted)
            found.append(wanted)
        return total([*found, *model.unsuited])

    def _milliseconds(self, fewest: int) -> Any:
        model, times = self.model, self.times
        terms = [times.fixed, -times.carrier * self._laid_with_another(), *self._waits()]
        for ways in model.way.values():
            terms += [times.registering[way] * literal for way, literal in ways.items()]
        terms += self._many_stages(fewest) if model.loose else self._stages()
        ms = self._whole()
        self.cp.add(total(terms) <= ms)
        return ms

    def _laid_with_another(self) -> Any:
        """Pieces that need no carrier of their own, as they lie on that of an earlier one."""
        model, shared = self.model, []
        for n, piece in enumerate(model.pieces):
            on = [model.on_one_carrier(other, piece) for other in model.pieces[:n]]
            possible = [literal for literal in on if literal is not False]
            if possible:
                shares = self.cp.new_bool_var("")
                model.clause(("order",), ~shares, *possible)
                shared.append(shares)
        return total(shared)

    def _longest_ms(self) -> int:
        """More than any plan takes."""
        model, times = self.model, self.times
        stage = times.full + times.cover + 1000 * model.longest_s
        turned = max(times.heating, times.cooling) * HOTTEST_STEP + times.again
        change = turned if self.changes else 0
        late = max((ms for _, ms in model.late), default=0)
        longest = times.fixed + late + len(model.pieces) * (times.tack + sum(times.waits.values()))
        longest += (max(2, model.stages) + 1) * (stage + change)
        return longest + len(model.way) * max(times.registering.values())

    def _stages(self) -> list[Any]:
        """The presses of every stage, and what heat was found to take longer."""
        model, times = self.model, self.times
        self._press_as_wished()
        terms: list[Any] = [times.tack * (model.presses - total(model.direct))]
        terms.append(-times.cover * model.bare)
        terms += [(times.full + times.cover) * used for used in model.stage_used]
        terms += [1000 * dwell_s for dwell_s in self.dwell_s]
        if self.changes:
            terms += dial_changes(model, self.times)
        if model.late:
            terms.append(self._late())
        return terms

    def _many_stages(self, fewest: int) -> list[Any]:
        """The least that the presses of so many stages or more take.

        One of them is as long as the slowest film wants, each other at least as the quickest. No
        tack comes before a full press that is the only press of its stage, or that lets films foam:
        so all go without where each stage has one press, or where a film foams, and else all but
        one do. A stage more takes longer than the tacks that it saves.
        """
        model, times = self.model, self.times
        slowest_s, quickest_s = (self.cp.new_int_var(0, model.longest_s, "") for _ in range(2))
        quickest = []
        for piece in model.pieces:
            least_s = model.asks_for(piece, lambda s: s.least_s)
            model.hold(("order",), slowest_s >= least_s)
            quickest.append(model.reason(quickest_s >= least_s))
        model.clause(("order",), *quickest)
        presses = self._whole()
        self.cp.add(presses >= model.presses)
        self.cp.add(presses >= fewest)
        stage = times.full + times.cover
        every: Any = True
        if stage + 1000 * model.quickest_s >= 2 * times.tack:
            every = model.any_of([model.reason(presses <= fewest), *model.foams.values()])
        return [
            times.tack * (presses + 1 - fewest),
            -times.tack * every,
            fewest * max(times.tack, stage),
            -times.cover,
            1000 * (slowest_s + (fewest - 1) * quickest_s),
        ]

    def _late(self) -> Any:
        """What heat was found to take longer than usual."""
        late = self._whole()
        for literals, ms in self.model.late:
            self.model.hold(("order",), late >= ms, *literals)
        return late

    def _waits(self) -> list[Any]:
        """What each way of peeling keeps press and hands, once for each press that it follows."""
        model, terms = self.model, []
        for peel, wait_ms in self.times.waits.items():
            if not wait_ms:
                continue
            slow = {piece: self._peels(piece, peel) for piece in model.pieces}
            waits: list[Any] = [self.cp.new_bool_var("") for _ in model.used]
            untold = [self.cp.new_int_var(0, len(model.pieces), "") for _ in model.untold]
            for piece, laid in model.laid.items():
                for here, wait in zip(laid, waits, strict=True):
                    model.never(("order",), here, slow[piece], ~wait)
                for here, wait in zip(model.later[piece], untold, strict=True):
                    model.hold(("order",), wait >= 1, here, slow[piece])
            waits += untold
            for apart in model.parted:
                self.cp.add(total(waits) >= total(slow[piece] for piece in apart))
            terms.append(wait_ms * total(waits))
        return terms

    def _peels(self, piece: str, peel: Peel) -> Any:
        return self.model.where(piece, lambda s: s.peel == peel)

    def _press_as_wished(self) -> None:
        """Full presses as long as its films like best, less only what one of them does not take.

        The same as in `advisor.layering.stages`: a stage takes the seconds that the later ones, at
        their shortest, leave to every film that is down by then.
        """
        model, order = self.model, ("order",)
        self.dwell_s = [self.cp.new_int_var(0, model.longest_s, "") for _ in range(model.stages)]
        for k, dwell_s in enumerate(self.dwell_s):
            self.cp.add(dwell_s >= model.shortest_s[k])
            wanted = self.cp.new_bool_var("")
            reasons: list[Any] = [wanted]
            for piece in model.pieces:
                here = model.finishes[piece][k]
                model.hold(
                    order, dwell_s >= model.asks_for(piece, lambda s: s.best_s), here, wanted
                )
                most_s = model.asks_for(piece, lambda s: s.most_s)
                model.hold(order, dwell_s <= most_s, here)
                reasons.append(model.reason(dwell_s >= most_s, here))
                if (piece, k) in model.tacked_s:
                    reasons += self._tight(piece, k)
            model.clause(order, no(model.stage_used[k]), *reasons)

    def _tight(self, piece: str, k: int) -> list[Any]:
        """Reasons to end a stage's press early: a film that is down bears no more."""
        model, found = self.model, []
        bears_s = model.asks_for(piece, lambda s: s.bears_s)
        for first in range(k + 1):
            here = model.finishes[piece][first]
            pressed_s = model.tacked_s[piece, first] + total(self.dwell_s[first : k + 1])
            spent_s = pressed_s + total(model.shortest_s[k + 1 :])
            model.hold(("order",), spent_s <= bears_s, here)
            found.append(model.reason(spent_s >= bears_s, here))
        return found
