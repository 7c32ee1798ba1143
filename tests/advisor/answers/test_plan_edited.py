"""A plan that someone edited is judged whole: by what is pressed, not by what it says of itself."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor import check, plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.errors import UnknownNameError
from rules.facts.step import Step

ARTWORK = """
<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">
  <rect width="120" height="80" fill="#1b2a49"/>
  <rect x="30" y="20" width="60" height="40" fill="#ffffff"/>
</svg>
"""


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    folder: Path = tmp_path_factory.mktemp("edited")
    (folder / "art.svg").write_text(ARTWORK)
    job = Job.model_validate(
        {
            "job": "harbour",
            "artwork": "art.svg",
            "looks": {"default": {"film": "matte-smooth"}},
            "garments": [
                {"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 120},
                {"garment": "felt-pennant", "quantity": 5, "artwork_width_mm": 120},
            ],
        }
    )
    planned = plan(job, folder=folder)
    assert len(planned.runs) > 1
    return planned


def stops(edited: Plan) -> set[str]:
    return {f.rule for f in check(edited).findings if f.severity == "stop"}


def with_steps(made: Plan, steps: list[Step]) -> Plan:
    numbered = tuple(step.model_copy(update={"n": n}) for n, step in enumerate(steps, 1))
    return made.model_copy(update={"steps": numbered})


def test_as_it_was_planned_nothing_stops_it(made: Plan) -> None:
    assert stops(made) == set()


def test_a_carrier_that_is_never_peeled_is_a_stop(made: Plan) -> None:
    left_on = [step for step in made.steps if not (step.action == "peel" and step.pieces)]
    assert "all-finished" in stops(with_steps(made, left_on))


def test_a_piece_on_one_that_was_never_pressed_is_a_stop(made: Plan) -> None:
    lowest = made.pieces[0].id
    without = [
        step.model_copy(update={"pieces": tuple(p for p in step.pieces if p != lowest)})
        for step in made.steps
        if step.pieces != (lowest,)
    ]
    assert "press-order" in stops(with_steps(made, without))


def test_a_peel_before_the_press_is_a_stop(made: Plan) -> None:
    steps = list(made.steps)
    peel = next(i for i, step in enumerate(steps) if step.action == "peel" and step.pieces)
    first = next(i for i, step in enumerate(steps) if step.action == "press")
    steps.insert(first, steps.pop(peel))
    assert "carrier-off-first" in stops(with_steps(made, steps))


def test_a_press_at_a_heat_that_the_dial_was_not_set_to_is_a_stop(made: Plan) -> None:
    hotter = [
        step.model_copy(update={"setpoint_c": step.setpoint_c + 5})
        if step.action == "press" and step.setpoint_c
        else step
        for step in made.steps
    ]
    assert "setpoint-change" in stops(with_steps(made, hotter))


def test_a_later_run_at_a_heat_that_the_dial_was_not_set_to_is_a_stop(made: Plan) -> None:
    hotter = [
        step.model_copy(update={"setpoint_c": step.setpoint_c + 5})
        if step.run == 2 and step.setpoint_c
        else step
        for step in made.steps
        if not (step.run == 2 and step.action == "setpoint")
    ]
    assert "setpoint-change" in stops(with_steps(made, hotter))


def test_a_colour_that_its_film_does_not_come_in_is_a_stop(made: Plan) -> None:
    first, *others = made.pieces
    pieces = (first.model_copy(update={"colour": "teal", "srgb": "#008080"}), *others)
    assert "colour-match" in stops(made.model_copy(update={"pieces": pieces}))


def test_what_a_plan_says_of_a_colour_is_not_believed(made: Plan) -> None:
    first, *others = made.pieces
    pieces = (first.model_copy(update={"srgb": "#ff00ff"}), *others)
    assert check(made.model_copy(update={"pieces": pieces})).findings == check(made).findings


def edited(made: Plan, action: str, purpose: str | None = None, **changes: object) -> Plan:
    """The plan with the first such step of its first run changed."""
    steps = list(made.steps)
    at = next(i for i, s in enumerate(steps) if (s.action, s.purpose) == (action, purpose))
    steps[at] = steps[at].model_copy(update=changes)
    return with_steps(made, steps)


@pytest.mark.parametrize(
    ("action", "purpose", "changes", "rule"),
    [
        ("preheat", None, {"setpoint_c": 175.0}, "setpoint-change"),
        ("press", "tack", {"setpoint_c": 165.0}, "setpoint-change"),
        ("preheat", None, {"pressure_kpa": 15.0}, "pressure-window"),
        ("preheat", None, {"dwell_s": 300.0}, "preheat-dry"),
        ("preheat", None, {"setpoint_c": 55.0}, "setpoint-change"),
        ("press", "tack", {"pressure_kpa": 0.0}, "pressure-window"),
        ("press", "full", {"pad": "foam-pad-large"}, "pad-under-obstruction"),
    ],
)
def test_one_changed_step_is_one_stop(
    made: Plan, action: str, purpose: str | None, changes: dict[str, object], rule: str
) -> None:
    found = check(edited(made, action, purpose, **changes)).findings
    assert [f.rule for f in found if f.severity == "stop"] == [rule]


@pytest.mark.parametrize(
    ("changes", "named"),
    [({"pad": "towel"}, "no pad"), ({"cover": "towel"}, "no cover sheet")],
)
def test_a_sheet_that_the_shelf_lacks_is_refused_with_those_that_it_has(
    made: Plan, changes: dict[str, object], named: str
) -> None:
    with pytest.raises(UnknownNameError, match=named + r" \(step \d+\).*there are: "):
        check(edited(made, "press", "full", **changes))


@pytest.mark.parametrize("after", [0, 6])
def test_a_turn_of_what_does_not_open_is_a_stop(made: Plan, after: int) -> None:
    steps = list(made.steps)
    steps.insert(after, Step(n=1, action="turn"))
    assert stops(with_steps(made, steps)) == {"turned-for-nothing"}


def test_steps_that_never_say_a_pressure_are_no_go(made: Plan) -> None:
    unsaid = [
        step.model_copy(update={"pressure_kpa": None})
        for step in made.steps
        if step.action != "pressure"
    ]
    new = set(check(with_steps(made, unsaid)).findings) - set(check(made).findings)
    assert {(f.rule, f.severity) for f in new} == {("pressure-window", "sample")}


def test_a_dial_that_cannot_show_it_is_a_note_with_the_nearest_that_it_can(made: Plan) -> None:
    off = [
        step if step.setpoint_c is None else step.model_copy(update={"setpoint_c": 158.0})
        for step in made.steps
    ]
    told = [f for f in check(with_steps(made, off)).findings if f.rule == "press-range"]
    assert {(f.severity, str(f.instead)) for f in told} == {("note", "set 160 °C")}


def test_a_film_of_another_finish_than_was_wished_is_a_sample_first(made: Plan) -> None:
    first, *others = made.pieces
    glossy = first.model_copy(update={"film": "gloss-smooth"})
    report = check(made.model_copy(update={"pieces": (glossy, *others)}))
    assert [(f.severity, f.where) for f in report.findings if f.rule == "finish-match"] == [
        ("sample", first.id)
    ]
    assert not [f for f in check(made).findings if f.rule == "finish-match"]


def test_a_press_too_short_for_every_film_is_told_once_by_the_one_that_lacks_most(
    made: Plan,
) -> None:
    short = [
        step.model_copy(update={"dwell_s": 2.0}) if step.purpose == "full" else step
        for step in made.steps
        if step.run == 1
    ]
    rest = [step for step in made.steps if step.run != 1]
    report = check(with_steps(made, [*short, *rest]))
    told = [f for f in report.findings if (f.rule, f.severity) == ("bond-line-heat", "stop")]
    fabrics = made.runs[0].fabrics
    lacking = {
        f"{line.film} on {line.below}": line.needed_s - line.seconds_bonding
        for line in report.bond_lines
        if line.fabric in fabrics and line.seconds_bonding < line.needed_s
    }
    assert len(told) == 1 < len(lacking)
    assert set(str(told[0].where).split("; ")) == set(lacking)
    assert str(told[0].where).split("; ")[0] == max(lacking, key=lambda one: lacking[one])
