"""One dial for a job: whole steps, one setting for its runs where that will do, never back down."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest

from advisor import plan
from advisor.answers.check_order import check_order
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.knowledge import Knowledge, load_knowledge
from tests.advisor.answers.prints_orders import block
from tests.advisor.answers.prints_orders import planned as of_order

KNOWN = load_knowledge()
UNLIKE = ("adult-tee", "zip-hoodie", "beanie")
"""Pressed with and without a pad, and of a fibre that bears less."""


def planned(
    garments: Sequence[str], *, film: str = "matte-low-temperature", known: Knowledge = KNOWN
) -> Plan:
    job = Job.model_validate(
        {
            "job": "harbour",
            "artwork": "badge.svg",
            "looks": {"default": {"film": film}, "#1b3a5c": {"finish": "matte"}},
            "garments": [
                {"garment": garment, "quantity": 5, "artwork_width_mm": 60} for garment in garments
            ],
            "press": "clamshell-38x38",
        }
    )
    made = plan(job, folder=DEMO_FOLDER, knowledge=known)
    assert made.status == "planned"
    return made


def dialled(made: Plan) -> list[float]:
    """Every setting of the dial, in order."""
    return [step.setpoint_c or 0.0 for step in made.steps if step.action == "setpoint"]


def pressed_at(made: Plan, garment: str) -> set[float]:
    """What the press says in the full presses of a garment."""
    lines = [n for n, line in enumerate(made.print.lines) if line.garment == garment]
    runs = [run.run for run in made.runs if any(one.line in lines for one in run.garments)]
    full = [step for step in made.steps if step.purpose == "full" and step.run in runs]
    return {step.setpoint_c or 0.0 for step in full}


def of_fabric(fabric: str, **values: object) -> Knowledge:
    changed = KNOWN.catalogue.fabric(fabric).model_copy(update=values)
    fabrics = {**KNOWN.catalogue.fabrics, fabric: changed}
    garments = {
        name: one.model_copy(update={"fabric": changed}) if one.fabric.id == fabric else one
        for name, one in KNOWN.catalogue.garments.items()
    }
    return replace(KNOWN, catalogue=replace(KNOWN.catalogue, fabrics=fabrics, garments=garments))


def of_press(**values: object) -> Knowledge:
    changed = KNOWN.catalogue.press("clamshell-38x38").model_copy(update=values)
    presses = {**KNOWN.catalogue.presses, changed.id: changed}
    return replace(KNOWN, catalogue=replace(KNOWN.catalogue, presses=presses))


def test_where_heat_asks_one_press_of_a_garment_to_go_hotter_its_others_go_along() -> None:
    """A foam that bonds at 160 °C on a cap takes the flock before it along, which bears 162 °C."""
    svg = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 50">
    <path d="M5 5H95V45H5z" fill="#b5202f"/><path d="M15 14H85V24H15z" fill="#ffffff"/>
    <path d="M30 34H70V39H30z" fill="#f2c14e"/></svg>"""
    asked = Job.model_validate(
        {
            "job": "caps",
            "artwork": "cap.svg",
            "looks": {
                "#b5202f": {"film": "flock-short"},
                "#ffffff": {"film": "foam-low"},
                "#f2c14e": {"film": "metallic-smooth"},
            },
            "garments": [{"garment": "cap", "quantity": 24, "artwork_width_mm": 95}],
            "press": "cap-16x8",
        }
    )
    made = plan(asked, svg=svg)
    full = [step.setpoint_c for step in made.steps if step.purpose == "full"]
    assert len(full) > 1
    assert set(full) == {160.0}
    assert [step.action for step in made.steps].count("setpoint") == 1


def test_runs_that_heat_asks_unlike_settings_for_share_the_coolest_that_bonds_all() -> None:
    alone = {dialled(planned([garment, "beanie"]))[0] for garment in UNLIKE}
    assert alone == {110, 115}
    made = planned(UNLIKE)
    assert len(made.runs) == 3
    assert dialled(made) == [115]


def test_a_dye_that_wanders_keeps_its_cooler_setting_and_goes_first() -> None:
    made = planned(UNLIKE, known=of_fabric("acrylic-knit", dye_class="disperse-low"))
    assert pressed_at(made, "beanie") == {110}
    assert pressed_at(made, "adult-tee") == pressed_at(made, "zip-hoodie") == {115}
    assert dialled(made) == [110, 115]
    assert [step.run for step in made.steps] == sorted(step.run for step in made.steps)


