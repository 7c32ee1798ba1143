"""Questions: what else there is beside a plan, and why not this film or that way of meeting."""

from __future__ import annotations

import time
from dataclasses import replace

from advisor.answers.examination import Drafts
from advisor.answers.impossible import clash, planned_changes
from advisor.answers.other_films import OtherFilms
from advisor.answers.plan import Solved
from advisor.answers.records import Answered, NextBest, OtherPlan
from advisor.job.records.plan import Plan, Proof
from advisor.solver.alternatives import Alternative, alternatives, with_another_film
from advisor.solver.why_not import WhyNot, read_question, why_not

__all__ = ["next_best", "other_plans", "why_not_this"]


def other_plans(
    solved: Solved, *, most: int = 3, time_limit_s: float = 20.0
) -> tuple[OtherPlan, ...]:
    """The best few plans that differ in a film, a way of meeting or a layer; none if impossible.

    Args:
        time_limit_s: seconds for all of them together, s.

    >>> from advisor.job.demo import DEMO_FOLDER
    >>> from advisor.answers.plan import solve
    >>> others = other_plans(solve(DEMO_FOLDER / "bags.yaml"), most=1)
    >>> [other.plan.status for other in others]
    ['planned']
    """
    if solved.best is None:
        return ()
    found = alternatives(
        solved.prepared.problem,
        solved.best,
        most=most,
        examine=_drafts(solved, time_limit_s).examine,
        time_limit_s=time_limit_s,
    )
    return tuple(other for each in found if (other := _other(solved, each)) is not None)


def next_best(solved: Solved, *, time_limit_s: float = 10.0) -> tuple[NextBest, ...]:
    """For each piece of the plan, the best plan with another film for it.

    A piece of which nothing is found in its share of the time is left out.

    Args:
        time_limit_s: seconds for all pieces together, s.

    >>> from advisor.job.demo import DEMO_FOLDER
    >>> from advisor.answers.plan import solve
    >>> found = next_best(solve(DEMO_FOLDER / "bags.yaml"))
    >>> all(one.other is not None and one.other.optimal for one in found)
    True
    """
    if solved.best is None:
        return ()
    found = with_another_film(
        solved.prepared.problem,
        solved.best,
        examine=_drafts(solved, time_limit_s).examine,
        time_limit_s=time_limit_s,
    )
    return tuple(NextBest(piece=piece, other=_other(solved, other)) for piece, other in found)


def _other(solved: Solved, other: Alternative | None) -> OtherPlan | None:
    made = None if other is None else _proved(solved, other, other.optimal)
    return None if made is None else OtherPlan(optimal=made.proof.optimal, plan=made)


def why_not_this(solved: Solved, question: str, *, time_limit_s: float = 20.0) -> Answered:
    """What stands against a wish, or what the best plan with it costs against the plan.

    Args:
        question: ``PIECE=FILM``, ``PIECE over PIECE`` or ``PIECE butt PIECE`` (or an inset);
            a piece is named by its fill, its id, or its colour or film in the plan.
        time_limit_s: seconds to look for an answer, s.

    Raises:
        BadInputError: it is no question, or names what the artwork or the shelf lacks.

    >>> from advisor.job.demo import DEMO_FOLDER
    >>> from advisor.answers.plan import solve
    >>> solved = solve(DEMO_FOLDER / "crew-tees.yaml")
    >>> why_not_this(solved, "#f2c14e=sparkle-coarse").possible
    True
    """
    problem = solved.prepared.problem
    asked = read_question(_by_fill(question, solved), problem, solved.best)
    films = {}
    if asked.film is not None:
        every = OtherFilms(solved.prepared).every(asked.piece)
        films = {option.film.id: option for option in every}
    drafts = _drafts(solved, time_limit_s)
    found = why_not(
        problem,
        solved.best,
        asked,
        films=films,
        examine=drafts.examine,
        examine_of=drafts.examine_of,
        time_limit_s=time_limit_s,
    )
    if found.impossible is not None:
        smallest = next(iter(found.impossible.repairs), None)
        return Answered(
            question=question,
            possible=False,
            stands_against=tuple(map(clash, found.impossible.conflict)),
            repair=planned_changes(smallest.changes, problem.print.lines) if smallest else (),
        )
    made = _proved(solved, found, found.known)
    return Answered(question=question, possible=None if made is None else True, plan=made)


def _drafts(solved: Solved, time_limit_s: float) -> Drafts:
    """The drafts of a plan, taken up again with time of their own."""
    return replace(solved.drafts, deadline=time.monotonic() + time_limit_s)


def _proved(solved: Solved, found: Alternative | WhyNot, optimal: bool) -> Plan | None:
    """The plan that was found, with its objective, if there is one."""
    if found.assessment is None:
        return None
    proof = Proof(
        optimal=optimal,
        bound=found.objective if optimal else None,
        objective=found.objective,
        measures=solved.plan.proof.measures,
    )
    return solved.of(found.assessment).model_copy(update={"proof": proof})


def _by_fill(question: str, solved: Solved) -> str:
    """The question with colours that name one piece of the plan put as that piece's id."""
    ids: dict[str, list[str]] = {}
    for piece in solved.plan.pieces:
        ids.setdefault(piece.colour, []).append(piece.id)
    once = {colour: pieces[0] for colour, pieces in ids.items() if len(pieces) == 1}
    if "=" in question:
        named, film = (part.strip() for part in question.split("=", 1))
        return f"{once.get(named, named)}={film}"
    return " ".join(once.get(word, word) for word in question.split())
