"""Optimise model: a problem's films, ways of meeting, presses and stages as constraints."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import cpmpy as cp
import numpy as np

from advisor.job.records.print import Meeting, Pair, Place
from advisor.layering.assessment import WEAKNESS, tenths_um
from advisor.layering.records.problem import Option, Problem
from advisor.solver.choices import Choices, Tag
from advisor.solver.stack_limits import StackLimit, stack_limits
from rules.facts.finding import Finding
from rules.facts.step import Meets
from rules.facts.text import Text

__all__ = ["Cut", "PlanModel", "Rules", "Table", "Tag", "stops", "worries"]

Table = tuple[str, str, str, str]
"""A contact as ("film", upper, lower, rim) or a joint as ("joint", upper, lower, way)."""

Judge = Callable[[Sequence[Finding]], bool]


@dataclass(frozen=True, slots=True)
class Cut:
    """Films and ways of meeting that may not occur all together, and why.

    Attributes:
        films: (piece, film id) pairs.
        meets: (pair, way) pairs.
        sentence: what was found, for the person.
    """

    films: tuple[tuple[str, str], ...]
    meets: tuple[tuple[Pair, Meets], ...]
    sentence: Text


@dataclass(frozen=True, slots=True)
class Rules:
    """Which findings a model forbids: each ``(tag's rule, judge)`` makes its own constraints."""

    forbidden: tuple[tuple[str, Judge], ...]


def stops(findings: Sequence[Finding]) -> bool:
    """Whether any finding is a ``stop``."""
    return any(finding.severity == "stop" for finding in findings)


def worries(findings: Sequence[Finding]) -> bool:
    """Whether any finding is a ``stop`` or wants a ``sample``."""
    return any(finding.severity != "note" for finding in findings)


class PlanModel(Choices):
    """Variables and constraints of a choice and its contacts; heat and presses build on it.

    Args:
        options: the films open to each piece.
        rules: which findings are forbidden.
        tables: the contacts and joints that are judged; all where ``None``. A model that leaves
            some out allows more than there is, so that its bound still holds.
    """

    def __init__(
        self,
        problem: Problem,
        options: Mapping[str, Sequence[Option]],
        rules: Rules,
        *,
        tables: frozenset[Table] | None = None,
        ways: Mapping[Pair, Sequence[Meets]] | None = None,
    ) -> None:
        open_ways = {m.pair: (ways or {}).get(m.pair, m.ways) for m in problem.meetings}
        super().__init__(options, open_ways)
        self.problem, self.rules, self.tables = problem, rules, tables
        self._unless: list[tuple[Judge, Any]] = []
        self._present: dict[tuple[Pair, ...], Any] = {}
        self._thick: dict[tuple[str, str], Any] = {}
        self._touching: dict[tuple[str, str], Any] = {}
        self.on_fabric: dict[str, Any] = {}
        self.touching = self._contacts()
        for rule, judge in rules.forbidden:
            self._judge(rule, judge)
            self._judge_tables(rule, judge)

    def forbid(self, cut: Cut, tag: Tag = ("cut",)) -> None:
        """Refuse what a cut names."""
        literals = [self.where(piece, partial(_is_film, film)) for piece, film in cut.films]
        literals += [self.meets(pair, way) for pair, way in cut.meets]
        self.never(tag, *literals)

    def limit_layers(self, most: int) -> None:
        """At most so many films over one another anywhere."""
        for place in self.problem.places:
            laid = [self.present(place, piece) for piece in place.stack]
            here = [1 if holds is True else holds for holds in laid if holds is not False]
            if len(here) > most:
                self.post(("layers",), cp.sum(here) <= most)

    def present(self, place: Place, piece: str) -> Any:
        """A literal: the piece is not knocked out at that place."""
        above = place.stack[place.stack.index(piece) + 1 :]
        laps = {}
        for upper in above:
            literal = self.meets((upper, piece), "lap")
            if literal is False:
                return False
            if literal is not True:
                laps[upper, piece] = literal
        if len(laps) <= 1:
            return next(iter(laps.values()), True)
        key = tuple(sorted(laps))
        if key not in self._present:
            whole = cp.boolvar()
            self.post(("meets", piece), whole == cp.all(list(laps.values())))
            self._present[key] = whole
        return self._present[key]

    def _contacts(self) -> dict[tuple[str, str, bool], Any]:
        """A literal for each (upper, lower, rim) that can touch; true wherever they do."""
        for place in self.problem.places:
            there = {piece: self.present(place, piece) for piece in place.stack}
            for i, upper in enumerate(place.stack):
                between: list[Any] = []
                for lower in reversed(place.stack[:i]):
                    self._met(self._touching, (upper, lower), there[upper], there[lower], between)
                    between.append(there[lower])
                self._met(self.on_fabric, upper, there[upper], True, between)
        found: dict[tuple[str, str, bool], Any] = {
            (upper, lower, False): literal for (upper, lower), literal in self._touching.items()
        }
        for upper, lower in self.way:
            over = self.meets((upper, lower), "inset-over")
            under = self.meets((upper, lower), "inset-under")
            if over is not False:
                found[upper, lower, True] = over
            if under is not False:
                found[lower, upper, True] = under
        return found

    def _met(
        self, known: dict[Any, Any], key: Any, one: Any, other: Any, between: Sequence[Any]
    ) -> None:
        if one is False or other is False or any(literal is True for literal in between):
            return
        holds = [literal for literal in (one, other) if literal is not True]
        holds += [~literal for literal in between if literal is not False]
        if not holds:
            known[key] = True
        elif known.get(key) is not True:
            known.setdefault(key, cp.boolvar())
            self.never(("meets",), *holds, ~known[key])

    def _judge(self, rule: str, judge: Judge, held: Any = True) -> None:
        for piece, options in self.options.items():
            anywhere = [i for i, option in enumerate(options) if judge(option.findings)]
            self.never((rule, piece), held, self.among(piece, anywhere))
            here = [i for i, option in enumerate(options) if judge(option.fabric_findings)]
            on_fabric = self.on_fabric.get(piece, False)
            self.never((rule, piece), held, on_fabric, self.among(piece, here))
        self._judge_stacks(rule, judge, held)

    def forbid_unless(self, judge: Judge, unless: Any) -> None:
        """Forbid more findings, except where a literal holds."""
        self._unless.append((judge, unless))
        self._judge("", judge, ~unless)
        self._judge_tables("", judge, ~unless)

    def judge_more(self, tables: Iterable[Table]) -> None:
        """Judge contacts and joints that were left out."""
        known = self.tables
        if known is None:
            return
        self.tables = frozenset(tables) - known
        for rule, judge in self.rules.forbidden:
            self._judge_tables(rule, judge)
        for judge, unless in self._unless:
            self._judge_tables("", judge, ~unless)
        self.tables |= known

    def _judge_tables(self, rule: str, judge: Judge, held: Any = True) -> None:
        for (upper, lower, rim), touching in self.touching.items():
            if not self.judges(("film", upper, lower, str(rim))):
                continue
            self._never_pairs(
                (rule, upper, lower),
                (held, touching),
                (upper, lower),
                partial(self._bad_contact, judge, rim),
            )
        for meeting in self.problem.meetings:
            if not meeting.hidden:
                self._judge_joint(rule, judge, meeting, held)

    def _judge_joint(self, rule: str, judge: Judge, meeting: Meeting, held: Any) -> None:
        for way, literal in self.way[meeting.pair].items():
            if not self.judges(("joint", *meeting.pair, way)):
                continue
            self._never_pairs(
                (rule, *meeting.pair),
                (held, literal),
                meeting.pair,
                partial(self._bad_joint, judge, meeting, way),
            )

    def judges(self, table: Table) -> bool:
        """Whether a contact or joint is judged in this model."""
        return self.tables is None or table in self.tables

    def _bad_contact(self, judge: Judge, rim: bool, above: Option, below: Option) -> bool:
        return judge(self.problem.on_film(above.film, below.film, rim=rim))

    def _bad_joint(
        self, judge: Judge, meeting: Meeting, way: Meets, above: Option, below: Option
    ) -> bool:
        return judge(self.problem.at_joint(meeting, above.film, below.film, way))

    def _never_pairs(
        self,
        tag: Tag,
        when: tuple[Any, Any],
        pair: Pair,
        bad: Callable[[Option, Option], bool],
    ) -> None:
        """Forbid the option pairs for which ``bad``, a clause for each kind of row."""
        upper, lower = pair
        rows: dict[bytes, list[int]] = {}
        for i, above in enumerate(self.options[upper]):
            row = np.array([bad(above, below) for below in self.options[lower]], dtype=bool)
            if row.any():
                rows.setdefault(row.tobytes(), []).append(i)
        for row_bytes, at in rows.items():
            refused = np.flatnonzero(np.frombuffer(row_bytes, dtype=bool)).tolist()
            self.never(tag, *when, self.among(upper, at), self.among(lower, refused))

    def _judge_stacks(self, rule: str, judge: Judge, held: Any) -> None:
        for limit in self.stack_limits():
            finding = limit.finding
            if judge([finding]):
                self.never((rule, "stack"), held, self.beyond(limit))

    def stack_limits(self) -> tuple[StackLimit, ...]:
        """The depths and thicknesses at which the rules on stacks begin to object."""
        return stack_limits(self.problem, self.options)

    def beyond(self, limit: StackLimit) -> Any:
        """A literal that is true where some stack is deeper or thicker than a limit."""
        literal = cp.boolvar()
        tag = (limit.finding.rule, "stack")
        for place in self.problem.places:
            there = [(piece, self.present(place, piece)) for piece in place.stack]
            laid = [(piece, holds) for piece, holds in there if holds is not False]
            if limit.depth is not None:
                if len(laid) >= limit.depth:
                    total = cp.sum([1 if holds is True else holds for _, holds in laid])
                    self.post(tag, (~literal).implies(total <= limit.depth - 1))
            elif limit.tenths_um is not None:
                total = self.thickness_there(place)
                self.post(tag, (~literal).implies(total <= limit.tenths_um - 1))
        return literal

    def thickness_there(self, place: Place) -> Any:
        """Films over one another at a place, tenths of a micrometre, as a sum."""
        terms = []
        for piece in place.stack:
            holds = self.present(place, piece)
            if holds is not False:
                terms.append(self._thick_if(piece, holds))
        return cp.sum(terms)

    def _thick_if(self, piece: str, holds: Any) -> Any:
        key = (piece, str(holds))
        if key not in self._thick:
            whole = self.number(piece, _tenths)
            if holds is True:
                self._thick[key] = whole
            else:
                most = max(_tenths(option) for option in self.options[piece])
                there = cp.intvar(0, most)
                self.post(("film", piece), holds.implies(there >= whole))
                self._thick[key] = there
        return self._thick[key]

    def weak(self) -> Any:
        """How many edges are weaker than a lap, butts twice."""
        return cp.sum(
            [0]
            + [
                WEAKNESS[way] * literal
                for ways in self.way.values()
                for way, literal in ways.items()
                if WEAKNESS[way]
            ]
        )


def _is_film(film: str, option: Option) -> bool:
    return option.film.id == film


def _tenths(option: Option) -> int:
    return tenths_um(option.film)
