"""A cold peel is waited for off the press: minutes count press and hands, the wait does not."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from advisor import plan
from advisor.answers.line_by_line import line_by_line
from advisor.job.records.plan import Plan
from advisor.words.plan import cooling_words
from rules.catalogue import load_catalogue
from rules.facts.units import Units
from rules.knowledge import load_knowledge

SHELF = load_catalogue()
ONE = '<rect x="10" y="10" width="80" height="80" fill="#1b3a5c"/>'
TWO = ONE + '<rect x="30" y="30" width="40" height="40" fill="#f2c14e"/>'


def planned(folder: Path, shapes: str, films: dict[str, str], quantity: int = 20) -> Plan:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{shapes}</svg>'
    (folder / "drawn.svg").write_text(svg, encoding="utf-8")
    job: dict[str, Any] = {
        "job": "cooling",
        "artwork": "drawn.svg",
        "looks": {
            fill: {"finish": SHELF.film(film).finishes[0], "film": film}
            for fill, film in films.items()
        },
        "garments": [
            {"garment": "adult-tee", "quantity": quantity, "artwork_width_mm": 200},
        ],
        "on_shelf_only": False,
    }
    path = folder / "job.yaml"
    path.write_text(yaml.safe_dump(job), encoding="utf-8")
    made = plan(path, time_limit_s=5)
    assert made.status == "planned"
    return made


def times_in(made: Plan, action: str) -> float:
    return sum(step.dwell_s or 0 for step in made.steps if step.action == action)


def test_a_film_that_peels_cold_takes_its_presses_and_is_taken_up_once_more(tmp_path: Path) -> None:
    made = planned(tmp_path, ONE, {"#1b3a5c": "matte-cold-peel"})
    waits = [step for step in made.steps if step.action == "wait"]
    assert [step.off_press for step in waits] == [True]
    assert "if there is a next one, load it meanwhile" in str(waits[0].why)
    # Laid on, taken up to be peeled, two closings, one piece laid and peeled, preheat and press.
    closed_s = times_in(made, "preheat") + times_in(made, "press")
    assert 60 * made.minutes / 20 == pytest.approx(2 * 25 + 2 * 3 + 12 + 4 + closed_s, abs=0.01)


def test_what_cools_before_another_press_is_laid_on_the_press_again(tmp_path: Path) -> None:
    films = {"#1b3a5c": "matte-cold-peel", "#f2c14e": "matte-smooth"}
    made = planned(tmp_path, TWO, films)
    last_press = max(step.n for step in made.steps if step.action == "press")
    again = [step for step in made.steps if step.off_press and step.n < last_press]
    assert len(again) == 1
    presses = [step for step in made.steps if step.action in {"preheat", "press"}]
    covers = sum(step.action == "press" and step.cover is not None for step in made.steps)
    on_press_s = sum(3 + (step.dwell_s or 0) for step in presses) + 5 * covers
    assert 60 * made.minutes / 20 == pytest.approx(2 * 25 + 2 * 16 + on_press_s, abs=0.01)


def lying_at_once(press_s: float, cools_s: float, quantity: int) -> int:
    """Garments that come off the press one after another, followed second by second."""
    off = [press_s * (n + 1) for n in range(quantity)]
    return max(sum(at <= now < at + cools_s for at in off) for now in off)


@pytest.mark.parametrize("quantity", [1, 2, 20])
def test_as_many_garments_are_said_to_cool_as_lie_there(tmp_path: Path, quantity: int) -> None:
    made = planned(tmp_path, ONE, {"#1b3a5c": "matte-cold-peel"}, quantity)
    run = made.runs[0]
    assert run.cools_s == times_in(made, "wait")
    each_s = 60 * made.minutes / quantity
    assert run.cooling == lying_at_once(each_s, run.cools_s, quantity)
    finished = f"{Units().time(60 * run.garments[0].minutes_each + run.cools_s)} after it is begun."
    assert cooling_words(run, Units()).endswith(finished)


def test_what_peels_hot_cools_nowhere(tmp_path: Path) -> None:
    made = planned(tmp_path, ONE, {"#1b3a5c": "matte-smooth"})
    assert not any(step.off_press for step in made.steps)
    assert cooling_words(made.runs[0], Units()) == ""


def turned_on_the_way(folder: Path, quantity: int) -> Plan:
    """Foam at 160 °C over what is pressed at 140 °C and peels cold."""
    films = {"#1b3a5c": "dye-blocking-satin", "#f2c14e": "foam-raised"}
    made = planned(folder, TWO, films, quantity)
    assert len(made.dial) == 2
    return made


def test_where_all_wait_for_the_dial_none_is_said_to_be_finished_a_time_after_it_is_begun(
    tmp_path: Path,
) -> None:
    told = cooling_words(turned_on_the_way(tmp_path, 20).runs[0], Units())
    assert told.startswith("Off the press about ")
    assert "is finished" not in told
    assert "is finished" in cooling_words(turned_on_the_way(tmp_path, 1).runs[0], Units())


def test_a_garment_is_laid_on_again_after_the_dial_is_turned_for_all_of_a_run(
    tmp_path: Path,
) -> None:
    def own_s(quantity: int) -> float:
        made = turned_on_the_way(tmp_path, quantity)
        from_c, to_c = (setting.setpoint_c for setting in made.dial)
        turned_s = SHELF.press(made.press).change_seconds(from_c, to_c)
        (by_steps,) = line_by_line(made, load_knowledge()).runs[0].garments
        assert by_steps.minutes_each == pytest.approx(made.minutes / quantity, abs=0.01)
        return 60 * made.minutes / quantity - turned_s / quantity

    # A single one is left where it lies while the press heats.
    assert own_s(20) - own_s(1) == pytest.approx(25, abs=0.1)
