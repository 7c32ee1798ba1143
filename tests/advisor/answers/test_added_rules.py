"""A rule of any subject, added to the rulebook, is honoured by planning and said by check.

Each trial rule objects to what the best plan without it does: where another choice exists the plan
has to change, and where none is left the rule has to be named as what stands in the way.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache
from typing import Any, NamedTuple, get_args

import pytest

from advisor import check, plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.book.rule import Found, Judges, Rule
from rules.facts.finding import Finding, Severity
from rules.facts.subjects import ScheduledStep, Subject
from rules.facts.text import Text
from rules.facts.trial import Occasion
from rules.knowledge import Knowledge, load_knowledge
from rules.rulebook import rulebook_of

SVG = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<rect x="10" y="10" width="80" height="80" fill="#1b3a5c"/>
<circle cx="50" cy="50" r="25" fill="#f2c14e"/>
<circle cx="80" cy="20" r="5" fill="#ffffff" opacity="0.2"/></svg>"""
LOWER, UPPER = "fill-1b3a5c", "fill-f2c14e"
ANY_FILM = {"#1b3a5c": {"finish": "matte"}, "#f2c14e": {"finish": "sparkle"}}
TRIAL = "trial"
KNOWN = load_knowledge()

pytestmark = pytest.mark.slow


