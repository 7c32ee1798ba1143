"""Model: what can be pressed, as one plain CP-SAT model read from tables.

Each method posts one kind of constraint by looping over rows; their order does not matter.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import cached_property, partial
from itertools import combinations
from typing import Any

from advisor.job.records.print import Pair, Place
from advisor.layering.records.problem import Option, Problem, Said
from advisor.layering.settings import dial_of
from advisor.solver.cpsat import OutOfTimeError
from advisor.solver.records import Cut
from advisor.solver.samples_drawn import (
    drawn_by,
    said_at_joint,
    said_of_seen,
    said_on_film,
)
from advisor.solver.stack_limits import StackLimit, stack_limits
from advisor.solver.variables import (
    DRAWN,
    Tag,
    Trigger,
    Variables,
    most_stages,
    no,
    total,
    weighed,
)
from rules.alike import Pairs
from rules.facts.film import Film
from rules.facts.finding import Finding, Severity
from rules.facts.practice import TACK_S
from rules.facts.step import Meets

__all__ = ["HOTTEST_STEP", "PlanModel"]

HOTTEST_STEP = 4000
"""Beyond any press's dial: a bound for the solver."""


class PlanModel(Variables):
    """All that forbids a plan; what it costs is measured over it.

    Args:
        cuts: what was found against drafted plans.
        most_layers: most films over one another anywhere.
        deadline: of ``time.monotonic``, by which the model is to be built.

    The other arguments are those of `Variables`.

    Attributes:
        late: what takes longer than usual, as literals, and how much at least, milliseconds.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        stages: int,
        sample_free: bool = False,
        cuts: Sequence[Cut] = (),
        options: Mapping[str, Sequence[Option]] | None = None,
        ways: Mapping[Pair, Sequence[Meets]] | None = None,
        most_layers: int | None = None,
        explained: bool = False,
        waivable: bool = False,
        beyond: Mapping[str, Sequence[Option]] | None = None,
        deadline: float = math.inf,
    ) -> None:
        super().__init__(
            problem,
            stages=stages,
            sample_free=sample_free,
            options=options,
            ways=ways,
            explained=explained,
            waivable=waivable,
            beyond=beyond,
        )
        self.cuts, self.most_layers, self.deadline = cuts, most_layers, deadline
        self._samples: dict[tuple[str, ...], list[Trigger]] = {}
        self._drawing: list[Callable[[], Iterator[tuple[Said, Trigger]]]] = []
        self.late: list[tuple[Trigger, int]] = []
        for constrain in (
            self._judge_films, self._judge_contacts, self._judge_joints,
            self._judge_what_is_drawn, self._judge_what_is_seen, self._judge_stacks,
            self._heed_cuts, self._count_layers, self._order_presses, self._lay_in_order,
            self._foam_last,
        ):  # fmt: skip
            constrain()
        self.unsuited: list[Any] = []
        every = [s for each in self.settings.values() for s in each]
        self.longest_s = max((s.most_s for s in every), default=0)
        self.quickest_s = min((s.least_s for s in every), default=0)
        for constrain in (
            (self._bear_tacks,) if self.loose else
            (self._set_dials, self._bear_heat, self._press_in_time, self._bear_seconds,
             self._suit_pressures)
        ):  # fmt: skip
            constrain()

    # What the rules say

    @cached_property
    def samples(self) -> dict[tuple[str, ...], list[Trigger]]:
        """By what is found, the literals that together draw it; worked out for whoever counts."""
        found = {said: list(drawn) for said, drawn in self._samples.items()}
        for drawing in self._drawing:
            for said, drawn in drawing():
                found.setdefault(said, []).append(drawn)
        return found

    def _forbidden(self, rule: str, severity: Severity) -> tuple[str, ...]:
        """The rule by which a finding is forbidden; one name for all unless explained."""
        if severity == "stop":
            return (rule if self.explained else "",)
        if severity == "sample" and self.sample_free:
            waived = self.explained or self.sampled is not False
            return (f"{rule} sample" if waived else "",)
        return ()

    def _judge_films(self) -> None:
        for piece, options in self.options.items():
            on_fabric = self.on_fabric.get(piece, False)
            anywhere = [option.findings for option in options]
            there = [option.fabric_findings for option in options]
            for when, findings in (((), anywhere), ((on_fabric,), there)):
                self._judge_film(piece, when, findings)

    def _judge_film(self, piece: str, when: Trigger, findings: Sequence[Sequence[Finding]]) -> None:
        """Forbid the films of a piece that draw what is forbidden; note the samples."""
        refused: dict[str, dict[int, None]] = {}
        for i, each in enumerate(findings):
            for finding in each:
                for rule in self._forbidden(finding.rule, finding.severity):
                    refused.setdefault(rule, {})[i] = None
                if not self.sample_free and finding.severity == "sample":
                    drawn = (*when, self.film[piece][i])
                    self._samples.setdefault(finding.said, []).append(drawn)
        for rule, rows in refused.items():
            self.never((rule, piece), *when, self.among(piece, rows))

    def _judge_contacts(self) -> None:
        for (upper, lower, rim), touching in self.touching.items():
            above, below = self._films_of(upper), self._films_of(lower)
            found = self.problem.on_film_pairs(above, below, rim=rim)
            said = partial(said_on_film, self.problem, above, below, rim)
            self._judge_pairs((upper, lower), touching, found, said)

    def _judge_joints(self) -> None:
        for meeting in self.problem.meetings:
            if meeting.hidden:
                continue
            above, below = self._films_of(meeting.upper), self._films_of(meeting.lower)
            for way, literal in self.way[meeting.pair].items():
                found = self.problem.at_joint_pairs(meeting, above, below, way)
                said = partial(said_at_joint, self.problem, meeting, above, below, way)
                self._judge_pairs(meeting.pair, literal, found, said)

    def _judge_what_is_drawn(self) -> None:
        for finding in self.problem.drawn:
            for rule in self._forbidden(finding.rule, finding.severity):
                self.never((rule, DRAWN))
            if finding.severity == "sample" and not self.sample_free:
                self._samples.setdefault(finding.said, []).append(())

    def _judge_what_is_seen(self) -> None:
        for meeting in self.problem.meetings:
            above, below = self.options[meeting.upper], self.options[meeting.lower]
            found = self.problem.seen_pairs(meeting, above, below)
            said = partial(said_of_seen, self.problem, meeting, above, below)
            self._judge_pairs(meeting.pair, True, found, said)

    def _judge_pairs(
        self, pieces: Pair, when: Any, found: Pairs, said: Callable[[str, int, int], Iterable[Said]]
    ) -> None:
        """Forbid the films of two pieces that draw what is forbidden; note the samples."""
        if time.monotonic() > self.deadline:
            raise OutOfTimeError("time ran out while the rules were asked")
        above, below = (self.film[piece] for piece in pieces)
        refused: dict[str, dict[int, set[int]]] = {}
        for (rule, severity), pairs in found.items():
            for name in self._forbidden(rule, severity):
                rows = refused.setdefault(name, {})
                for i, j in pairs:
                    rows.setdefault(i, set()).add(j)
            if severity == "sample" and not self.sample_free:
                self._drawing.append(partial(drawn_by, said, rule, pairs, when, above, below))
        for name, rows in refused.items():
            alike: dict[frozenset[int], list[int]] = {}
            for i in sorted(rows):
                alike.setdefault(frozenset(rows[i]), []).append(i)
            for lower, upper in alike.items():
                both = (self.among(pieces[0], upper), self.among(pieces[1], lower))
                self.never((name, *pieces), when, *both)

    def _films_of(self, piece: str) -> list[Film]:
        return [option.film for option in self.options[piece]]

    def _judge_stacks(self) -> None:
        for limit in stack_limits(self.problem, self.options):
            tags = self._forbidden(limit.finding.rule, limit.finding.severity)
            if tags:
                self._keep_within((tags[0], "stack"), limit)
            elif limit.finding.severity == "sample":
                beyond = self._bool()
                self._samples.setdefault(("stack", limit.finding.rule), []).append((beyond,))
                self._keep_within(("order",), limit, ~beyond)

    def _keep_within(self, tag: Tag, limit: StackLimit, *when: Any) -> None:
        for place in self.problem.places:
            if limit.depth is None:
                self.hold(tag, self.thickness_there(place) <= (limit.tenths_um or 0) - 1, *when)
            elif len(place.stack) >= limit.depth:
                self.hold(tag, self._layers(place) <= limit.depth - 1, *when)

    def _layers(self, place: Place) -> Any:
        return total(self.present(place, piece) for piece in place.stack)

    def thickest(self) -> Any:
        """Tenths of a micrometre of film where they are most, or more."""
        most = self.cp.new_int_var(0, 10**9, "")
        for place in self.problem.places:
            self.hold(("order",), self.thickness_there(place) <= most)
        return most

    def _count_layers(self) -> None:
        for place in self.problem.places if self.most_layers is not None else ():
            self.hold(("order",), self._layers(place) <= self.most_layers)

    def _heed_cuts(self) -> None:
        for n, cut in enumerate(self.cuts):
            named = {piece for piece, _ in cut.films}.union(*(pair for pair, _ in cut.meets))
            named = named.union(*cut.apart)
            if not named <= self.film.keys() or (self.loose and (cut.stages or cut.presses)):
                # It rests on a piece, or on stages, that are left out here.
                continue
            literals = [self._is_film(piece, film) for piece, film in cut.films]
            literals += [self.meets(pair, way) for pair, way in cut.meets]
            literals += [no(self.meets(pair, "lap")) for pair in cut.apart]
            literals += [self._laid_at(*pressed) for pressed in cut.presses]
            for staged in self._staged(cut):
                if cut.severity == "late":
                    self.late.append(((*literals, *staged), cut.ms))
                elif cut.severity == "stop" or self.sample_free:
                    tag = ("cut" if cut.severity == "stop" else "cut sample", str(n))
                    self.never((*tag, *sorted(named)), *literals, *staged)
                else:
                    self._samples.setdefault(cut.cause, []).append((*literals, *staged))

    def _staged(self, cut: Cut) -> Iterator[list[Any]]:
        """For each way in which a plan can have the stages that a cut names, its literals."""
        number = len({stage for _, stage in cut.stages})
        for stages in combinations(range(self.stages), number):
            literals = [self.finishes[piece][stages[stage]] for piece, stage in cut.stages]
            if stages and stages[-1] + 1 < self.stages:
                literals.append(~self.stage_used[stages[-1] + 1])
            yield literals

    def _is_film(self, piece: str, film: str) -> Any:
        options = enumerate(self.options.get(piece, ()))
        return piece in self.film and self.among(
            piece, (i for i, o in options if film in {o.film.id, o.name})
        )

    def _laid_at(self, piece: str, stage: int, press: int) -> Any:
        if piece not in self.laid or stage >= self.stages or press >= self.per_stage:
            return False
        return self.laid[piece][stage * self.per_stage + press]

    # What goes down when

    def _order_presses(self) -> None:
        order: Tag = ("order",)
        for piece, laid in self.laid.items():
            self.cp.add_exactly_one(laid)
            self.hold(order, weighed(laid, range(len(laid))) == self.rank[piece])
            for here, used in zip(laid, self.used, strict=True):
                self.clause(order, ~here, used)
            for k, finishes in enumerate(self.finishes[piece]):
                of_stage = laid[k * self.per_stage : (k + 1) * self.per_stage]
                if finishes is not True:
                    self.hold(order, total(of_stage) == finishes)
        for i, used in enumerate(self.used):
            self.clause(order, ~used, *(laid[i] for laid in self.laid.values()))
            first = i % self.per_stage == 0
            if i:
                self.clause(order, ~used, self.used[i - self.per_stage if first else i - 1])

    def _lay_in_order(self) -> None:
        for pair in self.way:
            upper, lower = pair
            above, below = self.rank[upper], self.rank[lower]
            tag = ("press-order", upper, lower)
            self.hold(tag, above >= below + 1, self.meets(pair, "lap", "inset-over"))
            self.hold(tag, below >= above + 1, self.meets(pair, "inset-under"))
        for one, other in combinations(self.pieces, 2):
            close = frozenset((one, other)) in self.problem.close
            together = close and self.on_one_carrier(one, other)
            if together is not False:
                for a, b in zip(self.laid[one], self.laid[other], strict=True):
                    self.never(("carriers", one, other), a, b, no(together))
        for apart in self.parted:
            # One clause a press for all of them, and as many presses as there are of them: each
            # tells the relaxation far more than a clause for each two of them.
            for laid in zip(*(self.laid[piece] for piece in apart), strict=True):
                self.cp.add_at_most_one(laid)
            if not self.explained:
                self.cp.add(self.presses >= len(apart))

    def _foam_last(self) -> None:
        if all(foams is False for foams in self.foams.values()):
            return
        first_foam = self.cp.new_int_var(0, len(self.used), "")
        for piece, foams in self.foams.items():
            tag = ("foams", piece)
            self.hold(tag, self.rank[piece] >= first_foam, foams)
            self.hold(("flat", piece), self.rank[piece] <= first_foam - 1, no(foams))
            for k in range(self.stages - 1):
                self.never(tag, foams, self.finishes[piece][k], self.stage_used[k + 1])

    # What the finishing stages are set to

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

    def _tacks(self) -> dict[str, Any]:
        """The presses that each piece is under, of those that may be too many for it."""
        most_s = self.stages * self.longest_s + round(TACK_S) * len(self.used)
        after = 0
        left: list[Any] = []
        for used in reversed(self.used):
            after = after + used
            left.insert(0, after)
        found = {}
        for piece in self.pieces:
            if any(s.bears_s < most_s for s in self.settings[piece]):
                found[piece] = self.cp.new_int_var(0, len(self.used), "")
                for here, still in zip(self.laid[piece], left, strict=True):
                    self.hold(("order",), found[piece] == still, here)
        return found

    def _press_directly(self) -> None:
        """A literal for each stage whose last press is its full press, as its settings say.

        Nothing is cheaper with a tack more, so it is enough to say where there must be one.
        """
        order: Tag = ("order",)
        foams = self.any_of(self.foams.values())
        self.direct, marked = [self._bool() for _ in range(self.stages)], False
        self.bare = self._bool()
        for k, direct in enumerate(self.direct):
            lone = self._bool()
            first = k * self.per_stage
            self.hold(order, total(self.used[first : first + self.per_stage]) <= 1, lone)
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
