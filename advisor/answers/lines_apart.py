"""Lines apart: garments that share a print, and would need no sample in films of their own."""

from __future__ import annotations

import time
from collections.abc import Callable

from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.facts.text import Text, and_list

__all__ = ["told_of_lines_apart"]

EACH_S = 5.0
"""How long one line by itself is planned, s: what is told of it need not be proved."""


def told_of_lines_apart(
    job: Job, plan: Plan, *, solve_in: Callable[[Job, float], Plan], deadline: float
) -> Plan:
    """The plan of a print, saying which of its garments alone would need no sample in which films.

    One artwork at one place is cut from the same films for every garment that bears it; where a
    coated jacket is among tees, it may ask for a sample that films of its own would not.

    Args:
        solve_in: plans a job in so many seconds.
        deadline: of ``time.monotonic``, after which no other line is tried.
    """
    if not plan.wants_sample or len(job.garments) < 2:
        return plan
    told, taken = [], _films(plan)
    for line, printed in zip(job.garments, plan.print.lines, strict=True):
        within_s = min(EACH_S, deadline - time.monotonic())
        if within_s <= 0:
            break
        alone = solve_in(job.model_copy(update={"garments": (line,)}), within_s)
        if alone.status == "planned" and alone.verdict == "go" and _films(alone) != taken:
            cut_from = (f"{colour} {film}" for film, colour in _films(alone).values())
            films = and_list(dict.fromkeys(cut_from))
            told.append(
                Text(
                    f"{line.quantity} × {printed.worn} by themselves need no sample in {films}: "
                    "name these films in the looks of their own line, and they are planned apart"
                )
            )
    return plan.model_copy(update={"notes": (*plan.notes, *told)}) if told else plan


def _films(plan: Plan) -> dict[str, tuple[str, str]]:
    return {piece.id: (piece.film, piece.colour) for piece in plan.pieces}
