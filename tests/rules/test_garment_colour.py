"""Garment colours: names and hex values, the dye that follows, and that films call them alike."""

from __future__ import annotations

from dataclasses import replace

import pytest

from rules.book.colour_difference import colour_difference
from rules.book.lightness import lightness
from rules.catalogue import load_catalogue
from rules.errors import BadInputError

KNOWN = load_catalogue()
SAME_NAME_DELTA_E = 12.0
"""How far apart cloth and film of one name may be: shades of one colour, far from another. Ours."""
DYE_OF = {
    "cotton": "reactive", "linen": "reactive", "viscose": "reactive", "polyester": "disperse",
    "acetate": "disperse", "nylon": "acid", "wool": "acid", "silk": "acid", "acrylic": "basic",
}  # fmt: skip
"""What colours a fibre, from memory of any dyeing handbook; others are coloured by pigment."""


@pytest.mark.parametrize("family", ["smooth", "stretch", "dye-blocking"])
def test_a_film_and_a_garment_of_one_name_look_alike(family: str) -> None:
    for film in KNOWN.films.values():
        if film.family == family:
            for colour in film.colours:
                if not colour.name.startswith("skin-"):
                    named = KNOWN.colours[colour.name]
                    apart = colour_difference(named.srgb, colour.srgb)
                    assert apart < SAME_NAME_DELTA_E, (film.id, colour.name, apart)


def test_every_fabric_is_called_by_a_garment_colour() -> None:
    for fabric in KNOWN.fabrics.values():
        assert fabric.colour.name in KNOWN.colours, fabric.id


@pytest.mark.parametrize("fabric", KNOWN.fabrics.values(), ids=lambda fabric: fabric.id)
def test_white_cloth_holds_no_dye_and_navy_cloth_that_of_its_fibres(fabric: object) -> None:
    fabric_id: str = fabric.id  # type: ignore[attr-defined]
    white, navy = (KNOWN.fabric(f"{fabric_id}:{name}") for name in ("white", "navy"))
    plain = KNOWN.fabric(fabric_id)
    if plain.colour.name != "white":
        assert (white.dye_class, white.dye_wanders) == ("none", False)
    if plain.dye_class != "none":
        assert navy.dye_class == plain.dye_class
    else:
        assert navy.dye_class == DYE_OF[plain.main_fibre.id]
    assert lightness(navy.colour.srgb) < 25 < 90 < lightness(white.colour.srgb)


def test_the_fibre_says_what_dyes_it() -> None:
    said = {fibre.id: fibre.dye.partition("-")[0] for fibre in KNOWN.fibres.values()}
    assert {name: said[name] for name in DYE_OF} == DYE_OF
    assert said["polypropylene"] == "pigment"


def test_a_little_polyester_in_undyed_cotton_is_dyed_with_it() -> None:
    pique = KNOWN.fabric("cotton-pique")
    polyester = KNOWN.fibres["polyester"]
    for pct, dye in ((4, "reactive"), (5, "disperse-medium")):
        shares = tuple(
            pique.fibres[0].model_copy(update={"fibre": fibre, "pct": share})
            for fibre, share in ((KNOWN.fibres["cotton"], 100 - pct), (polyester, pct))
        )
        blend = pique.model_copy(update={"fibres": shares})
        shelf = {**KNOWN.fabrics, "cotton-pique": blend}
        assert replace(KNOWN, fabrics=shelf).fabric("cotton-pique:red").dye_class == dye


def test_its_own_colour_is_its_own_cloth() -> None:
    for said in ("navy", "#1C2A48"):
        fabric = KNOWN.fabric(f"wind-jacket:{said}")
        plain = KNOWN.fabric("wind-jacket")
        assert plain.colour.srgb == "#1c2a48"
        assert fabric.model_copy(update={"id": plain.id}) == plain


@pytest.mark.parametrize("said", ["Forest", " FOREST ", "forest"])
def test_a_name_is_read_as_people_write_it(said: str) -> None:
    assert KNOWN.colour(said).id == "forest"


@pytest.mark.parametrize(
    ("srgb", "undyed"),
    [("#ffffff", True), ("#f0f0f0", True), ("#efefef", False), ("#fffff0", True),
     ("#ffffee", False), ("#1b2a49", False)],
)  # fmt: skip
def test_a_hex_value_is_white_cloth_only_where_it_is_white(srgb: str, undyed: bool) -> None:
    colour = KNOWN.colour(srgb.upper())
    assert (colour.id, colour.srgb, colour.undyed) == (srgb, srgb, undyed)


@pytest.mark.parametrize(
    ("said", "words"),
    [("nvy", "nearest: navy"), ("#12", "six digits"), ("#1b2a4g", "six digits"),
     ("qqqqqqq", "shelf colours"), ("", "shelf colours")],
)  # fmt: skip
def test_what_is_no_colour_is_told_with_what_would_be(said: str, words: str) -> None:
    with pytest.raises(BadInputError, match=words):
        KNOWN.colour(said)
