"""What ships: enough films of every family, true to the trade, nothing that points nowhere."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from rules.catalogue import FOLDER, load_catalogue
from rules.facts.basis import BASIS_MEANING
from rules.facts.film import FAMILIES, FINISHES, Film

SHELF = load_catalogue()
FILMS = tuple(SHELF.films.values())
FILES = sorted([*FOLDER.glob("*.yaml"), *FOLDER.glob("*/*.yaml")])

LEAST_FILMS = {
    "smooth": 6, "stretch": 3, "sparkle": 4, "flock": 3, "metallic": 3, "mirror": 2,
    "holographic": 2, "foam": 3, "reflective": 3, "glow": 2, "patterned": 2, "printable": 3,
    "clear": 2, "dye-blocking": 2, "high-build": 2,
}  # fmt: skip

# Common practice, no source: what may lie on the face of each family.
TAKES_ON_TOP = {
    "sparkle": {"no"}, "flock": {"no"}, "foam": {"no"}, "reflective": {"no"}, "mirror": {"no"},
    "high-build": {"no"}, "holographic": {"sample"}, "metallic": {"sample"}, "glow": {"sample"},
    "patterned": {"sample"}, "clear": {"yes"}, "dye-blocking": {"yes"},
    "printable": {"yes", "sample"}, "smooth": {"yes", "sample"}, "stretch": {"yes", "sample"},
}  # fmt: skip


def named(things: tuple[Film, ...]) -> list[str]:
    return [film.id for film in things]


# --- how much there is ----------------------------------------------------------------------------


def test_there_are_at_least_48_films_over_all_15_families() -> None:
    assert len(FAMILIES) == 15
    assert len(FILMS) >= 48


@pytest.mark.parametrize("family", FAMILIES)
def test_every_family_has_films_that_differ_in_more_than_their_name(family: str) -> None:
    films = [film for film in FILMS if film.family == family]
    assert len(films) >= LEAST_FILMS[family]
    ways = {
        (film.setpoint_c.best, film.dwell_s.best, film.peel, film.bears_s, film.thickness_um)
        for film in films
    }
    assert len(ways) == len(films)


def test_there_are_enough_fabrics_garments_presses_and_sheets() -> None:
    assert len(SHELF.fabrics) >= 18
    assert len(SHELF.garments) >= 12
    assert len(SHELF.presses) >= 5
    assert len(SHELF.sheets) >= 8
    assert {sheet.kind for sheet in SHELF.sheets.values()} == {"cover", "pad"}


@pytest.mark.parametrize("finish", FINISHES)
def test_every_finish_is_shown_by_two_films_and_one_of_them_is_on_the_shelf(finish: str) -> None:
    films = [film for film in FILMS if finish in film.finishes]
    assert len(films) >= 2
    assert any(film.on_shelf_m > 0 for film in films)


def test_some_films_have_run_out() -> None:
    assert 3 <= sum(film.on_shelf_m == 0 for film in FILMS) < len(FILMS) / 3


@pytest.mark.parametrize(
    "family", ["smooth", "stretch", "sparkle", "flock", "foam", "dye-blocking", "high-build"]
)
def test_solid_families_come_in_navy_gold_white_black_and_red(family: str) -> None:
    for film in FILMS:
        if film.family == family:
            assert {"navy", "gold", "white", "black", "red"} <= {c.name for c in film.colours}


# --- nothing points nowhere, everything rests on something ----------------------------------------


def test_every_material_exists() -> None:
    for film in FILMS:
        for material in (film.face_material, film.adhesive_material, film.carrier_material):
            assert material in SHELF.materials, film.id
    for fabric in SHELF.fabrics.values():
        assert fabric.thermal_material in SHELF.materials, fabric.id
    for sheet in SHELF.sheets.values():
        assert sheet.thermal_material in SHELF.materials, sheet.id


def test_every_fibre_that_a_film_bonds_to_exists_and_every_fibre_is_used() -> None:
    for film in FILMS:
        assert set(film.bonds_to) <= set(SHELF.fibres), film.id
    used = {share.fibre.id for fabric in SHELF.fabrics.values() for share in fabric.fibres}
    assert used == set(SHELF.fibres)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_file_says_what_its_values_rest_on(path: Path) -> None:
    assert yaml.safe_load(path.read_text("utf-8"))["basis"] in BASIS_MEANING


@pytest.mark.parametrize("film", FILMS, ids=named(FILMS))
def test_what_the_trade_says_of_a_film_is_marked_practice_and_figures_are_not(film: Film) -> None:
    for field in ("finishes", "surface", "takes_film_on_top", "peel", "sheds", "carrier_marks"):
        assert film.basis_of(field) == "practice"
    for field in ("face_um", "setpoint_c", "dwell_s", "bears_s", "price_per_m"):
        assert film.basis_of(field) == "generic"


def test_no_film_claims_a_data_sheet() -> None:
    assert not any("sheet" in {f.basis_default, *f.basis.values()} for f in FILMS)


# --- what the trade knows -------------------------------------------------------------------------


@pytest.mark.parametrize("film", FILMS, ids=named(FILMS))
def test_a_face_takes_a_film_on_top_as_its_family_does(film: Film) -> None:
    assert film.takes_film_on_top in TAKES_ON_TOP[film.family]
    if film.surface in {"fibrous", "beaded"}:
        assert film.takes_film_on_top == "no"
    if film.surface == "sealed":
        assert film.takes_film_on_top != "yes"


def test_sparkle_has_a_heavy_carrier_that_marks_and_sheds() -> None:
    for film in FILMS:
        assert film.sheds == (film.family == "sparkle")
        if film.family == "sparkle":
            assert film.carrier_marks
            assert film.carrier_um >= 125
            assert film.surface == "textured"
    assert SHELF.film("sparkle-coarse").carrier_um >= 150


def test_only_foam_foams() -> None:
    assert {film.family for film in FILMS if film.foams} == {"foam"}


def test_what_blocks_dye_is_made_for_it_or_has_a_layer_of_metal() -> None:
    metal = {"mirror", "holographic", "reflective"}
    for film in FILMS:
        assert film.blocks_dye == (
            film.family in {"dye-blocking", *metal} or film.id == "metallic-foil"
        )


def test_dye_blocking_films_bond_to_polyester_at_a_lower_setpoint() -> None:
    usual = SHELF.film("matte-smooth").setpoint_c.best
    for film in FILMS:
        if film.family == "dye-blocking":
            assert "polyester" in film.bonds_to
            assert film.setpoint_c.best < usual


def test_the_base_and_the_sparkle_can_share_one_press() -> None:
    base, sparkle = SHELF.film("matte-smooth"), SHELF.film("sparkle-coarse")
    for field in ("setpoint_c", "dwell_s", "pressure_kpa"):
        low = max(getattr(base, field).low, getattr(sparkle, field).low)
        high = min(getattr(base, field).high, getattr(sparkle, field).high)
        assert low < high, field
    assert base.peel == sparkle.peel == "hot"
    assert base.bears_c >= sparkle.setpoint_c.best


def test_some_films_that_share_a_setpoint_cannot_share_a_dwell() -> None:
    quick, slow = SHELF.film("gloss-quick"), SHELF.film("matte-thick")
    assert quick.setpoint_c.high >= slow.setpoint_c.low
    assert quick.dwell_s.high < slow.dwell_s.low


@pytest.mark.parametrize(
    "film",
    [film for film in FILMS if film.id.endswith("low-temperature")],
    ids=lambda film: film.id,
)
def test_low_temperature_films_press_at_110_to_130(film: Film) -> None:
    assert 110 <= film.setpoint_c.best <= 130
    assert film.wash_limit_c <= 40


@pytest.mark.parametrize("family", ["mirror", "holographic"])
def test_mirror_and_holographic_faces_bear_less_heat_than_a_smooth_film_needs(family: str) -> None:
    for film in FILMS:
        if film.family == family:
            assert film.bears_c < SHELF.film("matte-smooth").setpoint_c.best
            assert film.bears_s < SHELF.film("matte-smooth").bears_s
