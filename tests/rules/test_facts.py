"""Facts refuse nonsense, naming the field, the value and the limit."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from rules.catalogue import first_problem, load_catalogue
from rules.errors import UnknownNameError
from rules.facts.fabric import Fabric, Fibre
from rules.facts.fact import Fact, Window
from rules.facts.film import Film
from rules.facts.garment import Garment
from rules.facts.material import Material
from rules.facts.press import Cylinder, Knob, Press
from rules.facts.sheet import Sheet

SHELF = load_catalogue()
SOUND: dict[str, Fact] = {
    "film": SHELF.film("matte-smooth"),
    "fabric": SHELF.fabric("cotton-jersey-tee"),
    "garment": SHELF.garment("adult-tee"),
    "press": SHELF.press("clamshell-40x50"),
    "sheet": SHELF.sheet("foam-pad-small"),
    "fibre": SHELF.fibres["cotton"],
    "material": SHELF.materials["pet"],
}
KINDS: dict[str, type[Fact]] = {
    "film": Film, "fabric": Fabric, "garment": Garment, "press": Press, "sheet": Sheet,
    "fibre": Fibre, "material": Material,
}  # fmt: skip

# kind, field, nonsense, what the message must say of the limit
NONSENSE: list[tuple[str, str, Any, str]] = [
    ("film", "face_um", 0, "write more than 0"),
    ("film", "face_um", 5000, "write at most 3000"),
    ("film", "adhesive_um", -1, "write more than 0"),
    ("film", "carrier_um", -1, "write at least 0"),
    ("film", "softens_c", 900, "write at most 260"),
    ("film", "bonds_s", 0, "write more than 0"),
    ("film", "bears_s", 10_000, "write at most 600"),
    ("film", "bears_c", 5, "write at least 20"),
    ("film", "stretch_pct", -5, "write at least 0"),
    ("film", "opacity", 1.5, "write at most 1"),
    ("film", "least_stroke_mm", 0, "write more than 0"),
    ("film", "least_gap_mm", 50, "write at most 20"),
    ("film", "wash_limit_c", 120, "write at most 95"),
    ("film", "roll_width_mm", 5, "write more than 50"),
    ("film", "price_per_m", 0, "write more than 0"),
    ("film", "on_shelf_m", -3, "write at least 0"),
    ("film", "peel", "lukewarm", "write hot, warm or cold"),
    ("film", "family", "fluffy", "smooth"),
    ("film", "surface", "bumpy", "textured"),
    ("film", "takes_film_on_top", "perhaps", "write yes, sample or no"),
    ("film", "finishes", (), "at least 1 entry"),
    ("film", "bonds_to", (), "at least 1 entry"),
    ("film", "id", "Matte Smooth", "small letters, digits and hyphens"),
    ("film", "name", "x", "at least 3 characters"),
    ("film", "face_um", math.nan, "finite number"),
    ("film", "price_per_m", math.inf, "finite number"),
    ("film", "face_um", "thick", "write a number"),
    ("fabric", "weight_gsm", 5, "write more than 10"),
    ("fabric", "thickness_um", 0, "write more than 20"),
    ("fabric", "stretch_pct", 400, "write at most 300"),
    ("fabric", "holds_water_pct", 90, "write at most 40"),
    ("fabric", "wash_c", 10, "write at least 20"),
    ("fabric", "dye_class", "bright", "disperse-low"),
    ("fabric", "coating", "wax", "water-repellent"),
    ("garment", "wearer", "dog", "write adult, child, infant or nobody"),
    ("garment", "size_factor", 3, "write at most 2"),
    ("garment", "price_each", 0, "write more than 0"),
    ("garment", "print_areas", (), "at least 1 entry"),
    ("press", "platen_width_mm", 20, "write more than 50"),
    ("press", "setpoint_high_c", 400, "write at most 260"),
    ("press", "flat_c", -1, "write at least 0"),
    ("press", "heats_c_per_min", 0, "write more than 0"),
    ("press", "stations", 0, "write at least 1"),
    ("press", "contact_w_m2k", 1, "write more than 10"),
    ("press", "pressure", {"kind": "foot"}, "its kind is one of knob, cylinder"),
    ("sheet", "thickness_um", 0, "write more than 0"),
    ("sheet", "highest_c", 50, "write at least 80"),
    ("sheet", "leaves", "shiny", "write as-is, matte or gloss"),
    ("sheet", "takes_up_mm", 60, "write at most 50"),
    ("fibre", "iron_c", 20, "write at least 60"),
    ("fibre", "counts_from_pct", 101, "write at most 100"),
    ("fibre", "source", "?", "at least 5 characters"),
    ("material", "conductivity_w_mk", 0, "write more than 0.005"),
]


def changed(kind: str, **changes: object) -> Fact:
    return KINDS[kind].model_validate(SOUND[kind].model_dump() | changes)


def refused(make: Callable[[], object]) -> str:
    with pytest.raises(ValidationError) as caught:
        make()
    return str(first_problem(caught.value, source="ours"))


@pytest.mark.parametrize("kind", KINDS)
def test_what_ships_survives_being_written_down_and_read_again(kind: str) -> None:
    sound = SOUND[kind]
    assert KINDS[kind].model_validate_json(sound.model_dump_json()) == sound


@pytest.mark.parametrize(("kind", "field", "nonsense", "limit"), NONSENSE)
def test_nonsense_is_refused_with_field_value_and_limit(
    kind: str, field: str, nonsense: Any, limit: str
) -> None:
    message = refused(lambda: changed(kind, **{field: nonsense}))
    assert message.startswith(f"ours: {field}")
    assert limit in message
    if isinstance(nonsense, str | int | float):
        assert repr(nonsense) in message


@pytest.mark.parametrize("kind", KINDS)
def test_a_field_that_does_not_exist_is_refused(kind: str) -> None:
    assert refused(lambda: changed(kind, spin_rpm=3)).startswith("ours: spin_rpm")


@pytest.mark.parametrize("kind", KINDS)
def test_a_fact_cannot_be_changed_once_known(kind: str) -> None:
    with pytest.raises(ValidationError, match="frozen"):
        SOUND[kind].id = "other"  # type: ignore[attr-defined]


@pytest.mark.parametrize("kind", KINDS)
def test_a_basis_for_a_value_that_does_not_exist_is_refused(kind: str) -> None:
    message = refused(lambda: changed(kind, basis={"shine_pct": "practice"}))
    assert "'shine_pct'" in message


# --- values that contradict each other ------------------------------------------------------------


def test_a_film_does_not_bond_before_it_softens() -> None:
    message = refused(lambda: changed("film", softens_c=130, bonds_c=120))
    assert "softens_c 130 °C lies above bonds_c 120 °C" in message


def test_a_film_is_not_pressed_below_where_it_bonds() -> None:
    cool = {"low": 90, "best": 100, "high": 110}
    assert "setpoint_c.best 100 °C is below bonds_c 120 °C" in refused(
        lambda: changed("film", setpoint_c=cool)
    )


def test_a_film_bears_its_own_setpoint_and_its_own_dwell() -> None:
    assert "bears_c 150 °C is below setpoint_c.high 165 °C" in refused(
        lambda: changed("film", bears_c=150)
    )
    assert "bears_s 10 s is below dwell_s.high 18 s" in refused(lambda: changed("film", bears_s=10))


def test_a_colour_stands_once_and_is_srgb() -> None:
    red = {"name": "red", "srgb": "#ff0000"}
    assert "appears twice" in refused(lambda: changed("film", colours=[red, red]))
    crimson = {"name": "red", "srgb": "crimson"}
    assert "colours.0.srgb" in refused(lambda: changed("film", colours=[crimson]))


def test_fibres_stand_once_and_add_up() -> None:
    half = {"fibre": SHELF.fibres["cotton"].model_dump(), "pct": 50}
    assert "a fibre appears twice" in refused(lambda: changed("fabric", fibres=[half, half]))
    assert "50 %, not 100 %" in refused(lambda: changed("fabric", fibres=[half]))


def test_a_fibre_is_not_harmed_below_its_ironing_temperature() -> None:
    assert "harmed_c 150 °C lies below iron_c 200 °C" in refused(
        lambda: changed("fibre", harmed_c=150)
    )


def test_print_areas_have_names_of_their_own() -> None:
    front = {"name": "front", "width_mm": 100, "height_mm": 100}
    assert "a name appears twice" in refused(lambda: changed("garment", print_areas=[front, front]))


def test_an_unknown_print_area_is_refused_with_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="nearest: front"):
        SHELF.garment("adult-tee").print_area("frnt")
    assert SHELF.garment("adult-tee").print_area("back").name == "back"


def test_a_pad_does_not_sink_further_than_it_is_thick() -> None:
    assert "more than the sheet's own thickness" in refused(
        lambda: changed("sheet", takes_up_mm=11)
    )


def test_a_dial_and_a_gauge_run_upwards() -> None:
    message = refused(lambda: changed("press", setpoint_low_c=150, setpoint_high_c=150))
    assert "setpoint_low_c 150 °C is not below setpoint_high_c 150 °C" in message
    message = refused(lambda: Cylinder(bore_mm=50, gauge_low_bar=8, gauge_high_bar=2))
    assert "gauge_low_bar 8 bar is not below gauge_high_bar 2 bar" in message


def test_the_classes_of_a_knob_run_upwards() -> None:
    assert "light < medium < firm" in refused(
        lambda: Knob(light_kpa=30, medium_kpa=20, firm_kpa=40)
    )


@given(st.lists(st.floats(0, 300), min_size=3, max_size=3))
def test_a_window_runs_low_best_high_or_is_refused(ends: list[float]) -> None:
    low, best, high = ends
    if low <= best <= high:
        window = Window(low=low, best=best, high=high)
        assert window.holds(low)
        assert window.holds(best)
        assert window.holds(high)
        assert not window.holds(high + 1)
        assert not window.holds(low - 1)
    else:
        assert "low ≤ best ≤ high" in refused(lambda: Window(low=low, best=best, high=high))


# --- blends ---------------------------------------------------------------------------------------


@given(st.dictionaries(st.sampled_from(sorted(SHELF.fibres)), st.integers(1, 60), min_size=1))
def test_a_blend_bears_no_more_than_any_fibre_that_counts(parts: dict[str, int]) -> None:
    total = sum(parts.values())
    shares = [
        {"fibre": SHELF.fibres[name], "pct": part * 100 / total} for name, part in parts.items()
    ]
    fabric = Fabric.model_validate({**dict(SHELF.fabric("cotton-jersey-tee")), "fibres": shares})
    counting = [
        SHELF.fibres[name]
        for name, part in parts.items()
        if part * 100 / total >= SHELF.fibres[name].counts_from_pct
    ]
    for fibre in counting:
        assert fabric.harmed_fibre.harmed_c <= fibre.harmed_c
        assert fabric.iron_fibre.iron_c <= fibre.iron_c
    assert not counting or fabric.harmed_fibre in counting
    assert parts[fabric.main_fibre.id] == max(parts.values())
