"""Repairs seen: no change of an impossible job makes a piece unseen on its garment."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor import plan, plan_order
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.book.artwork.colour_match import named_alike
from rules.catalogue import load_catalogue
from rules.knowledge import Knowledge, load_knowledge
from tests.advisor.answers.prints_orders import CREW, letters, written

CATALOGUE = load_catalogue()
RED = "#c8102e"


def planned(look: dict[str, Any]) -> Plan:
    """A red disc on a red jacket, wished in a look."""
    job = {
        "job": "repairs seen",
        "artwork": "a.svg",
        "looks": {"default": look},
        "garments": [
            {"garment": "wind-jacket", "fabric": "polyester-jersey", "colour": "red",
             "quantity": 5, "artwork_width_mm": 200},
        ],
    }  # fmt: skip
    svg = f'<svg xmlns="http://www.w3.org/2000/svg"><circle r="45" fill="{RED}"/></svg>'
    return plan(Job.model_validate(job), svg=svg.encode())


def colours_of(made: Plan) -> list[str]:
    """The colours of the films that the repairs take."""
    changes = [one for changes in made.repairs for one in changes if one.kind in {"film", "buy"}]
    return [
        colour.srgb
        for change in changes
        for colour in CATALOGUE.film(change.to).colours
        if colour.name == change.colour
    ]


@pytest.mark.parametrize("look", [{"film": "glow-thick"}, {"finish": "plush", "colour": "white"}])
def test_a_piece_that_would_be_seen_is_not_cut_from_a_film_of_the_garments_colour(
    look: dict[str, str],
) -> None:
    made = planned(look)
    assert made.status == "impossible"
    colours = colours_of(made)
    assert colours
    assert not [one for one in colours if named_alike(one, RED)]


def test_what_is_wished_in_the_garments_own_colour_may_stay_so_in_another_film() -> None:
    made = planned({"finish": "sparkle", "most_setpoint_c": 90})
    assert made.status == "impossible"
    assert [one for one in colours_of(made) if named_alike(one, RED)]


def test_names_that_cannot_be_read_are_offered_in_the_cheapest_film_that_can(
    tmp_path: Path,
) -> None:
    """Navy on black: white of the film that white names would be cut from, at the shop's price."""

    def made(colour: str, known: Knowledge) -> Plan:
        names = letters("back", "name", finish="matte", colour=colour)
        path = written(tmp_path, [names], people=CREW, colour="black")
        return plan_order(path, knowledge=known).whole

    shelf = load_knowledge()
    plain = shelf.catalogue.film("matte-smooth")
    dear = plain.model_copy(update={"price_per_m": 10 * plain.price_per_m})
    films = {**shelf.catalogue.films, plain.id: dear}
    for known in (shelf, replace(shelf, catalogue=replace(shelf.catalogue, films=films))):
        [white] = made("white", known).pieces
        [first, *_] = made("navy", known).repairs
        assert [(one.kind, one.to, one.colour) for one in first] == [("film", white.film, "white")]
    assert white.film != plain.id
