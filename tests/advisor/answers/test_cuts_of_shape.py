"""Cuts of shape: films of which a cut says that they are cut alike leave the same too fine."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

from advisor.answers.examination import Drafts
from advisor.answers.prepared_job import prepared_job
from advisor.job.records.job import Job
from advisor.layering.assessment import assess
from advisor.layering.records.problem import Choice
from advisor.solver.draft import refuses
from advisor.solver.proof import optimise
from advisor.solver.records import Cut
from rules.knowledge import load_knowledge

PENNANT = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<path d="M5 5H95V70L50 95L5 70Z" fill="#0b2545"/>
<path d="M12 12H88V66L50 87L12 66Z" fill="#d4a017"/>
<path d="M15 15H85V64L50 83.5L15 64Z" fill="#0b2545"/>
<path d="M50 22L57 42H78L61 55L67 75L50 63L33 75L39 55L22 42H43Z" fill="#ffffff"/>
<rect x="35" y="16" width="30" height="0.8" fill="#d4a017"/></svg>"""

JOB = Job.model_validate(
    {
        "job": "pennant",
        "artwork": "pennant.svg",
        "looks": {
            "#0b2545": {"finish": "raised"},
            "#d4a017": {"finish": "sparkle", "colour": "gold"},
            "default": {"finish": "matte"},
        },
        "garments": [{"garment": "adult-tee", "quantity": 5, "artwork_width_mm": 200}],
    }
)


@pytest.mark.slow
def test_films_that_draw_in_alike_leave_the_same_of_what_lies_beside_them() -> None:
    prepared = prepared_job(JOB, folder=Path(), svg=PENNANT, knowledge=load_knowledge())
    problem, luck = prepared.problem, random.Random(7)
    drafts = Drafts(prepared, deadline=float("inf"))
    best = optimise(problem, time_limit_s=20).assessment
    assert best is not None
    cuts = [cut for cut in drafts.examine(best) if cut.alike]
    assert cuts
    tried = 0
    for cut in cuts:
        for _ in range(12):
            options = dict(best.choice.options)
            for piece, films in cut.alike:
                open_to = [o for o in problem.piece(piece).options if o.film.id in films]
                options[piece] = luck.choice(open_to)
            other = assess(problem, Choice(options, best.choice.meets))
            if not other.possible or other.measures is None:
                continue
            assert refuses(cut, other)
            tried += of_shape(cut) in map(of_shape, found := drafts.examine(other))
            pressed = not any(one.forbids(replace(problem, samples_allowed=True)) for one in found)
            assert of_shape(cut) in map(of_shape, found) or not pressed
    assert tried > 5


def of_shape(cut: Cut) -> tuple[str, ...]:
    """What a cut is about: the rule, the piece at its size, and which of several."""
    return cut.cause
