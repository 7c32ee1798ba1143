"""Variables: what is chosen, as literals and numbers of a CP-SAT model, and how to post on them.

Every constraint stands under a tag: the rule it comes from and the pieces concerned. A model that
is to explain itself gives each tag a literal that asks for it, so that any can be taken away.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import cached_property
from typing import Any

from ortools.sat.python import cp_model

from advisor.job.records.print import Pair, Place
from advisor.layering.assessment import tenths_um
from advisor.layering.records.problem import Option, Problem
from advisor.layering.records.settings import FilmSettings
from advisor.layering.settings import film_settings
from advisor.layering.stages import MOST_STAGES
from advisor.solver.cpsat import Solution
from advisor.solver.sharing import cliques, most_presses, presses_of_use
from rules.facts.practice import TACK_S
from rules.facts.step import Meets

__all__ = [
    "DRAWN", "MORE_PRESSES", "Tag", "Trigger", "Variables", "most_stages", "no", "total",
    "weighed",
]  # fmt: skip

Tag = tuple[str, ...]
"""What a constraint belongs to: a rule's id (or a fact's kind), then the pieces concerned."""

STRUCTURE = {"film", "meets", "order", "carriers"}
"""Tags of constraints that say what the variables mean; no one can wish them away."""

DRAWN = "as drawn"
"""Stands for the artwork in the tag of what no film shows as it is drawn."""

WITHOUT_FILMS = {"press-order"}
"""Facts that hold whatever film a piece is cut from."""

MORE_PRESSES = 3
"""Presses of a stage told apart at first beyond those in which all can go down: mostly enough to
see that more do not pay, in what carriers they let pieces share."""

PRESSES_OF_MANY_STAGES = 4
"""The same where no stages are told apart: what several press one after another."""

FABRIC = ""
"""What the lowest piece of a place lies on, named as a piece."""

Trigger = tuple[Any, ...]
"""Literals that together draw a finding."""


class Variables:
    """A film for each piece, a way for each pair, a press for each piece, and what follows from it.

    Args:
        stages: most finishing stages; 0 asks only what holds whatever the stages are.
        more: how many presses of a stage are told apart beyond those in which all can go down; of
            plans with still more the model has a bound. Without it there are no such plans.
        sample_free: forbid what wants a sample too, but what every plan may and does want one for.
        options: the films open to each piece; those of the problem by default.
        ways: the ways open to each pair; those of the problem by default.
        explained: give every fact, rule and wish a literal that asks for it.
        waivable: let a literal, ``sampled``, allow samples after all.
        beyond: films open to a piece once its wish is not asked for; where there are none, nothing
            is then asked of its film.

    Attributes:
        film: for each piece a literal for each option.
        way: for each pair a literal for each way.
        laid: for each piece a literal for each press that is told apart, stage after stage.
        rank: for each piece its press, counted from ``width`` times its stage.
        later: for each piece a literal for each stage: it goes down in a press of that stage beyond
            those that are told apart; none where all are.
        untold: how many such presses each stage has.
        asked: by tag, the literals of an explained model.
    """

    def __init__(
        self,
        problem: Problem,
        *,
        stages: int,
        more: int | None = None,
        sample_free: bool = False,
        options: Mapping[str, Sequence[Option]] | None = None,
        ways: Mapping[Pair, Sequence[Meets]] | None = None,
        explained: bool = False,
        waivable: bool = False,
        beyond: Mapping[str, Sequence[Option]] | None = None,
    ) -> None:
        self.problem, self.sample_free = problem, sample_free
        self.stages, self.loose = stages or 1, not stages
        self.explained, self.cp = explained, cp_model.CpModel()
        domains = options or {}
        self.beyond = {piece: others for piece, others in (beyond or {}).items() if others}
        self.options = {
            p.id: (*domains.get(p.id, p.options), *self.beyond.get(p.id, ()))
            for p in problem.pieces
        }
        self.ways = {m.pair: tuple((ways or {}).get(m.pair, m.ways)) for m in problem.meetings}
        self.pieces = tuple(self.options)
        self.settings: dict[str, tuple[FilmSettings, ...]] = {
            piece: tuple(film_settings(option.film, problem.limits) for option in choices)
            for piece, choices in self.options.items()
        }
        self.asked: dict[Tag, Any] = {}
        self.wish = {piece: self._bool() for piece in self.pieces} if explained else {}
        # Pieces that bear all, and are as thin as can be, where their wish is not asked for.
        self.free = self.wish.keys() - self.beyond.keys()
        self.sampled: Any = self._bool() if waivable else False
        self._among: dict[tuple[str, frozenset[int]], Any] = {}
        self._numbers: dict[tuple[str, tuple[int, ...]], Any] = {}
        self._present: dict[tuple[str, ...], Any] = {}
        self._thick: dict[tuple[str, Any], Any] = {}
        self._together: dict[Pair, Any] = {}
        self._choose(PRESSES_OF_MANY_STAGES if self.loose else more)

    # Posting

    def clause(self, tag: Tag, *literals: Any) -> None:
        """One of these literals holds."""
        left = [literal for literal in literals if literal is not False]
        if not any(literal is True for literal in left):
            self.cp.add_bool_or(left + [no(ask) for ask in self._asks(tag)])

    def never(self, tag: Tag, *literals: Any) -> None:
        """These literals do not hold all together."""
        self.clause(tag, *(no(literal) for literal in literals))

    def hold(self, tag: Tag, linear: Any, *when: Any) -> None:
        """A linear constraint holds where all of ``when`` do."""
        if linear is True or any(literal is False for literal in when):
            return
        held = [literal for literal in when if literal is not True] + self._asks(tag)
        if linear is False:
            self.cp.add_bool_or([no(literal) for literal in held])
        elif held:
            self.cp.add(linear).only_enforce_if(held)
        else:
            self.cp.add(linear)

    def _asks(self, tag: Tag) -> list[Any]:
        rule = tag[0].removesuffix(" sample")
        asks = [] if rule == tag[0] or self.sampled is False else [~self.sampled]
        if not self.explained or rule in STRUCTURE:
            return asks
        if rule not in WITHOUT_FILMS:
            asks += [self.wish[piece] for piece in tag[1:] if piece in self.free]
        if rule != "flat":
            key = (rule, *tag[1:])
            if key not in self.asked:
                self.asked[key] = self._bool()
            asks.append(self.asked[key])
        return asks

    def both(self, one: Any, other: Any) -> Any:
        """A literal that holds where both do."""
        if isinstance(one, bool) or isinstance(other, bool):
            return False if one is False or other is False else other if one is True else one
        both = self._bool()
        self.cp.add_bool_and(one, other).only_enforce_if(both)
        self.cp.add_bool_or(~one, ~other, both)
        return both

    def any_of(self, literals: Iterable[Any]) -> Any:
        """A literal that holds where one of these does."""
        left = [literal for literal in literals if literal is not False]
        if len(left) < 2 or any(literal is True for literal in left):
            return left[0] if len(left) == 1 else bool(left)
        found = self._bool()
        self.cp.add_bool_or(*left, ~found)
        for literal in left:
            self.cp.add_implication(literal, found)
        return found

    def reason(self, linear: Any, *when: Any) -> Any:
        """A literal that may hold only where a linear constraint and all of ``when`` do."""
        reason = self._bool()
        self.hold(("order",), linear, reason)
        for literal in when:
            self.clause(("order",), ~reason, literal)
        return reason

    def _bool(self) -> Any:
        return self.cp.new_bool_var("")

    def begin_from(self, solution: Solution) -> None:
        """Begin the next search from what this one has found."""
        self.cp.clear_hints()  # type: ignore[no-untyped-call]
        for literals in (*self.film.values(), *self.laid.values()):
            for literal in literals:
                self.cp.add_hint(literal, solution.holds(literal))
        for ways in self.way.values():
            for literal in ways.values():
                self.cp.add_hint(literal, solution.holds(literal))

    # Literals and numbers

    def among(self, piece: str, at: Iterable[int]) -> Any:
        """A literal: the piece's film is one of those options."""
        chosen, films = frozenset(at), self.film[piece]
        if len(chosen) in {0, len(films)}:
            return len(chosen) > 0
        if len(chosen) == 1:
            return films[min(chosen)]
        rest = frozenset(range(len(films))) - chosen
        if (piece, rest) in self._among or len(rest) == 1:
            return ~self.among(piece, rest)
        if (piece, chosen) not in self._among:
            literal = self._among[piece, chosen] = self._bool()
            self.hold(("film", piece), total(films[i] for i in sorted(chosen)) == literal)
        return self._among[piece, chosen]

    def where(self, piece: str, holds: Callable[[FilmSettings], bool]) -> Any:
        """A literal: the piece's film asks for what ``holds`` accepts."""
        return self.among(piece, (i for i, s in enumerate(self.settings[piece]) if holds(s)))

    def number(self, piece: str, values: Sequence[int]) -> Any:
        """The whole number that the piece's film has; one for each option is given."""
        if len(set(values)) == 1:
            return values[0]
        key = (piece, tuple(values))
        if key not in self._numbers:
            number = self._numbers[key] = self.cp.new_int_var(min(values), max(values), "")
            self.hold(("film", piece), weighed(self.film[piece], values) == number)
        return self._numbers[key]

    def asks_for(self, piece: str, of: Callable[[FilmSettings], int]) -> Any:
        """What the piece's film asks for, as a number."""
        return self.number(piece, [of(settings) for settings in self.settings[piece]])

    def meets(self, pair: Pair, *ways: Meets) -> Any:
        """A literal: the pair meets in one of these ways."""
        if pair not in self.way:
            return "lap" in ways
        among = [way for way in self.way[pair] if way in ways]
        if len(among) in {0, len(self.way[pair])}:
            return len(among) > 0
        if len(among) == 1:
            return self.way[pair][among[0]]
        literal = self._bool()
        self.hold(("meets", *pair), total(self.way[pair][way] for way in among) == literal)
        return literal

    def present(self, place: Place, piece: str) -> Any:
        """A literal: the piece is not knocked out at that place."""
        over = place.stack[place.stack.index(piece) + 1 :]
        laps = {upper: self._laps[piece][upper] for upper in over if upper in self._laps[piece]}
        if any(literal is False for literal in laps.values()):
            return False
        if len(laps) <= 1:
            return next(iter(laps.values()), True)
        key = (piece, *sorted(laps))
        if key not in self._present:
            whole = self._present[key] = self._bool()
            self.clause(("meets", piece), whole, *(~lap for lap in laps.values()))
            for lap in laps.values():
                self.clause(("meets", piece), ~whole, lap)
        return self._present[key]

    @cached_property
    def _laps(self) -> dict[str, dict[str, Any]]:
        """By piece and by another in front of it, a literal that they lap, where they may not."""
        laps: dict[str, dict[str, Any]] = {piece: {} for piece in self.pieces}
        for upper, lower in self.way:
            literal = self.meets((upper, lower), "lap")
            if literal is not True:
                laps[lower][upper] = literal
        return laps

    def thickness_there(self, place: Place) -> Any:
        """Films over one another at a place, tenths of a micrometre."""
        terms: list[Any] = []
        for piece in place.stack:
            there = self.present(place, piece)
            if there is False:
                continue
            tenths = [tenths_um(option.film) for option in self.options[piece]]
            key = (piece, there if there is True else there.index)
            if key not in self._thick:
                self._thick[key] = self.number(piece, tenths)
                if there is not True or piece in self.free:
                    counted = self.cp.new_int_var(0, max(tenths), "")
                    wished = self.wish[piece] if piece in self.free else True
                    self.hold(("film", piece), counted >= self._thick[key], there, wished)
                    self._thick[key] = counted
            terms.append(self._thick[key])
        return total(terms)

    def on_one_carrier(self, one: str, other: str) -> Any:
        """A literal that may hold only where two pieces share film, colour and press.

        Without stages, whatever their press where there are more than are told apart there.
        """
        if (one, other) not in self._together:
            self._together[one, other] = self._on_one_carrier(one, other)
        return self._together[one, other]

    def parted_by_order(self, one: str, other: str) -> bool:
        """Whether two pieces never share a press, however they meet: one lies on the other."""
        return "butt" not in (
            self.ways.get((other, one)) or self.ways.get((one, other)) or ("butt",)
        )

    @cached_property
    def parted(self) -> list[tuple[str, ...]]:
        """Pieces of which no two go down in one press, whatever is chosen."""
        return cliques(self.pieces, self._never_in_one_press)

    def _never_in_one_press(self, one: str, other: str) -> bool:
        """Whether order parts two pieces, or their carriers, which cannot be one, overlap."""
        if self.parted_by_order(one, other):
            return not self.explained
        close = frozenset((one, other)) in self.problem.close
        return close and self.on_one_carrier(one, other) is False

    def _on_one_carrier(self, one: str, other: str) -> Any:
        rolls: dict[str, list[int]] = {}
        for at, option in enumerate(self.options[other]):
            rolls.setdefault(option.roll, []).append(at)
        cut_alone = not all(map(self.problem.cut_with_others, (one, other)))
        if (
            cut_alone
            or self.parted_by_order(one, other)
            or rolls.keys().isdisjoint(option.roll for option in self.options[one])
        ):
            return False
        together = self._bool()
        for option, here in zip(self.options[one], self.film[one], strict=True):
            alike = self.among(other, rolls.get(option.roll, ()))
            self.clause(("order",), no(together), no(here), alike)
        self.hold(("order",), self.rank[one] == self.rank[other], together)
        return together

    # What is chosen

    def _choose(self, more: int | None) -> None:
        self.film = {p: [self._bool() for _ in choices] for p, choices in self.options.items()}
        self.way = {pair: {way: self._bool() for way in ways} for pair, ways in self.ways.items()}
        for piece, films in self.film.items():
            self.cp.add_exactly_one(films)
            if piece in self.beyond:
                wished = range(len(films) - len(self.beyond[piece]))
                self.clause(("film", piece), ~self.wish[piece], self.among(piece, wished))
        for literals in self.way.values():
            self.cp.add_exactly_one(literals.values())
        self._tell_presses_apart(more)
        presses = range(self.stages * self.per_stage)
        self.laid = {piece: [self._bool() for _ in presses] for piece in self.pieces}
        ranks = self.stages * self.width - 1
        self.rank = {p: self.cp.new_int_var(0, ranks, "") for p in self.pieces}
        self.used = [self._bool() for _ in presses]
        self.stage_used = [self.used[k * self.per_stage] for k in range(self.stages)]
        self.finishes: dict[str, list[Any]] = {
            piece: [True] if self.stages == 1 else [self._bool() for _ in range(self.stages)]
            for piece in self.pieces
        }
        self.foams = {
            piece: self.among(piece, (i for i, o in enumerate(choices) if o.film.foams))
            for piece, choices in self.options.items()
        }
        self.presses = total([*self.used, *self.untold])
        self.touching, self.on_fabric = self._contacts()

    def _tell_presses_apart(self, more: int | None) -> None:
        borne = len(self.pieces) if self.explained else self._presses_borne()
        # Without stages there is one sequence, of what several press one after another.
        most = len(self.pieces) if self.loose else most_presses(self.problem, self.options)
        most = min(most, borne)
        self.per_stage = min(presses_of_use(self.problem, self.options) + (more or 0), most)
        self.width = self.per_stage if more is None else most
        untold = range(self.stages if self.width > self.per_stage else 0)
        self.later = {piece: [self._bool() for _ in untold] for piece in self.pieces}
        self.untold = [self.cp.new_int_var(0, self.width - self.per_stage, "") for _ in untold]

    def _presses_borne(self) -> int:
        """Presses that the film that bears most is under, if it goes down in the first."""
        every = [s for settings in self.settings.values() for s in settings]
        longest_s = max((s.bears_s - s.least_s for s in every), default=0)
        return max(1, MOST_STAGES + longest_s // round(TACK_S))

    def _contacts(self) -> tuple[dict[tuple[str, str, bool], Any], dict[str, Any]]:
        """A literal for each (upper, lower, rim) that can touch, and for each piece on fabric."""
        met: dict[tuple[str, str, bool], Any] = {}
        alike: dict[tuple[object, ...], int] = {}
        for place in self.problem.places:
            there = ((piece, self.present(place, piece)) for piece in place.stack)
            laid = [(FABRIC, True), *((piece, here) for piece, here in there if here is not False)]
            for i, (upper, here) in enumerate(laid[1:], 1):
                between: list[Any] = []
                # What lies so at many places is asked once: a deep print has a thousand of them.
                so_far = -1
                for lower, below in reversed(laid[:i]):
                    key = (upper, _name(here), so_far, lower, _name(below))
                    if key not in alike:
                        self._met(met, (upper, lower, False), here, below, between)
                    so_far = alike.setdefault(key, len(alike))
                    between.append(below)
                    if below is True:
                        break
        on_fabric = {upper: at for (upper, lower, _), at in met.items() if lower == FABRIC}
        for upper, lower in self.way:
            met[upper, lower, True] = self.meets((upper, lower), "inset-over")
            met[lower, upper, True] = self.meets((upper, lower), "inset-under")
        on_film = {on: at for on, at in met.items() if on[1] != FABRIC and at is not False}
        return on_film, on_fabric

    def _met(
        self, known: dict[Any, Any], key: Any, one: Any, other: Any, between: Sequence[Any]
    ) -> None:
        holds = [one, other, *(no(literal) for literal in between)]
        if known.get(key) is True:
            return
        if all(literal is True for literal in holds):
            known[key] = True
            return
        if key not in known:
            known[key] = self._bool()
        self.never(("meets",), *holds, ~known[key])


def _name(literal: Any) -> int:
    """A number that tells literals apart, plain truth among them."""
    return -1 if literal is True else literal.index


def most_stages(problem: Problem) -> int:
    """Finishing stages that a plan of the problem may have."""
    return min(MOST_STAGES, len(problem.pieces))


def no(literal: Any) -> Any:
    """The negation of a literal, which may be a plain truth."""
    return not literal if isinstance(literal, bool) else ~literal


def weighed(literals: Sequence[Any], values: Sequence[int]) -> Any:
    """The sum of the values whose literals hold."""
    return cp_model.LinearExpr.weighted_sum(list(literals), list(values))


def total(terms: Iterable[Any]) -> Any:
    """The sum of numbers, literals and plain truths."""
    listed = [int(term) if isinstance(term, bool) else term for term in terms]
    return cp_model.LinearExpr.sum(listed) if listed else 0
