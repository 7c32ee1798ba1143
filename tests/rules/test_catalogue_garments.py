"""Fibres, fabrics and garments that ship: limits, regain, weights and what is in the way."""

from __future__ import annotations

import pytest
import yaml

from advisor.heat.press_layers import ground_layers
from rules.catalogue import FOLDER, load_catalogue
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.garment import Garment
from rules.facts.practice import PLATEN_EDGE_MM

SHELF = load_catalogue()
FABRICS = tuple(SHELF.fabrics.values())
GARMENTS = tuple(SHELF.garments.values())

# Commercial moisture regain, percent: ASTM D1909 (from memory). The last four are not in it: near
# nothing.
REGAIN_PCT = {
    "cotton": 7.0, "linen": 8.75, "viscose": 11.0, "silk": 11.0, "wool": 13.6, "acetate": 6.5,
    "nylon": 4.5, "polyester": 0.4, "acrylic": 1.5, "elastane": 1.3, "polypropylene": 0.0,
    "polyurethane": 1.3, "chloroprene": 0.0, "pvc": 0.0, "unknown": 1.0,
}  # fmt: skip

# Where a fibre certainly fails, °C. Polyester: the lowest melting point in Ashby, Materials and
# the Environment. The rest from memory: polyamide 6, polypropylene and elastane as handbooks give
# them, acrylic and acetate softening, soft PVC welding; cotton and silk decomposing, from a
# secondary source.
FAILS_C = {
    "polyester": 212, "nylon": 215, "polypropylene": 165, "acrylic": 215, "acetate": 175,
    "elastane": 190, "cotton": 240, "silk": 170, "pvc": 160,
}  # fmt: skip


def named(things: tuple[Fabric, ...] | tuple[Garment, ...]) -> list[str]:
    return [thing.id for thing in things]


# --- fibres and fabrics ---------------------------------------------------------------------------


def test_iron_temperatures_are_the_dots_of_iso_3758() -> None:
    # ISO 3758:2012: 110, 150 and 200 °C for one, two and three dots.
    for fibre in SHELF.fibres.values():
        assert fibre.iron_c in {110, 150, 200}
        assert fibre.basis_of("iron_c") == "standard"
        assert "ISO 3758:2012" in fibre.source


@pytest.mark.parametrize("fibre", FAILS_C)
def test_the_stop_line_of_a_fibre_lies_at_least_10_below_where_it_fails(fibre: str) -> None:
    assert SHELF.fibres[fibre].harmed_c <= FAILS_C[fibre] - 10


def test_a_stop_line_from_memory_says_so() -> None:
    for fibre in SHELF.fibres.values():
        assert fibre.basis_of("harmed_c") == ("generic" if fibre.id == "unknown" else "memory")


@pytest.mark.parametrize("fabric", FABRICS, ids=named(FABRICS))
def test_a_fabric_bears_what_its_least_bearing_counting_fibre_bears(fabric: Fabric) -> None:
    raw = yaml.safe_load((FOLDER / "fabrics.yaml").read_text("utf-8"))["fabrics"]
    shares = next(entry["fibres"] for entry in raw if entry["id"] == fabric.id)
    table = {
        entry["id"]: entry
        for entry in yaml.safe_load((FOLDER / "fibres.yaml").read_text("utf-8"))["fibres"]
    }
    counting = [n for n, pct in shares.items() if pct >= table[n].get("counts_from_pct", 3)]
    assert fabric.iron_fibre.iron_c == min(table[n]["iron_c"] for n in counting)
    assert fabric.harmed_fibre.harmed_c == min(table[n]["harmed_c"] for n in counting)
    assert fabric.share_pct(tuple(SHELF.fibres)) == pytest.approx(100)


def test_a_little_elastane_does_not_limit_a_cotton_fabric_but_a_fifth_limits_polyester() -> None:
    assert SHELF.fabric("cotton-elastane-jersey").harmed_fibre.id == "cotton"
    assert SHELF.fabric("polyester-elastane-jersey").harmed_fibre.id == "elastane"


@pytest.mark.parametrize("fabric", FABRICS, ids=named(FABRICS))
def test_regain_is_that_of_the_fibres_mixed_by_weight(fabric: Fabric) -> None:
    mixed = sum(share.pct * REGAIN_PCT[share.fibre.id] for share in fabric.fibres) / 100
    # A coat weighs and holds none.
    coated = fabric.coating != "none"
    assert fabric.holds_water_pct == pytest.approx(mixed, abs=1.1 if coated else 0.01)
    assert fabric.basis_of("holds_water_pct") == "memory"


@pytest.mark.parametrize("fabric", FABRICS, ids=named(FABRICS))
def test_weight_over_thickness_is_near_the_density_that_heat_is_worked_out_with(
    fabric: Fabric,
) -> None:
    density_kg_m3 = fabric.weight_gsm / fabric.thickness_um * 1000
    assert 0.6 < density_kg_m3 / SHELF.materials[fabric.thermal_material].density_kg_m3 < 1.6


def test_undyed_fabrics_have_no_dye_and_coloured_polyester_has_disperse_dye() -> None:
    for fabric in FABRICS:
        if fabric.colour.name in {"white", "natural"}:
            assert fabric.dye_class == "none"
        if fabric.main_fibre.id == "polyester" and fabric.coating == "none":
            assert fabric.dye_class.startswith("disperse")


