"""Optimise model: a problem's films, ways of meeting, presses and stages as constraints."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import cpmpy as cp
import numpy as np

from advisor.assess import WEAKNESS, tenths_um
from advisor.meeting import Meeting, Pair, Place
from advisor.problem import Choice, Option, Problem
from advisor.stack_limits import StackLimit, stack_limits
from rules.facts.finding import Finding
from rules.facts.step import Meets

__all__ = ["Cut", "PlanModel", "Rules", "Table", "Tag", "stops", "worries"]

Tag = tuple[str, ...]
"""What a constraint belongs to: a rule's id (or a fact's kind), then the pieces concerned."""

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
    sentence: str


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


class PlanModel:
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
        self.problem, self.rules, self.tables = problem, rules, tables
        self.options = {piece: tuple(options[piece]) for piece in options}
        self.pieces = tuple(self.options)
        self.constraints: list[tuple[Tag, Any]] = []
        self.film: dict[str, list[Any]] = {}
        self.way: dict[Pair, dict[Meets, Any]] = {}
        self._numbers: dict[tuple[str, tuple[int, ...]], Any] = {}
        self._among: dict[tuple[str, frozenset[int]], Any] = {}
        self._present: dict[tuple[Pair, ...], Any] = {}
        self._thick: dict[tuple[str, str], Any] = {}
        self._touching: dict[tuple[str, str], Any] = {}
        self.on_fabric: dict[str, Any] = {}
        for piece, choices in self.options.items():
            self.film[piece] = [cp.boolvar() for _ in choices]
            self.post(("film", piece), cp.sum(self.film[piece]) == 1)
        for meeting in problem.meetings:
            open_ways = (ways or {}).get(meeting.pair, meeting.ways)
            self.way[meeting.pair] = {way: cp.boolvar() for way in open_ways}
            self.post(("meets", *meeting.pair), cp.sum(list(self.way[meeting.pair].values())) == 1)
        self.touching = self._contacts()
        for rule, judge in rules.forbidden:
            self._judge(rule, judge)
            self._judge_tables(rule, judge)

    def post(self, tag: Tag, constraint: Any) -> None:
        """Add a constraint under a tag."""
        self.constraints.append((tag, constraint))

    def never(self, tag: Tag, *literals: Any) -> None:
        """Not all of these literals together; ``True`` among them stands for what always holds."""
        left = [literal for literal in literals if literal is not True]
        if any(literal is False for literal in left):
            return
        self.post(tag, cp.any([~literal for literal in left]) if left else cp.BoolVal(False))

    def among(self, piece: str, at: Iterable[int]) -> Any:
        """A literal: the piece's film is one of those options."""
        chosen = frozenset(at)
        films = self.film[piece]
        if len(chosen) in {0, len(films)}:
            return len(chosen) > 0
        if len(chosen) == 1:
            return films[min(chosen)]
        key = (piece, chosen)
        if key not in self._among:
            rest = frozenset(range(len(films))) - chosen
            if (piece, rest) in self._among:
                return ~self._among[piece, rest]
            if len(rest) == 1:
                return ~films[min(rest)]
            literal = cp.boolvar()
            self.post(("film", piece), cp.sum([films[i] for i in sorted(chosen)]) == literal)
            self._among[key] = literal
        return self._among[key]

    def where(self, piece: str, holds: Callable[[Option], bool]) -> Any:
        """A literal: the piece's film is one for which ``holds``."""
        return self.among(
            piece, (i for i, option in enumerate(self.options[piece]) if holds(option))
        )

    def number(self, piece: str, of: Callable[[Option], int]) -> Any:
        """A whole number that the piece's film has."""
        values = [of(option) for option in self.options[piece]]
        if len(set(values)) == 1:
            return values[0]
        key = (piece, tuple(values))
        if key in self._numbers:
            return self._numbers[key]
        number = self._numbers[key] = cp.intvar(min(values), max(values))
        films = self.film[piece]
        self.post(
            ("film", piece),
            cp.sum([value * film for value, film in zip(values, films, strict=True)]) == number,
        )
        return number

    def meets(self, pair: Pair, *ways: Meets) -> Any:
        """A literal: the pair meets in one of these ways."""
        if pair not in self.way:
            return "lap" in ways
        open_ways = [way for way in self.way[pair] if way in ways]
        if len(open_ways) in {0, len(self.way[pair])}:
            return len(open_ways) > 0
        if len(open_ways) == 1:
            return self.way[pair][open_ways[0]]
        literal = cp.boolvar()
        self.post(("meets", *pair), cp.sum([self.way[pair][way] for way in open_ways]) == literal)
        return literal

    def choice(self) -> Choice:
        """The films and ways that the solver has found."""
        options, meets = {}, {}
        for piece, films in self.film.items():
            options[piece] = next(
                option
                for option, film in zip(self.options[piece], films, strict=True)
                if film.value()
            )
        for pair, ways in self.way.items():
            meets[pair] = next(way for way, literal in ways.items() if literal.value())
        return Choice(options, meets)

    def forbid(self, cut: Cut, tag: Tag = ("cut",)) -> None:
        """Refuse what a cut names."""
        literals = [self.where(piece, partial(_is_film, film)) for piece, film in cut.films]
        literals += [self.meets(pair, way) for pair, way in cut.meets]
        self.never(tag, *literals)

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

    def _judge(self, rule: str, judge: Judge) -> None:
        for piece, options in self.options.items():
            anywhere = [i for i, option in enumerate(options) if judge(option.findings)]
            self.never((rule, piece), self.among(piece, anywhere))
            here = [i for i, option in enumerate(options) if judge(option.fabric_findings)]
            on_fabric = self.on_fabric.get(piece, False)
            self.never((rule, piece), on_fabric, self.among(piece, here))
        self._judge_stacks(rule, judge)

    def judge_more(self, tables: Iterable[Table]) -> None:
        """Judge contacts and joints that were left out."""
        known = self.tables
        if known is None:
            return
        self.tables = frozenset(tables) - known
        for rule, judge in self.rules.forbidden:
            self._judge_tables(rule, judge)
        self.tables |= known

    def _judge_tables(self, rule: str, judge: Judge) -> None:
        for (upper, lower, rim), touching in self.touching.items():
            if not self.judges(("film", upper, lower, str(rim))):
                continue
            self._never_pairs(
                (rule, upper, lower),
                touching,
                (upper, lower),
                partial(self._bad_contact, judge, rim),
            )
        for meeting in self.problem.meetings:
            if not meeting.hidden:
                self._judge_joint(rule, judge, meeting)

    def _judge_joint(self, rule: str, judge: Judge, meeting: Meeting) -> None:
        for way, literal in self.way[meeting.pair].items():
            if not self.judges(("joint", *meeting.pair, way)):
                continue
            self._never_pairs(
                (rule, *meeting.pair),
                literal,
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
        self, tag: Tag, when: Any, pair: Pair, bad: Callable[[Option, Option], bool]
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
            self.never(tag, when, self.among(upper, at), self.among(lower, refused))

    def _judge_stacks(self, rule: str, judge: Judge) -> None:
        for limit in self.stack_limits():
            finding = limit.finding
            if judge([finding]):
                self.never((rule, "stack"), self.beyond(limit))

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
