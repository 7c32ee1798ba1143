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
from advisor.layering.records.asked import Said
from advisor.layering.records.problem import Option, Problem
from advisor.solver.cpsat import OutOfTimeError
from advisor.solver.press_settings import PressSettings
from advisor.solver.records import Cut
from advisor.solver.samples_drawn import (
    drawn_by,
    said_at_joint,
    said_of_seen,
    said_on_film,
    sampled_always,
)
from advisor.solver.stack_limits import StackLimit, stack_limits
from advisor.solver.variables import (
    DRAWN,
    Tag,
    Trigger,
    no,
    total,
    weighed,
)
from rules.alike import Pairs
from rules.facts.film import Film
from rules.facts.finding import Finding, Severity
from rules.facts.step import Meets

__all__ = ["PlanModel"]


class PlanModel(PressSettings):
    """All that forbids a plan; what it costs is measured over it.

    Args:
        cuts: what was found against drafted plans.
        most_layers: most films over one another anywhere.
        deadline: of ``time.monotonic``, by which the model is to be built.

    The other arguments are those of `advisor.solver.variables.Variables`.

    Attributes:
        always: what wants a sample in every plan.
        late: what takes longer than usual, as literals, and how much at least, milliseconds.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        stages: int,
        more: int | None = None,
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
            more=more,
            sample_free=sample_free,
            options=options,
            ways=ways,
            explained=explained,
            waivable=waivable,
            beyond=beyond,
        )
        self.cuts, self.most_layers, self.deadline = cuts, most_layers, deadline
        self.always = sampled_always(problem, cuts)
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
        self._set_presses()

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
            if finding.said in self.always:
                self._samples.setdefault(finding.said, []).append(())
                continue
            for rule in self._forbidden(finding.rule, finding.severity):
                self.never((rule, DRAWN))

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
            named = set(cut.pieces).union(*(pair for pair, _ in cut.meets))
            named = named.union(*cut.apart)
            if not named <= self.film.keys() or (self.loose and (cut.stages or cut.presses)):
                # It rests on a piece, or on stages, that are left out here.
                continue
            literals = [self._is_film(piece, film) for piece, film in cut.films]
            literals += [self._is_film(piece, *films) for piece, films in cut.alike]
            literals += [self.meets(pair, way) for pair, way in cut.meets]
            literals += [no(self.meets(pair, "lap")) for pair in cut.apart]
            literals += [self._laid_at(*pressed) for pressed in cut.presses]
            for staged in self._staged(cut):
                if cut.severity == "late":
                    self.late.append(((*literals, *staged), cut.ms))
                elif cut.severity == "stop" or (self.sample_free and cut.cause not in self.always):
                    tag = ("cut" if cut.severity == "stop" else "cut sample", str(n))
                    self.never((*tag, *sorted(named)), *literals, *staged)
                else:
                    self._samples.setdefault(cut.cause, []).append((*literals, *staged))

    def _staged(self, cut: Cut) -> Iterator[list[Any]]:
        """For each way in which a plan can have the stages that a cut names, its literals."""
        number = len({stage for _, stage in cut.stages})
        for stages in combinations(range(self.stages), number):
            literals = [self.finishes[piece][stages[stage]] for piece, stage in cut.stages]
            if stages and stages[-1] + 1 < self.stages and not cut.followed:
                literals.append(~self.stage_used[stages[-1] + 1])
            yield literals

    def _is_film(self, piece: str, *films: str) -> Any:
        options = enumerate(self.options.get(piece, ()))
        return piece in self.film and self.among(
            piece, (i for i, o in options if not {o.film.id, o.name}.isdisjoint(films))
        )

    def _laid_at(self, piece: str, stage: int, press: int) -> Any:
        if piece not in self.laid or stage >= self.stages or press >= self.per_stage:
            return False
        return self.laid[piece][stage * self.per_stage + press]

    # What goes down when

    def _order_presses(self) -> None:
        order: Tag = ("order",)
        for piece, laid in self.laid.items():
            later = self.later[piece]
            self.cp.add_exactly_one([*laid, *later])
            self._rank_as_laid(piece)
            for here, used in zip(laid, self.used, strict=True):
                self.clause(order, ~here, used)
            for k, finishes in enumerate(self.finishes[piece]):
                of_stage = laid[k * self.per_stage : (k + 1) * self.per_stage]
                if finishes is not True:
                    self.hold(order, total([*of_stage, *later[k : k + 1]]) == finishes)
        for i, used in enumerate(self.used):
            self.clause(order, ~used, *(laid[i] for laid in self.laid.values()))
            first = i % self.per_stage == 0
            if i:
                self.clause(order, ~used, self.used[i - self.per_stage if first else i - 1])

    def _rank_as_laid(self, piece: str) -> None:
        """The press of a piece among all; of those beyond that are told apart, any."""
        rank, later = self.rank[piece], self.later[piece]
        first_of = [k * self.width for k in range(self.stages)]
        told = [first + press for first in first_of for press in range(self.per_stage)]
        at_least = weighed(self.laid[piece], told)
        if not later:
            self.hold(("order",), at_least == rank)
            return
        untold = [first + self.per_stage for first in first_of]
        self.hold(("order",), at_least + weighed(later, untold) <= rank)
        last = [first + self.width - 1 for first in first_of]
        self.hold(("order",), at_least + weighed(later, last) >= rank)
        for k, (here, more) in enumerate(zip(later, self.untold, strict=True)):
            self.clause(("order",), ~here, self.used[(k + 1) * self.per_stage - 1])
            self.hold(("order",), more >= rank - untold[k] + 1, here)

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
        first_foam = self.cp.new_int_var(0, self.stages * self.width, "")
        for piece, foams in self.foams.items():
            tag = ("foams", piece)
            self.hold(tag, self.rank[piece] >= first_foam, foams)
            self.hold(("flat", piece), self.rank[piece] <= first_foam - 1, no(foams))
            for k in range(self.stages - 1):
                self.never(tag, foams, self.finishes[piece][k], self.stage_used[k + 1])
