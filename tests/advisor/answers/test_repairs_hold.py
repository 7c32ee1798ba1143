"""Each repair of an impossible job plans when it is made; a rule that always stops has none."""

from __future__ import annotations

from typing import Any

import pytest

from advisor import plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from advisor.job.repaired import repaired_job
from rules.book.rule import Found, Judges
from tests.advisor.answers.test_added_rules import SVG, TRIAL, job, knowledge_with, rule_that

pytestmark = pytest.mark.slow

SEA, SUN = "#1b3a5c", "#f2c14e"
SPARKLE, MATTE = {"finish": "sparkle"}, {"finish": "matte"}


def impossible_job(sea: dict[str, str], sun: dict[str, str], meets: str, **more: object) -> Job:
    joint = {"upper": SUN, "lower": SEA, "meets": meets}
    return job(looks={SEA: sea, SUN: sun}, joints=[joint], **more)


TEE = {"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 200}
SILICONE = TEE | {"fabric": "nylon-silicone-coated", "quantity": 5}

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
    "one line of silicone nylon": job(garments=[TEE, SILICONE]),
    "a print that is too wide for its press": job(press="small-15x15"),
    "a print that is too wide for one of its garments": job(
        garments=[TEE, TEE | {"garment": "infant-bodysuit"}]
    ),
    "sparkle that presses cool": job(looks={SEA: SPARKLE | {"most_setpoint_c": 90}, SUN: MATTE}),
    "sparkle that peels cold": job(looks={SEA: SPARKLE | {"peel": "cold"}, SUN: MATTE}),
    "a film that is not on the shelf": job(
        looks={SEA: {"film": "matte-cold-peel"}, SUN: SPARKLE}, on_shelf_only=True
    ),
    "sparkle on acetate": job(
        looks={SEA: SPARKLE, SUN: MATTE}, garments=[TEE | {"fabric": "acetate-lining"}]
    ),
    "foam laps over reflective without a sample": impossible_job(
        {"finish": "reflective"}, {"finish": "raised"}, "lap", samples_allowed=False
    ),
}


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_each_repair_plans_when_it_is_made(name: str) -> None:
    wished = IMPOSSIBLE[name]
    made = plan(wished, svg=SVG)
    assert made.status == "impossible"
    assert made.repairs
    for changes in made.repairs:
        assert plan(repaired_job(wished, changes), svg=SVG, time_limit_s=0).status == "planned"


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
