"""Why not: what stands against a wanted film or way of meeting, or the best plan with it."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor.job.records.print import EVERY_WAY
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Option, Problem
from advisor.solver.impossible import explain_impossible
from advisor.solver.proof import optimise
from advisor.solver.records import Examine, ExamineOf, Impossible
from rules.errors import BadInputError, UnknownNameError
from rules.facts.step import Meets

__all__ = ["Question", "WhyNot", "read_question", "why_not"]


@dataclass(frozen=True, slots=True)
class Question:
    """What is asked for: a film for a piece, or a way for two pieces to meet.

    Attributes:
        piece: the piece, or the one in front.
        film: wanted for it; ``None`` in a question about meeting.
        lower: the piece behind; ``None`` in a question about a film.
        way: how they are to meet.
    """

    piece: str
    film: str | None = None
    lower: str | None = None
    way: Meets = "lap"


@dataclass(frozen=True, slots=True)
class WhyNot:
    """The answer.

    Attributes:
        impossible: what stands against it and what would help; ``None`` where it can be.
        assessment: the best plan with it, where it can be.
        objective: of that plan.
        known: whether the answer is proved; if not, time ran out.
    """

    question: Question
    impossible: Impossible | None
    assessment: Assessment | None
    objective: tuple[int, ...] | None
    known: bool


def read_question(text: str, problem: Problem, best: Assessment | None = None) -> Question:
    """A question as it is typed: ``text=matte-thin``, ``gold over navy`` or ``gold butt navy``.

    Pieces are named by their id, their fill, or the film that the best plan gives them.

    Raises:
        BadInputError: it is neither form.
        UnknownNameError: a piece is not in the artwork.

    >>> from advisor.job.records.print import NOTHING_PRINTED
    >>> from advisor.layering.records.pressing import HeatLimits
    >>> from rules.knowledge import load_knowledge
    >>> known = load_knowledge()
    >>> limits = HeatLimits(200, "cotton", 200, known.catalogue.press("clamshell-38x38"))
    >>> read_question("text", Problem(NOTHING_PRINTED, (), (), limits, known))
    Traceback (most recent call last):
    ...
    rules.errors.BadInputError: 'text' is no question; ask PIECE=FILM or PIECE over PIECE
    """
    if "=" in text:
        piece, film = (part.strip() for part in text.split("=", 1))
        return Question(_piece(piece, problem, best), film=film)
    words = text.split()
    ways: dict[str, Meets] = {"over": "lap", **{way: way for way in EVERY_WAY}}
    if len(words) == 3 and words[1] in ways:
        upper, lower = _piece(words[0], problem, best), _piece(words[2], problem, best)
        return Question(upper, lower=lower, way=ways[words[1]])
    raise BadInputError(f"{text!r} is no question; ask PIECE=FILM or PIECE over PIECE")


def why_not(
    problem: Problem,
    best: Assessment | None,
    question: Question | str,
    *,
    films: dict[str, Option] | None = None,
    examine: Examine | None = None,
    examine_of: ExamineOf | None = None,
    time_limit_s: float = 20.0,
) -> WhyNot:
    """What stands against a wish, or the best plan with it.

    Args:
        best: the best plan, if there is one; a piece may be named by the film that it has there.
        films: films that may be asked about although no wish names them, by id, as options of
            the piece in question.
        examine: as in `advisor.solver.proof.optimise`; ``examine_of`` as in
            `advisor.solver.repairs.repairs`.

    Raises:
        BadInputError: the film is not among the piece's candidates, or the pieces do not meet.
        UnknownNameError: a piece is not in the artwork.
    """
    asked = read_question(question, problem, best) if isinstance(question, str) else question
    wished = _with_wish(problem, asked, films or {})
    found = optimise(wished, examine=examine, time_limit_s=time_limit_s)
    if found.status == "impossible":
        why = explain_impossible(
            wished, cuts=found.cuts, examine_of=examine_of, time_limit_s=time_limit_s
        )
        return WhyNot(asked, why, None, None, known=True)
    return WhyNot(asked, None, found.assessment, found.objective, known=found.optimal)


def _piece(name: str, problem: Problem, best: Assessment | None) -> str:
    for piece in problem.pieces:
        fill = piece.fill.lower()
        # A shell takes # for the start of a comment, so many leave it out.
        if name.lower() in {piece.id.lower(), fill, fill.removeprefix("#")}:
            return piece.id
    if best is not None:
        named = [piece for piece, option in best.choice.options.items() if option.film.id == name]
        if len(named) == 1:
            return named[0]
    raise UnknownNameError("piece", name, [piece.id for piece in problem.pieces])


def _with_wish(problem: Problem, asked: Question, films: dict[str, Option]) -> Problem:
    if asked.film is None:
        return _with_meeting(problem, asked)
    piece = problem.piece(asked.piece)
    options = tuple(option for option in piece.options if option.film.id == asked.film)
    refused = tuple(refusal for refusal in piece.refused if refusal.film == asked.film)
    if not options and not refused:
        extra = films.get(asked.film)
        if extra is None:
            known = [o.film.id for o in piece.options] + [r.film for r in piece.refused]
            raise BadInputError(
                f"{asked.film} does not give the look wished for {piece.id}; what does: "
                f"{', '.join(dict.fromkeys(known))}"
            )
        options = (extra,)
    narrowed = replace(piece, options=options, refused=refused, wish=asked.film)
    return replace(
        problem,
        pieces=tuple(narrowed if other.id == piece.id else other for other in problem.pieces),
    )


def _with_meeting(problem: Problem, asked: Question) -> Problem:
    pair = (asked.piece, asked.lower)
    meeting = next((one for one in problem.meetings if one.pair == pair), None)
    if meeting is None:
        behind = any(one.pair == pair[::-1] for one in problem.meetings)
        reason = "lies behind it in the artwork" if behind else "does not meet it"
        raise BadInputError(f"{asked.piece} cannot go over {asked.lower}: it {reason}")
    if asked.way not in meeting.open_ways:
        raise BadInputError(
            f"{asked.piece} and {asked.lower} cannot meet as {asked.way}; open to them: "
            f"{', '.join(meeting.open_ways)}"
        )
    return problem.narrowed({}, {meeting.pair: asked.way})
