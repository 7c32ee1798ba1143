"""What a person is told of a mistake: which file is meant, in whose units, and what is near."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.advisor.command.command_line import JOB, refusal, run, run_json, write_job

ORDER = """job: crew
looks:
  default: {finish: matte, colour: white}
garments:
  - garment: adult-tee
    colour: navy
    quantity: 4
    prints:
      - {at: chest, artwork: kite.svg, width_mm: 900}
      - {at: yoke, lettering: {column: name}, height_mm: 300, finish: matte, colour: white}
      - {at: {area: back, below_mm: 900}, artwork: kite.svg, width_mm: 40}
people: crew.csv
"""
CREW = "name,no,garment\nAnn,7,adult-tee\nBo,8,adult-tee\n"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "crew.csv").write_text(CREW, encoding="utf-8")
    return write_job(tmp_path)


def test_a_job_where_a_plan_is_asked_for_is_told_the_command_that_plans_it(job: Path) -> None:
    for command in (("check", job), ("heat", job), ("quote", job, "--plan", job)):
        told = refusal(run(*command))
        assert "is a job, not a plan; `presslore plan job.yaml --out PLAN.json` makes" in told


def test_a_plan_where_a_job_is_asked_for_is_told_the_command_that_judges_it(job: Path) -> None:
    plan = job.parent / "plan.json"
    run_json("plan", job, "--out", plan)
    for command in (("plan", plan), ("quote", plan), ("cut", plan, "--out", job.parent / "cut")):
        told = refusal(run(*command))
        assert "is a plan, not a job: `presslore check` judges it" in told
        assert "--plan plan.json where a plan is taken" in told


def test_every_print_that_its_place_does_not_hold_is_told_at_once_in_the_readers_units(
    job: Path,
) -> None:
    write_job(job.parent, job=ORDER)
    for units, wide, high, below in (
        ((), "is 900 mm; centre-front of adult-tee is 300 mm wide",
         "is 300 mm; yoke of adult-tee is 80 mm high", "900 mm below the edge"),
        (("--inches",), "is 35.4 in; centre-front of adult-tee is 11.8 in wide",
         "is 11.8 in; yoke of adult-tee is 3.15 in high", "35.4 in below the edge"),
    ):  # fmt: skip
        told = refusal(run("plan", job, *units))
        for nth, said in enumerate((f"width_mm: {wide}", f"height_mm: {high}", f"at: {below}")):
            assert f"garments.0.prints.{nth}.{said}" in told


def test_an_artwork_too_high_for_its_place_is_told_with_the_widest_that_fits_in_inches(
    job: Path,
) -> None:
    lines = ORDER.splitlines()
    short = "\n".join(one for one in lines if not re.search("yoke|below_mm|crew.csv", one))
    write_job(job.parent, job=short.replace("width_mm: 900", "height_mm: 390"))
    told = refusal(run("plan", job, "--inches"))
    assert "the artwork would be 13.6 × 15.4 in" in told
    assert "print it 11.8 in wide at most" in told


@pytest.mark.parametrize(
    "line", ["  #1b3a5c: {finish: matte}", '  "#1b3a5c": {finish: matte, colour: #1b3a5c}']
)
def test_a_colour_without_quotes_is_told_and_not_passed_over(job: Path, line: str) -> None:
    write_job(job.parent, job=JOB.replace("looks:\n", f"looks:\n{line}\n"))
    assert "line 4: #1b3a5c is a comment to YAML, which passes it over; put it in quotes" in (
        refusal(run("plan", job))
    )


def test_a_remark_that_names_a_colour_is_a_remark(job: Path) -> None:
    remarked = JOB.replace("looks:", "looks: # the kite's: #1b3a5c\n  # as in the logo, #f2c14e:")
    assert run_json("plan", write_job(job.parent, job=remarked))["status"] == "planned"


def test_numbers_are_looked_for_under_what_people_head_their_column_with(job: Path) -> None:
    asked = ORDER.replace("column: name", "column: number")
    write_job(job.parent, job=asked)
    told = refusal(run("plan", job))
    assert "has no column called number; its columns: name, no, garment; nearest: no" in told


def test_sizes_beside_one_artwork_are_told_where_they_stand(job: Path) -> None:
    write_job(job.parent, job=JOB.replace("quantity: 3", "sizes: {M: 2, L: 1}"))
    told = refusal(run("plan", job))
    assert "garments.0.sizes: with one artwork, each size that is printed at a width" in told


def test_a_thing_is_offered_only_where_it_looks_much_like_what_was_typed() -> None:
    assert "nearest" not in refusal(run("shelf", "show", "nope"))
    assert "nearest: rose" in refusal(run("shelf", "show", "rosse"))


def test_a_colour_that_no_reflective_film_has_is_told_of_the_nearest() -> None:
    answer = run_json("look", "reflective:#ffffff", "--fabric", "adult-tee")
    for way in answer["answers"]:
        (found,) = (one for one in way["findings"] if one["rule"] == "colour-match")
        assert found["message"].startswith(f"by day {way['films'][0]} shows its own dull colour")
    told = run_json("check", "--fabric", "adult-tee", "--stack", "matte-smooth:#1b3a5c")
    assert "colour-match" in [one["rule"] for one in told["findings"]]
    named = run_json("check", "--fabric", "adult-tee", "--stack", "matte-smooth:navy")
    assert "colour-match" not in [one["rule"] for one in named["findings"]]


def test_two_people_of_one_name_are_told_once_whatever_bears_their_names(job: Path) -> None:
    crew = "name,no,garment\nAnn,7,adult-tee\nAnn,8,adult-tee\n"
    (job.parent / "crew.csv").write_text(crew, encoding="utf-8")
    lines = [one for one in ORDER.splitlines() if not re.search("kite|below_mm", one)]
    write_job(job.parent, job="\n".join(lines).replace("height_mm: 300", "height_mm: 40"))
    notes = run_json("plan", job)["notes"]
    assert [note for note in notes if "two people?" in note] == [
        "'Ann' in row 3 stands in row 2 too: two people?"
    ]
    assert [note for note in notes if "no lettering" in note] == [
        "yoke-name: 2 of 4 adult-tee get no lettering: the list has none for them"
    ]


@pytest.mark.parametrize(
    ("upper", "rule", "told"),
    [
        ("flock-plush", "tack-before-next", "the press of navy matte-smooth:"),
        ("flock-plush", "pressed-seconds", "the final press of gold flock-plush:"),
        ("foam-low", "tack-before-next", "the press of navy matte-smooth:"),
    ],
)
def test_beside_the_card_a_finding_names_the_press_by_its_films_and_no_number(
    job: Path, upper: str, rule: str, told: str
) -> None:
    write_job(
        job.parent, job=JOB.replace("{film: sparkle-coarse, colour: gold}", f"{{film: {upper}}}")
    )
    lines = " ".join(run("plan", job).stdout.split())
    assert rule in lines
    assert told in lines
    assert not re.search(r"\bsteps? \d", lines.partition("Press card")[2])
    # The file and --why number their steps, and so do their findings.
    where = [one["where"] for one in run_json("plan", job)["findings"] if one["rule"] == rule]
    assert all(re.fullmatch(r"step \d+", one) for one in where), where
    assert f"{where[0]} " in f"{' '.join(run('plan', job, '--why').stdout.split())} "
