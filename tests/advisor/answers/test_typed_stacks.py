"""Typed stacks: check gives the best schedule there is, and a look's best five are the best."""

from __future__ import annotations

import math
import random
from dataclasses import replace
from itertools import groupby

import pytest

from advisor import check, look
from advisor.answers.best_schedule import _samples_foreseen, pinned
from advisor.answers.examination import Drafts
from advisor.answers.typed_stack import best_of_stack, job_of_stack, typed_stack
from advisor.job.records.print import EVERY_WAY
from advisor.layering.schedules import schedules_of
from advisor.solver.draft import with_late
from advisor.solver.listing import list_choices
from advisor.solver.proof import optimise
from rules.errors import BadInputError, UnknownNameError
from rules.facts.finding import worst_first
from rules.facts.step import Meets
from rules.knowledge import load_knowledge
from tests.advisor.solver.test_ways import rows_of

KNOWN = load_knowledge()
STACKS = [
    ("cotton-jersey-tee", ("matte-smooth", "sparkle-coarse"), ("lap",)),
    ("cotton-jersey-tee", ("sparkle-coarse", "matte-smooth"), ("inset-under",)),
    ("cotton-jersey-tee", ("matte-smooth", "gloss-smooth", "sparkle-coarse"), ("lap", "lap")),
    ("polyester-jersey", ("metallic-low-temperature", "high-build-soft"), ("lap",)),
    ("cotton-jersey-tee", ("dye-blocking-thin", "flock-plush"), ("lap",)),
    ("cotton-fleece", ("matte-smooth", "flock-short"), ("butt",)),
    ("adult-tee", ("matte-smooth", "foam-raised"), ("lap",)),
]

DEEP: list[tuple[str, tuple[str, ...], tuple[Meets, ...]]] = [
    ("adult-tee", ("matte-smooth", "satin-smooth", "clear-gloss", "metallic-smooth"), ("lap",) * 3),
    ("canvas-tote", ("matte-thin", "gloss-smooth", "sparkle-fine"), ("lap", "inset-under")),
]


@pytest.mark.slow
@pytest.mark.parametrize(("fabric", "films", "meets"), STACKS)
def test_the_schedule_is_as_good_as_the_solver_finds(
    fabric: str, films: tuple[str, ...], meets: tuple[Meets, ...]
) -> None:
    stack = typed_stack(films, meets, fabric=fabric, press="clamshell-38x38", knowledge=KNOWN)
    best, (prepared, choice) = best_of_stack(stack), job_of_stack(stack)
    open_ = Drafts(prepared)
    solved = optimise(pinned(prepared.problem, choice), examine=open_.examine)
    assert solved.optimal
    assert (best.plan is None) == (solved.status == "impossible")
    if best.plan is not None:
        assert best.objective == solved.objective


@pytest.mark.parametrize(("fabric", "films", "meets"), STACKS)
def test_the_steps_that_are_given_are_judged_alike_when_they_are_typed(
    fabric: str, films: tuple[str, ...], meets: tuple[Meets, ...]
) -> None:
    report = check(fabric=fabric, stack=films, meets=meets)
    again = check(fabric=fabric, stack=films, meets=meets, steps=report.steps)
    assert again.steps_given
    assert again.bond_lines == report.bond_lines
    if report.verdict != "stop":
        assert (again.verdict, again.findings) == (report.verdict, report.findings)


def test_what_is_foreseen_without_heat_is_never_more_than_the_finished_plan_says() -> None:
    # Bound against full weighing, on every schedule that these stacks have.
    told_of: list[int] = []
    drawn_in: list[tuple[str, tuple[str, ...], tuple[Meets, ...]]] = [
        (
            "cotton-jersey-tee",
            ("matte-thin", "matte-thick", "holographic-low-temperature"),
            ("lap", "inset-over"),
        ),
        (
            "nylon-woven",
            ("gloss-smooth", "printable-thin", "matte-low-temperature"),
            ("lap", "inset-over"),
        ),
    ]
    for fabric, films, meets in [*STACKS, *DEEP, *drawn_in]:
        stack = typed_stack(films, meets, fabric=fabric, press="clamshell-38x38", knowledge=KNOWN)
        prepared, choice = job_of_stack(stack)
        problem = pinned(prepared.problem, choice)
        drafts = Drafts(replace(prepared, problem=problem), deadline=-math.inf)
        for found in schedules_of(problem, choice):
            if found.measures is None:
                continue
            told, cuts = _samples_foreseen(drafts.prepared, found), drafts.examine(found)
            if not any(cut.forbids(problem) for cut in cuts):
                measures = with_late(problem, found, cuts).measures
                assert measures is not None
                assert told <= measures.samples - found.measures.samples
                told_of.append(told)
    assert set(told_of) >= {0, 1}


def test_no_stack_is_stopped_by_a_schedule_where_another_does() -> None:
    # A longer tack leaves too little after the usual first press; a shorter press leaves enough.
    stack = ("metallic-low-temperature", "high-build-soft")
    report = check(fabric="polyester-jersey", stack=stack)
    assert report.verdict == "sample"
    weighty = {f.rule for f in report.findings if f.severity != "note"}
    assert not weighty & {"dwell-window", "pressed-seconds"}


def test_what_cannot_be_pressed_is_a_stop_with_its_reasons_and_the_steps_that_fail() -> None:
    report = check(fabric="cotton-jersey-tee", stack=("dye-blocking-thin", "flock-plush"))
    assert report.verdict == "stop"
    assert report.findings[0].rule == "bond-line-heat"
    assert report.findings == worst_first(report.findings)
    assert report.steps
    assert report.bond_lines