def test_what_is_pressed_alike_is_told_once_with_its_garments() -> None:
    # The polo's buttons lie beside the print; the jacket's zip is under it.
    made = planned(["adult-tee", "polo", "wind-jacket"])
    assert [[garment.line for garment in run.garments] for run in made.runs] == [[0, 1], [2]]
    told = [step for step in made.steps if step.action == "preheat"]
    assert len(told) == 2


def test_zips_of_unlike_height_on_one_pad_are_pressed_in_one_run() -> None:
    # One is 4 mm high, the other 3 mm, and the same pad takes both up; neither lies open.
    hoodie, jacket = (KNOWN.catalogue.garment(one) for one in ("zip-hoodie", "wind-jacket"))
    low, high = (
        garment.model_copy(
            update={
                "fabric": hoodie.fabric,
                "print_areas": tuple(
                    area.model_copy(
                        update={
                            "obstructions": tuple(
                                one.model_copy(update={"height_mm": mm, "opens": False})
                                for one in area.obstructions
                                if one.place != "beside"
                            )
                        }
                    )
                    for area in garment.print_areas
                ),
            }
        )
        for garment, mm in ((hoodie, 3.9), (jacket, 4.0))
    )
    garments = {**KNOWN.catalogue.garments, low.id: low, high.id: high}
    known = replace(KNOWN, catalogue=replace(KNOWN.catalogue, garments=garments))
    made = planned([low.id, high.id], known=known)
    assert [[garment.line for garment in run.garments] for run in made.runs] == [[0, 1]]


@pytest.mark.parametrize(
    ("reads", "step_c", "in_fives"),
    [
        ("celsius", 5.0, lambda c: c % 5 == 0),
        ("fahrenheit", 25 / 9, lambda c: round((c * 9 / 5 + 32) % 5, 6) in (0, 5)),
    ],
)
@pytest.mark.parametrize("film", ["matte-smooth", "sparkle-fine", "clear-low-temperature"])
def test_a_dial_shows_whole_fives(reads: str, step_c: float, in_fives: object, film: str) -> None:
    assert callable(in_fives)
    known = of_press(dial_reads=reads, setpoint_step_c=step_c)
    made = planned(["adult-tee", "zip-hoodie"], film=film, known=known)
    settings = [step.setpoint_c for step in made.steps if step.setpoint_c is not None]
    assert settings
    assert all(in_fives(setpoint_c) for setpoint_c in settings)
    assert not [finding for finding in made.findings if finding.rule == "press-range"]


def test_a_press_read_in_f_goes_in_fives_unless_it_says_otherwise() -> None:
    press = KNOWN.catalogue.press("clamshell-38x38")
    assert press.setpoint_step_c == 5
    told = press.model_dump(exclude={"setpoint_step_c"})
    in_f = type(press).model_validate({**told, "dial_reads": "fahrenheit"})
    assert [in_f.dial_c(in_f.dial_step(c)) for c in (160, 161.5)] == pytest.approx([160, 1465 / 9])
    fine = type(press).model_validate({**told, "setpoint_step_c": 1})
    assert fine.dial_c(fine.dial_step(152.4)) == 152


def test_prints_whose_films_share_a_setting_are_pressed_at_one(tmp_path: Path) -> None:
    """Alone the thin film is dialled 155 °C and the smooth one 160 °C; both take both."""
    chest, back = block("chest-left", film="matte-smooth"), block("back", film="matte-thin")
    alone = []
    for name, asked in (("one", chest), ("other", back)):
        (tmp_path / name).mkdir()
        alone.append(of_order(tmp_path / name, [asked]))
    assert [dialled(made.whole) for made in alone] == [[160], [155]]
    both = of_order(tmp_path, [chest, back])
    assert len(set(dialled(both.whole))) == 1
    assert both.whole.verdict == "go"
    assert [piece.film for one in both.prints for piece in one.plan.pieces] == [
        "matte-smooth", "matte-thin",
    ]  # fmt: skip
    changed = [
        one for one in both.prints if any("fewer changes" in note for note in one.plan.notes)
    ]
    assert len(changed) == 1
    # A print that is dialled for the others is not called the best of its own.
    assert not changed[0].plan.proof.optimal
    assert check_order(both, KNOWN).verdict == "go"


def test_prints_that_share_no_setting_keep_their_own(tmp_path: Path) -> None:
    cool = block("back", film="matte-low-temperature")
    made = of_order(tmp_path, [block("chest-left", film="matte-smooth"), cool])
    assert len(set(dialled(made.whole))) == 2
