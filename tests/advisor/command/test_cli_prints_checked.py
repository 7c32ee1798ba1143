"""Check of a plan file of several prints, as it was planned and as someone edited it."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from tests.advisor.answers.prints_orders import CREW, block, letters, written
from tests.advisor.command.command_line import run, run_json

PRINTS = [
    block("chest-left", film="dye-blocking-thin"),
    block("chest-right", film="matte-thick"),
    letters("yoke", "name"),
]


@pytest.fixture(scope="module")
def saved(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Any]:
    """A plan as it was saved: the right chest first, since the left bears less."""
    folder = tmp_path_factory.mktemp("order")
    out = folder / "plan.json"
    run_json("plan", written(folder, PRINTS, people=CREW), "--out", out)
    document: dict[str, Any] = json.loads(out.read_text(encoding="utf-8"))
    assert document["laid"][0]["prints"][0] == "chest-right"
    return document


def checked(document: dict[str, Any], folder: Path) -> dict[str, Any]:
    path = folder / "edited.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return run_json("check", path)


def edited(document: dict[str, Any], edit: Callable[[dict[str, Any]], None]) -> dict[str, Any]:
    copy: dict[str, Any] = json.loads(json.dumps(document))
    edit(copy)
    return copy


def full_presses(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """The full press of each print, by its id."""
    return {
        piece.partition("/")[0]: step
        for step in document["steps"]
        if step["purpose"] == "full"
        for piece in step["pieces"]
    }


def test_as_it_was_planned_it_is_found_what_the_plan_says(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    report = checked(saved, tmp_path)
    assert report["verdict"] == saved["verdict"]
    told = [(f["rule"], f["severity"], f["message"]) for f in report["findings"]]
    assert sorted(told) == sorted(
        (f["rule"], f["severity"], f["message"]) for f in saved["findings"]
    )
    assert len(report["bond_lines"]) == len(saved["bond_lines"])
    assert report["pieces"] == [piece["id"] for piece in saved["pieces"]]


def test_a_press_that_is_too_short_in_one_print_is_a_stop_of_the_whole(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    def shorter(document: dict[str, Any]) -> None:
        full_presses(document)["chest-left"]["dwell_s"] = 1.0

    report = checked(edited(saved, shorter), tmp_path)
    assert report["verdict"] == "stop"
    stops = [f for f in report["findings"] if f["severity"] == "stop"]
    assert stops
    assert all("chest-left" in f["where"] + f["message"] for f in stops)


def test_a_press_that_harms_what_lies_beside_is_a_stop_of_the_whole(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    """The preheat of what comes last presses what is down beside it, and nothing of its own."""

    def longer(document: dict[str, Any]) -> None:
        preheats = [step for step in document["steps"] if step["action"] == "preheat"]
        assert preheats[-1]["n"] > document["laid"][0]["first_n"][-1]
        preheats[-1]["dwell_s"] = 55.0

    report = checked(edited(saved, longer), tmp_path)
    assert report["verdict"] == "stop"
    [stop] = [f for f in report["findings"] if f["rule"] == "pressed-seconds"]
    assert stop["severity"] == "stop"
    assert "matte-thick (chest-right/fill-1b3a5c) has then been pressed" in stop["message"]


def test_films_that_disagree_and_pieces_that_nobody_has_are_refused(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    def another_film(document: dict[str, Any]) -> None:
        document["pieces"][0]["film"] = "matte-smooth"

    def another_piece(document: dict[str, Any]) -> None:
        full_presses(document)["chest-left"]["pieces"] = ["chest-left/gone"]

    for edit, told in ((another_film, "say the same in both"), (another_piece, "gone")):
        path = tmp_path / "edited.json"
        path.write_text(json.dumps(edited(saved, edit)), encoding="utf-8")
        refused = run("check", path)
        assert refused.exit_code == 2
        assert told in refused.stderr
        assert "edited.json" in refused.stderr


def numbered(document: dict[str, Any]) -> None:
    for n, step in enumerate(document["steps"], 1):
        step["n"] = n


def test_steps_are_of_the_print_that_they_press_whatever_their_numbers(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    """A second preheat in the first print moves all numbers on, and no other print's steps."""

    def doubled(document: dict[str, Any]) -> None:
        at = next(i for i, s in enumerate(document["steps"]) if s["action"] == "preheat")
        document["steps"].insert(at, dict(document["steps"][at]))
        numbered(document)

    report = checked(edited(saved, doubled), tmp_path)
    assert report["verdict"] == saved["verdict"]
    assert {f["rule"] for f in report["findings"]} == {f["rule"] for f in saved["findings"]}


