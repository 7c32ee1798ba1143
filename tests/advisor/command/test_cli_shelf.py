"""Command shelf: the acts that change what is the shop's own, and how bad input is refused."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import pytest

from advisor.shop.entries import opened, put
from advisor.shop.place import STORE
from advisor.shop.records import OwnEntry
from rules.catalogue import load_catalogue
from tests.advisor.command.command_line import JOB, refusal, run, run_json, write_job

GLITTER = [
    "shelf", "add", "film", "our-glitter", "--finish", "sparkle", "--setpoint", "320F",
    "--dwell", "12", "--peel", "warm",
]  # fmt: skip


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            "--setpoint 160 --dwell 900",
            "'900' is longer than any film is pressed; give at most",
        ),
        ("--setpoint 9999F --dwell 10", "'9999F' is beyond what a film bears; give at most 260 °C"),
        ("--setpoint 150 --dwell 0", "'0' is no time to press; give seconds above 0"),
    ],
)
def test_a_value_that_no_film_has_is_told_as_it_was_typed_and_alone(
    given: str, said: str, tmp_path: Path
) -> None:
    asked = f"--store {tmp_path / 'store'} shelf add film ours --finish matte --peel hot {given}"
    told = refusal(run(*asked.split()))
    assert said in told
    assert not any(field in told for field in ("bonds_s", "bears_c", "bears_s", "high "))


@pytest.fixture(autouse=True)
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv(STORE, str(tmp_path / "shop.sqlite"))
    return tmp_path / "shop.sqlite"


def card(name: str) -> dict[str, Any]:
    return run_json("shelf", name)


def test_a_film_is_added_by_four_values_and_can_be_worked_with_at_once() -> None:
    made = run_json(*GLITTER)
    assert made["setpoint_c"]["best"] == 160
    assert {"bonds_c", "face_um", "price_per_m"} <= set(made["proposed"])
    assert {"finishes", "setpoint_c", "dwell_s", "peel"}.isdisjoint(made["proposed"])
    assert card("our-glitter")["family"] == "sparkle"
    assert "our-glitter" in [film["id"] for film in run_json("shelf")["films"]]
    judged = run_json("check", "--fabric", "adult-tee", "--stack", "matte-smooth,our-glitter")
    assert judged["verdict"] in {"go", "sample"}


def test_a_person_is_told_what_was_proposed_and_what_to_do_next() -> None:
    said = run(*GLITTER).stdout
    assert "our-glitter is on the shelf" in said
    assert "proposed, and less sure until you enter your own" in said
    assert "presslore shelf count our-glitter +METRES" in said
    unknown = [part if part != "our-glitter" else "ours" for part in GLITTER]
    said = run(*unknown, "--family", "crackle").stdout
    assert "'crackle' is no family that we know, so what follows is cautious" in said


def test_single_values_are_set_counted_and_taken_back() -> None:
    ships = card("matte-smooth")
    run_json("shelf", "set", "matte-smooth", "price", "6.2")
    run_json("shelf", "set", "matte-smooth", "metres", "41.5")
    assert run_json("shelf", "count", "matte-smooth", "-1.25")["left_m"] == 40.25
    assert run_json("shelf", "count", "matte-smooth", "+10")["left_m"] == 50.25
    now = card("matte-smooth")
    assert (now["price_per_m"], now["on_shelf_m"]) == (6.2, 50.25)
    assert {name for name in ships if ships[name] != now[name]} == {
        "price_per_m", "on_shelf_m", "basis",
    }  # fmt: skip
    assert run_json("shelf", "remove", "matte-smooth") == {"removed": "matte-smooth", "ships": True}
    assert card("matte-smooth") == ships


@pytest.mark.parametrize(
    ("arguments", "kind", "name"),
    [
        (["fabric", "our-jersey", "--fibres", "cotton=95;elastane=5", "--weight", "240"],
         "fabrics", "our-jersey"),
        (["garment", "our-hoodie", "--fabric", "cotton-jersey-tee", "--for", "adult", "--price",
          "14", "--areas", "front=300x400;back=12x16in"], "garments", "our-hoodie"),
        (["press", "garage", "--platen", "15x15in", "--dial", "140-420F"], "presses", "garage"),
        (["sheet", "our-pad", "--kind", "pad", "--thickness", "5mm"], "sheets", "our-pad"),
    ],
)  # fmt: skip
def test_other_things_are_added_likewise(arguments: list[str], kind: str, name: str) -> None:
    made = run_json("shelf", "add", *arguments)
    assert made["id"] == name
    assert [each["id"] for each in run_json("shelf", kind)[kind]].count(name) == 1
    assert run(*["shelf", "remove", name]).exit_code == 0


def test_a_dial_that_reads_fahrenheit_is_told_in_it_unasked(tmp_path: Path) -> None:
    run_json("shelf", "add", "press", "garage", "--platen", "15x15in", "--dial", "140-420F")
    by_dial = {"garage": "320 °F", "clamshell-38x38": "160 °C"}
    for press, told in by_dial.items():
        job = write_job(tmp_path, job=f"{JOB}press: {press}\n")
        for said in (
            run("check", "--press", press, "--fabric", "adult-tee", "--stack", "matte-smooth"),
            run("plan", job),
        ):
            degrees = set(re.findall("°[CF]", said.stdout))
            assert (told in said.stdout, degrees) == (True, {told[-2:]}), said.stdout


def test_a_press_of_which_little_is_known_can_be_worked_on() -> None:
    run_json("shelf", "add", "press", "garage", "--platen", "15x15in", "--dial", "140-420F")
    said = run("check", "--press", "garage", "--fabric", "adult-tee", "--stack", "matte-smooth")
    assert "a strip of paper drags as it comes out" in " ".join(said.stdout.split())
    assert card("garage")["dial_reads"] == "fahrenheit"


def test_a_dial_in_fahrenheit_is_shown_as_it_reads() -> None:
    added = run("shelf", "add", "press", "garage", "--platen", "15x15in", "--dial", "200-430F")
    for said in (added.stdout, run("shelf", "garage").stdout):
        for label, value in (
            ("Lowest setpoint", "200 °F"), ("Highest setpoint", "430 °F"),
            ("Dial goes in steps of", "5 °F"), ("Heat even within ±", "6 °C"),
        ):  # fmt: skip
            assert re.search(rf"{label}:? +{value}", said), (label, said)
    assert "200 to 430 °F" in run("shelf", "presses").stdout


def test_the_shelf_goes_out_and_comes_back(tmp_path: Path) -> None:
    run_json(*GLITTER)
    run_json("shelf", "set", "matte-smooth", "colour", "teal=#008080")
    whole = run_json("shelf")
    for ending in ("yaml", "csv"):
        file = tmp_path / f"ours.{ending}"
        assert run_json("shelf", "export", file)["entries"] == 2
        for name in ("our-glitter", "matte-smooth"):
            run_json("shelf", "remove", name)
        assert run_json("shelf") != whole
        assert run_json("shelf", "import", file)["new"] == 2
        assert run_json("shelf") == whole


@pytest.mark.parametrize(
    "price", ["price_per_m,on_shelf_m\nmatte-smooth,6.2,40", "price_per_m\nmatte-smooth,6.2"]
)
def test_a_list_written_before_a_job_was_pressed_brings_no_film_back(
    price: str, tmp_path: Path
) -> None:
    """The price list of last week says 40 m, or nothing; 12 m went onto garments since."""
    run_json("shelf", "set", "matte-smooth", "metres", "40")
    run_json("shelf", "count", "matte-smooth", "-12")
    file = tmp_path / "ours.csv"
    file.write_text(f"id,{price}\n", encoding="utf-8")
    assert run_json("shelf", "import", file)["counted"] == {"matte-smooth": 28}
    film = card("matte-smooth")
    assert (film["price_per_m"], film["on_shelf_m"]) == (6.2, 28)
    said = " ".join(run("shelf", "import", file).stdout.split())
    assert "matte-smooth: stays at the 28 m that were counted, not as the file says" in said
    assert run_json("shelf", "import", file, "--metres")["counted"] == {}
    listed = 40 if "40" in price else load_catalogue().film("matte-smooth").on_shelf_m
    assert card("matte-smooth")["on_shelf_m"] == listed


def test_the_store_can_be_named_before_and_after_the_command(tmp_path: Path) -> None:
    other = tmp_path / "other.sqlite"
    assert run("--store", other, *GLITTER).exit_code == 0
    assert run("shelf", "our-glitter").exit_code == 2
    assert run("shelf", "our-glitter", "--store", other).exit_code == 0
    assert run("shelf", "our-glitter", env={STORE: str(other)}).exit_code == 0


def test_what_this_version_cannot_use_is_told_on_the_shelf(store: Path) -> None:
    assert "unusable" not in run_json("shelf")
    with opened(store) as connection:
        put(connection, [OwnEntry("films", "gone", {"price_per_m": 3.0})])
    (told,) = run_json("shelf")["unusable"]
    assert told.startswith("own films: gone: ")
    assert told in " ".join(run("shelf").stdout.split())


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["add", "film", "Our Film"], "id: 'Our Film': small letters.*; finishes, setpoint_c"),
        (["add", "film", "a", "--finish", "shiny", "--setpoint", "hot", "--dwell", "1", "--peel",
          "x"], "'shiny'; it may mean: gloss, .*'hot' is not a setting.*'x': write hot"),
        (["add", "film", "denim", "--like", "matte-smooth"], "denim: stands on the shelf already"),
        (["add", "film", "a", "--like", "mate-smooth"], "nearest: matte-smooth"),
        (["add", "film", "a", "--like", "matte-smooth", "--value", "weight=3"], "weight: no value"),
        (["add", "press", "a"], "platen: say the platen's size, such as 380x380"),
        (["add", "press", "a", "--platen", "big"], "not written as"),
        (["add", "press", "a", "--platen", "380x380", "--dial", "200"], "dial: '200' has no two"),
        (["add", "fabric", "a"], "fibres: say its fibres"),
        (["add", "fabric", "a", "--fibres", "coton=100"], "nearest: cotton"),
        (["add", "garment", "a"], "fabric: is missing: say what it is made of, such as"),
        (["add", "garment", "a"], "wearer: is missing: say who wears it: adult, child"),
        (["add", "press", "a", "--platen", "40x50"], "in centimetres write 40x50cm"),
        (["add", "sheet", "a", "--kind", "rug"], "kind: say cover or pad"),
        (["set", "matte-smoth", "price", "3"], "nearest: matte-smooth"),
        (["set", "matte-smooth", "prise", "3"], "nearest: price"),
        (["set", "matte-smooth", "price", "-3"], "'-3' is not a number|write more than 0"),
        (["set", "matte-smooth", "setpoint", "400"], "beyond 260"),
        (["count", "matte-smooth", "-500"], "has 22 m on the shelf, so 500 m cannot be taken"),
        (["count", "matte-smooth", "nan"], "not a finite number"),
        (["count", "matte-smooth", "-inf"], "not a finite number"),
        (["remove", "matte-smooth"], "ships with Presslore; the shop entered nothing of it"),
        (["export", "ours.txt"], "must end in .yaml or .csv"),
        (["import", "no-such.csv"], "no-such.csv: cannot be read: no such file"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_in_one_line(arguments: list[str], says: str) -> None:
    assert re.search(says, refusal(run("shelf", *arguments))), refusal(run("shelf", *arguments))
    assert json.loads(run("shelf", "sheets", "--json").stdout)["sheets"]


def test_the_help_tells_the_acts() -> None:
    said = run("shelf", "--help").stdout
    for act in ("add", "set", "remove", "count", "export", "import", "show"):
        assert f"\n  {act} " in said


@pytest.mark.parametrize(
    ("setpoint", "asked"), [(95, True), (105, False), (165, False), (195, True)]
)
def test_a_setpoint_far_from_its_family_is_asked_about(setpoint: int, asked: bool) -> None:
    told = run(
        *("shelf", "add", "film", "far", "--finish", "sparkle", "--dwell", "12"),
        *("--peel", "warm", "--setpoint", str(setpoint)),
    ).output
    assert "far is on the shelf" in told
    assert (f"is {setpoint} °C right?" in told) is asked


def test_a_film_is_entered_in_the_words_of_the_trade(tmp_path: Path) -> None:
    four = ["--setpoint", "155", "--dwell", "12", "--peel", "hot", "--store", tmp_path / "s.sqlite"]
    run("shelf", "add", "film", "ours", "--finish", "glitter", "--family", "velvety", *four)
    shelf = run_json("shelf", "films", "--store", tmp_path / "s.sqlite")["films"]
    [ours] = [film for film in shelf if film["id"] == "ours"]
    assert (ours["finishes"], ours["family"]) == (["sparkle"], "flock")


@pytest.mark.parametrize(
    ("fibres", "dye"),
    [("polyester=100", "disperse"), ("polyester=94;elastane=6", "disperse"),
     ("nylon=100", "acid"), ("cotton=100", "reactive")],
)  # fmt: skip
def test_a_fabric_of_its_fibres_alone_is_dyed_as_they_are(
    fibres: str, dye: str, tmp_path: Path
) -> None:
    store = tmp_path / "s.sqlite"
    run("shelf", "add", "fabric", "ours", "--fibres", fibres, "--colour", "red=#c8102e",
        "--store", store)  # fmt: skip
    [ours] = [f for f in run_json("shelf", "fabrics", "--store", store)["fabrics"]
              if f["id"] == "ours"]  # fmt: skip
    assert ours["dye_class"].startswith(dye)
    answer = run_json(
        "check", "--fabric", "ours", "--stack", "matte-smooth:white", "--store", store
    )
    bleeds = "dye-bleed" in {finding["rule"] for finding in answer["findings"]}
    assert bleeds == (dye == "disperse")


@pytest.mark.parametrize(
    ("said", "window"),
    [("30", (20, 30, 45)), ("20-45", (20, 32.5, 45)), ("20-30-45", (20, 30, 45))],
)
def test_a_films_pressure_is_said_by_one_number_two_ends_or_all_three(
    said: str, window: tuple[float, float, float], tmp_path: Path
) -> None:
    store = tmp_path / "s.sqlite"
    four = ["--setpoint", "155", "--dwell", "12", "--peel", "hot", "--store", store]
    run("shelf", "add", "film", "ours", "--finish", "matte", "--pressure", said, *four)
    shelf = run_json("shelf", "films", "--store", store)["films"]
    [ours] = [film for film in shelf if film["id"] == "ours"]
    assert tuple(ours["pressure_kpa"][end] for end in ("low", "best", "high")) == window
