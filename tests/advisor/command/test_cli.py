"""The command line answers: each command in words and as one JSON object."""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest
import yaml

from advisor import check, look
from advisor.cli import COMMANDS
from advisor.job.demo import DEMO_FOLDER
from advisor.words.reference import reference_markdown
from rules.catalogue import load_catalogue
from rules.facts.basis import BASIS_MEANING
from rules.rulebook import rulebook
from tests import ART
from tests.advisor.command.command_line import JOB, run, run_json, run_process, write_job

RESTS_ON = re.compile(rf"  ({'|'.join(BASIS_MEANING)})$")
COLOUR_CODE = re.compile(r"\x1b\[")


def test_the_help_names_every_command_and_loads_none_of_them() -> None:
    ran = run_process("--help")
    assert ran.returncode == 0
    for entry in COMMANDS:
        assert f"  {entry.name} " in ran.stdout
        assert entry.summary in ran.stdout


@pytest.mark.parametrize("entry", COMMANDS, ids=lambda entry: entry.name)
def test_every_command_explains_itself(entry: object) -> None:
    result = run(getattr(entry, "name", ""), "--help")
    assert result.exit_code == 0
    assert result.stdout.startswith(f"Usage: presslore {getattr(entry, 'name', '')}")


def test_no_command_at_all_shows_the_help() -> None:
    assert run().stdout == run("--help").stdout


@pytest.mark.slow
def test_a_plan_that_is_not_proved_in_time_says_what_is_open_and_how_to_look_longer(
    tmp_path: Path,
) -> None:
    # Thirty-three pieces, many of which lie over many others.
    deep = ART.parent / "deep"
    (tmp_path / "deep.svg").write_bytes((deep / "deep.svg").read_bytes())
    job = tmp_path / "job.yaml"
    job.write_bytes((deep / "job.yaml").read_bytes())
    said = " ".join(run("plan", job, "--seconds", 1).stdout.split())
    assert "--seconds looks longer" in said
    assert "proved to be the best" not in said
    assert ("not ruled out" in said) != ("UNDECIDED in the time given" in said)


@pytest.mark.parametrize(
    ("stack", "verdict", "word"),
    [
        ("matte-smooth,sparkle-coarse", "go", "● GO"),
        ("gloss-smooth, matte-smooth", "sample", "▲ SAMPLE FIRST"),
        ("sparkle-coarse,matte-smooth", "stop", "■ STOP"),
    ],
)
def test_a_stack_is_judged_in_words_and_json_alike(stack: str, verdict: str, word: str) -> None:
    answer = run_json("check", "--fabric", "adult-tee", "--stack", stack)
    films = [film.strip() for film in stack.split(",")]
    expected = check(fabric="adult-tee", stack=films)
    assert answer == json.loads(expected.model_dump_json())
    assert answer["verdict"] == verdict
    said = run("check", "--fabric", "adult-tee", "--stack", stack)
    assert said.exit_code == 0
    assert said.stdout.startswith(word)
    flat = " ".join(said.stdout.split())
    for finding in expected.findings:
        assert finding.rule in flat
        assert " ".join(finding.message.split()) in flat
        assert " ".join(finding.instead.split()) in flat
    for step in expected.steps:
        assert " ".join(step.why.split()) in flat


@pytest.mark.slow
def test_a_look_lists_answers_best_first_and_refusals_by_rule() -> None:
    answer = run_json("look", "matte", "sparkle", "--fabric", "adult-tee")
    expected = look("matte", "sparkle", fabric="adult-tee")
    assert [a["films"] for a in answer["answers"]] == [list(a.films) for a in expected.answers]
    assert {"films", "meets", "verdict", "findings"} <= set(answer["answers"][0])
    assert {"films", "meets", "verdict", "findings", "rule"} <= set(answer["refused"][0])
    said = run("look", "matte", "sparkle", "--fabric", "adult-tee", "--most", "2").stdout
    first = expected.answers[0]
    assert f"  1  ● GO  {first.films[0]}" in said
    assert f"the best 2 of {expected.film_sets} choices of films" in " ".join(said.split())
    assert "  3  " not in said
    refused = sum(refusal.rule == "top-surface" for refusal in expected.refused)
    assert f"■ top-surface  {refused} ways" in said


def test_a_look_out_of_time_says_that_the_rest_is_only_counted() -> None:
    asked = ("look", "matte", "sparkle", "--fabric", "adult-tee", "--seconds", "0.01")
    assert not run_json(*asked)["proved"]
    said = " ".join(run(*asked).stdout.split())
    assert "time ran out: 0 ways weighed" in said
    assert "--seconds N weighs for longer" in said
    assert "the best" not in said


def test_all_of_a_look_tells_the_other_ways_of_every_choice_of_films() -> None:
    asked = ("look", "plush", "raised", "--fabric", "adult-tee")
    every = run_json(*asked, "--all")
    few = run_json(*asked)
    # What no press can bond, whatever the order and way, is counted but no answer.
    assert len(few["answers"]) < len(every["answers"]) <= every["film_sets"]
    assert every["answers"][: len(few["answers"])] == [
        {**answer, "others": every["answers"][n]["others"]}
        for n, answer in enumerate(few["answers"])
    ]
    said = " ".join(run(*asked, "--all").stdout.split())
    for answer in every["answers"]:
        for other in answer["others"]:
            assert f"‹{other['meets'][0]}› {other['films'][1]} (" in said