def suits(film: Film, fabric: Fabric) -> bool:
    return (
        film.on_shelf_m > 0
        and fabric.coating in film.bonds_to_coatings
        and fabric.share_pct(film.bonds_to) >= 50
        and film.setpoint_c.low <= fabric.harmed_fibre.harmed_c
    )


@pytest.mark.parametrize("fabric", FABRICS, ids=named(FABRICS))
def test_something_on_the_shelf_suits_every_known_fabric_but_the_silicone_coated(
    fabric: Fabric,
) -> None:
    assert any(suits(film, fabric) for film in SHELF.films.values()) == (
        fabric.coating != "silicone" and fabric.main_fibre.id != "unknown"
    )


# --- garments -------------------------------------------------------------------------------------


def test_the_front_of_an_adult_tee_is_300_by_400_with_nothing_in_the_way() -> None:
    front = SHELF.garment("adult-tee").print_area()
    assert (front.name, front.width_mm, front.height_mm) == ("front", 300, 400)
    assert front.obstructions == ()


@pytest.mark.parametrize(
    ("adult", "child"), [("adult-tee", "child-tee"), ("wind-jacket", "child-wind-jacket")]
)
def test_the_childs_is_smaller_than_the_adults(adult: str, child: str) -> None:
    large, small = SHELF.garment(adult), SHELF.garment(child)
    assert (large.wearer, small.wearer) == ("adult", "child")
    assert large.print_area().name == small.print_area().name
    assert small.print_area().width_mm < large.print_area().width_mm
    assert small.size_factor < large.size_factor


@pytest.mark.parametrize("garment", GARMENTS, ids=named(GARMENTS))
def test_the_usual_print_area_fits_a_press_inside_its_rim(
    garment: Garment,
) -> None:
    area = garment.print_area()
    assert any(
        area.width_mm <= press.platen_width_mm - 2 * PLATEN_EDGE_MM
        and area.height_mm <= press.platen_depth_mm - 2 * PLATEN_EDGE_MM
        for press in SHELF.presses.values()
    )


def test_a_wind_jacket_closes_with_zip_and_hook_and_loop_that_open() -> None:
    jacket = SHELF.garment("wind-jacket")
    found = {o.kind: o.opens for area in jacket.print_areas for o in area.obstructions}
    assert found["zip"]
    assert found["hook-and-loop"]
    assert jacket.fabric.coating == "polyurethane"


def test_every_kind_and_place_of_obstruction_occurs() -> None:
    found = [o for g in GARMENTS for area in g.print_areas for o in area.obstructions]
    kinds = {"seam", "zip", "hook-and-loop", "button", "snap", "drawstring", "pocket", "hem"}
    assert {o.kind for o in found} == kinds
    assert {o.place for o in found} == {"in", "under", "beside"}


def test_only_the_pyjama_top_is_nightwear_and_every_wearer_occurs() -> None:
    assert [garment.id for garment in GARMENTS if garment.nightwear] == ["child-pyjama-top"]
    assert {garment.wearer for garment in GARMENTS} == {"adult", "child", "infant", "nobody"}


@pytest.mark.parametrize("name", ["adult-tee", "child-tee", "wind-jacket", "drawstring-bag"])
def test_navy_matte_under_gold_sparkle_can_be_pressed_on_it_at_one_setpoint(name: str) -> None:
    fabric = SHELF.garment(name).fabric
    stacks = [
        (base.id, top.id)
        for base in SHELF.films.values()
        for top in SHELF.films.values()
        if suits(base, fabric)
        and "matte" in base.finishes
        and base.takes_film_on_top == "yes"
        and top.family == "sparkle"
        and top.on_shelf_m > 0
        and "navy" in {colour.name for colour in base.colours}
        and "gold" in {colour.name for colour in top.colours}
        and min(base.wash_limit_c, top.wash_limit_c) >= fabric.wash_c
        and max(base.setpoint_c.low, top.setpoint_c.low)
        <= min(base.setpoint_c.high, top.setpoint_c.high, fabric.harmed_fibre.harmed_c)
        and max(base.dwell_s.low, top.dwell_s.low) <= min(base.dwell_s.high, top.dwell_s.high)
        and (fabric.main_fibre.id != "polyester" or base.blocks_dye)
    ]
    assert stacks


@pytest.mark.parametrize("fabric", FABRICS, ids=named(FABRICS))
def test_heat_takes_a_fabrics_density_from_its_own_weight_and_thickness(fabric: Fabric) -> None:
    press = SHELF.press("clamshell-38x38")
    [cloth] = [
        layer for layer in ground_layers(fabric, press, SHELF.materials) if layer.name == "fabric"
    ]
    # g/m² over µm is 1000 kg/m³.
    assert cloth.density_kg_m3 * fabric.thickness_um == pytest.approx(1000 * fabric.weight_gsm)


def test_pet_stores_the_heat_that_its_sources_say() -> None:
    # Crawford, Plastics Engineering, Table 1.8; the fibre, Morton and Hearle, Table 6.1.
    film, fibre = SHELF.materials["pet"], SHELF.materials["polyester-fabric"]
    assert (film.conductivity_w_mk, film.density_kg_m3) == (0.20, 1360)
    assert film.heat_capacity_j_kgk == 1000
    assert "Crawford" in film.source
    assert fibre.heat_capacity_j_kgk == 1030
