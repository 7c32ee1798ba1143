"""Places of prints: each lies inside the garment's print area, and a missing one is told."""

from __future__ import annotations

import pytest

from rules.catalogue import load_catalogue
from rules.catalogue.places import load_places, place_named, spot_at
from rules.errors import UnknownNameError

SHELF = load_catalogue()
PAIRS = [
    (place.id, garment.id)
    for place in load_places().values()
    for garment in SHELF.garments.values()
    if place.spot(garment) is not None
]


def test_every_place_says_that_it_is_common_practice_and_some_garment_has_it() -> None:
    assert {place.basis_default for place in load_places().values()} == {"practice"}
    assert {place for place, _ in PAIRS} == set(load_places())


def test_every_print_area_is_some_place() -> None:
    for garment in SHELF.garments.values():
        for area in garment.print_areas:
            assert spot_at(place_named(area.name, garment), garment).area == area


@pytest.mark.parametrize(("place", "garment"), PAIRS)
def test_the_box_of_a_place_lies_inside_the_area(place: str, garment: str) -> None:
    worn = SHELF.garment(garment)
    spot = spot_at(load_places()[place], worn)
    assert spot.area in worn.print_areas
    left = spot.area.width_mm / 2 + spot.across_mm - spot.width_mm / 2
    assert left >= -0.01
    assert left + spot.width_mm <= spot.area.width_mm + 0.01
    assert spot.top_mm >= 0
    assert spot.top_mm + spot.height_mm <= spot.area.height_mm + 0.01
    assert spot.told


@pytest.mark.parametrize(
    ("said", "garment", "has"),
    [
        ("hood", "adult-tee", "centre-front"),
        ("cap-front", "adult-tee", "chest-left"),
        ("centre-front", "cap-panel", "cap-front"),
        ("back", "drawstring-bag", "centre-front"),
        ("chest-left", "child-wind-jacket", ""),
        ("leg", "joggers", ""),
    ],
)
def test_a_place_that_a_garment_lacks_is_told_with_what_it_has(
    said: str, garment: str, has: str
) -> None:
    worn = SHELF.garment(garment)
    if not has:
        assert place_named(said, worn).spot(worn) is not None
        return
    with pytest.raises(UnknownNameError) as raised:
        place_named(said, worn)
    assert f"no place on {garment} is called {said!r}; it has: " in str(raised.value)
    assert has in str(raised.value)


def test_an_everyday_word_finds_a_place_that_the_garment_has() -> None:
    tee = SHELF.garment("adult-tee")
    said = {"Full front": "centre-front", "upper back": "yoke", "back of neck": "nape"}
    assert {word: place_named(word, tee).id for word in said} == said
    with pytest.raises(UnknownNameError, match="'upper back'; it has: cap-front"):
        place_named("upper back", SHELF.garment("cap-panel"))


def test_left_is_the_wearers_left_and_small_garments_have_smaller_measures() -> None:
    adult, child = SHELF.garment("adult-tee"), SHELF.garment("child-tee")
    left, right = (load_places()[f"chest-{side}"] for side in ("left", "right"))
    assert spot_at(right, adult).across_mm < 0 < spot_at(left, child).across_mm
    assert spot_at(left, child).width_mm == pytest.approx(100 * child.size_factor)
    assert "61 mm below the collar" in spot_at(left, child).told


@pytest.mark.parametrize(("worn", "edge"), [("beanie", "crown"), ("apron", "edge of the bib")])
def test_what_is_worn_without_a_collar_is_measured_from_what_it_has(worn: str, edge: str) -> None:
    told = str(spot_at(load_places()["centre-front"], SHELF.garment(worn)).told)
    assert edge in told
    assert "collar" not in told


def test_what_nobody_wears_has_no_collar_to_measure_from() -> None:
    told = {
        garment.id: spot.told
        for garment in SHELF.garments.values()
        if garment.wearer == "nobody"
        for place in load_places().values()
        if (spot := place.spot(garment)) is not None
    }
    assert told
    assert all("below the upper edge" in words for words in told.values())
    assert "below the collar" in spot_at(load_places()["back"], SHELF.garment("adult-tee")).told
