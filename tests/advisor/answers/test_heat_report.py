"""The report: complete, consistent with itself, and drawn so that it can be read."""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path

import pytest
from defusedxml import ElementTree

from advisor.answers.heat import heat_report
from advisor.heat.records import HeatReport
from advisor.heat.trial import stack_schedule
from advisor.words.heat_plot import figure, plot
from rules.errors import BadInputError
from rules.facts.schedule import Schedule
from tests.advisor.heat.heat_shop import PRESS, SHELF, scheduled, wait


def trial(*films: str, **settings: object) -> Schedule:
    return stack_schedule(
        [SHELF.film(name) for name in films],
        fabric=SHELF.fabric("cotton-jersey-tee"),
        press=PRESS,
        sheets=SHELF.sheets,
        materials=SHELF.materials,
        **settings,  # type: ignore[arg-type]
    )


@pytest.fixture(scope="module")
def report() -> HeatReport:
    return heat_report(trial("matte-smooth", "sparkle-coarse", setpoint_c=160, dwell_s=15))


def test_it_tells_when_every_adhesive_softens_bonds_and_what_it_has_to_spare(
    report: HeatReport,
) -> None:
    assert [(line.film, line.below) for line in report.bond_lines] == [
        ("matte-smooth", "cotton-jersey-tee"),
        ("sparkle-coarse", "matte-smooth"),
    ]
    for line in report.bond_lines:
        assert line.softened_at_s is not None
        assert line.bonded_at_s is not None
        assert line.softened_at_s < line.bonded_at_s
        assert line.margin_s == pytest.approx(line.seconds_bonding - line.bonds_s, abs=1e-3)
        assert line.low_seconds_bonding < line.seconds_bonding
        assert line.peak_c < 160
    assert report.verdict == "go"
    assert "Left out" in report.limits


def test_phases_follow_one_another_without_a_gap(report: HeatReport) -> None:
    assert report.phases[0].from_s == 0
    assert all(one.to_s == other.from_s for one, other in pairwise(report.phases))
    assert [p.label for p in report.phases if p.platen_c is not None] == [
        "preheat", "tack", "tack", "full press",
    ]  # fmt: skip


def test_courses_pass_what_the_bond_lines_tell(report: HeatReport) -> None:
    for line, course in zip(report.bond_lines, report.courses, strict=False):
        assert course.between == (line.film, line.below)
        assert len(course.seconds) == len(course.celsius)
        assert max(course.celsius) == pytest.approx(line.peak_c, abs=0.3)
        assert line.softened_at_s is not None
        before = [
            celsius
            for seconds, celsius in zip(course.seconds, course.celsius, strict=True)
            if seconds < line.softened_at_s
        ]
        assert all(celsius < line.softens_c for celsius in before)
    assert report.courses[-1].between == ("face", "sparkle-coarse")


def test_it_is_told_for_the_place_with_least_to_spare() -> None:
    schedule = trial("matte-smooth", "sparkle-coarse", setpoint_c=160, dwell_s=15)
    columns = [("matte-smooth",), ("matte-smooth", "sparkle-coarse")]
    told = heat_report(schedule, columns, uncertain=False)
    assert told.place == ("matte-smooth", "sparkle-coarse")
    assert len(told.bond_lines) == 2


def test_it_survives_json(report: HeatReport) -> None:
    text = report.model_dump_json()
    assert HeatReport.model_validate_json(text) == report
    assert set(json.loads(text)) >= {"bond_lines", "phases", "courses", "shrink", "limits"}


def test_a_short_press_is_stopped_in_the_report_too() -> None:
    told = heat_report(trial("matte-smooth", "sparkle-coarse", setpoint_c=160, dwell_s=5))
    assert told.verdict == "stop"
    assert {finding.rule for finding in told.findings} == {"bond-line-heat"}


def test_without_settings_the_trial_takes_what_films_and_heat_ask_for() -> None:
    told = heat_report(trial("matte-smooth", "sparkle-coarse"))
    assert told.verdict == "go"


