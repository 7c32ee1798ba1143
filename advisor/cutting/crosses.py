"""Crosses: which steps of a plan tape under them or pull them off, as its sheets bear them."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.artwork.records import Artwork
from advisor.cutting.layout import lay_out
from advisor.cutting.records import Lettering
from advisor.job.records.job import Rates
from advisor.job.records.plan import Plan
from rules.catalogue import Catalogue
from rules.facts.step import Step, Tape

__all__ = ["with_tape"]


def with_tape(
    plan: Plan,
    artwork: Artwork,
    *,
    names: Sequence[Lettering],
    rates: Rates,
    catalogue: Catalogue,
) -> Plan:
    """The plan with tape in the steps of each run whose cut sheets bear crosses, and of no other.

    Args:
        artwork: that it was planned with, at any width.
        names: set on that artwork, if the plan has names.
        rates: what time costs, for which a cross is worth its film.

    Raises:
        BadInputError: there is nothing to cut, or plan, artwork and names do not belong together.
    """
    marked = {
        size.width_mm
        for size in lay_out(plan, artwork, catalogue=catalogue, names=names, rates=rates)
        if any(carrier.sheet.marks for carrier in size.carriers)
    }
    runs = {
        run.run for run in plan.runs if any(line.width_mm in marked for line in plan.lines_of(run))
    }
    tape = {n: what for run in runs for n, what in _taped(plan.steps, run)}
    steps = tuple(
        step.model_copy(update={"tape": tape[step.n]}) if step.n in tape else step
        for step in plan.steps
    )
    return plan.model_copy(update={"steps": steps})


def _taped(steps: Sequence[Step], run: int) -> list[tuple[int, Tape]]:
    """The step of a run that lays its first film, and its last peel."""
    own = [step for step in steps if step.run == run and step.pieces]
    laid = next(step.n for step in own if step.action == "press")
    peels = [step.n for step in own if step.action == "peel"]
    return [(laid, "under"), *((n, "off") for n in peels[-1:])]