@pytest.mark.parametrize(
    ("meets", "error", "says"),
    [
        (("lap", "lap"), BadInputError, "2 films take 1 ways of meeting.*2 given"),
        ((), BadInputError, "0 given"),
        (("over",), UnknownNameError, "no way of meeting is called 'over'"),
    ],
)
def test_ways_that_do_not_fit_are_refused(
    meets: tuple[Meets, ...], error: type[Exception], says: str
) -> None:
    with pytest.raises(error, match=says):
        check(fabric="denim", stack=("matte-smooth", "sparkle-coarse"), meets=meets)


def test_films_meet_as_the_check_says_and_laps_are_the_usual() -> None:
    stack = ("matte-smooth", "sparkle-coarse")
    assert check(fabric="denim", stack=stack).meets == ("lap",)
    of_ways = {way: check(fabric="denim", stack=stack, meets=(way,)) for way in EVERY_WAY}
    assert {report.meets for report in of_ways.values()} == {(way,) for way in EVERY_WAY}
    first = {
        way: next(s.pieces for s in report.steps if s.action == "press" and s.pieces)
        for way, report in of_ways.items()
    }
    assert first["inset-under"] == ("sparkle-coarse",)
    assert first["lap"] == first["inset-over"] == ("matte-smooth",)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("finishes", "fabric"),
    [(("glow", "mirror"), "adult-tee"), (("metallic", "clear"), "polyester-jersey")],
)
def test_the_best_few_are_the_best_of_all_that_is_judged(
    finishes: tuple[str, ...], fabric: str
) -> None:
    judged = []
    for row in rows_of(*finishes, fabric=fabric):
        for found in list_choices(row).assessments:
            films = tuple(film.id for film in found.choice.films.values())
            meets = tuple(found.choice.meets.values())
            stack = typed_stack(
                films, meets, fabric=fabric, press="clamshell-38x38", knowledge=KNOWN
            )
            best = best_of_stack(stack)
            if best.plan is not None:
                judged.append((tuple(sorted(films)), best.objective, films, meets))
    of_sets = [
        min((objective, films, meets) for _, objective, films, meets in alike)
        for _, alike in groupby(sorted(judged), key=lambda one: one[0])
    ]
    given = [(answer.films, answer.meets) for answer in look(*finishes, fabric=fabric).answers]
    assert given == [(films, meets) for _, films, meets in sorted(of_sets)[: len(given)]]
    assert len(given) == min(5, len(of_sets))
    every = look(*finishes, fabric=fabric, most=None).answers
    assert [(a.films, a.meets) for a in every] == [(f, m) for _, f, m in sorted(of_sets)]


@pytest.mark.slow
def test_a_stack_of_random_films_gets_no_verdict_that_its_own_steps_deny() -> None:
    draw = random.Random(10)
    films = sorted(KNOWN.catalogue.films)
    for _ in range(12):
        stack = tuple(draw.choices(films, k=draw.randint(1, 3)))
        meets = tuple(draw.choice(EVERY_WAY) for _ in stack[1:])
        fabric = draw.choice(sorted(KNOWN.catalogue.fabrics))
        report = check(fabric=fabric, stack=stack, meets=meets)
        again = check(fabric=fabric, stack=stack, meets=meets, steps=report.steps)
        assert again.verdict == report.verdict or report.verdict == "stop", (fabric, stack, meets)


def test_what_was_asked_before_changes_no_answer() -> None:
    def ask() -> str:
        return look("plush", "glow", fabric="cotton-jersey-tee").model_dump_json()

    first = ask()
    for answer in look("plush", "glow", fabric="cotton-jersey-tee", most=None).answers:
        check(fabric="cotton-jersey-tee", stack=answer.films, meets=answer.meets)
        check(fabric="cotton-jersey-tee", stack=answer.films[::-1])
    assert ask() == first


def test_foil_under_flock_is_judged_by_no_press_that_adds_a_stop_of_its_own() -> None:
    """They share 155 °C and no time: whoever shares a dial is not told that it is wrong."""
    stack, on = ["metallic-foil:gold", "flock-plush"], "denim-jacket"
    report = check(fabric=on, stack=stack, area="back", size_mm=(200, 200))
    foil, flock = (KNOWN.catalogue.film(name) for name in report.films)
    shared_c = (flock.setpoint_c.low, foil.setpoint_c.high)
    assert shared_c[0] <= shared_c[1]
    assert foil.dwell_s.high < flock.dwell_s.low
    (full,) = (step for step in report.steps if step.purpose == "full")
    assert shared_c[0] <= (full.setpoint_c or 0) <= shared_c[1]
    assert full.dwell_s is not None
    assert full.dwell_s >= flock.dwell_s.low
    stops = {one.rule for one in report.findings if one.severity == "stop"}
    # Either the flock's adhesive stays short of heat or the foil is pressed too long.
    assert stops == {"dwell-window", "pressed-seconds"}
    for dwell_s in (15, 16, 17, 20, 25):
        steps = [
            s.model_copy(update={"dwell_s": dwell_s}) if s == full else s for s in report.steps
        ]
        other = check(fabric=on, stack=stack, area="back", size_mm=(200, 200), steps=steps)
        assert {one.rule for one in other.findings if one.severity == "stop"} - {"dwell-window"}
