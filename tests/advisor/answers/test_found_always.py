"""What is refused whatever is chosen is refused by rules that do not look at what is chosen."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from advisor import plan
from advisor.answers.found_always import found_always
from advisor.answers.prepared_job import prepared_job
from advisor.job.records.job import Job
from rules.book.rule import Found, Judges
from rules.knowledge import load_knowledge
from tests.advisor.answers.test_added_rules import SVG, TRIAL, job, knowledge_with, rule_that


def test_a_sample_that_every_plan_wants_is_known_before_the_first_and_counted_once() -> None:
    """As of a print a little larger than its area: none without it is looked for in vain."""
    rule = rule_that("garment", "sample", lambda it: Found("a little large", it.garment.id))
    knowledge = knowledge_with(rule)
    prepared = prepared_job(job(), folder=Path(), svg=SVG, knowledge=knowledge)
    (known,) = found_always(prepared)
    assert known.always
    made, without = (plan(job(), svg=SVG, knowledge=one) for one in (knowledge, load_knowledge()))
    assert made.proof.optimal
    assert without.proof.optimal
    assert made.proof.objective is not None
    assert made.proof.objective[0] == sum(one.severity == "sample" for one in made.findings)
    assert [one.film for one in made.pieces] == [one.film for one in without.pieces]


def refused_by(judges: Judges, objects: Any) -> list[str]:
    rule = rule_that(judges, "stop", lambda it: Found("no", "here") if objects(it) else None)
    prepared = prepared_job(job(), folder=Path(), svg=SVG, knowledge=knowledge_with(rule))
    return [cut.rule for cut in found_always(prepared)]


@pytest.mark.parametrize(
    ("judges", "objects"),
    [
        ("garment", lambda it: bool(it.steps)),
        ("garment", lambda it: it.width_mm > 199 and it.garment.wearer == "adult"),
        ("safety", lambda it: it.steps and it.wearer == "adult"),
        ("bond_line", lambda it: True),
    ],
    ids=["any steps", "this print", "this wearer", "any bond line"],
)
def test_what_is_the_same_in_every_plan_is_refused_at_once(judges: Judges, objects: Any) -> None:
    assert refused_by(judges, objects) == [TRIAL]


@pytest.mark.parametrize(
    ("judges", "objects"),
    [
        ("garment", lambda it: not it.steps),
        ("garment", lambda it: len(it.steps) < 100),
        ("garment", lambda it: it.steps != ()),
        ("garment", lambda it: not isinstance(it.steps, list)),
        ("garment", lambda it: it.steps is not None and list(it.steps) != []),
        ("garment", lambda it: f"{it.steps}" != ""),
        ("garment", lambda it: "press" not in it.steps),
        ("garment", lambda it: it.steps[0:2] or True),
        ("garment", lambda it: not it.sheets),
        ("garment", lambda it: hash(it.steps) or True),
        ("safety", lambda it: not it.sheets),
        ("bond_line", lambda it: it.peak_c > 0),
        ("bond_line", lambda it: bool(it)),
        ("bond_line", lambda it: type(it).__name__ and getattr(it, "film", None)),
        ("schedule", lambda it: True),
    ],
)
def test_nothing_is_said_once_a_rule_has_looked_at_what_is_chosen(
    judges: Judges, objects: Any
) -> None:
    assert refused_by(judges, objects) == []


def test_a_fabric_that_is_touchy_is_one_sample_however_many_films_lie_on_it() -> None:
    """The films' windows begin at unlike degrees; what the press may mark is the one bag."""
    job_of_two = Job.model_validate(
        {
            "job": "bags",
            "artwork": "bag.svg",
            "looks": {"#1b3a5c": {"finish": "satin"}, "#f2c14e": {"finish": "sparkle"}},
            "garments": [{"garment": "shopping-bag", "quantity": 5, "artwork_width_mm": 90}],
        }
    )
    svg = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 40">
    <path d="M0 0H40V40H0z" fill="#1b3a5c"/><path d="M50 0H90V40H50z" fill="#f2c14e"/></svg>"""
    made = plan(job_of_two, svg=svg)
    lows = {load_knowledge().catalogue.film(piece.film).setpoint_c.low for piece in made.pieces}
    samples = [one for one in made.findings if one.severity == "sample"]
    assert len(lows) == 2
    assert [one.rule for one in samples] == ["fabric-heat-limit"]
    assert made.proof.objective is not None
    assert made.proof.objective[0] == 1


def test_what_nobody_sees_is_told_where_it_makes_a_job_impossible_and_is_left_out_first() -> None:
    """A sparkle square under a matte one as large: to leave the matte out would lose the print."""
    hidden = Job.model_validate(
        {
            "job": "hidden",
            "artwork": "two.svg",
            "looks": {"#f2c14e": {"finish": "sparkle"}, "#1b3a5c": {"finish": "matte"}},
            "garments": [{"garment": "adult-tee", "quantity": 3, "artwork_width_mm": 100}],
        }
    )
    svg = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 40">
    <path d="M5 5H35V35H5z" fill="#f2c14e"/><path d="M0 0H40V40H0z" fill="#1b3a5c"/></svg>"""
    made = plan(hidden, svg=svg)
    assert made.status == "impossible"
    assert any("lies wholly under other pieces" in note for note in made.notes)
    (first,) = made.repairs[0]
    assert (first.kind, first.pieces) == ("drop", ("fill-f2c14e",))
