"""A plan saved, edited by hand and checked again: the rule that the edit breaks speaks up."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor import check
from advisor.heat.unlucky import CLOSE_CALL_S
from advisor.job.plan_file import read_plan
from advisor.job.records.plan import Plan
from rules.errors import BadInputError
from rules.facts.units import MARK_CLOSES, MARK_OPENS, MARK_PARTS
from tests.advisor.command.command_line import refusal, run, run_json, write_job

Edit = Callable[[dict[str, Any]], None]


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    return run_json("plan", write_job(tmp_path_factory.mktemp("kite")))


def step(plan: dict[str, Any], action: str, purpose: str | None = None) -> dict[str, Any]:
    """The first step of that kind."""
    found: dict[str, Any] = next(
        s for s in plan["steps"] if s["action"] == action and s["purpose"] == purpose
    )
    return found


def tacks(plan: dict[str, Any]) -> list[dict[str, Any]]:
    return [s for s in plan["steps"] if s["purpose"] == "tack"]


def dwell_a_minute(plan: dict[str, Any]) -> None:
    step(plan, "press", "full")["dwell_s"] = 60


def drop_the_cover(plan: dict[str, Any]) -> None:
    step(plan, "press", "full")["cover"] = None
    plan["steps"] = [s for s in plan["steps"] if not (s["action"] == "peel" and s["cover"])]


def swap_the_films(plan: dict[str, Any]) -> None:
    low, high = plan["pieces"]
    for key in ("film", "colour", "srgb"):
        low[key], high[key] = high[key], low[key]


def swap_the_presses(plan: dict[str, Any]) -> None:
    first, second = tacks(plan)
    peels = [s for s in plan["steps"] if s["action"] == "peel" and s["pieces"]]
    for pair in ((first, second), (peels[0], peels[1])):
        pair[0]["pieces"], pair[1]["pieces"] = pair[1]["pieces"], pair[0]["pieces"]


def leave_a_carrier_on(plan: dict[str, Any]) -> None:
    peel = next(s for s in plan["steps"] if s["action"] == "peel" and s["pieces"])
    plan["steps"].remove(peel)


def scorch(plan: dict[str, Any]) -> None:
    for s in plan["steps"]:
        if s["setpoint_c"] is not None:
            s["setpoint_c"] = 205


def chill(plan: dict[str, Any]) -> None:
    for s in plan["steps"]:
        if s["setpoint_c"] is not None:
            s["setpoint_c"] = 100


def skip_the_full_press(plan: dict[str, Any]) -> None:
    plan["steps"] = [s for s in plan["steps"] if s["purpose"] != "full" and s["cover"] is None]


def press_as_light_as_a_feather(plan: dict[str, Any]) -> None:
    for s in plan["steps"]:
        if s["pressure_kpa"] is not None:
            s["pressure_kpa"] = 1


def press_as_hard_as_a_vice(plan: dict[str, Any]) -> None:
    for s in plan["steps"]:
        if s["pressure_kpa"] is not None:
            s["pressure_kpa"] = 100


def turn_the_knob_elsewhere(plan: dict[str, Any]) -> None:
    step(plan, "pressure")["pressure_kpa"] = 5


def turn_the_dial_elsewhere(plan: dict[str, Any]) -> None:
    step(plan, "setpoint")["setpoint_c"] = 157


def never_set_the_dial(plan: dict[str, Any]) -> None:
    plan["steps"].remove(step(plan, "setpoint"))


def never_set_the_pressure(plan: dict[str, Any]) -> None:
    plan["steps"].remove(step(plan, "pressure"))


def say_no_setpoint(plan: dict[str, Any]) -> None:
    step(plan, "press", "full")["setpoint_c"] = None


def tack_no_time(plan: dict[str, Any]) -> None:
    tacks(plan)[0]["dwell_s"] = 0


def leave_the_cover_on(plan: dict[str, Any]) -> None:
    plan["steps"].remove(next(s for s in plan["steps"] if s["action"] == "peel" and s["cover"]))


def peel_twice(plan: dict[str, Any]) -> None:
    peel = next(s for s in plan["steps"] if s["action"] == "peel" and s["pieces"])
    plan["steps"].append({**peel, "n": 99})


@pytest.mark.parametrize(
    ("edit", "rule", "says"),
    [
        (turn_the_dial_elsewhere, "setpoint-change", "the dial was set to 157 °C"),
        (turn_the_knob_elsewhere, "pressure-window", "the pressure was set to 5 kPa"),
        (never_set_the_dial, "setpoint-change", "no step before it sets the dial"),
        (never_set_the_pressure, "pressure-window", "no step before it sets the pressure"),
        (say_no_setpoint, "setpoint-change", "nothing says at what setpoint"),
        (press_as_hard_as_a_vice, "press-range", "not 100 kPa"),
        (press_as_light_as_a_feather, "press-range", "not 1 kPa"),
        (tack_no_time, "tack-before-next", "0 s is no tack"),
        (leave_the_cover_on, "all-finished", "never lifted off"),
        (peel_twice, "carrier-off-first", "is peeled again"),
    ],
    ids=lambda value: value.__name__ if callable(value) else None,
)
def test_what_cannot_be_pressed_as_written_is_stopped_by_one_sentence(
    planned: dict[str, Any], edit: Edit, rule: str, says: str
) -> None:
    edited = copy.deepcopy(planned)
    edit(edited)
    known = {(finding["rule"], finding["where"]) for finding in planned["findings"]}
    graver = [
        finding
        for finding in check(Plan.model_validate(edited)).findings
        if finding.severity != "note" and (finding.rule, str(finding.where)) not in known
    ]
    assert [(finding.rule, finding.severity) for finding in graver] == [(rule, "stop")]
    assert says in str(graver[0].message)


def show_no_more_than_is_told(plan: dict[str, Any]) -> None:
    """Leave out what a plan only shows of its print, so that the print can be changed."""
    del plan["stacks"], plan["registration_mm"]
    for piece in plan["pieces"]:
        del piece["fill"], piece["sizes"]
    for run_ in plan["runs"]:
        for garment in run_["garments"]:
            for key in ("garment", "area", "quantity", "width_mm", "height_mm"):
                del garment[key]


def cut_another_colour(plan: dict[str, Any]) -> None:
    """As an edit does it that leaves the colour difference as it was."""
    plan["pieces"][0]["colour"] = "gold"


def print_too_large(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    for line in plan["print"]["lines"]:
        line["width_mm"] = line["height_mm"] = 900


@pytest.mark.parametrize(
    ("edit", "rules", "verdict"),
    [
        (dwell_a_minute, {"pressed-seconds", "dwell-window"}, "stop"),
        (drop_the_cover, {"cover-exposed-face"}, "stop"),
        (swap_the_films, {"top-surface"}, "stop"),
        (swap_the_presses, {"press-order"}, "stop"),
        (leave_a_carrier_on, {"carrier-off-first"}, "stop"),
        (scorch, {"setpoint-window"}, "stop"),
        (chill, {"setpoint-window"}, "stop"),
        (skip_the_full_press, {"all-finished"}, "stop"),
        (cut_another_colour, {"colour-match"}, "sample"),
        (print_too_large, {"fits-platen"}, "stop"),
    ],
    ids=lambda value: value.__name__ if callable(value) else None,
)
def test_the_right_rule_speaks_of_an_edit(
    tmp_path: Path, planned: dict[str, Any], edit: Edit, rules: set[str], verdict: str
) -> None:
    edited = copy.deepcopy(planned)
    edit(edited)
    assert edited != planned
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(edited), encoding="utf-8")
    report = run_json("check", path)
    before = {finding["rule"] for finding in planned["findings"]}
    after = {f["rule"] for f in report["findings"] if f["severity"] in {"stop", "sample"}}
    assert rules <= after - before, report["findings"]
    assert report["verdict"] == verdict
    said = run("check", path)
    assert said.exit_code == 0
    for rule in rules:
        assert rule in said.stdout


def test_a_plan_left_alone_is_judged_as_it_was(tmp_path: Path, planned: dict[str, Any]) -> None:
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(planned), encoding="utf-8")
    report = run_json("check", path)
    assert report["verdict"] == planned["verdict"]
    assert report["findings"] == planned["findings"]
    assert report["bond_lines"] == planned["bond_lines"]
    assert report["steps"] == planned["steps"]
    assert report["steps_given"]


def name_a_stranger_in_a_step(plan: dict[str, Any]) -> None:
    tacks(plan)[0]["pieces"] = ["fill-1b3a5d"]


def name_a_stranger_in_a_joint(plan: dict[str, Any]) -> None:
    plan["joints"][0]["upper"] = "fill-f2c14f"


def name_a_stranger_in_a_stack(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    plan["print"]["places"][0]["stack"][0] = "fill-1b3a5d"


def lose_a_size(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    plan["print"]["pieces"][0]["sizes"] = []


def number_two_steps_alike(plan: dict[str, Any]) -> None:
    plan["steps"][1]["n"] = 1


def call_two_pieces_alike(plan: dict[str, Any]) -> None:
    plan["pieces"].append(plan["pieces"][0])


def put_a_step_in_no_run(plan: dict[str, Any]) -> None:
    plan["steps"][-1]["run"] = 9


def take_an_unknown_film(plan: dict[str, Any]) -> None:
    plan["pieces"][0]["film"] = "mate-smooth"


def wait_for_ever(plan: dict[str, Any]) -> None:
    step(plan, "press", "full")["dwell_s"] = 1e9


def wait_for_nan(plan: dict[str, Any]) -> None:
    step(plan, "press", "full")["dwell_s"] = float("nan")


def invent_an_action(plan: dict[str, Any]) -> None:
    plan["steps"][0]["action"] = "iron"


def leave_a_run_without_steps(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    plan["runs"].append({**plan["runs"][0], "run": 2})
    plan["runs"][1]["garments"] = [{**plan["runs"][0]["garments"][0], "line": 1}]
    plan["print"]["lines"] *= 2
    for piece in plan["print"]["pieces"]:
        piece["sizes"] *= 2


def name_no_fabric(plan: dict[str, Any]) -> None:
    plan["runs"][0]["fabrics"] = []


def lay_a_piece_nowhere(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    del plan["print"]["places"][1:]
    plan["print"]["places"][0]["stack"] = [plan["pieces"][0]["id"]]


def lay_a_piece_on_itself(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    plan["print"]["places"][0]["stack"] = [plan["pieces"][0]["id"]] * 2


def meet_twice(plan: dict[str, Any]) -> None:
    plan["joints"] *= 2


def make_it_of_no_width(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    plan["print"]["lines"][0]["width_mm"] = -4


def show_another_width(plan: dict[str, Any]) -> None:
    plan["runs"][0]["garments"][0]["width_mm"] = 241


def leave_the_print_out(plan: dict[str, Any]) -> None:
    del plan["print"]


def press_a_line_twice(plan: dict[str, Any]) -> None:
    plan["runs"][0]["garments"] *= 2


def call_the_colour_nonsense(plan: dict[str, Any]) -> None:
    plan["pieces"][0]["colour"] = "no such colour"


def lay_them_apart(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    places = plan["print"]["places"]
    plan["print"]["places"] = [
        {"stack": [piece["id"]], "area_mm2": places[0]["area_mm2"]} for piece in plan["pieces"]
    ]


def let_them_not_meet(plan: dict[str, Any]) -> None:
    plan["joints"] = plan["print"]["meetings"] = []


def print_on_another_fabric(plan: dict[str, Any]) -> None:
    for line in plan["print"]["lines"]:
        line["fabric"] = "nylon-taffeta"


def say_no_quantities(plan: dict[str, Any]) -> None:
    plan["quantities"] = 5


def leave_a_joint_out(plan: dict[str, Any]) -> None:
    plan["joints"] = []


def miss_by_a_mile(plan: dict[str, Any]) -> None:
    show_no_more_than_is_told(plan)
    plan["print"]["registration_mm"] = 1e9


def remove_every_step(plan: dict[str, Any]) -> None:
    plan["steps"] = []


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        (name_a_stranger_in_a_step, "no piece is called 'fill-1b3a5d'; nearest: fill-1b3a5c"),
        (name_a_stranger_in_a_joint, "nearest: fill-f2c14e"),
        (name_a_stranger_in_a_stack, "nearest: fill-1b3a5c"),
        (lose_a_size, "print.pieces: fill-1b3a5c has 0 sizes"),
        (number_two_steps_alike, "steps: '1' stands here twice"),
        (call_two_pieces_alike, "pieces: 'fill-1b3a5c' stands here twice"),
        (put_a_step_in_no_run, "step 9 belongs to run 9; the plan has 1"),
        (take_an_unknown_film, "nearest: matte-smooth"),
        (wait_for_ever, "3600"),
        (wait_for_nan, "dwell_s"),
        (invent_an_action, "steps.0.action: 'iron'"),
        (remove_every_step, "no steps to check"),
        (leave_a_run_without_steps, "steps: run 2 has no press"),
        (name_no_fabric, "runs.0.fabrics"),
        (lay_a_piece_nowhere, "lies in none of the places"),
        (lay_a_piece_on_itself, "stands here twice"),
        (meet_twice, "joints: 'fill-f2c14e over fill-1b3a5c' stands here twice"),
        (make_it_of_no_width, "print.lines.0.width_mm: -4"),
        (show_another_width, "by the print it is"),
        (leave_the_print_out, "does not say what is printed where"),
        (call_the_colour_nonsense, "pieces.0.colour: 'no such colour'"),
        (lay_them_apart, "fill-f2c14e meets fill-1b3a5c there, and lies over it in no place"),
        (let_them_not_meet, "fill-f2c14e lies over fill-1b3a5c in a place, and no meeting says so"),
        (print_on_another_fabric, "runs: run 1 is on cotton-jersey-tee; its lines are on"),
        (say_no_quantities, "quantities: 5 are no sentences in parts"),
        (press_a_line_twice, "each to be pressed once"),
        (leave_a_joint_out, "nothing says how they meet: fill-f2c14e over fill-1b3a5c"),
        (miss_by_a_mile, "registration_mm"),
    ],
    ids=lambda value: value.__name__ if callable(value) else None,
)
def test_an_edit_that_makes_no_plan_is_refused(
    tmp_path: Path, planned: dict[str, Any], edit: Edit, says: str
) -> None:
    edited = copy.deepcopy(planned)
    edit(edited)
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(edited), encoding="utf-8")
    assert says in refusal(run("check", path))


def test_a_colour_in_capitals_is_that_colour(tmp_path: Path, planned: dict[str, Any]) -> None:
    edited = copy.deepcopy(planned)
    edited["pieces"][0]["srgb"] = edited["pieces"][0]["srgb"].upper()
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(edited), encoding="utf-8")
    assert run("check", path).exit_code == 0


def test_python_refuses_an_unfitting_plan_as_the_command_does(planned: dict[str, Any]) -> None:
    edited = copy.deepcopy(planned)
    lay_a_piece_nowhere(edited)
    with pytest.raises(BadInputError, match="lies in none of the places"):
        check(Plan.model_validate(edited))


def test_a_dial_that_contradicts_its_press_is_stopped(planned: dict[str, Any]) -> None:
    edited = copy.deepcopy(planned)
    step(edited, "setpoint")["setpoint_c"] = 210
    found = check(Plan.model_validate(edited)).findings
    assert ("setpoint-change", "stop") in {(finding.rule, finding.severity) for finding in found}


def test_an_unlucky_press_is_told_only_where_it_was_weighed(planned: dict[str, Any]) -> None:
    for line in planned["bond_lines"]:
        low_s = line["low_seconds_bonding"]
        if low_s is None:
            # So much to spare that contact, thickness and conductivity cannot eat it up.
            assert line["seconds_bonding"] - line["needed_s"] >= CLOSE_CALL_S - 0.1
        else:
            assert low_s <= line["seconds_bonding"]


def test_the_terminal_calls_pieces_by_colour_and_film(
    tmp_path: Path, planned: dict[str, Any]
) -> None:
    edited = copy.deepcopy(planned)
    dwell_a_minute(edited)
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(edited), encoding="utf-8")
    shown = run("check", path).stdout
    assert "gold sparkle-coarse" in shown
    assert "fill-" not in shown


@pytest.mark.parametrize("command", ["cut", "quote"])
def test_a_plan_that_check_stops_is_not_cut_or_quoted_in_silence(
    planned: dict[str, Any], tmp_path: Path, command: str
) -> None:
    edited = copy.deepcopy(planned)
    swap_the_films(edited)
    path = tmp_path / "edited.json"
    path.write_text(json.dumps(edited), encoding="utf-8")
    more = ["--out", tmp_path / "cut"] if command == "cut" else ["--nest", 0]
    done = run(command, write_job(tmp_path), "--plan", path, *more)
    assert done.exit_code == 0
    assert "STOP: do not press this" in done.stderr
    assert "top-surface" in done.stderr
    assert "STOP" not in done.stdout


def test_what_stands_against_a_plan_is_told_in_the_persons_words_and_degrees(
    planned: dict[str, Any], tmp_path: Path
) -> None:
    edited = copy.deepcopy(planned)
    edited["steps"] = [step for step in edited["steps"] if step.get("purpose") != "full"]
    path = tmp_path / "edited.json"
    path.write_text(json.dumps(edited), encoding="utf-8")
    job = write_job(tmp_path)
    told = run("quote", job, "--plan", path, "--nest", 0).stderr
    assert "gold sparkle-coarse" in told
    assert " °C" in told
    told = run("run", "done", job, "--plan", path, "--store", tmp_path / "shop.db").stderr
    assert "fill-" not in told


def test_a_preview_says_in_words_from_what_width_on_it_cuts(tmp_path: Path) -> None:
    assert run("cut", write_job(tmp_path), "--out", tmp_path / "cut").exit_code == 0
    [preview] = [path for path in (tmp_path / "cut").rglob("*preview*") if path.suffix == ".svg"]
    told = preview.read_text("utf-8")
    assert re.search(r"as drawn it cuts from \d+ mm", told)
    assert not {MARK_OPENS, MARK_PARTS, MARK_CLOSES} & {*told}


def test_an_orders_plan_with_damaged_sentences_is_refused_in_one_line(tmp_path: Path) -> None:
    path = tmp_path / "order.json"
    path.write_text('{"prints": [], "quantities": [["dial to "], -0.5]}', encoding="utf-8")
    line = refusal(run("check", path))
    assert "order.json: quantities: " in line
    assert len(line) < 300


def test_pieces_are_ranked_by_the_steps_that_lay_them_whatever_a_file_says(
    planned: dict[str, Any], tmp_path: Path
) -> None:
    """What lies over what is judged by the steps and cut by the ranks, so both must agree."""
    edited = copy.deepcopy(planned)
    edited["pieces"][0]["rank"] = 9
    path = tmp_path / "edited.json"
    path.write_text(json.dumps(edited), encoding="utf-8")
    read = [piece.rank for piece in read_plan(path).pieces]
    assert read == [piece["rank"] for piece in planned["pieces"]]
