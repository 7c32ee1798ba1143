"""Conflict facts: what each tag of a conflict stands for, as a record of values."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from advisor.job.records.print import Pair
from advisor.layering.records.problem import Option, Problem, ProblemPiece
from advisor.solver.records import Cut, FactKind, RuleInstance
from advisor.solver.stack_limits import stack_limits
from advisor.solver.variables import DRAWN, Tag
from rules.alike import Pairs
from rules.facts.film import Film
from rules.facts.finding import Finding, Severity
from rules.facts.step import Meets
from rules.facts.text import Text, and_list, piece_name

__all__ = ["facts_of", "wished", "with_refused"]

OF_HEAT = {"setpoint-window", "heat-order", "dwell-window", "pressed-seconds", "foams"}
"""What the model says of a piece's films by itself, beside the findings on them."""

Options = Mapping[str, Sequence[Option]]
Judge = Callable[[Option, Option], tuple[Finding, ...]]


def facts_of(
    problem: Problem, tags: Sequence[Tag], options: Options, cuts: Sequence[Cut]
) -> list[RuleInstance]:
    """What the tags stand for; cuts of one rule that say the same are one cause.

    Args:
        options: the films open to each piece in the model, beyond its wish included.
    """
    wish = with_refused(problem)
    kept = {tag[1] for tag in tags if tag[0] == "wish"}
    # Where the wish is part of the conflict, what it forbids is said of its own films.
    known = {piece: wish[piece] if piece in kept else every for piece, every in options.items()}
    said: dict[object, RuleInstance] = {}
    ids = [piece.id for piece in problem.pieces]
    for tag in tags:
        one = _fact(problem, tag, known, cuts)
        key = (one.rule, one.said) if tag[0] == "cut" else tag
        if key in said:
            both = tuple(sorted({*one.pieces, *said[key].pieces}, key=ids.index))
            one = replace(one, pieces=both, where=Text(and_list(map(piece_name, both))))
        said[key] = one
    return list(said.values())


def wished(piece: ProblemPiece) -> RuleInstance:
    """The look wanted for a piece, as a fact."""
    films = [option.film for option in piece.options] + [
        refusal.option.film for refusal in piece.refused if refusal.option is not None
    ]
    return _at((piece.id,), "wish", "wish", said=Text(piece.wish), films=tuple(films))


def with_refused(problem: Problem) -> dict[str, tuple[Option, ...]]:
    """The films wished for each piece, with those that were refused at once."""
    return {
        piece.id: piece.options
        + tuple(refusal.option for refusal in piece.refused if refusal.option is not None)
        for piece in problem.pieces
    }


def _fact(problem: Problem, tag: Tag, options: Options, cuts: Sequence[Cut]) -> RuleInstance:
    rule, about = tag[0], tag[1:]
    limits = problem.limits
    if rule == "wish":
        return wished(problem.piece(about[0]))
    if rule == "wish-samples":
        return RuleInstance(rule, "wish", Text("the job"))
    if rule == "wish-meets":
        return _joint(
            (about[0], about[1]), rule, "wish", problem.meeting((about[0], about[1])).ways
        )
    if rule == "cut":
        cut = cuts[int(about[0])]
        fact = _at(cut.pieces, cut.rule, "press", said=cut.sentence)
        return fact if cut.pieces else replace(fact, where=Text("the garment"))
    if rule == "press-order":
        return _joint((about[0], about[1]), rule, "lies")
    if rule == "press-range":
        return RuleInstance(rule, "press", Text(limits.press.id), limits=limits)
    if rule == "fabric-heat-limit" and not about:
        return RuleInstance(rule, "fabric", Text("the garment"), limits=limits)
    if rule == "pressure-window":
        return RuleInstance(rule, "press", Text("the press"), about)
    if about == (DRAWN,):
        said = next(f.message for f in problem.drawn if _counts(problem, rule, f))
        return RuleInstance(rule, "film", Text("the artwork"), said=said)
    if about == ("stack",):
        return _of_stack(problem, rule, options)
    if len(about) == 2:
        return _between(problem, rule, (about[0], about[1]), options)
    return _of_piece(problem, rule, about[0], options)


def _at(
    pieces: tuple[str, ...], rule: str, kind: FactKind, *, said: Text, films: tuple[Film, ...] = ()
) -> RuleInstance:
    where = Text(and_list(map(piece_name, pieces)))
    return RuleInstance(rule, kind, where, pieces, said=said, films=films)