def test_a_cover_can_be_chosen_or_left_off() -> None:
    common = {"setpoint_c": 160, "dwell_s": 15}
    kraft = trial("matte-smooth", "sparkle-coarse", cover="kraft-paper-cover", **common)
    bare = trial("matte-smooth", "sparkle-coarse", cover="none", **common)
    assert {step.cover for step in kraft.steps if step.purpose == "full"} == {"kraft-paper-cover"}
    assert all(step.cover is None for step in bare.steps)
    one, other = heat_report(kraft).bond_lines[0], heat_report(bare).bond_lines[0]
    assert one.seconds_bonding < other.seconds_bonding


def test_a_film_that_lies_there_twice_has_two_names() -> None:
    schedule = trial("matte-smooth", "matte-smooth", setpoint_c=160, dwell_s=15)
    assert tuple(schedule.films) == ("matte-smooth 1", "matte-smooth 2")


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        ({"setpoint_c": 300}, "setpoint_c: is 300 °C; it must be from 60 to 215 °C"),
        ({"dwell_s": -1}, "dwell_s: is -1 s; it must be from 0 to 600 s"),
        ({"cover": "ptfe-cver"}, "no sheet is called 'ptfe-cver'; nearest: ptfe-cover"),
    ],
)
def test_settings_that_cannot_be_are_refused(settings: dict[str, object], message: str) -> None:
    with pytest.raises(BadInputError, match=message.replace(".", r"\.")):
        trial("matte-smooth", **settings)


def test_nothing_to_press_is_refused() -> None:
    with pytest.raises(BadInputError, match="stack: is empty; name at least one film"):
        trial()
    with pytest.raises(BadInputError, match="steps: press nothing down"):
        heat_report(scheduled(["matte-smooth"], [wait(5)]))


# --- the drawing ----------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_drawing_names_every_line_and_phase(report: HeatReport, tmp_path: Path) -> None:
    drawn = plot(report, tmp_path / "heat.svg")
    root = ElementTree.fromstring(drawn.read_text(encoding="utf-8"))
    said = {"".join(node.itertext()).strip() for node in root.iter() if node.tag.endswith("text")}
    assert said >= {
        "sparkle-coarse over matte-smooth on cotton-jersey-tee, clamshell-38x38",
        "matte-smooth on cotton-jersey-tee", "sparkle-coarse on matte-smooth",
        "face of sparkle-coarse", "platen", "matte-smooth bonds", "sparkle-coarse softens", "°C",
        "8 full press", "4 tack", "seconds from the first closing of the press",
    }  # fmt: skip


def test_names_at_the_right_do_not_cover_one_another(report: HeatReport) -> None:
    many = heat_report(
        trial("matte-smooth", "matte-thin", "satin-smooth", "flock-plush"), uncertain=False
    )
    for told in (report, many):
        drawn = figure(told)
        drawn.draw_without_rendering()
        names = [
            text.get_window_extent()
            for text in drawn.axes[0].texts
            if text.get_text().endswith(("bonds", "softens"))
        ]
        assert len(names) >= 4
        for number, one in enumerate(names):
            for other in names[number + 1 :]:
                overlap = min(one.y1, other.y1) - max(one.y0, other.y0)
                assert overlap < 0.15 * one.height


@pytest.mark.slow
def test_the_same_report_gives_the_same_file(report: HeatReport, tmp_path: Path) -> None:
    one, other = plot(report, tmp_path / "a.svg"), plot(report, tmp_path / "b.svg")
    assert one.read_bytes() == other.read_bytes()
    png = plot(report, tmp_path / "a.png", fahrenheit=True).read_bytes()
    assert png.startswith(b"\x89PNG")


def test_a_drawing_that_cannot_be_written_is_refused(report: HeatReport, tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match=r"ends in '\.gif'; a drawing is written as \.svg"):
        plot(report, tmp_path / "heat.gif")
    with pytest.raises(BadInputError, match="cannot be written: No such file"):
        plot(report, tmp_path / "missing" / "heat.svg")
