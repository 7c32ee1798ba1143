"""Told: what a plan says of its sheets: tape under crosses, and film cut on several carriers."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from advisor.artwork.records import Artwork
from advisor.cutting.carriers import carriers_notes
from advisor.cutting.detail import smallest_width_mm
from advisor.cutting.layout import lay_out
from advisor.cutting.lettering import fitted_notes, letter_names
from advisor.cutting.records.cut import SizedCut
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.catalogue import Catalogue
from rules.facts.step import Step, Tape
from rules.facts.text import Text

__all__ = ["told_as_cut"]


def told_as_cut(
    plan: Plan, artwork: Artwork, job: Job, *, folder: Path, catalogue: Catalogue
) -> tuple[Plan, tuple[SizedCut, ...]]:
    """The plan with tape in the steps of each run whose sheets bear crosses, and these sheets.

    Its notes say which names are set narrower, where a film is worth cutting on several carriers,
    and from what width on windows and gaps leave nothing too fine, where they do.

    Args:
        artwork: that it was planned with, at the width of the largest garment.
        folder: where the names and their font are looked for.

    Raises:
        BadInputError: there is nothing to cut, or plan, artwork and names do not belong together.
    """
    names = letter_names(job.names, artwork, folder=folder) if job.names else ()
    sheets = lay_out(plan, artwork, catalogue=catalogue, names=names, rates=job.rates)
    marked = {
        size.width_mm for size in sheets if any(carrier.sheet.marks for carrier in size.carriers)
    }
    runs = {
        run.run for run in plan.runs if any(line.width_mm in marked for line in plan.lines_of(run))
    }
    tape = {n: what for run in runs for n, what in _taped(plan.steps, run)}
    steps = tuple(
        step.model_copy(update={"tape": tape[step.n]}) if step.n in tape else step
        for step in plan.steps
    )
    notes = (
        *plan.notes,
        *fitted_notes(names),
        *carriers_notes(plan, artwork, job.rates, catalogue),
        *_too_small(plan, artwork, catalogue),
    )
    return plan.model_copy(update={"steps": steps, "notes": notes}), sheets


def _too_small(plan: Plan, artwork: Artwork, catalogue: Catalogue) -> tuple[Text, ...]:
    """From what width on windows and gaps leave nothing too fine, where they do at some size."""
    if not any(piece.as_cut for piece in plan.pieces):
        return ()
    limit = smallest_width_mm(plan, artwork, catalogue=catalogue)
    return () if limit is None else (limit.told,)


def _taped(steps: Sequence[Step], run: int) -> list[tuple[int, Tape]]:
    """The step of a run that lays its first film, and its last peel."""
    own = [step for step in steps if step.run == run and step.pieces]
    laid = next(step.n for step in own if step.action == "press")
    peels = [step.n for step in own if step.action == "peel"]
    return [(laid, "under"), *((n, "off") for n in peels[-1:])]