def test_a_look_can_list_every_refusal() -> None:
    short = run("look", "plush", "raised", "--fabric", "adult-tee").stdout
    whole = run("look", "plush", "raised", "--fabric", "adult-tee", "--refused").stdout
    found = look("plush", "raised", fabric="adult-tee")
    assert len(whole) > len(short)
    flat = " ".join(whole.split())
    for refusal in found.refused:
        assert " ".join(refusal.reason.split()) in flat


def test_a_plan_is_shown_saved_and_put_on_a_ticket(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    out, ticket = tmp_path / "plan.json", tmp_path / "ticket.html"
    result = run("plan", job, "--out", out, "--ticket", ticket)
    assert result.exit_code == 0, result.stderr
    plan = json.loads(out.read_text(encoding="utf-8"))
    assert plan == run_json("plan", job)
    flat = " ".join(run("plan", job, "--why").stdout.split())
    for step in plan["steps"]:
        assert " ".join(step["why"].split()) in flat
    assert flat.index("Press card") < flat.index("Steps for")
    assert "proved to be the best" in flat
    assert flat.index("Steps for") < flat.index("Cautions")
    assert ticket.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert sorted(path.name for path in tmp_path.iterdir()) == [
        "job.yaml", "kite.svg", "plan.json", "ticket.html",
    ]  # fmt: skip


def test_a_plan_prefers_what_the_command_line_says(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    assert run_json("plan", job, "--prefer", "fastest")["prefer"] == "fastest"
    assert run_json("plan", job)["prefer"] == "durable"


@pytest.mark.slow
def test_an_impossible_job_is_an_answer(tmp_path: Path) -> None:
    swapped = JOB.replace("matte-smooth, colour: navy", "flock-plush").replace(
        "sparkle-coarse, colour: gold", "foam-raised"
    )
    swapped += 'joints: [{upper: "#f2c14e", lower: "#1b3a5c", meets: lap}]\n'
    job = write_job(tmp_path, job=swapped)
    assert run_json("plan", job)["status"] == "impossible"
    said = run("plan", job)
    assert said.exit_code == 0
    assert "■ IMPOSSIBLE" in said.stdout
    # What was changed in the drawing rules nothing out.
    answer = run_json("plan", job)
    assert answer["ruled_out"] == []
    assert ("Ruled out" in said.stdout, "Notes on the artwork" in said.stdout) == (
        False,
        bool(answer["notes"]),
    )


def test_degrees_and_lengths_are_shown_as_the_person_reads_them(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    said = run("plan", job, "--fahrenheit", "--inches", "--why").stdout
    assert re.search(r"Dial +320 °F", said)
    assert "°C" not in said
    assert re.search(r"\d in × [\d.]+ in", said)
    assert "7.87 in wide" in said


def test_the_rules_are_listed_each_told_and_written_as_markdown() -> None:
    listed = run_json("rules")["rules"]
    assert [rule["id"] for rule in listed] == list(rulebook().by_id)
    assert run_json("rules", "top-surface") == next(r for r in listed if r["id"] == "top-surface")
    said = run("rules").stdout
    for rule in rulebook().by_id:
        assert rule in said
    one = " ".join(run("rules", "top-surface").stdout.split())
    assert rulebook().rule("top-surface").why in one
    assert run("rules", "--markdown").stdout.rstrip() == reference_markdown().rstrip()


def test_the_shelf_shows_everything_with_its_id() -> None:
    shelf, known = run_json("shelf"), load_catalogue()
    for kind in ("films", "fabrics", "garments", "presses", "sheets"):
        ids = [thing["id"] for thing in shelf[kind]]
        assert ids == list(getattr(known, kind))
        shown = run("shelf", kind).stdout.splitlines()
        for name in ids:
            assert any(line.startswith(f"{name} ") for line in shown), name
    assert {"id", "family", "finishes"} <= set(shelf["films"][0])


def test_the_shelf_chooses_films_by_family_and_finish() -> None:
    sparkle = run_json("shelf", "--finish", "sparkle")["films"]
    assert {film["id"] for film in sparkle} == {
        film.id for film in load_catalogue().films.values() if "sparkle" in film.finishes
    }
    assert run_json("shelf", "films", "--family", "flock", "--finish", "gloss") == {"films": []}
    assert "none on the shelf fits" in run("shelf", "--family", "flock", "--finish", "gloss").stdout


@pytest.mark.slow
@pytest.mark.parametrize("kind", ["films", "fabrics", "garments", "presses", "sheets"])
def test_every_card_tells_every_value_and_what_it_rests_on(kind: str) -> None:
    facts = getattr(load_catalogue(), kind)
    for name in facts:
        said = run("shelf", kind, name).stdout
        rows = [line for line in said.splitlines() if RESTS_ON.search(line)]
        assert len(rows) == len(facts[name].values()) - 1, said
        assert not re.search(r"[{}\[\]]|None|True|False|=", said), said


def test_a_shops_own_folder_lies_over_the_shelf(tmp_path: Path) -> None:
    shop = tmp_path / "shop"
    shop.mkdir()
    sheet = {
        "id": "shop-cover", "name": "The shop's own cover", "kind": "cover", "thickness_um": 100,
        "thermal_material": "ptfe", "highest_c": 250, "width_mm": 400, "depth_mm": 400,
    }  # fmt: skip
    (shop / "sheets.yaml").write_text(yaml.safe_dump({"sheets": [sheet]}), encoding="utf-8")
    assert run("shelf", "shop-cover").exit_code == 2
    for result in (
        run("--shop", shop, "shelf", "shop-cover"),
        run("shelf", "shop-cover", "--shop", shop),
        run("shelf", "shop-cover", env={"PRESSLORE_SHOP": str(shop)}),
    ):
        assert result.exit_code == 0, result.stderr
        assert "The shop's own cover" in result.stdout


def test_an_editor_finds_every_demo_job_right_by_the_schema_and_a_misspelt_key_wrong() -> None:
    schema = json.loads(run("job", "schema").stdout)
    for path in DEMO_FOLDER.glob("*.yaml"):
        document = yaml.safe_load(path.read_text(encoding="utf-8"))
        jsonschema.validate(document, schema)
        with pytest.raises(jsonschema.ValidationError):
            jsonschema.validate({**document, "garmets": []}, schema)


def test_a_job_is_checked_without_planning(tmp_path: Path) -> None:
    extra = JOB.replace("garments:", '  "#00ff00": {finish: matte}\ngarments:')
    answer = run_json("job", "check", write_job(tmp_path, job=extra))
    assert answer["garments"] == 3
    assert [piece["fill"] for piece in answer["pieces"]] == ["#1b3a5c", "#f2c14e"]
    assert answer["notes"] == [
        "the artwork has no fill #00ff00, so its look is unused; it has #1b3a5c, #f2c14e"
    ]
    assert answer["pieces"][0]["films"] == ["matte-smooth"]
    assert "can be read" in run("job", "check", tmp_path / "job.yaml").stdout


def test_the_demo_is_copied_whole_and_never_over_the_shops_own_work(tmp_path: Path) -> None:
    folder = tmp_path / "kites"
    answer = run_json("job", "demo", "--out", folder)
    copied = sorted(path.name for path in folder.iterdir())
    assert copied == answer["files"]
    assert copied == sorted(
        path.name for path in DEMO_FOLDER.iterdir() if path.suffix in {".svg", ".yaml", ".csv"}
    )
    (folder / "bags.yaml").write_text("mine", encoding="utf-8")
    refused = run("job", "demo", "--out", folder)
    assert refused.exit_code == 2
    assert (folder / "bags.yaml").read_text(encoding="utf-8") == "mine"
    assert run("job", "demo", "--out", folder, "--overwrite").exit_code == 0
    assert (folder / "bags.yaml").read_bytes() == (DEMO_FOLDER / "bags.yaml").read_bytes()


@pytest.mark.slow
def test_output_to_a_file_has_no_colour_codes_and_fits_the_width(tmp_path: Path) -> None:
    for arguments in (
        ["plan", str(write_job(tmp_path))],
        ["check", "--fabric", "adult-tee", "--stack", "sparkle-coarse,matte-smooth"],
        ["shelf"],
        ["rules"],
    ):
        said = run_process(*arguments, FORCE_COLOR="1", TERM="xterm-256color").stdout
        assert not COLOUR_CODE.search(said)
        assert max(len(line) for line in said.splitlines()) <= 100
        assert not any(line.endswith(" ") for line in said.splitlines())


@pytest.mark.slow
def test_the_answer_does_not_hang_on_the_hash_seed(tmp_path: Path) -> None:
    # This process has a seed of its own, drawn anew for every run.
    job = write_job(tmp_path)
    ticket = tmp_path / "ticket.html"
    here = run("plan", job, "--ticket", ticket).stdout
    page = ticket.read_bytes()
    there = run_process("plan", job, "--ticket", ticket, PYTHONHASHSEED="4242").stdout
    assert there == here
    assert ticket.read_bytes() == page


@pytest.mark.slow
def test_letters_that_the_terminal_lacks_do_not_stop_an_answer() -> None:
    asked = ("check", "--fabric", "adult-tee", "--stack", "matte-smooth")
    ran = run_process(*asked, PYTHONIOENCODING="ascii")
    assert ran.returncode == 0
    assert "GO" in ran.stdout
    told = run_process(*asked, "--json", PYTHONIOENCODING="ascii").stdout
    assert told == run(*asked, "--json").stdout


def test_seconds_on_an_unlucky_press_are_seconds_in_every_row() -> None:
    told = run("check", "--fabric", "cotton-jersey-tee", "--stack", "matte-smooth").output
    assert "6 s or more" in told
    assert "enough\n" not in told
