"""What is handed over: the strictest care, and samples that say what to do."""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor import plan
from advisor.job.demo import DEMO_FOLDER
from advisor.words.care import care_cards, care_page
from advisor.words.hand_over import hand_over
from advisor.words.sample import FAILED
from rules.book.care import FIRST_WASH_H, care_for
from rules.book.trials import TRUSTED, trials_without_failure
from rules.catalogue import load_catalogue
from rules.rulebook import rulebook
from tests.advisor.answers.prints_orders import CREW, block, letters, written
from tests.advisor.command.command_line import KITE, run, run_json, write_job

KNOWN = load_catalogue()
COOL = "matte-low-temperature"
BLEEDS = """job: kite
artwork: kite.svg
looks:
  "#1b3a5c": {film: matte-smooth, colour: white}
  "#f2c14e": {film: holographic-fine}
garments:
  - {garment: drawstring-bag, colour: navy, quantity: 3, artwork_width_mm: 100}
"""
MIXED = """job: mixed
artwork: kite.svg
looks:
  "#1b3a5c": {finish: matte, colour: navy}
  "#f2c14e": {finish: sparkle, colour: gold}
garments:
  - {garment: adult-tee, colour: white, quantity: 12, artwork_width_mm: 200}
  - {garment: canvas-tote, colour: white, quantity: 5, artwork_width_mm: 120}
  - {garment: wind-jacket, colour: red, quantity: 3, artwork_width_mm: 80}
"""


def test_no_care_asks_for_more_than_any_film_or_the_fabric_bears() -> None:
    # Every film on every fabric, by the limits as they stand on the shelf.
    for fabric in KNOWN.fabrics.values():
        for film in KNOWN.films.values():
            care = care_for([film], fabric)
            assert care.wash_c is None or care.wash_c <= min(film.wash_limit_c, fabric.wash_c)
            assert care.iron_c is None or care.iron_c <= min(
                film.bears_c, fabric.iron_fibre.iron_c, 150
            )
            assert not care.tumbled or (film.softens_c >= 80 and fabric.coating == "none")
            # Nor for less than can be said: the next symbol would be too much for one of them.
            hotter = {None: 30, 30: 40, 40: 50, 50: 60, 60: 999}[care.wash_c]
            assert hotter > min(film.wash_limit_c, fabric.wash_c) or care.wash_c == 60
            assert {care.wash_by, care.iron_by, care.tumble_by} <= {film.id, fabric.id}


@pytest.mark.parametrize("order", [("matte-smooth", "holographic-fine"), ("holographic-fine",)])
def test_one_weak_film_sets_the_care_of_all(order: tuple[str, ...]) -> None:
    care = care_for([KNOWN.film(name) for name in order], KNOWN.fabric("cotton-jersey-child"))
    assert (care.wash_c, care.wash_by) == (30, "holographic-fine")


@pytest.mark.parametrize(
    ("fabric", "film", "wash_c", "bars", "tumbled", "iron_c"),
    [  # By the shelf's own limits and ISO 3758's symbols.
        ("cotton-jersey-child", "matte-thick", 60, 1, True, 150),
        ("cotton-jersey-tee", "matte-low-temperature", 40, 1, False, 110),
        ("nylon-coated", "matte-nylon", 30, 1, False, 110),
        ("wool-felt", "matte-low-temperature", None, 2, False, 110),
        ("silk-satin", "matte-low-temperature", 30, 2, False, 110),
        ("polyester-jersey", "matte-smooth", 40, 1, True, 150),
    ],
)
def test_the_care_of_common_pairs(
    fabric: str, film: str, wash_c: int | None, bars: int, tumbled: bool, iron_c: int
) -> None:
    care = care_for([KNOWN.film(film)], KNOWN.fabric(fabric))
    assert (care.wash_c, care.bars, care.tumbled, care.iron_c) == (wash_c, bars, tumbled, iron_c)


def test_garments_that_are_cared_for_alike_share_a_card_and_others_have_their_own() -> None:
    made = plan(DEMO_FOLDER / "crew-tees.yaml")
    cards = care_cards(made, KNOWN)
    assert [card.garments for card in cards] == [("adult-tee",), ("child-tee",)]
    assert [card.care.wash_c for card in cards] == [40, 60]
    # Two lines of the same fabric, of two garments.
    lines = tuple(replace(made.print.lines[0], garment=name) for name in ("adult-tee", "apron"))
    alike = made.model_copy(update={"print": replace(made.print, lines=lines)})
    (card,) = care_cards(alike, KNOWN)
    assert card.garments == ("adult-tee", "apron")


