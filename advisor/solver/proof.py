"""Proof: the best plan under the stated preference, and how sure it is that none is better."""

from __future__ import annotations

import time
from typing import Literal

from advisor.layering.assessment import assess
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.records import Cut, Examine, Optimum
from advisor.solver.search import Search
from rules.errors import BadInputError

__all__ = ["Cut", "Examine", "Optimum", "optimise"]


def optimise(
    problem: Problem,
    *,
    examine: Examine | None = None,
    time_limit_s: float = 20.0,
    warm_start: Assessment | None = None,
    cuts: tuple[Cut, ...] = (),
    most_layers: int | None = None,
) -> Optimum:
    """The plan with the least objective: films, ways of meeting, presses and stages together.

    Args:
        examine: asked about each drafted plan. A ``stop`` may not occur again; a ``sample`` adds
            itself and its spoilage to the objective; so a plan is proved best with all of them.
        time_limit_s: after so many seconds the best plan so far is given with its bound; a plain
            plan is looked for even where there are none.
        warm_start: a plan to begin from.
        cuts: what is known before.
        most_layers: at most so many films anywhere over one another.

    Raises:
        BadInputError: the problem has no pieces.
        ProgramError: ``examine`` returned a stop that lets the same plan stand.

    Text on sparkle cannot lap, so the text goes down first and the sparkle's rim over it:

    >>> from advisor.job.records.job import Rates, Wish
    >>> from advisor.layering.candidates import piece_with_options
    >>> from advisor.layering.stages import heat_limits
    >>> from advisor.layering.typed_print import stack_print
    >>> from rules.knowledge import load_knowledge
    >>> known = load_knowledge()
    >>> tee = known.catalogue.fabric("cotton-jersey-tee")
    >>> nested = stack_print(["star", "text"], fabric=tee)
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
    started = time.monotonic()
    search = Search(
        problem,
        examine=examine,
        cuts=cuts,
        most_layers=most_layers,
        deadline=started + time_limit_s,
    )
    if warm_start is not None:
        search.consider(assess(problem, warm_start.choice))
    search.run()
    taken_s, new = time.monotonic() - started, tuple(cut for cut in search.cuts if cut not in cuts)
    if search.best is None:
        status: Literal["impossible", "unknown"] = "impossible" if search.proved else "unknown"
        bound = None if search.proved else search.bound()
        return Optimum(status, None, search.proved, bound, None, taken_s, new)
    return Optimum(
        "planned", search.best, search.proved, search.bound(), search.reached, taken_s, new
    )
