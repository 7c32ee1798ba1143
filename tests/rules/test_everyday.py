"""Everyday words: the table is sound, and what people of the trade say finds what they mean."""

from __future__ import annotations

from pathlib import Path

import pytest

from rules.catalogue import load_catalogue
from rules.catalogue.everyday import as_word, load_words, meant
from rules.errors import BadInputError, UnknownNameError
from rules.facts.film import FAMILIES, FINISHES
from tests.advisor.command.command_line import run_json

KNOWN = load_catalogue()
IDS = {
    "finishes": FINISHES,
    "families": FAMILIES,
    "films": KNOWN.films,
    "garments": KNOWN.garments,
    "fabrics": KNOWN.fabrics,
    "colours": KNOWN.colours,
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
        ("finishes", "glitter", "sparkle"), ("finishes", "Puff", "raised"),
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
        ("colours", "maroon", "burgundy"), ("colours", "navy blue", "navy"),
    ],
)  # fmt: skip
def test_a_word_finds_what_is_meant(kind: str, said: str, found: str) -> None:
    assert meant(kind, said, IDS[kind], load_words()[kind]) == found


@pytest.mark.parametrize(
    ("kind", "said", "offered"),
    [
        ("finishes", "shiny", ["gloss", "metallic", "mirror"]),
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
