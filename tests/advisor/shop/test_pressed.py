"""Pressed jobs: film goes down once, comes back, and what was pressed is kept as it was."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

from advisor.cutting.records.rolls import RollTaken
from advisor.job.demo import DEMO_FOLDER, demo_job
from advisor.job.records.plan import Plan
from advisor.shop import acts
from advisor.shop.knowledge import shop_knowledge
from advisor.shop.pressed import job_key, last_pressed, take_back, told_pressed
from advisor.words.answers import plan
from rules.catalogue import load_catalogue
from rules.errors import BadInputError
from rules.facts.film import Film
from tests.advisor.command.command_line import JOB, refusal, run, run_json, write_job

KNOWN = load_catalogue()
KEY = "k" * 64
FILM = "matte-smooth"
HAD_M = KNOWN.film(FILM).on_shelf_m


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "shop.sqlite"


@pytest.fixture(scope="module")
def bags() -> Plan:
    return plan(DEMO_FOLDER / "bags.yaml")


def roll(metres: float, film: str = FILM, colour: str = "white") -> RollTaken:
    return RollTaken(film=film, colour=colour, metres=metres, price_per_m=6, note="")


def on_shelf_m(store: Path, film: str = FILM) -> float:
    return shop_knowledge(store=store).catalogue.film(film).on_shelf_m


def test_film_goes_down_by_all_its_colours_and_comes_back(store: Path, bags: Plan) -> None:
    rolls = [roll(1.25), roll(0.5, colour="navy"), roll(2, "matte-thin")]
    pressed = told_pressed(KEY, bags, rolls, catalogue=KNOWN, store=store)
    assert [(each.film, each.counted_m) for each in pressed.taken] == [
        (FILM, 1.75), ("matte-thin", 2),
    ]  # fmt: skip
    assert on_shelf_m(store) == pytest.approx(HAD_M - 1.75)
    take_back(KEY, store=store)
    assert on_shelf_m(store) == HAD_M
    assert last_pressed(KEY, store=store) is None


def test_it_is_counted_once_unless_it_is_meant_twice(store: Path, bags: Plan) -> None:
    told_pressed(KEY, bags, [roll(1)], catalogue=KNOWN, store=store)
    with pytest.raises(BadInputError, match="--again counts it once more"):
        told_pressed(KEY, bags, [roll(1)], catalogue=KNOWN, store=store)
    assert on_shelf_m(store) == HAD_M - 1
    told_pressed(KEY, bags, [roll(1)], catalogue=KNOWN, store=store, again=True)
    assert on_shelf_m(store) == HAD_M - 2
    take_back(KEY, store=store)
    assert on_shelf_m(store) == HAD_M - 1
    assert last_pressed(KEY, store=store) is not None


def test_what_the_shelf_lacks_is_told_and_never_given_back(store: Path, bags: Plan) -> None:
    pressed = told_pressed(KEY, bags, [roll(HAD_M + 3)], catalogue=KNOWN, store=store)
    (taken,) = pressed.taken
    assert (taken.wanted_m, taken.counted_m, taken.left_m) == (HAD_M + 3, HAD_M, 0)
    acts.count_metres(FILM, 10, store=store)
    take_back(KEY, store=store)
    assert on_shelf_m(store) == HAD_M + 10


def test_a_price_or_a_colour_that_the_shop_entered_stays(store: Path, bags: Plan) -> None:
    acts.set_typed(FILM, "price", "6.20", store=store)
    told_pressed(KEY, bags, [roll(1)], catalogue=KNOWN, store=store)
    film = shop_knowledge(store=store).catalogue.film(FILM)
    assert (film.price_per_m, film.on_shelf_m) == (6.2, HAD_M - 1)


def test_a_film_that_lies_in_a_folder_only_is_not_counted(store: Path, bags: Plan) -> None:
    pressed = told_pressed(KEY, bags, [roll(1, "from-a-folder")], catalogue=KNOWN, store=store)
    assert [each.counted_m for each in pressed.taken] == [0]


def test_what_is_impossible_was_never_pressed(store: Path, bags: Plan) -> None:
    impossible = bags.model_copy(update={"status": "impossible"})
    with pytest.raises(BadInputError, match="it cannot have been pressed"):
        told_pressed(KEY, impossible, [], catalogue=KNOWN, store=store)
    assert not store.exists()


def test_the_plan_is_kept_as_it_was_with_what_was_known(store: Path, bags: Plan) -> None:
    told_pressed(KEY, bags, [roll(1)], catalogue=KNOWN, store=store)
    kept = last_pressed(KEY, store=store)
    assert kept is not None
    assert Plan.model_validate(kept.plan).model_dump(mode="json") == bags.model_dump(mode="json")
    for piece in bags.pieces:
        film = KNOWN.film(piece.film)
        assert kept.shelf["films"][piece.film]["price_per_m"] == film.price_per_m
    assert re.fullmatch(r"\d{4}-\d\d-\d\d", kept.on)


def test_a_key_tells_jobs_apart_by_all_that_is_asked() -> None:
    job, svg = demo_job("bags"), b"<svg/>"
    keys = {
        job_key(job, svg),
        job_key(job, svg + b" "),
        job_key(job, svg, b"name\nAna"),
        job_key(job.model_copy(update={"prefer": "fastest"}), svg),
        job_key(
            job.model_copy(
                update={"garments": (job.garments[0].model_copy(update={"quantity": 7}),)}
            ),
            svg,
        ),
    }
    assert len(keys) == 5
    assert job_key(demo_job("bags"), svg) in keys


def test_nothing_is_made_by_asking(store: Path) -> None:
    assert last_pressed(KEY, store=store) is None
    with pytest.raises(BadInputError, match="was not told to be pressed"):
        take_back(KEY, store=store)
    assert not store.exists()


# --- the command ----------------------------------------------------------------------------------


def test_the_command_counts_what_a_quote_counts_and_asks_a_second_time(tmp_path: Path) -> None:
    job, store = write_job(tmp_path), tmp_path / "shop.sqlite"
    at = ("--store", store)
    quoted = run_json("quote", job, *at)
    metres = {
        line["what"].split()[1]: line["facts"]["metres"]
        for line in quoted["lines"]
        if line["what"].startswith("film ")
    }
    told = run_json("run", "done", job, *at)
    assert {each["film"]: each["wanted_m"] for each in told["taken"]} == metres
    for each in told["taken"]:
        assert on_shelf_m(store, each["film"]) == pytest.approx(each["left_m"])
        assert each["left_m"] == pytest.approx(
            KNOWN.film(each["film"]).on_shelf_m - metres[each["film"]]
        )
    assert "--again counts it once more" in refusal(run("run", "done", job, *at))
    assert run("run", "done", job, "--again", *at).exit_code == 0
    for _ in range(2):
        assert "back on the shelf" in run("run", "done", job, "--undo", *at).stdout
    assert "was not told to be pressed" in refusal(run("run", "done", job, "--undo", *at))
    assert {film: on_shelf_m(store, film) for film in metres} == {
        film: KNOWN.film(film).on_shelf_m for film in metres
    }


def test_again_counts_the_films_that_were_pressed_though_the_shelf_is_out_of_them(
    tmp_path: Path,
) -> None:
    job, store = write_job(tmp_path), tmp_path / "shop.sqlite"
    at = ("--store", store)
    first = run_json("run", "done", job, *at)
    films = [each["film"] for each in first["taken"]]
    for film in films:
        acts.set_typed(film, "metres", "0", store=store)
    again = run_json("run", "done", job, "--again", *at)
    assert [each["film"] for each in again["taken"]] == films
    assert [each["wanted_m"] for each in again["taken"]] == [
        each["wanted_m"] for each in first["taken"]
    ]
    assert {each["counted_m"] for each in again["taken"]} == {0}


def test_another_quantity_is_another_job(tmp_path: Path) -> None:
    at = ("--store", tmp_path / "shop.sqlite")
    assert run("run", "done", write_job(tmp_path), *at).exit_code == 0
    more = write_job(tmp_path, job=JOB.replace("quantity: 3", "quantity: 4"))
    assert run("run", "done", more, *at).exit_code == 0


def test_undo_takes_back_the_job_that_is_named_and_no_order_before_it(tmp_path: Path) -> None:
    at = ("--store", tmp_path / "shop.sqlite")
    three = run_json("run", "done", write_job(tmp_path), *at)
    job = write_job(tmp_path, job=JOB.replace("quantity: 3", "quantity: 40"))
    forty = run_json("run", "done", job, *at)
    undone = run_json("run", "done", job, "--undo", *at)
    assert [(each["film"], each["counted_m"]) for each in undone["taken"]] == [
        (each["film"], each["counted_m"]) for each in forty["taken"]
    ]
    left = {each["film"]: each["left_m"] for each in three["taken"]}
    assert {each["film"]: each["left_m"] for each in undone["taken"]} == left
    told = refusal(run("run", "done", job, "--undo", *at))
    assert "nothing is left to undo" in told
    for each in three["taken"]:
        assert f"{each['film']} {each['counted_m']:.2f} m" in told
    assert f"`presslore run undo {three['number']}` takes that back" in told
    assert {film: on_shelf_m(at[1], film) for film in left} == left
    assert run("run", "undo", three["number"], *at).exit_code == 0
    assert "nothing is left to undo" in refusal(run("run", "undo", three["number"], *at))
    assert {film: on_shelf_m(at[1], film) for film in left} == {
        film: KNOWN.film(film).on_shelf_m for film in left
    }


def test_a_number_that_was_taken_back_names_no_other_job_ever(tmp_path: Path) -> None:
    job, at = write_job(tmp_path), ("--store", tmp_path / "shop.sqlite")
    first = run_json("run", "done", job, *at)["number"]
    assert run("run", "undo", first, *at).exit_code == 0
    assert run_json("run", "done", job, *at)["number"] > first
    assert "nothing is left to undo" in refusal(run("run", "undo", first, *at))


def test_undo_of_a_job_pressed_twice_says_that_it_was_pressed_before_too(tmp_path: Path) -> None:
    job, at = write_job(tmp_path), ("--store", tmp_path / "shop.sqlite")
    first = run_json("run", "done", job, *at)
    run_json("run", "done", job, "--again", *at)
    shown = run("run", "done", job, "--undo", *at).stdout
    assert "counts as once less pressed" in shown
    assert f"run undo {first['number']}" in " ".join(shown.split())
    film = first["taken"][0]
    assert f"{film['film']}: {film['counted_m']:.2f} m, now {film['left_m']:.2f} m there" in shown


def test_film_that_is_off_the_shelf_for_good_is_not_said_to_be_back(
    store: Path, bags: Plan
) -> None:
    acts.add_typed("films", "ours", [], like=FILM, store=store)
    known = shop_knowledge(store=store).catalogue
    told_pressed(KEY, bags, [roll(1, "ours")], catalogue=known, store=store)
    acts.remove("ours", store=store)
    assert [each.counted_m for each in take_back(KEY, store=store).taken] == [0]


def test_film_that_a_job_took_stays_taken_when_its_price_is_taken_back(
    store: Path, bags: Plan
) -> None:
    acts.set_typed(FILM, "price", "9.5", store=store)
    told_pressed(KEY, bags, [roll(1.75)], catalogue=KNOWN, store=store)
    for _ in range(2):
        film = acts.remove(FILM, store=store)
        assert film == shop_knowledge(store=store).catalogue.film(FILM)
        assert isinstance(film, Film)
        assert film.price_per_m == KNOWN.film(FILM).price_per_m
        assert film.on_shelf_m == pytest.approx(HAD_M - 1.75)
    take_back(KEY, store=store)
    assert on_shelf_m(store) == HAD_M
    # No job stands any more: its count goes with the rest.
    assert acts.remove(FILM, store=store) == KNOWN.film(FILM)


def test_who_takes_a_price_back_is_told_what_jobs_left_of_the_film(store: Path, bags: Plan) -> None:
    told_pressed(KEY, bags, [roll(HAD_M - 2.5)], catalogue=KNOWN, store=store)
    said = run("shelf", "remove", FILM, "--store", store).output
    assert f"{FILM} is again as it ships, but for its count: 2.5 m stay on the shelf" in said
    told = run_json("shelf", "remove", FILM, "--store", store)
    assert told == {"removed": FILM, "ships": True, "on_shelf_m": 2.5}


def test_undo_has_no_say_beside_what_presses_a_job(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    told = refusal(run("run", "done", job, "--undo", "--again", "--store", tmp_path / "s.sqlite"))
    assert "leave out --again" in told


@pytest.mark.slow
def test_an_order_of_several_prints_takes_the_film_of_all_of_them(tmp_path: Path) -> None:
    for name in ("festival-crew.yaml", "crew.csv", "badge.svg"):
        shutil.copy(DEMO_FOLDER / name, tmp_path / name)
    job, store = tmp_path / "festival-crew.yaml", tmp_path / "shop.sqlite"
    told = run_json("run", "done", job, "--store", store)
    # The badge is of two films, the names and numbers of matte ones.
    taken = {each["film"]: each["counted_m"] for each in told["taken"]}
    plan_ = run_json("plan", job)
    assert set(taken) == {piece["film"] for piece in plan_["pieces"]}
    for film, counted_m in taken.items():
        had_m = KNOWN.film(film).on_shelf_m
        assert on_shelf_m(store, film) == pytest.approx(had_m - counted_m)
    assert "--again" in refusal(run("run", "done", job, "--store", store))
    # Another name on the list makes it another order.
    people = (tmp_path / "crew.csv").read_text("utf-8")
    (tmp_path / "crew.csv").write_text(people.replace("Ada", "Ida", 1), "utf-8")
    assert run("run", "done", job, "--store", store).exit_code == 0
