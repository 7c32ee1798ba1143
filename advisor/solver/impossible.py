"""Impossible: why a job cannot be done as wished, and the smallest changes that would do."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence

from advisor.layering.records.problem import Problem
from advisor.solver.conflict import Beyond, impossible_parts, minimal_conflict
from advisor.solver.records import Cut, ExamineOf, Impossible, Otherwise, RuleInstance, Swaps
from advisor.solver.repairs import repairs

__all__ = ["explain_impossible"]


def explain_impossible(
    problem: Problem,
    *,
    beyond: Beyond = lambda piece: (),
    swaps: Swaps = lambda piece: {},
    otherwise: Callable[[Sequence[RuleInstance]], Iterable[Otherwise]] = lambda conflict: (),
    cuts: Sequence[Cut] = (),
    examine_of: ExamineOf | None = None,
    time_limit_s: float = 20.0,
) -> Impossible:
    """Why nothing is possible, and every smallest set of changes that makes it possible.

    Args:
        beyond: as in `advisor.solver.conflict.minimal_conflict`.
        swaps: as in `advisor.solver.repairs.repairs`, and so ``examine_of``.
        otherwise: the same job changed as a whole, in the light of a conflict.
        cuts: what was found against drafted plans.
        time_limit_s: seconds for both; three quarters of them at most for the conflict, s.

    Raises:
        ProgramError: the problem can be planned.
    """
    bare = any(not piece.options and not piece.refused for piece in problem.pieces)
    started = time.monotonic()
    known_by, deadline = started + 0.75 * time_limit_s, started + time_limit_s
    among = None if bare else impossible_parts(problem, cuts=cuts, deadline=known_by)
    conflict, fewest = minimal_conflict(
        problem, cuts=cuts, among=among, beyond=beyond, deadline=known_by
    )
    return Impossible(
        conflict,
        repairs(
            problem,
            among=among,
            swaps=swaps,
            otherwise=otherwise(conflict),
            cuts=cuts,
            blamed=[piece for one in conflict for piece in one.pieces],
            examine_of=examine_of,
            deadline=deadline,
        ),
        fewest,
    )
