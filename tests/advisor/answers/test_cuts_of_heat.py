"""Cuts of heat: what a cut says of one plan holds of every plan that it speaks of."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from advisor import plan
from advisor.answers.examination import Drafts
from advisor.answers.prepared_job import prepared_job
from advisor.job.records.job import Job
from advisor.layering.assessment import assess
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.pressing import Arrangement
from advisor.layering.records.problem import Choice, Problem
from advisor.solver.draft import refuses
from advisor.solver.proof import optimise
from advisor.solver.records import Cut
from rules.facts.step import Meets
from tests.advisor.answers.test_proof_doubted import may_be_laid, random_job

RIMS: tuple[Meets, ...] = ("inset-over", "inset-under", "butt")


def with_other_rims(problem: Problem, found: Assessment) -> list[Assessment]:
    """The same films in the same presses, each knocked-out pair meeting in every way open to it."""
    if found.grouping is None:
        return []
    edges = (0, *(stage.last + 1 for stage in found.stages))
    arrangement = Arrangement(found.grouping.groups, edges, fewest=False)
    open_to = [
        [way for way in meeting.ways if way in RIMS]
        if found.choice.meets[meeting.pair] in RIMS
        else [found.choice.meets[meeting.pair]]
        for meeting in problem.meetings
    ]
    plans = []
    for ways in product(*open_to):
        meets = {m.pair: way for m, way in zip(problem.meetings, ways, strict=True)}
        plan = assess(problem, Choice(found.choice.options, meets), arrangement=arrangement)
        if plan.measures is not None and may_be_laid(problem, plan, arrangement):
            plans.append(plan)
    return plans


def of_heat(cuts: tuple[Cut, ...]) -> set[tuple[str, int, int]]:
    """What heat found: refusals, samples by their number, and how late it lets a plan be."""
    late = sum(cut.ms for cut in cuts if cut.severity == "late")
    lines = [cut for cut in cuts if cut.rule == "bond-line-heat" and cut.presses]
    samples = len({cut.cause for cut in lines if cut.severity == "sample"})
    return {(str(any(cut.severity == "stop" for cut in lines)), samples, late)}


@pytest.mark.slow
def test_which_of_two_rims_goes_under_is_nothing_to_heat() -> None:
    alike = 0
    for number in (4, 7, 12, 20, 41, 46):
        job, svg, knowledge = random_job(number)
        prepared = prepared_job(job, folder=Path(), svg=svg, knowledge=knowledge)
        drafts = Drafts(prepared, deadline=-math.inf)
        best = optimise(replace(prepared.problem), time_limit_s=20).assessment
        if best is None:
            continue
        cuts = drafts.examine(best)
        knocked_out = [cut for cut in cuts if cut.apart]
        for other in with_other_rims(prepared.problem, best) if knocked_out else ():
            assert all(refuses(cut, other) for cut in knocked_out)
            assert of_heat(drafts.examine(other)) == of_heat(cuts)
            alike += other.choice.meets != best.choice.meets
    assert alike > 5


@pytest.mark.slow
def test_what_lies_too_deep_under_a_puff_gets_its_own_full_press_whatever_it_is_cut_from() -> None:
    """Pinned to the films chosen it was proved to want no sample; with any matte it must too."""
    art = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
    <rect width="100" height="100" fill="#e76f51"/><rect x="8" y="8" width="84" height="84"
    fill="#111111"/><rect x="20" y="20" width="60" height="60" fill="#14213d"/></svg>"""
    job = Job.model_validate(
        {
            "job": "puffed",
            "artwork": "puffed.svg",
            "looks": {"default": {"finish": "matte"}, "#14213d": {"finish": "puff"}},
            "garments": [{"garment": "adult-tee", "quantity": 12, "artwork_width_mm": 90}],
        }
    )
    made = plan(job, svg=art, time_limit_s=6)
    assert made.verdict == "go"
    full = [step for step in made.steps if step.purpose == "full"]
    assert len(full) >= 2
