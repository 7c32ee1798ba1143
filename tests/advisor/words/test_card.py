"""The press card: all that is done at the press in ten lines, and nothing that is not done."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest

from advisor import check, plan
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from advisor.words.card import MOST_LINES, card_text, press_cards
from advisor.words.plan import step_title
from rules.catalogue import load_catalogue
from rules.facts.step import Step
from rules.facts.units import Units, both_degrees
from tests.advisor.answers.prints_orders import CREW, letters, written
from tests.advisor.command.command_line import run, run_json, write_job

KNOWN = load_catalogue()


@cache
def planned(job: str) -> Plan:
    return plan(DEMO_FOLDER / job)


def lines_of(made: Plan) -> list[str]:
    return [str(line) for line in card_text(press_cards(made, KNOWN.press(made.press)))]


@pytest.mark.parametrize("job", ["crew-tees.yaml", "bags.yaml", "wind-jackets.yaml"])
def test_a_demo_has_one_card_of_ten_lines_that_holds_every_number_of_its_steps(job: str) -> None:
    made = planned(job)
    (card,) = press_cards(made, KNOWN.press(made.press))
    assert len(card.lines) <= MOST_LINES
    said = "\n".join(lines_of(made))
    for step in made.steps:
        if step.setpoint_c is not None:
            assert f"{step.setpoint_c:.0f} °C" in said
        if step.dwell_s is not None:
            assert re.search(rf"\b{step.dwell_s:.0f} s\b", said), step
        if step.pressure_kpa is not None:
            assert f"({step.pressure_kpa:.0f} kPa)" in said
        for named in (step.cover, step.pad):
            assert named is None or named in said
    # Every film and colour that is laid, and each carrier is peeled once.
    for piece in made.pieces:
        assert piece.film in said
        assert piece.colour in said
    peels = [step for step in made.steps if step.action == "peel" and step.pieces]
    assert len(re.findall(r"\bpeel (hot|warm|cold)\b", said)) == len(peels)


def test_the_lines_stand_in_the_order_of_the_steps() -> None:
    assert lines_of(planned("crew-tees.yaml")) == [
        "Dial: 160 °C, medium (30 kPa)",
        "Preheat: 4 s",
        "1 navy matte-smooth: tape under its crosses, 2 s, peel hot",
        "2 sea-green and coral matte-smooth: 2 s, peel hot",
        "3 white matte-smooth: 2 s, peel hot",
        "4 gold sparkle-fine: 2 s, peel hot, tape off",
        "Final: 15 s under ptfe-cover, lift ptfe-cover",
    ]


def with_steps(made: Plan, *changed: Step) -> Plan:
    edited = {step.n: step for step in changed}
    return made.model_copy(update={"steps": tuple(edited.get(step.n, step) for step in made.steps)})


def test_a_step_that_was_edited_changes_its_line_and_no_other() -> None:
    made = planned("crew-tees.yaml")
    tack = next(step for step in made.steps if step.purpose == "tack")
    longer = with_steps(made, tack.model_copy(update={"dwell_s": 7}))
    before, after = lines_of(made), lines_of(longer)
    differ = [pair for pair in zip(before, after, strict=True) if pair[0] != pair[1]]
    assert differ == [
        (
            "1 navy matte-smooth: tape under its crosses, 2 s, peel hot",
            "1 navy matte-smooth: tape under its crosses, 7 s, peel hot",
        )
    ]


def test_a_dial_that_is_turned_on_the_way_is_told_where_it_is_turned() -> None:
    made = planned("crew-tees.yaml")
    full = next(step for step in made.steps if step.purpose == "full")
    turned = Step(n=99, action="setpoint", setpoint_c=150)
    steps = [step for step in made.steps if step.n < full.n]
    steps += [turned, full.model_copy(update={"setpoint_c": 150})]
    assert lines_of(made.model_copy(update={"steps": tuple(steps)}))[-2:] == [
        "Dial: 150 °C once every garment of the run is done at 160 °C",
        "Final: 15 s under ptfe-cover",
    ]
    assert [each.setpoint_c for each in made.dial] == [160]
    assert [each.setpoint_c for each in made.model_copy(update={"steps": tuple(steps)}).dial] == [
        160, 150,
    ]  # fmt: skip


def test_runs_that_are_pressed_alike_have_one_card_and_others_each_their_own() -> None:
    made = planned("crew-tees.yaml")
    (first,) = made.runs
    second = first.model_copy(update={"run": 2})
    again = tuple(step.model_copy(update={"run": 2, "n": step.n + 50}) for step in made.steps)
    press = KNOWN.press(made.press)
    twice = made.model_copy(update={"runs": (first, second), "steps": (*made.steps, *again)})
    (card,) = press_cards(twice, press)
    assert card.runs == (first, second)
    assert (
        len(press_cards(with_steps(twice, again[2].model_copy(update={"dwell_s": 9})), press)) == 2
    )


def test_many_layers_that_are_pressed_alike_share_a_line() -> None:
    made = planned("crew-tees.yaml")
    base, tack, peel = made.pieces[0], *made.steps[3:5]
    pieces, steps = [], list(made.steps[:3])
    for number in range(20):
        name = f"p{number}"
        pieces.append(base.model_copy(update={"id": name, "rank": number + 1}))
        n = 10 + 2 * number
        steps.append(tack.model_copy(update={"n": n, "pieces": (name,), "tape": None}))
        steps.append(peel.model_copy(update={"n": 11 + 2 * number, "pieces": (name,)}))
    many = made.model_copy(update={"pieces": tuple(pieces), "steps": tuple(steps)})
    lines = lines_of(many)
    assert len(lines) <= MOST_LINES
    assert all(f"{n + 1} navy matte-smooth (p{n})" in "\n".join(lines) for n in range(20))
    assert "each 2 s, peel hot" in "\n".join(lines)


def test_a_job_that_is_impossible_has_no_card() -> None:
    made = planned("crew-tees.yaml").model_copy(update={"runs": (), "steps": (), "pieces": ()})
    assert press_cards(made, KNOWN.press(made.press)) == ()


def test_it_is_read_in_the_units_of_the_person() -> None:
    made = planned("crew-tees.yaml")
    (card,) = press_cards(made, KNOWN.press(made.press))
    assert card.lines[0].do.shown(Units(fahrenheit=True)) == "320 °F, medium (30 kPa)"
    assert "320 °F" in both_degrees(made.dial[0].setpoint_c)


def test_a_plan_of_five_films_is_read_on_one_screen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("advisor.command.terminal.PLAIN_WIDTH", 80)
    shown = run("plan", DEMO_FOLDER / "crew-tees.yaml").stdout.splitlines()
    assert len(shown) <= 36
    assert max(map(len, shown)) <= 80
    # The card itself is on top: with the verdict it takes half a screen of 24 lines.
    assert next(n for n, line in enumerate(shown) if line.lstrip().startswith("Final")) < 15


def test_the_document_holds_card_and_dial_and_is_read_back(tmp_path: Path) -> None:
    job, out = write_job(tmp_path), tmp_path / "plan.json"
    document = run_json("plan", job, "--out", out)
    assert document["card"][0] == "Dial: 160 °C, medium (30 kPa)"
    assert 1 < len(document["card"]) <= MOST_LINES
    assert document["dial"] == [{"run": 1, "setpoint_c": 160.0, "pressure_kpa": 30.0}]
    # The dial is shown only: turned in the steps, it is judged so, and nothing contradicts.
    text = out.read_text("utf-8").replace('"setpoint_c": 160.0', '"setpoint_c": 155.0', 1)
    out.write_text(text, "utf-8")
    assert run_json("check", out)["steps"][0]["setpoint_c"] == 155


def test_every_card_can_be_read_by_itself() -> None:
    """A run that leaves dial and pressure as they stand has them on its card all the same."""
    made = planned("crew-tees.yaml")
    (first,) = made.runs
    second = first.model_copy(update={"run": 2})
    again = tuple(
        step.model_copy(update={"run": 2, "n": step.n + 50})
        for step in made.steps
        if step.action not in {"setpoint", "pressure"}
    )
    twice = made.model_copy(update={"runs": (first, second), "steps": (*made.steps, *again)})
    (card,) = press_cards(twice, KNOWN.press(made.press))
    assert card.runs == (first, second)
    assert str(card.lines[0].do).startswith("160 °C")


@pytest.mark.parametrize(
    ("garment", "inside", "told"),
    [
        ("mesh-bib", ("sheet",), "lay a cover sheet inside the garment, peel that sheet off warm"),
        ("lined-jacket", ("lining",), "draw the lining off the platen"),
        ("adult-tee", (), ""),
    ],
)
def test_what_is_done_inside_a_garment_stands_on_the_card_and_in_the_steps(
    garment: str, inside: tuple[str, ...], told: str
) -> None:
    report = check(fabric=garment, stack=["matte-nylon:black"])
    (preheat,) = (step for step in report.steps if step.action == "preheat")
    assert preheat.inside == inside
    bags = {"job": "inside", "artwork": str(DEMO_FOLDER / "bag.svg")}
    made = plan(
        Job.model_validate(
            {
                **bags,
                "looks": {"default": {"finish": "matte", "colour": "black"}},
                "garments": [{"garment": garment, "quantity": 3, "artwork_width_mm": 180}],
            }
        )
    )
    lines = lines_of(made)
    assert lines.count(f"Garment: {told}") == bool(told)
    titles = [step_title(step, {}) for step in made.steps if step.action == "preheat"]
    assert all(("inside" in title) == ("sheet" in inside) for title in titles)
    assert all(("lining" in title) == ("lining" in inside) for title in titles)
    saved = Plan.model_validate_json(made.model_dump_json())
    assert [step.inside for step in saved.steps] == [step.inside for step in made.steps]


def test_letterings_that_go_down_together_are_each_told_their_height_in_their_order(
    tmp_path: Path,
) -> None:
    prints = [letters("yoke", "name", 40), letters("back", "number", 150)]
    order = written(tmp_path, prints, people=CREW)
    (line,) = [line for line in run_json("plan", order)["card"] if "capitals" in line]
    assert "(yoke-name) and navy matte-smooth (back-number)" in line
    assert "capitals or digits 40 and 150 mm high" in line
