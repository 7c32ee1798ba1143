"""Conflict told: each member of a conflict as a typed fact with a clause in plain words."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from advisor.job.records.print import Meeting, Pair
from advisor.layering.records.problem import Option, Problem, ProblemPiece
from advisor.solver.records import Cut
from advisor.solver.stack_limits import stack_limits
from advisor.solver.variables import Tag
from rules.facts.film import Film
from rules.facts.finding import Finding
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets
from rules.facts.text import Text, and_list, piece_name
from rules.facts.units import show_c, show_s

__all__ = ["FactKind", "RuleInstance", "Told", "say_way", "wished", "with_refused"]

FactKind = Literal["wish", "film", "fabric", "lies", "press"]
"""What is wished, what films bear, what the fabric bears, what lies on what, what heat found."""

MOST_NAMED = 4
"""Films named one by one; more are counted."""


@dataclass(frozen=True, slots=True)
class RuleInstance:
    """A rule, a fact or a wish at one place.

    Attributes:
        rule: the rule's id; ``wish`` for a look, ``wish-meets`` and ``wish-samples`` for the
            other wishes.
        where: the pieces it is about, in words.
        pieces: the same by id, bottom first.
        sentence: a clause that can stand after "because".
    """

    rule: str
    where: Text
    pieces: tuple[str, ...]
    sentence: Text
    kind: FactKind


class Told:
    """Turns the tags of a conflict model into facts in words."""

    def __init__(self, problem: Problem, cuts: Sequence[Cut]) -> None:
        self.problem, self.cuts = problem, cuts
        self.options = with_refused(problem)

    def instances(self, tags: Sequence[Tag]) -> list[RuleInstance]:
        """What the tags stand for; cuts of one rule that say the same are one cause."""
        said: dict[object, RuleInstance] = {}
        ids = [piece.id for piece in self.problem.pieces]
        for tag in tags:
            one = self.instance(tag)
            key = (one.rule, one.sentence) if tag[0] == "cut" else tag
            pieces = {*one.pieces, *(said[key].pieces if key in said else ())}
            if key in said:
                both = tuple(sorted(pieces, key=ids.index))
                one = replace(one, pieces=both, where=Text(and_list(map(piece_name, both))))
            said[key] = one
        return list(said.values())

    def instance(self, tag: Tag) -> RuleInstance:
        """What a tag stands for."""
        rule, about = tag[0], tag[1:]
        if rule == "wish":
            return wished(self.problem.piece(about[0]))
        if rule == "wish-samples":
            return _instance(rule, "the job", (), "no sample may be pressed first", "wish")
        if rule == "wish-meets":
            return self._wished_meeting((about[0], about[1]))
        if rule == "cut":
            cut = self.cuts[int(about[0])]
            pieces = tuple(piece for piece, _ in cut.films)
            return _instance(
                cut.rule,
                and_list(map(piece_name, pieces)),
                pieces,
                f"{cut.sentence}",
                "press",
            )
        if rule == "press-order":
            return self._lies_on((about[0], about[1]))
        if rule in {"press-range", "fabric-heat-limit"} and not about:
            return self._reaches(rule)
        if rule == "pressure-window":
            said = "one pressure has to suit all films that finish together"
            return _instance(rule, "the press", about, said, "press")
        if about == ("stack",):
            return self._stack(rule)
        if len(about) == 2:
            return self._between(rule, about[0], about[1])
        return self._of_piece(rule, about)

    def _wished_meeting(self, pair: Pair) -> RuleInstance:
        upper, lower = pair
        ways = self.problem.meeting(pair).ways
        said = " or ".join(f"{say_way(upper, lower, way)}" for way in ways)
        return _instance("wish-meets", _joint(upper, lower), (lower, upper), said, "wish")

    def _lies_on(self, pair: Pair) -> RuleInstance:
        upper, lower = pair
        return _instance(
            "press-order",
            _joint(upper, lower),
            (lower, upper),
            f"what lies on top goes down later, so that {piece_name(lower)} and "
            f"{piece_name(upper)} follow one another",
            "lies",
        )

    def _reaches(self, rule: str) -> RuleInstance:
        limits = self.problem.limits
        if rule == "press-range":
            said = (
                f"{limits.press.id} reaches {show_c(limits.press.setpoint_low_c)} to "
                f"{show_c(limits.press.setpoint_high_c)}"
            )
            return _instance(rule, limits.press.id, (), said, "press")
        said = f"the {limits.harmed_by} of the garment bears {show_c(limits.harmed_c)}"
        return _instance(rule, "the garment", (), said, "fabric")

    def _stack(self, rule: str) -> RuleInstance:
        known = self.problem.knowledge.rules.by_id.get(rule)
        if known is not None:
            said = known.summary[0].lower() + known.summary[1:-1]
        else:
            limits = stack_limits(self.problem, self.options)
            said = next(str(one.finding.message) for one in limits if one.finding.rule == rule)
        return _instance(rule, "the stack", (), said, "film")

    def _of_piece(self, rule: str, about: Sequence[str]) -> RuleInstance:
        piece = about[0]
        films = [option.film for option in self.options[piece]]
        heat = _HEAT.get(rule)
        if heat is not None:
            sentence = f"{piece_name(piece)} {heat(films)}"
            if len(films) > 1:
                sentence += f" ({_films(films)})"
            named = "foam-last" if rule == "foams" else rule
            return _instance(named, f"{piece_name(piece)}", (piece,), sentence, "film")
        found = [
            [f for f in option.findings + option.fabric_findings if self._counts(rule, f)]
            for option in self.options[piece]
        ]
        drawn = [findings[0] for findings in found if findings]
        known = self.problem.knowledge.rules.by_id.get(rule)
        on_fabric = known is not None and known.judges == "film_on_fabric"
        kind: FactKind = "fabric" if on_fabric else "film"
        more = _more(len(drawn), len(films), f"every film for {piece_name(piece)}", "film")
        return _instance(rule, f"{piece_name(piece)}", (piece,), drawn[0].message + more, kind)

    def _between(self, rule: str, upper: str, lower: str) -> RuleInstance:
        drawn: dict[tuple[str, str], Finding] = {}
        # Where the wish for a way is not part of the conflict, the others speak too.
        for judges in (self._judges(upper, lower), self._judges(upper, lower, wished=False)):
            for below in self.options[lower]:
                for above in self.options[upper]:
                    for judge in judges:
                        found = [f for f in judge(above.film, below.film) if self._counts(rule, f)]
                        if found:
                            drawn.setdefault((above.film.id, below.film.id), found[0])
            if drawn:
                break
        pairings = len({option.film.id for option in self.options[upper]}) * len(
            {option.film.id for option in self.options[lower]}
        )
        more = _more(len(drawn), pairings, f"every pairing of {_both(upper, lower)}", "pairing")
        ids = [piece.id for piece in self.problem.pieces]
        both = tuple(sorted((upper, lower), key=ids.index))
        sentence = next(iter(drawn.values())).message + more
        return _instance(rule, _joint(upper, lower), both, sentence, "film")

    def _judges(
        self, upper: str, lower: str, *, wished: bool = True
    ) -> list[Callable[[Film, Film], tuple[Finding, ...]]]:
        """What is asked of two pieces, under the ways that are wished for or under all."""
        problem = self.problem
        meeting = next((m for m in problem.meetings if set(m.pair) == {upper, lower}), None)
        if meeting is None:
            return [lambda above, below: problem.on_film(above, below, rim=False)]
        asked: list[Callable[[Film, Film], tuple[Finding, ...]]] = []
        front = meeting.upper == upper
        ways = meeting.ways if wished else meeting.open_ways
        if front and "lap" in ways:
            asked.append(lambda above, below: problem.on_film(above, below, rim=False))
        if ("inset-over" if front else "inset-under") in ways:
            asked.append(lambda above, below: problem.on_film(above, below, rim=True))
        if front and not meeting.hidden:
            asked += [_joint_judge(problem, meeting, way) for way in ways]
        return asked

    def _counts(self, rule: str, finding: Finding) -> bool:
        severities = {"stop"} if self.problem.samples_allowed else {"stop", "sample"}
        return finding.rule == rule and finding.severity in severities


def _joint_judge(
    problem: Problem, meeting: Meeting, way: Meets
) -> Callable[[Film, Film], tuple[Finding, ...]]:
    return lambda above, below: problem.at_joint(meeting, above, below, way)


def wished(piece: ProblemPiece) -> RuleInstance:
    """The look wanted for a piece, as a fact."""
    films = [option.film for option in piece.options] + [
        refusal.option.film for refusal in piece.refused if refusal.option is not None
    ]
    said = piece.wish or (f"cut from {_films(films)}" if films else "cut from a film on the shelf")
    named = f"{piece_name(piece.id)}"
    return _instance("wish", named, (piece.id,), f"{named} is to be {said}", "wish")


def _instance(
    rule: str, where: str, pieces: tuple[str, ...], sentence: str, kind: FactKind
) -> RuleInstance:
    return RuleInstance(rule, Text(where), pieces, Text(sentence), kind)


def _joint(upper: str, lower: str) -> str:
    return f"{piece_name(upper)} on {piece_name(lower)}"


def _both(upper: str, lower: str) -> str:
    return f"{piece_name(upper)} and {piece_name(lower)}"


def _films(films: Sequence[Film]) -> str:
    names = list(dict.fromkeys(film.id for film in films))
    if len(names) > MOST_NAMED:
        return f"one of {len(names)} films"
    return names[0] if len(names) == 1 else f"one of {and_list(names)}"


def _more(drawn: int, asked: int, every: str, one: str) -> str:
    if drawn <= 1:
        return ""
    if drawn == asked:
        return f" (and so for {every})"
    others = drawn - 1
    return f" (and so for {others} more {one}{'s' if others > 1 else ''})"


def _needs_c(films: Sequence[Film]) -> str:
    low = min(film.setpoint_c.low for film in films)
    high = max(film.setpoint_c.high for film in films)
    return f"is pressed at {show_c(low, high)}"


def _bears_c(films: Sequence[Film]) -> str:
    return f"bears {show_c(max(film.bears_c for film in films))} once it is down"


def _needs_s(films: Sequence[Film]) -> str:
    low = min(film.dwell_s.low for film in films)
    high = max(film.dwell_s.high for film in films)
    return f"is pressed for {low:.0f} to {show_s(high)}"


def _bears_s(films: Sequence[Film]) -> str:
    return f"bears {show_s(max(film.bears_s for film in films))} of pressing in all"


def _foams(films: Sequence[Film]) -> str:
    return "foams, so that nothing is pressed after it"


_HEAT: dict[str, Callable[[Sequence[Film]], str]] = {
    "setpoint-window": _needs_c,
    "heat-order": _bears_c,
    "dwell-window": _needs_s,
    "pressed-seconds": _bears_s,
    "foams": _foams,
}


def say_way(upper: str, lower: str, way: Meets) -> Text:
    """How two pieces are to meet, as a wish.

    >>> print(say_way("text", "star", "inset-under"))
    text is to be inset in star, star's rim over its edge
    """
    wish = MEETING_WORDS[way].wish
    return Text(wish.format(upper=piece_name(upper), lower=piece_name(lower)))


def with_refused(problem: Problem) -> dict[str, tuple[Option, ...]]:
    """The films wished for each piece, with those that were refused at once."""
    return {
        piece.id: piece.options
        + tuple(refusal.option for refusal in piece.refused if refusal.option is not None)
        for piece in problem.pieces
    }
