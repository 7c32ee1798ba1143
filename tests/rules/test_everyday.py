"""Everyday words: the table is sound, and what people of the trade say finds what they mean."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from rules.catalogue import fact_of, load_catalogue
from rules.catalogue.everyday import as_word, load_words, meant
from rules.catalogue.places import load_places
from rules.catalogue.written import Written
from rules.errors import BadInputError, UnknownNameError
from rules.facts.film import FAMILIES, FINISHES, Film
from tests.advisor.command.command_line import run_json

KNOWN = load_catalogue()
IDS = {
    "finishes": FINISHES,
    "families": FAMILIES,
    "films": KNOWN.films,
    "garments": KNOWN.garments,
    "fabrics": KNOWN.fabrics,
    "colours": KNOWN.colours,
    "places": load_places(),
}


@pytest.mark.parametrize("kind", IDS)
def test_every_word_means_something_that_there_is(kind: str) -> None:
    for word, ids in load_words()[kind].items():
        assert set(ids) <= set(IDS[kind]), word
        assert as_word(word) == word
        # An id means itself; a word that is another thing's id would never be heard.
        assert word not in IDS[kind] or ids == (word,) or kind == "families", word


@pytest.mark.parametrize(
    ("kind", "said", "found"),
    [
        # Common practice, no source: what these are called across a counter.
        ("finishes", "glitter", "sparkle"), ("finishes", "Puff", "puff"),
        ("finishes", "foam", "puff"), ("finishes", "3D", "raised"), ("finishes", "velour", "plush"),
        ("finishes", "sheer", "clear"), ("families", "low bleed", "dye-blocking"),
        ("families", "matte", "smooth"), ("films", "flex", "matte-smooth"),
        ("finishes", "flocked", "plush"), ("finishes", "glow in the dark", "glow"),
        ("finishes", "rubberised", "matte"), ("finishes", "matt", "matte"),
        ("finishes", "chrome", "mirror"), ("finishes", "Hi-Vis", "reflective"),
        ("finishes", "rainbow", "holographic"), ("finishes", "camo", "patterned"),
        ("families", "puff", "foam"), ("families", "glitter", "sparkle"),
        ("families", "blockout", "dye-blocking"),
        ("films", "glitter", "sparkle-fine"), ("films", "puff", "foam-raised"),
        ("films", "foil", "metallic-foil"), ("films", "vinyl", "matte-smooth"),
        ("films", "metallic", "metallic-smooth"),
        ("garments", "shirt", "adult-tee"), ("garments", "T-Shirts", "adult-tee"),
        ("garments", "sweater", "adult-hoodie"), ("garments", "Hoodies", "adult-hoodie"),
        ("garments", "kids' tee", "child-tee"), ("garments", "baseball cap", "cap-panel"),
        ("garments", "tote bag", "canvas-tote"), ("garments", "windbreaker", "wind-jacket"),
        ("fabrics", "cotton", "cotton-jersey-tee"), ("fabrics", "polyester", "polyester-jersey"),
        ("fabrics", "polycotton", "cotton-polyester-jersey"), ("fabrics", "lycra",
        "polyester-elastane-jersey"), ("fabrics", "jeans", "denim"),
        ("colours", "gray", "grey"), ("colours", "Bottle Green", "forest"),
        ("places", "full front", "centre-front"), ("places", "Back of neck", "nape"),
        ("colours", "maroon", "burgundy"), ("colours", "navy blue", "navy"),
    ],
)  # fmt: skip
def test_a_word_finds_what_is_meant(kind: str, said: str, found: str) -> None:
    assert meant(kind, said, IDS[kind], load_words()[kind]) == found


@pytest.mark.parametrize(
    ("kind", "said", "offered"),
    [
        ("finishes", "shiny", ["gloss", "metallic", "mirror"]),
        ("finishes", "soft", ["matte", "plush"]),
        ("finishes", "rubber", ["matte", "raised"]),
        ("finishes", "shimmer", ["sparkle", "metallic"]),
        ("families", "soft", ["stretch", "flock"]),
        ("families", "thin", ["smooth", "stretch"]),
        ("films", "soft", ["matte-thin", "stretch-matte", "flock-plush"]),
        ("garments", "tank top", ["adult-tee", "sports-jersey"]),
        ("garments", "crewneck", ["adult-tee", "adult-hoodie"]),
        ("garments", "school bag", ["drawstring-bag", "canvas-tote"]),
        ("fabrics", "satin", ["silk-satin", "acetate-lining"]),
        ("fabrics", "ripstop", ["nylon-woven", "nylon-coated"]),
        ("fabrics", "terry", ["cotton-fleece", "cotton-pique"]),
        ("garments", "jacket", ["wind-jacket", "lined-jacket", "rain-jacket", "denim-jacket"]),
        ("fabrics", "fleece", ["cotton-fleece", "polyester-fleece"]),
        ("fabrics", "wool", ["wool-felt", "wool-twill"]),
    ],
)
def test_a_word_too_wide_is_answered_with_what_it_may_mean(
    kind: str, said: str, offered: list[str]
) -> None:
    with pytest.raises(UnknownNameError, match=f"may mean: {', '.join(offered)}$"):
        meant(kind, said, IDS[kind], load_words()[kind])


@pytest.mark.parametrize(
    ("kind", "said", "first"),
    [("finishes", "gliter", "sparkle (glitter)"), ("garments", "swetshirt",
     "adult-hoodie (sweatshirt)"), ("finishes", "mate", "matte"),
     ("garments", "adlt-tee", "adult-tee"), ("films", "velvte", "flock-plush (velvet)")],
)  # fmt: skip
def test_a_word_misspelt_is_told_with_what_was_meant(kind: str, said: str, first: str) -> None:
    with pytest.raises(UnknownNameError) as raised:
        meant(kind, said, IDS[kind], load_words()[kind])
    assert f"nearest: {first}" in str(raised.value)


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        ("finishes", "neon"), ("finishes", "white"), ("finishes", "leather"), ("finishes", "wood"),
        ("films", "cheap"), ("garments", "shorts"), ("garments", "umbrella"), ("garments", "mug"),
        ("garments", "cushion"), ("garments", "face mask"), ("fabrics", "velvet"),
        ("fabrics", "tulle"), ("fabrics", "organza"), ("fabrics", "cashmere"),
    ],
)  # fmt: skip
def test_what_is_like_nothing_there_is_not_told_to_be_near_what_only_shares_letters(
    kind: str, said: str
) -> None:
    with pytest.raises(UnknownNameError) as raised:
        meant(kind, said, IDS[kind], load_words()[kind])
    assert "nearest" not in str(raised.value)
    assert re.search("there are: |lists what there is", str(raised.value))


@pytest.mark.parametrize(
    ("kind", "said", "near"),
    [
        ("films", "nylon film", "matte-nylon, reflective-nylon, matte-nylon-low-temperature"),
        ("films", "reflective safety", "reflective-beaded (safety)"),
        ("finishes", "chunky glitter", "sparkle (glitter)"),
    ],
)
def test_a_word_of_several_is_near_what_shares_one_of_them(kind: str, said: str, near: str) -> None:
    with pytest.raises(UnknownNameError) as raised:
        meant(kind, said, IDS[kind], load_words()[kind])
    assert f"nearest: {near}" in str(raised.value)


def test_puff_is_what_rises_and_raised_is_what_is_merely_thick_too() -> None:
    shows = {
        finish: {film.id for film in KNOWN.films.values() if finish in film.finishes}
        for finish in ("puff", "raised")
    }
    assert shows["puff"] == {film.id for film in KNOWN.films.values() if film.foams} != set()
    thick = {film.id for film in KNOWN.films.values() if film.family == "high-build"}
    assert shows["raised"] == shows["puff"] | thick


@pytest.mark.parametrize(
    ("said", "shown"),
    [
        ({"finishes": ["puff"]}, ("puff", "raised")),
        ({"finishes": ["raised"]}, ("raised", "puff")),
        ({"finishes": ["raised"], "family": "high-build"}, ("raised",)),
    ],
)
def test_a_film_of_a_shops_own_is_puff_where_it_rises(
    said: dict[str, object], shown: tuple[str, ...]
) -> None:
    sheet = {"id": "ours", "setpoint_c": 160, "dwell_s": 15, "peel": "cold", "family": "foam"}
    made = fact_of("films", Written("ours", {**sheet, **said}), KNOWN.by_kind())
    assert made.finishes == shown
    assert Film.model_validate(made.model_dump()).finishes == shown


def test_the_shelf_is_found_by_its_everyday_words() -> None:
    assert KNOWN.film("glitter").id == "sparkle-fine"
    assert KNOWN.garment("hoodie").id == "adult-hoodie"
    assert KNOWN.fabric("hoodie").id == "cotton-fleece"
    assert KNOWN.fabric("jeans:Dark Grey").id == "denim:charcoal"
    assert KNOWN.garment_of("Jeans") is None


def test_a_shop_says_its_own_words_and_its_own_ids_come_first(tmp_path: Path) -> None:
    (tmp_path / "words.yaml").write_text("garments: {polo: [collar-shirt]}\n", encoding="utf-8")
    (tmp_path / "garments.yaml").write_text(
        "garments:\n  - {id: shirt, name: Our own shirt, fabric: denim, wearer: adult,\n"
        "     price_each: 9, print_areas: [{name: front, width_mm: 100, height_mm: 100}]}\n",
        encoding="utf-8",
    )
    shop = load_catalogue(tmp_path)
    report = run_json("check", "--shop", tmp_path, "--fabric", "collar shirt", "--stack", "vinyl")
    assert report["fabric"] == KNOWN.garment("polo").fabric.id
    assert shop.garment("collar shirt").id == "polo"
    assert shop.garment("Shirts").id == "shirt"
    assert shop.garment("t-shirt").id == "adult-tee"


@pytest.mark.parametrize(
    "text", ["[]", "hats: {cap: [hat]}", "films: [glitter]", "films: {a: glitter}",
             "films: {a: [Big Word]}", "films: {a: [3]}"],
)  # fmt: skip
def test_a_table_that_is_none_says_what_it_should_be(tmp_path: Path, text: str) -> None:
    (tmp_path / "words.yaml").write_text(text, encoding="utf-8")
    with pytest.raises(BadInputError, match="each id with a list of words"):
        load_words(tmp_path)


@pytest.mark.parametrize("said", ["t-shirt", "tshirt", "T Shirts"])
def test_a_word_for_a_garment_and_its_very_fabric_is_no_question(said: str) -> None:
    assert KNOWN.fabric(said).id == "cotton-jersey-tee"