def job(**more: object) -> Job:
    given = {
        "job": "sun",
        "artwork": "sun.svg",
        "looks": ANY_FILM,
        "on_shelf_only": False,
        "garments": [{"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 200}],
    }
    return Job.model_validate(given | more)


class Usual(NamedTuple):
    """What the best plan does where no rule was added."""

    lower: str
    upper: str
    meets: str
    setpoint_c: float | None


@cache
def usual() -> Usual:
    made = plan(job(), svg=SVG)
    films = {piece.id: piece.film for piece in made.pieces}
    (joint,) = made.joints
    (setpoint_c,) = {step.setpoint_c for step in made.steps if step.purpose == "full"}
    return Usual(films[LOWER], films[UPPER], joint.meets, setpoint_c)


def nothing_else(**more: object) -> Job:
    """The job that leaves no choice but the usual films and way."""
    films = {"#1b3a5c": {"film": usual().lower}, "#f2c14e": {"film": usual().upper}}
    joint = {"upper": "#f2c14e", "lower": "#1b3a5c", "meets": usual().meets}
    return job(looks=films, joints=[joint], **more)


class Trial(NamedTuple):
    """What a trial rule judges, and whether it objects to a thing."""

    judges: Judges
    objects: Callable[[Any], bool]


TRIALS = {
    "a film on the fabric": Trial(
        "film_on_fabric", lambda it: it.touches and it.film.id == usual().lower
    ),
    "a film on another": Trial(
        "film_on_film", lambda it: (it.lower.id, it.upper.id) == (usual().lower, usual().upper)
    ),
    "a way of meeting": Trial("joint", lambda it: it.meets == usual().meets),
    "two films named in a stack": Trial(
        "stack", lambda it: {usual().lower, usual().upper} <= {film.id for film in it.films}
    ),
    "a film's bond line": Trial("bond_line", lambda it: it.film.id == usual().upper),
    "the bond line of a film on another": Trial(
        "bond_line", lambda it: (it.below, it.film.id) == (usual().lower, usual().upper)
    ),
    "a step that finishes a film": Trial(
        "schedule",
        lambda it: usual().upper in {it.schedule.films[piece].id for piece in it.finishing},
    ),
    "a step that tacks a film": Trial(
        "schedule",
        lambda it: (
            it.step.purpose == "tack" and it.schedule.films[it.step.pieces[0]].id == usual().upper
        ),
    ),
    "a piece cut from a film": Trial(
        "artwork", lambda it: (it.piece, it.film.id) == (UPPER, usual().upper)
    ),
    "the setpoint of a full press": Trial(
        "garment",
        # Nor cooler: a base that is finished by itself is pressed as coolly as it bonds.
        lambda it: any(
            s.purpose == "full" and (s.setpoint_c or 0) <= (usual().setpoint_c or 0)
            for s in it.steps
        ),
    ),
    "a carrier that is peeled hot": Trial(
        "garment",
        lambda it: any(UPPER in step.pieces and step.peel == "hot" for step in it.steps),
    ),
    "a film beside another": Trial("seen", lambda it: it.film.id == usual().upper),
    "a film that may hurt": Trial(
        "safety", lambda it: usual().upper in {film.id for film in it.films}
    ),
}


def trial_rule(name: str, severity: Severity) -> Rule[Any]:
    trial = TRIALS[name]

    def finds(subject: Any) -> Found | None:
        return Found(f"{name} is on trial", "here") if trial.objects(subject) else None

    return rule_that(trial.judges, severity, finds)


def rule_that(
    judges: Judges, severity: Severity, finds: Callable[[Any], Found | None]
) -> Rule[Any]:
    return Rule(
        id=TRIAL,
        judges=judges,
        severity=severity,
        summary="Nothing is on trial.",
        why="It is put to the test.",
        instead="do it another way",
        basis="practice",
        source="common practice, no source",
        good={},
        bad={},
        finds=finds,
    )


def knowledge_with(rule: Rule[Any]) -> Knowledge:
    return replace(KNOWN, rules=rulebook_of([*KNOWN.rules.by_id.values(), rule]))


def on_trial(made: Plan) -> list[str]:
    return [finding.severity for finding in made.findings if finding.rule == TRIAL]


def samples_said(made: Plan) -> int:
    return sum(finding.severity == "sample" for finding in made.findings)


def samples_weighed(made: Plan) -> int:
    return dict(zip(made.proof.measures, made.proof.objective or (), strict=True))["samples"]


def test_every_subject_is_tried() -> None:
    tried = {trial.judges for trial in TRIALS.values()}
    assert tried | {"drawn"} == set(get_args(Judges))


def test_what_is_drawn_is_the_same_in_every_plan_so_its_rule_is_counted_or_stands_in_the_way() -> (
    None
):
    def made(severity: Severity) -> Plan:
        rule = rule_that("drawn", severity, lambda it: Found("no gleam", f"{it.where}"))
        return plan(nothing_else(), svg=SVG, knowledge=knowledge_with(rule))

    sampled = made("sample")
    assert on_trial(sampled) == ["sample"]
    assert samples_weighed(sampled) == samples_said(sampled)
    stopped = made("stop")
    assert stopped.status == "impossible"
    assert {clash.rule: str(clash.where) for clash in stopped.conflict}[TRIAL] == "the artwork"


@pytest.mark.parametrize("severity", ["stop", "sample"])
@pytest.mark.parametrize("name", TRIALS)
def test_the_plan_takes_another_way_where_there_is_one(name: str, severity: Severity) -> None:
    known = knowledge_with(trial_rule(name, severity))
    made = plan(job(), svg=SVG, knowledge=known)
    assert (made.status, on_trial(made)) == ("planned", [])
    assert made.verdict == "go"
    assert check(made, knowledge=known).findings == made.findings


@pytest.mark.parametrize("name", TRIALS)
def test_where_nothing_else_is_left_the_rule_is_what_stands_in_the_way(name: str) -> None:
    made = plan(nothing_else(), svg=SVG, knowledge=knowledge_with(trial_rule(name, "stop")))
    assert made.status == "impossible"
    assert TRIAL in {clash.rule for clash in made.conflict}


@pytest.mark.parametrize("name", TRIALS)
def test_a_sample_that_cannot_be_avoided_is_counted_and_said(name: str) -> None:
    known = knowledge_with(trial_rule(name, "sample"))
    made = plan(nothing_else(), svg=SVG, knowledge=known)
    assert made.status == "planned"
    assert set(on_trial(made)) == {"sample"}
    assert samples_weighed(made) == samples_said(made)
    assert check(made, knowledge=known).findings == made.findings


TWICE: dict[str, tuple[Judges, Callable[[Any], bool]]] = {
    "every step": ("schedule", lambda it: True),
    "every press": ("schedule", lambda it: it.step.action == "press"),
    "every bond line": ("bond_line", lambda it: True),
    "every film on the fabric": ("film_on_fabric", lambda it: True),
    "every piece": ("artwork", lambda it: True),
}


def objection(it: Any) -> str:
    """What is objected to: at each step something else, so that each is a cause of its own."""
    return f"no, not step {it.step.n}" if isinstance(it, ScheduledStep) else "no"


def test_what_a_rule_finds_alike_at_several_steps_is_one_cause() -> None:
    presses = TWICE["every press"][1]
    rule = rule_that("schedule", "sample", lambda it: Found("no") if presses(it) else None)
    known = knowledge_with(rule)
    made = plan(nothing_else(), svg=SVG, knowledge=known)
    [one] = [finding for finding in made.findings if finding.rule == TRIAL]
    pressed = [f"step {step.n}" for step in made.steps if step.action == "press"]
    assert len(pressed) > 1
    assert one.where.split(", ") == pressed
    assert samples_weighed(made) == samples_said(made)
    assert check(made, knowledge=known).findings == made.findings


@pytest.mark.parametrize("name", TWICE)
@pytest.mark.parametrize("fabrics", [(None,), (None, "cotton-fleece")])
def test_each_of_a_rules_findings_is_counted(name: str, fabrics: tuple[str | None, ...]) -> None:
    judges, objects = TWICE[name]
    rule = rule_that(judges, "sample", lambda it: Found(objection(it)) if objects(it) else None)
    known = knowledge_with(rule)
    lines = [{"garment": "adult-tee", "fabric": one, "artwork_width_mm": 200} for one in fabrics]
    made = plan(nothing_else(garments=lines), svg=SVG, knowledge=known, time_limit_s=3)
    assert len(on_trial(made)) > 1
    assert samples_weighed(made) == samples_said(made)
    assert check(made, knowledge=known).findings == made.findings


class ShopLog(NamedTuple):
    """Evidence that finds something in its own name on every subject of one kind."""

    kind: type
    severity: Severity

    def weigh(
        self, subject: Subject, findings: tuple[Finding, ...], at: Occasion
    ) -> tuple[Finding, ...]:
        if not isinstance(subject, self.kind):
            return findings
        seen = Finding(
            rule="shop-log",
            severity=self.severity,
            where=Text(subject.where),
            message=Text("seen in the shop"),
            why=Text("it was written down"),
            instead=Text("do it another way"),
            basis="practice",
        )
        return (*findings, seen)


@pytest.mark.parametrize("kind", get_args(Subject))
def test_a_stop_in_evidences_own_name_stands_in_the_way(kind: type) -> None:
    made = plan(
        nothing_else(), svg=SVG, knowledge=replace(KNOWN, evidence=(ShopLog(kind, "stop"),))
    )
    assert made.status == "impossible"
    assert "shop-log" in {clash.rule for clash in made.conflict}


@pytest.mark.parametrize("kind", get_args(Subject))
def test_a_sample_in_evidences_own_name_is_counted_and_said(kind: type) -> None:
    known = replace(KNOWN, evidence=(ShopLog(kind, "sample"),))
    made = plan(nothing_else(), svg=SVG, knowledge=known, time_limit_s=3)
    assert made.status == "planned"
    assert "shop-log" in {finding.rule for finding in made.findings}
    assert samples_weighed(made) == samples_said(made)
    assert check(made, knowledge=known).findings == made.findings


@pytest.mark.parametrize("name", TRIALS)
def test_a_sample_that_is_not_allowed_stands_in_the_way(name: str) -> None:
    known = knowledge_with(trial_rule(name, "sample"))
    made = plan(nothing_else(samples_allowed=False), svg=SVG, knowledge=known)
    assert made.status == "impossible"
    assert TRIAL in {clash.rule for clash in made.conflict}