def test_the_card_is_a_page_that_shows_names_as_text(tmp_path: Path) -> None:
    made = plan(DEMO_FOLDER / "crew-tees.yaml")
    page = care_page(care_cards(made, KNOWN), job="<b>crew</b>")
    assert "&lt;b&gt;crew" in page
    assert "<b>crew" not in page
    assert page.count("<section>") == 2
    for said in (f"{FIRST_WASH_H} hours", "washtub, 40, one bar beneath", "iron, two dots"):
        assert said in page
    # A customer is told nothing of what the shop has on its shelf.
    assert not any(film in page for film in KNOWN.films)


def test_samples_without_a_failure_are_as_published_and_no_fewer_would_do() -> None:
    # 90/90: 22, 90/95: 29, 95/95: 59, the zero-failure numbers of reliability handbooks.
    assert [trials_without_failure(*pair) for pair in TRUSTED] == [22, 29, 59]
    for holds, sure in TRUSTED:
        n = trials_without_failure(holds, sure)
        assert 1 - holds**n >= sure > 1 - holds ** (n - 1)
        assert math.isclose(n, math.log(1 - sure) / math.log(holds), abs_tol=1)


def test_only_a_sample_has_something_to_press_first(tmp_path: Path) -> None:
    assert hand_over(plan(DEMO_FOLDER / "crew-tees.yaml"), KNOWN).sample is None
    job = write_job(tmp_path, job=BLEEDS, artwork=KITE)
    document: dict[str, Any] = run_json("plan", job, "--care")
    assert document["verdict"] == "sample"
    first = document["sample_first"]
    asking = [f for f in document["findings"] if f["severity"] == "sample"]
    assert len(first["doubts"]) == len({(f["where"], f["message"]) for f in asking})
    assert (first["washes"], first["wait_h"]) == (5, FIRST_WASH_H)
    assert "drawstring-bag navy" in first["press"]
    assert "5 times at 30 °C" in first["wash"]
    assert FAILED["dye-bleed"] in first["failed"]
    assert [one["samples"] for one in first["numbers"]] == [22, 29, 59]
    assert document["care"][0]["care"]["wash_c"] == 30


def test_a_sample_is_pressed_on_a_garment_that_is_in_doubt(tmp_path: Path) -> None:
    """A tee that holds proves nothing of the coated jacket that the sample is asked for."""
    document = run_json("plan", write_job(tmp_path, job=MIXED, artwork=KITE))
    asking = [f for f in document["findings"] if f["severity"] == "sample"]
    assert asking
    assert all("nylon-coated" in finding["where"] for finding in asking)
    pressed = document["sample_first"]["press"]
    assert "wind-jacket" in pressed
    assert "tee" not in pressed
    assert "tote" not in pressed


def test_what_is_pressed_otherwise_is_sampled_by_itself(tmp_path: Path) -> None:
    """A jacket that holds says nothing of the bag whose cloth heat may mark."""
    lines = [
        {"garment": "wind-jacket", "quantity": 3, "prints": [block("back", film="stretch-matte")]},
        {"garment": "shopping-bag", "quantity": 9, "prints": [block("front", film=COOL)]},
    ]
    path = written(tmp_path, [])
    path.write_text(json.dumps({"job": "crew", "garments": lines}))
    first = run_json("plan", path)["sample_first"]
    both = r"one [\w -]*\b{} and one [\w -]*\b{} that".format
    names = ("wind-jacket", "shopping-bag")
    assert re.search(f"{both(*names)}|{both(*reversed(names))}", first["press"])


def test_whether_names_can_be_read_is_looked_at_and_not_washed(tmp_path: Path) -> None:
    """Red flock on a black hoodie is 29.6 steps of lightness from it, and read from 30."""
    names = [letters("back", "name", 70, finish="flock", colour="red")]
    made = run_json("plan", written(tmp_path, names, people=CREW, garment="hoodie", colour="black"))
    asking = [f for f in made["findings"] if f["severity"] == "sample"]
    assert {finding["rule"] for finding in asking} == {"legible-names"}
    assert "differ by 29 of 100" in asking[0]["message"]
    first = made["sample_first"]
    assert (first["washes"], first["numbers"]) == (0, [])
    assert "cut scrap" in first["press"]


def test_it_is_shown_before_what_to_know_and_the_care_when_it_is_asked_for(tmp_path: Path) -> None:
    job = write_job(tmp_path, job=BLEEDS)
    shown = run("plan", job).stdout
    assert shown.index("Press card") < shown.index("what to do") < shown.index("To know")
    assert "Care of" not in shown
    target = tmp_path / "care.html"
    shown = run("plan", job, "--care", "--care-card", target).stdout
    assert "Care of drawstring-bag navy" in shown
    assert f"saved {target}" in " ".join(shown.split())
    assert target.read_text("utf-8").startswith("<!doctype html>")


def test_every_sign_of_failure_belongs_to_a_rule() -> None:
    assert set(FAILED) <= set(rulebook().by_id)
    assert all(re.fullmatch(r"[a-z].*[^.]", sign) for sign in FAILED.values())