def test_a_colour_that_its_film_does_not_come_in_is_a_stop_wherever_it_is_written(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    def ultraviolet(document: dict[str, Any]) -> None:
        (print_,) = [one for one in document["prints"] if one["id"] == "yoke-name"]
        (own,) = print_["plan"]["pieces"]
        (whole,) = [one for one in document["pieces"] if one["id"] == f"yoke-name/{own['id']}"]
        own["colour"] = whole["colour"] = "ultraviolet"

    report = checked(edited(saved, ultraviolet), tmp_path)
    (stop,) = [f for f in report["findings"] if f["severity"] == "stop"]
    assert (report["verdict"], stop["rule"]) == ("stop", "colour-match")
    assert stop["message"].endswith("does not come in ultraviolet")


def test_a_garment_that_is_lettered_for_nobody_is_told(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    def one_less(document: dict[str, Any]) -> None:
        document["people"].pop()

    assert checked(saved, tmp_path)["notes"] == []
    (told,) = checked(edited(saved, one_less), tmp_path)["notes"]
    assert told.startswith("1 × ")
    assert "for nobody on the list" in told
    assert told in " ".join(run("check", tmp_path / "edited.json").stdout.split())


@pytest.mark.parametrize("nth", [0, -1])
def test_a_print_whose_press_is_left_out_is_not_finished(
    saved: dict[str, Any], tmp_path: Path, nth: int
) -> None:
    def no_press(document: dict[str, Any]) -> None:
        full = [step for step in document["steps"] if step["purpose"] == "full"]
        document["steps"].remove(full[nth])

    report = checked(edited(saved, no_press), tmp_path)
    assert report["verdict"] == "stop"
    assert "all-finished" in {f["rule"] for f in report["findings"] if f["severity"] == "stop"}


def test_what_does_not_fit_the_whole_order_is_refused(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    def preheat_first(document: dict[str, Any]) -> None:
        steps = document["steps"]
        turn = max(i for i, step in enumerate(steps) if step["action"] == "turn")
        assert steps[turn + 1]["action"] == "preheat"
        steps[turn], steps[turn + 1] = steps[turn + 1], steps[turn]

    def preheat_first_numbered(document: dict[str, Any]) -> None:
        preheat_first(document)
        numbered(document)

    def lays_another(document: dict[str, Any]) -> None:
        turns = [step for step in document["steps"] if step["action"] == "turn"]
        turns[-1]["lays"] = "sleeve"

    def no_prints(document: dict[str, Any]) -> None:
        document["prints"] = []

    def another_run(document: dict[str, Any]) -> None:
        document["laid"].append({**document["laid"][0], "run": 2})

    def no_such_print(document: dict[str, Any]) -> None:
        document["laid"][0]["prints"][0] = "sleeve"

    def another_joint(document: dict[str, Any]) -> None:
        upper, lower = (piece["id"] for piece in document["pieces"][:2])
        joint = {"upper": upper, "lower": lower, "meets": "lap", "trap_mm": 0.0, "hidden": False}
        document["joints"].append(joint)

    for edit, told in (
        (preheat_first, "number the steps"),
        (preheat_first_numbered, "preheat after the garment is turned"),
        (lays_another, "lays sleeve"),
        (no_prints, "no steps to check"),
        (another_run, "of 1 in the whole and of 2 in `laid`"),
        (no_such_print, "sleeve"),
        (another_joint, "say the same in both"),
    ):
        path = tmp_path / "edited.json"
        path.write_text(json.dumps(edited(saved, edit)), encoding="utf-8")
        refused = run("check", path)
        assert refused.exit_code == 2, edit.__name__
        assert told in refused.stderr, refused.stderr


def drop_turn(document: dict[str, Any]) -> None:
    turns = [step for step in document["steps"] if step["action"] == "turn"]
    document["steps"].remove(turns[0])
    numbered(document)


def drop_last_turn(document: dict[str, Any]) -> None:
    turns = [step for step in document["steps"] if step["action"] == "turn"]
    document["steps"].remove(turns[-1])
    numbered(document)


def turn_twice(document: dict[str, Any]) -> None:
    at = next(i for i, step in enumerate(document["steps"]) if step["action"] == "turn")
    document["steps"].insert(at, dict(document["steps"][at]))
    numbered(document)


def other_press(document: dict[str, Any]) -> None:
    document["press"] = "small-15x15"


def other_fabric(document: dict[str, Any]) -> None:
    document["print"]["lines"][0]["fabric"] = "acrylic-knit"


def other_fabric_of_run(document: dict[str, Any]) -> None:
    document["runs"][0]["fabrics"] = ["acrylic-knit"]


def off_the_garment(document: dict[str, Any]) -> None:
    document["prints"][0]["lies"][0]["top_mm"] = -500.0


def elsewhere(document: dict[str, Any]) -> None:
    document["prints"][0]["lies"][0]["top_mm"] += 40.0


def larger_there(document: dict[str, Any]) -> None:
    document["prints"][0]["lies"][0].update(width_mm=60.0)


def other_side(document: dict[str, Any]) -> None:
    document["prints"][0]["side"] = "back"


def nobody(document: dict[str, Any]) -> None:
    document["people"] = []


def other_letters(document: dict[str, Any]) -> None:
    document["people"][0]["lettered"] = {"yoke-name": "Zed"}


def too_many_people(document: dict[str, Any]) -> None:
    document["people"].append(document["people"][0])


def other_rank(document: dict[str, Any]) -> None:
    document["pieces"][0]["rank"] += 1


def not_said_to_be_laid(document: dict[str, Any]) -> None:
    for key in ("prints", "first_n"):
        document["laid"][0][key].pop()


DISAGREEING = (
    (drop_turn, "no turn has laid"),
    (drop_last_turn, "no turn has laid"),
    (turn_twice, "no turn has laid"),
    (other_press, "the press is small-15x15 in the whole and clamshell-38x38 in its prints"),
    (other_fabric, "say the same in both"),
    (other_fabric_of_run, "the fabric of run 1 is acrylic-knit in the whole"),
    (off_the_garment, "said to lie at top_mm -500.0"),
    (elsewhere, "said to lie at"),
    (larger_there, "width_mm 60.0"),
    (other_side, "is on the front of the body, not on the back"),
    (nobody, "nobody gets it"),
    (other_letters, "row 2 gets"),
    (too_many_people, "3 garments of line 0"),
    (other_rank, "say the same in both"),
    (not_said_to_be_laid, "say the same in both"),
)


@pytest.mark.parametrize(("edit", "told"), DISAGREEING)
def test_a_file_whose_whole_is_not_that_of_its_prints_is_neither_judged_nor_cut(
    saved: dict[str, Any], tmp_path: Path, edit: Callable[[dict[str, Any]], None], told: str
) -> None:
    path = tmp_path / "edited.json"
    path.write_text(json.dumps(edited(saved, edit)), encoding="utf-8")
    job = written(tmp_path, PRINTS, people=CREW)
    for refused in (
        run("check", path),
        run("cut", job, "--plan", path, "--out", tmp_path / "cut"),
    ):
        assert refused.exit_code == 2
        assert told in " ".join(refused.stderr.split())
        assert "edited.json" in refused.stderr
    assert not (tmp_path / "cut").exists()


def test_faces_on_the_bare_press_are_told_without_the_seconds_of_the_other_side(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    def no_sheet_under(document: dict[str, Any]) -> None:
        for step in document["steps"]:
            step["cover"] = None

    report = checked(edited(saved, no_sheet_under), tmp_path)
    assert report["verdict"] == "stop"
    told = [f["message"] for f in report["findings"] if f["rule"] == "cover-exposed-face"]
    assert any("would lie face down on the bare press under the yoke" in one for one in told)
    assert not [one for one in told if "pressed 0 s" in one]


def test_the_terminal_shows_the_verdict_and_the_steps(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(saved), encoding="utf-8")
    said = run("check", path).stdout
    assert "Steps judged (as given)" in said
    assert "(chest-left)" in said or "dye-blocking-thin" in said


def one_person_less(document: dict[str, Any]) -> None:
    del document["people"][1]


def another_number(document: dict[str, Any]) -> None:
    document["people"][1]["says"]["number"] = "21"


@pytest.mark.parametrize("edit", [one_person_less, another_number])
def test_people_other_than_the_list_of_the_order_are_not_cut_for(
    saved: dict[str, Any], tmp_path: Path, edit: Callable[[dict[str, Any]], None]
) -> None:
    path = tmp_path / "edited.json"
    path.write_text(json.dumps(edited(saved, edit)), encoding="utf-8")
    job = written(tmp_path, PRINTS, people=CREW)
    refused = run("cut", job, "--plan", path, "--out", tmp_path / "cut")
    assert refused.exit_code == 2
    said = " ".join(refused.stderr.split())
    assert "row 3 of the list gets" in said
    assert "(Ben, 12) by the order; plan this order with --out" in said


def test_garments_other_than_those_of_the_order_are_not_cut_for(
    saved: dict[str, Any], tmp_path: Path
) -> None:
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(saved), encoding="utf-8")
    job = written(tmp_path, PRINTS, people=CREW, quantity=5)
    refused = run("quote", job, "--plan", path)
    assert refused.exit_code == 2
    said = " ".join(refused.stderr.split())
    assert "is 2 × adult-tee in the plan and 5 × adult-tee in the order" in said
