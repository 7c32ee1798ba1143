"""Garment colours in answers: what depends on the garment's colour follows the one said."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor import check, look, plan
from advisor.answers.judge_plan import judge_plan
from advisor.job.demo import DEMO_FOLDER, demo_job
from advisor.job.plan_file import read_plan
from advisor.job.records.job import Job, Names, Wish
from rules.catalogue import load_catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.knowledge import load_knowledge


def test_a_white_film_bleeds_on_navy_polyester_and_not_on_white() -> None:
    found = {
        colour: {f.rule: f.severity for f in check(
            fabric="drawstring-bag", colour=colour, stack=["matte-smooth:white"]).findings}
        for colour in ("white", "#FFFFFF", "navy", "#1d2a48")
    }  # fmt: skip
    assert found["navy"]["dye-bleed"] in {"sample", "stop"}
    assert found["#1d2a48"]["dye-bleed"] == found["navy"]["dye-bleed"]
    assert not any("dye-bleed" in found[white] for white in ("white", "#FFFFFF"))


def test_a_navy_film_does_not_bleed_where_a_white_one_does() -> None:
    rules = {
        film: {finding.rule for finding in check(
            fabric="drawstring-bag", colour="navy", stack=[film]).findings}
        for film in ("matte-smooth:white", "matte-smooth:navy")
    }  # fmt: skip
    assert "dye-bleed" in rules["matte-smooth:white"] - rules["matte-smooth:navy"]


def test_a_film_that_covers_badly_is_dull_on_black_and_not_on_white() -> None:
    film = min(load_catalogue().films.values(), key=lambda f: f.opacity + ("clear" in f.finishes))
    shows = {
        colour: {finding.rule for finding in check(
            fabric="adult-tee", colour=colour, stack=[film.id]).findings}
        for colour in ("black", "white")
    }  # fmt: skip
    assert "pale-on-dark" in shows["black"] - shows["white"], film.id


def test_a_look_in_colours_gives_films_in_those_colours_on_that_garment() -> None:
    found = look("matte:white", "sparkle:gold", fabric="adult-tee", colour="navy", most=2)
    assert found.fabric == "cotton-jersey-tee:navy"
    for answer in found.answers:
        colours = dict(zip(answer.finishes, answer.colours, strict=True))
        assert colours == {"matte:white": "white", "sparkle:gold": "gold"}
        # Check plans the same films in the same colours, and says the same of them.
        stack = [f"{f}:{c}" for f, c in zip(answer.films, answer.colours, strict=True)]
        again = check(fabric="adult-tee", colour="navy", stack=stack, meets=answer.meets)
        sized = [finding for finding in again.findings if finding.rule != "fits-platen"]
        assert (again.verdict, tuple(sized)) == (answer.verdict, answer.findings)


def test_a_look_may_name_one_film() -> None:
    found = look("gloss-smooth:red", "sparkle", fabric="adult-tee", most=3)
    assert all("gloss-smooth" in answer.films for answer in found.answers)
    assert all("red" in answer.colours for answer in found.answers)


def test_a_look_in_a_hex_value_keeps_to_films_near_it() -> None:
    found = look("sparkle:#d4a94a", fabric="adult-tee", most=3)
    assert {answer.colours for answer in found.answers} == {("gold",)}


@pytest.mark.parametrize(
    ("finish", "colour", "words"),
    [("matte:gld", None, "nearest: gold"), ("mat:gold", None, "nearest: matte"),
     ("matte", "nvy", "nearest: navy")],
)  # fmt: skip
def test_an_unknown_colour_is_told_with_the_nearest(
    finish: str, colour: str | None, words: str
) -> None:
    with pytest.raises(BadInputError, match=words):
        look(finish, fabric="adult-tee", colour=colour)


def crew(*colours: str | None) -> Job:
    job = demo_job()
    lines = tuple(job.garments[0].model_copy(update={"colour": colour}) for colour in colours)
    return job.model_copy(update={"garments": lines})


def test_one_job_holds_garments_of_several_colours(tmp_path: Path) -> None:
    made = plan(crew(None, "navy", "#f8f8f5"), folder=DEMO_FOLDER)
    assert [line.fabric for line in made.print.lines] == [
        "cotton-jersey-tee", "cotton-jersey-tee:navy", "cotton-jersey-tee:#f8f8f5",
    ]  # fmt: skip
    assert [line.worn for line in made.print.lines][:2] == ["adult-tee", "adult-tee navy"]
    # Cotton of any colour is pressed alike, in one run.
    assert len(made.runs) == 1
    saved = tmp_path / "plan.json"
    saved.write_text(made.text(), encoding="utf-8")
    assert judge_plan(read_plan(saved), load_knowledge())[0] == made.findings


def test_the_usual_colour_said_changes_nothing_but_its_name() -> None:
    one, two = plan(crew(None), folder=DEMO_FOLDER), plan(crew("sand"), folder=DEMO_FOLDER)
    assert (two.cost, two.minutes, two.verdict) == (one.cost, one.minutes, one.verdict)
    assert two.steps == one.steps


def test_names_are_read_against_the_garment_of_their_line(tmp_path: Path) -> None:
    (tmp_path / "crew.csv").write_text("name\nAna\n", encoding="utf-8")
    (tmp_path / "kite.svg").write_bytes((DEMO_FOLDER / "kite.svg").read_bytes())
    # Beside the artwork, so that nothing but the garment is under them.
    names = Names(
        file="crew.csv", box_mm=(0, 280, 200, 40), look=Wish(finish="matte", colour="navy")
    )
    found = {}
    for colour in ("navy", "white"):
        job = crew(colour).model_copy(update={"names": names})
        made = plan(job, folder=tmp_path)
        found[colour] = {f.rule for f in (*made.findings, *made.refused, *made.conflict)}
    assert "legible-names" in found["navy"] - found["white"]


def test_a_colour_that_is_none_names_its_line() -> None:
    with pytest.raises(BadInputError, match=r"garments\.1\.colour: no garment colour .*navy"):
        plan(crew(None, "nayy"), folder=DEMO_FOLDER)


def test_a_film_has_no_colour_by_a_name_that_it_lacks() -> None:
    with pytest.raises(UnknownNameError, match="nearest: gold"):
        check(fabric="adult-tee", stack=["sparkle-fine:gld"])
