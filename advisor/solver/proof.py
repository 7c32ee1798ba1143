"""Optimise: the best plan under the stated preference, proved, with OR-Tools through CPMpy."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from advisor.layering.assessment import objective
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.found import refuses
from advisor.solver.model import Cut
from advisor.solver.search import Search
from rules.errors import BadInputError, ProgramError

__all__ = ["Cut", "Optimum", "Refute", "optimise", "refined"]

Refute = Callable[[Assessment], tuple[Cut, ...]]


@dataclass(frozen=True, slots=True)
class Optimum:
    """The best plan, or that there is none, or that time ran out.

    Attributes:
        status: ``impossible`` is proved; ``unknown`` means that time ran out before any plan.
        optimal: whether the plan is proved best (or that there is none is proved).
        bound: no plan has a smaller objective; the objective itself when ``optimal``.
        objective: of the plan, in the order of ``advisor.layering.assessment.MEASURES``.
        seconds: that solving took, s.
        cuts: what ``refute`` had to say on the way.
    """

    status: Literal["planned", "impossible", "unknown"]
    assessment: Assessment | None
    optimal: bool
    bound: tuple[int, ...] | None
    objective: tuple[int, ...] | None
    seconds: float
    cuts: tuple[Cut, ...]


def optimise(
    problem: Problem,
    *,
    refute: Refute | None = None,
    time_limit_s: float = 20.0,
    warm_start: Assessment | None = None,
) -> Optimum:
    """The plan with the least objective: films, ways of meeting, presses and stages together.

    Args:
        refute: asked about each best plan; what it returns may not occur again, and the search
            goes on until it returns nothing (so a plan is proved best among those it lets stand).
        time_limit_s: after so many seconds the best plan so far is given with its bound.
        warm_start: a plan to begin from.

    Raises:
        BadInputError: the problem has no pieces.

    Text on sparkle cannot lap, so the text goes down first and the sparkle's rim over it:

    >>> from advisor.job.records.job import Rates, Wish
    >>> from advisor.job.records.print import EVERY_WAY
    >>> from advisor.layering.candidates import piece_with_options
    >>> from advisor.layering.stages import heat_limits
    >>> from advisor.layering.typed_print import stack_print
    >>> from rules.knowledge import load_knowledge
    >>> known = load_knowledge()
    >>> tee = known.catalogue.fabric("cotton-jersey-tee")
    >>> nested = stack_print(["star", "text"], fabric=tee, ways=EVERY_WAY, nested=True)
    >>> def piece(printed, finish):
    ...     return piece_with_options(printed, Wish(finish=finish), fabrics=[tee],
    ...                               knowledge=known, rates=Rates())
    >>> text_on_sparkle = Problem(
    ...     print=nested,
    ...     pieces=tuple(map(piece, nested.pieces, ["sparkle", "matte"])),
    ...     fabrics=(tee,),
    ...     limits=heat_limits([tee], known.catalogue.press("clamshell-38x38")),
    ...     knowledge=known,
    ... )
    >>> best = optimise(text_on_sparkle)
    >>> best.status, best.optimal, list(best.assessment.choice.meets.values())
    ('planned', True, ['inset-under'])
    """
    if not problem.pieces:
        raise BadInputError("there is nothing to press", field="pieces")
    return refined(problem, refute=refute, time_limit_s=time_limit_s, warm_start=warm_start)


def refined(
    problem: Problem,
    *,
    refute: Refute | None,
    time_limit_s: float,
    warm_start: Assessment | None = None,
    cuts: tuple[Cut, ...] = (),
    most_layers: int | None = None,
) -> Optimum:
    """`optimise` under cuts that are known before, and with at most so many films anywhere.

    Raises:
        ValueError: ``refute`` returned a cut that lets the same plan stand.
    """
    started = time.monotonic()
    known = cuts
    while True:
        search = Search(
            problem,
            cuts=cuts,
            deadline=started + time_limit_s,
            warm_start=warm_start,
            most_layers=most_layers,
        )
        found = search.run()
        taken_s = time.monotonic() - started
        new_cuts = cuts[len(known) :]
        if found is None or found.measures is None:
            if search.proved:
                return Optimum("impossible", None, True, None, None, taken_s, new_cuts)
            return Optimum("unknown", None, False, search.bound(), None, taken_s, new_cuts)
        new = refute(found) if refute is not None else ()
        if new:
            if not any(refuses(cut, found) for cut in new):
                raise ProgramError(
                    f"a cut lets the plan stand that it refutes: {new[0].sentence!s}"
                )
            cuts += new
            continue
        reached = objective(found.measures, problem.prefer)
        return Optimum("planned", found, search.proved, search.bound(), reached, taken_s, new_cuts)
