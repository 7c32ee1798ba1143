"""Each repair of an impossible job plans when it is made; a rule that always stops has none."""

from __future__ import annotations

from typing import Any

import pytest

from advisor import plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Change, Plan
from rules.book.rule import Found, Judges
from tests.advisor.answers.test_added_rules import SVG, TRIAL, job, knowledge_with, rule_that

pytestmark = pytest.mark.slow

SEA, SUN = "#1b3a5c", "#f2c14e"
SPARKLE, MATTE = {"finish": "sparkle"}, {"finish": "matte"}


def impossible_job(sea: dict[str, str], sun: dict[str, str], meets: str, **more: object) -> Job:
    joint = {"upper": SUN, "lower": SEA, "meets": meets}
    return job(looks={SEA: sea, SUN: sun}, joints=[joint], **more)


IMPOSSIBLE = {
    "matte laps over sparkle": impossible_job(SPARKLE, MATTE, "lap"),
    "gloss laps over sparkle": impossible_job(SPARKLE, {"finish": "gloss"}, "lap"),
    "sparkle laps over sparkle": impossible_job(SPARKLE, SPARKLE, "lap"),
    "matte laps over foam": impossible_job({"finish": "raised"}, MATTE, "lap"),
    "matte laps over plush": impossible_job({"finish": "plush"}, MATTE, "lap"),
    "foam under foam": impossible_job(
        {"film": "foam-low-temperature"}, {"film": "foam-raised"}, "lap"
    ),
    "mirror laps over reflective": impossible_job(
        {"finish": "reflective"}, {"finish": "mirror"}, "lap"
    ),
    "a rim of sparkle under matte": impossible_job(SPARKLE, MATTE, "inset-over"),
    "sparkle on a silicone nylon": job(
        looks={SEA: SPARKLE, SUN: MATTE},
        garments=[
            {
                "garment": "adult-tee",
                "fabric": "nylon-silicone-coated",
                "quantity": 10,
                "artwork_width_mm": 200,
            }
        ],
    ),
    "foam laps over reflective without a sample": impossible_job(
        {"finish": "reflective"}, {"finish": "raised"}, "lap", samples_allowed=False
    ),
}

FILLS = {"fill-1b3a5c": SEA, "fill-f2c14e": SUN}


def repaired(wished: Job, changes: tuple[Change, ...]) -> Job:
    """The job as it is once the changes are made."""
    given: dict[str, Any] = wished.model_dump(exclude_none=True)
    for change in changes:
        if change.kind == "sample":
            given["samples_allowed"] = True
        elif change.kind == "meets":
            upper, lower = (FILLS[piece] for piece in change.pieces)
            given["joints"] = [{"upper": upper, "lower": lower, "meets": change.to}]
        elif change.kind == "film":
            given["looks"][FILLS[change.pieces[0]]] = {"film": change.to}
        elif change.kind == "fabric":
            given["garments"] = [line | {"fabric": change.to} for line in given["garments"]]
        else:
            given["leave_out"] = [*given.get("leave_out", ()), *change.pieces]
    return Job.model_validate(given)


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_each_repair_plans_when_it_is_made(name: str) -> None:
    wished = IMPOSSIBLE[name]
    made = plan(wished, svg=SVG)
    assert made.status == "impossible"
    assert made.repairs
    for changes in made.repairs:
        assert plan(repaired(wished, changes), svg=SVG, time_limit_s=0).status == "planned"


ALWAYS: dict[str, tuple[Judges, Any]] = {
    "a preheat": ("schedule", lambda it: it.step.action == "preheat"),
    "any step": ("schedule", lambda it: True),
    "any garment": ("garment", lambda it: bool(it.steps)),
    "any press": ("safety", lambda it: True),
    "any bond line": ("bond_line", lambda it: True),
}


def impossible_under(name: str) -> Plan:
    judges, objects = ALWAYS[name]
    rule = rule_that(judges, "stop", lambda it: Found("no", "here") if objects(it) else None)
    made = plan(job(), svg=SVG, knowledge=knowledge_with(rule))
    assert made.status == "impossible"
    return made


@pytest.mark.parametrize("name", ALWAYS)
def test_what_always_stops_has_no_repair_and_is_one_member_of_the_conflict(name: str) -> None:
    made = impossible_under(name)
    assert made.repairs == ()
    assert [clash.rule for clash in made.conflict].count(TRIAL) == 1