def _joint(pair: Pair, rule: str, kind: FactKind, ways: tuple[Meets, ...] = ()) -> RuleInstance:
    upper, lower = pair
    where = Text(f"{piece_name(upper)} on {piece_name(lower)}")
    return RuleInstance(rule, kind, where, (lower, upper), pair=pair, ways=ways)


def _of_stack(problem: Problem, rule: str, options: Options) -> RuleInstance:
    known = problem.knowledge.rules.by_id.get(rule)
    if known is not None:
        said: str = known.summary[0].lower() + known.summary[1:-1]
    else:
        limits = stack_limits(problem, options)
        said = next(str(one.finding.message) for one in limits if one.finding.rule == rule)
    return RuleInstance(rule, "film", Text("the stack"), said=Text(said))


def _of_piece(problem: Problem, rule: str, piece: str, options: Options) -> RuleInstance:
    films = tuple(option.film for option in options[piece])
    if rule in OF_HEAT:
        named = "foam-last" if rule == "foams" else rule
        return _at((piece,), named, "film", said=Text(), films=films)
    found = [
        [f for f in option.findings + option.fabric_findings if _counts(problem, rule, f)]
        for option in options[piece]
    ]
    drawn = [findings[0] for findings in found if findings]
    known = problem.knowledge.rules.by_id.get(rule)
    on_fabric = known is not None and known.judges == "film_on_fabric"
    fact = _at(
        (piece,), rule, "fabric" if on_fabric else "film", said=drawn[0].message, films=films
    )
    shelf = len(films) > len(with_refused(problem)[piece])
    return replace(fact, drawn=len(drawn), asked=len(films), shelf=shelf)


def _between(problem: Problem, rule: str, pair: Pair, options: Options) -> RuleInstance:
    above, below = (options[piece] for piece in pair)
    drawn: dict[tuple[int, int], Judge] = {}
    # Where the wish for a way is not part of the conflict, the others speak too.
    for wished_only in (True, False):
        for pairs, judge in _judgements(problem, pair, above, below, wished_only=wished_only):
            for severity in _severities(problem):
                for i, j in pairs.get((rule, severity), ()):
                    drawn.setdefault((j, i), judge)
        if drawn:
            break
    j, i = min(drawn)
    found = drawn[j, i](above[i], below[j])
    said = next(one for one in found if _counts(problem, rule, one)).message
    ids = [piece.id for piece in problem.pieces]
    pairings = {(above[i].film.id, below[j].film.id) for j, i in drawn}
    return replace(
        _joint(pair, rule, "film"),
        pieces=tuple(sorted(pair, key=ids.index)),
        said=said,
        drawn=len(pairings),
        asked=len({one.film.id for one in above}) * len({one.film.id for one in below}),
    )


def _judgements(
    problem: Problem,
    pair: Pair,
    above: Sequence[Option],
    below: Sequence[Option],
    *,
    wished_only: bool,
) -> Iterator[tuple[Pairs, Judge]]:
    """What is asked of two pieces, under the ways that are wished for or under all."""
    meeting = next((m for m in problem.meetings if set(m.pair) == set(pair)), None)
    ways: tuple[Meets, ...] = ("lap",)
    if meeting is not None:
        ways = meeting.ways if wished_only else meeting.open_ways
    over, under = ([option.film for option in options] for options in (above, below))
    front = meeting is None or meeting.pair == pair
    for rim, touches in (
        (False, front and "lap" in ways),
        (True, meeting is not None and ("inset-over" if front else "inset-under") in ways),
    ):
        if touches:
            pairs = problem.on_film_pairs(over, under, rim=rim)
            yield pairs, _of_films(partial(problem.on_film, rim=rim))
    if meeting is not None and front and not meeting.hidden:
        for way in ways:
            pairs = problem.at_joint_pairs(meeting, over, under, way)
            yield pairs, _of_films(partial(problem.at_joint, meeting, way=way))
        yield problem.seen_pairs(meeting, above, below), partial(problem.seen, meeting)


def _of_films(judge: Callable[[Film, Film], tuple[Finding, ...]]) -> Judge:
    """What is asked of two films, asked of two options."""
    return lambda upper, lower: judge(upper.film, lower.film)


def _severities(problem: Problem) -> tuple[Severity, ...]:
    """How serious a finding is that forbids."""
    return ("stop",) if problem.samples_allowed else ("stop", "sample")


def _counts(problem: Problem, rule: str, finding: Finding) -> bool:
    return finding.rule == rule and finding.severity in _severities(problem)
