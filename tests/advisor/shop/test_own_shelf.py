"""The shop's own shelf: a few values given, the rest proposed, all mistakes at once."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from advisor import check
from advisor.heat.bond_lines import followed_lines
from advisor.heat.unlucky import close_call_s, sampled_seconds, spread_of
from advisor.shop.acts import add_typed
from advisor.shop.entries import opened, own_entries, put
from advisor.shop.knowledge import shop_knowledge
from advisor.shop.records import OwnEntry, TakenIn
from advisor.shop.shelf import add, change, count_metres, remove, take_in
from rules.catalogue import fact_of, load_catalogue
from rules.catalogue.written import Written
from rules.errors import BadInputError, UnknownNameError
from rules.facts.film import FAMILIES, FINISHES, Film
from tests.advisor.heat.heat_shop import PRESS, full, lift, peel, preheat, scheduled, tack

SHELF = load_catalogue()
SHEET = {"finishes": ["sparkle"], "setpoint_c": 155, "dwell_s": 12, "peel": "warm"}


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "shop.sqlite"


def film(store: Path, name: str = "ours", **values: object) -> Film:
    add(OwnEntry("films", name, {**SHEET, **values}), store=store)
    return shop_knowledge(store=store).catalogue.film(name)


def refused(store: Path, entry: OwnEntry) -> str:
    with pytest.raises(BadInputError) as caught:
        add(entry, store=store)
    assert own_entries(store) == ()
    return str(caught.value)


# --- a film by its data sheet ---------------------------------------------------------------------


@pytest.mark.parametrize("family", FAMILIES)
@pytest.mark.parametrize(("setpoint_c", "dwell_s"), [(95, 4), (150, 15), (205, 40)])
def test_four_values_make_a_film_of_any_family_that_hangs_together(
    store: Path, family: str, setpoint_c: float, dwell_s: float
) -> None:
    made = film(store, family=family, setpoint_c=setpoint_c, dwell_s=dwell_s)
    assert (made.family, made.peel, made.finishes) == (family, "warm", ("sparkle",))
    assert (made.setpoint_c.best, made.dwell_s.best) == (setpoint_c, dwell_s)
    assert made.setpoint_c.low - 5 <= made.setpoint_c.best <= made.setpoint_c.high
    for field in ("setpoint_c", "dwell_s", "peel", "finishes"):
        assert made.basis_of(field) == "sheet"
    for field in ("bonds_c", "face_um", "surface", "takes_film_on_top", "price_per_m"):
        assert made.basis_of(field) == "proposed"
    assert made.on_shelf_m == 0
    assert any(
        each.surface == made.surface and each.family == family for each in SHELF.films.values()
    )


@given(
    family=st.sampled_from([*FAMILIES, "velvety"]),
    finish=st.sampled_from(FINISHES),
    setpoint_c=st.floats(40, 260),
    dwell_s=st.floats(0.5, 600),
    wide=st.booleans(),
)
def test_whatever_a_data_sheet_states_the_rest_that_is_proposed_can_be_used(
    family: str, finish: str, setpoint_c: float, dwell_s: float, wide: bool
) -> None:
    stated = {
        "id": "ours", "family": family, "finishes": [finish], "peel": "cold", "dwell_s": dwell_s,
        "setpoint_c": {"low": setpoint_c - 10, "high": setpoint_c} if wide else setpoint_c,
    }  # fmt: skip
    made = fact_of("films", Written("ours", stated), SHELF.by_kind())
    assert made.bonds_c <= made.setpoint_c.best
    assert made.softens_c <= made.bonds_c


def test_what_is_proposed_is_that_of_the_nearest_film_moved_to_its_setting(store: Path) -> None:
    near = SHELF.film("matte-low-temperature")
    made = film(
        store, family="smooth", finishes=["matte"], setpoint_c=near.setpoint_c.best + 4,
        dwell_s=near.dwell_s.best * 1.5, peel="warm",
    )  # fmt: skip
    assert made.face_um == near.face_um
    assert made.bonds_c == near.bonds_c + 4
    assert made.shrink.onset_c == near.shrink.onset_c + 4
    assert made.bonds_s == near.bonds_s * 1.5


def test_a_film_like_another_needs_to_say_only_what_differs(store: Path) -> None:
    base = SHELF.film("flock-plush")
    add(OwnEntry("films", "our-flock", {"like": "flock-plush", "peel": "hot"}), store=store)
    made = shop_knowledge(store=store).catalogue.film("our-flock")
    assert made.peel != base.peel
    assert (made.name, made.peel, made.on_shelf_m) == ("Our flock", "hot", 0)
    same = set(Film.model_fields) - {"id", "name", "peel", "on_shelf_m", "basis", "basis_default"}
    assert {field for field in same if getattr(made, field) != getattr(base, field)} == set()
    assert made.basis_of("dwell_s") == "proposed"


def test_a_family_that_we_do_not_know_is_other_and_cautious(store: Path) -> None:
    made = film(store, family="velvety")
    assert made.family == "other"
    assert made.takes_film_on_top == "sample"
    assert (made.sheds, made.carrier_marks, made.marked_by_carriers) == (True, True, True)
    least = [each for each in SHELF.films.values() if set(made.bonds_to) <= set(each.bonds_to)]
    assert made.least_stroke_mm >= sorted(each.least_stroke_mm for each in least)[len(least) // 2]
    assert made.wash_limit_c == min(each.wash_limit_c for each in SHELF.films.values())


def test_a_window_may_be_a_number_two_ends_or_three(store: Path) -> None:
    ends = film(store, "ends", family="sparkle", setpoint_c={"low": 150, "high": 164})
    assert (ends.setpoint_c.low, ends.setpoint_c.best, ends.setpoint_c.high) == (150, 157, 164)
    whole = {"low": 148, "best": 160, "high": 161}
    assert film(store, "whole", family="sparkle", setpoint_c=whole).setpoint_c.best == 160


# --- less sure ------------------------------------------------------------------------------------


def test_a_proposed_film_is_less_sure_than_the_same_film_known(store: Path) -> None:
    known = SHELF.film("matte-smooth")
    twin = OwnEntry("films", "our-twin", {"like": "matte-smooth", "peel": "hot"})
    add(twin, store=store)
    knowledge = shop_knowledge(store=store)
    ours = knowledge.catalogue.film("our-twin")
    assert ours.bonds_c == known.bonds_c
    assert close_call_s(ours) > close_call_s(known)
    said = {
        name: check(fabric="adult-tee", stack=[name], knowledge=knowledge).bond_lines[0]
        for name in ("matte-smooth", "our-twin")
    }
    assert said["our-twin"].low_seconds_bonding is not None
    change("our-twin", {"bonds_c": known.bonds_c}, store=store)
    surer = shop_knowledge(store=store)
    assert close_call_s(surer.catalogue.film("our-twin")) == close_call_s(known)


def test_a_film_that_is_only_proposed_does_worse_on_an_unlucky_press() -> None:
    # The same presses of the same stack; only what is known of the upper film differs.
    pressed = [preheat(), tack("p0"), peel("p0"), full("p0", "p1", dwell_s=15), lift()]
    spread = spread_of(PRESS)
    _, lines = followed_lines(
        scheduled(["matte-smooth", "sparkle-coarse"], pressed), [("p0", "p1")], SHELF.materials
    )
    (line,) = (one for one in lines if one.line.film.id == "sparkle-coarse")
    known = line.line.film
    unsure = known.model_copy(update={"basis": {**known.basis, "bonds_c": "proposed"}})
    legs = [leg for leg in line.legs if leg.closed]
    got_s, less_s = (sampled_seconds(legs, line.number, of, spread) for of in (known, unsure))
    assert np.std(less_s) > np.std(got_s)
    assert np.percentile(less_s, 5) < np.percentile(got_s, 5)


def test_a_press_of_proposed_contact_spreads_more(store: Path) -> None:
    garage = OwnEntry("presses", "garage", {"like": "clamshell-38x38", "platen_width_mm": 390})
    add(garage, store=store)
    ours = shop_knowledge(store=store).catalogue.press("garage")
    assert spread_of(ours).contact > spread_of(SHELF.press("clamshell-38x38")).contact


def test_a_press_of_unknown_pressure_says_how_to_feel_for_it(store: Path) -> None:
    values = {"like": "clamshell-38x38", "pressure": {"kind": "feel"}}
    add(OwnEntry("presses", "garage", values), store=store)
    knowledge = shop_knowledge(store=store)
    report = check(fabric="adult-tee", stack=["matte-smooth"], press="garage", knowledge=knowledge)
    (said,) = [step.why for step in report.steps if step.action == "pressure"]
    assert "a strip of paper drags as it comes out" in said


# --- single values of what ships ------------------------------------------------------------------


def test_one_value_of_a_film_that_ships_is_changed_and_the_others_stay(store: Path) -> None:
    change("matte-smooth", {"price_per_m": 9.5}, store=store)
    change("matte-smooth", {"colours": {"teal": "#008080", "navy": None}}, store=store)
    change("matte-smooth", {"dwell_s.high": 20}, store=store)
    ours, ships = (
        shop_knowledge(store=store).catalogue.film("matte-smooth"),
        SHELF.film("matte-smooth"),
    )
    changed = {
        field for field in Film.model_fields if getattr(ours, field) != getattr(ships, field)
    }
    assert changed == {"price_per_m", "colours", "dwell_s", "basis"}
    assert {c.name for c in ships.colours} - {c.name for c in ours.colours} == {"navy"}
    assert {c.name for c in ours.colours} - {c.name for c in ships.colours} == {"teal"}
    assert (ours.dwell_s.low, ours.dwell_s.high) == (ships.dwell_s.low, 20)
    assert ours.basis_of("price_per_m") == "shop"
    assert ours.basis_of("peel") == ships.basis_of("peel")
    assert own_entries(store)[0].values == {
        "price_per_m": 9.5, "colours": {"teal": "#008080", "navy": None}, "dwell_s": {"high": 20},
    }  # fmt: skip
    assert remove("matte-smooth", store=store) == ships
    assert shop_knowledge(store=store).catalogue.film("matte-smooth") == ships


def test_a_fabric_that_is_changed_changes_what_is_made_of_it(store: Path) -> None:
    change("cotton-jersey-tee", {"wash_c": 60}, store=store)
    known = shop_knowledge(store=store).catalogue
    assert known.garment("adult-tee").fabric.wash_c == 60
    assert known.garment("adult-tee").fabric is known.fabric("cotton-jersey-tee")


def test_metres_are_counted_up_and_down_but_not_below_none(store: Path) -> None:
    had_m = SHELF.film("matte-smooth").on_shelf_m
    assert count_metres("matte-smooth", 2.5, store=store) == had_m + 2.5
    assert count_metres("matte-smooth", -had_m, store=store) == 2.5
    with pytest.raises(BadInputError, match=r"has 2\.5 m on the shelf, so 3 m cannot be taken"):
        count_metres("matte-smooth", -3, store=store)
    assert shop_knowledge(store=store).catalogue.film("matte-smooth").on_shelf_m == 2.5


# --- refused, all at once -------------------------------------------------------------------------


def test_everything_wrong_with_an_entry_is_told_at_once(store: Path) -> None:
    wrong = OwnEntry("films", "Our X", {
        "family": "smooth", "finishes": ["shiny"], "setpoint_c": 280, "dwell_s": 15,
        "bears_s": 3, "softens_c": 150, "bonds_c": 140, "weighs": 3,
    })  # fmt: skip
    told = refused(store, wrong)
    for part in (
        "id: 'Our X': small letters, digits and hyphens only, such as our-x", "peel: its data",
        "'shiny'", "weighs", "setpoint_c.high 280 °C is beyond 260 °C",
        "bears_s 3 s is below dwell_s.high", "softens_c 150 °C lies above",
    ):  # fmt: skip
        assert part in told
    assert "bears_c" not in told


@pytest.mark.parametrize("missing", ["finishes", "setpoint_c", "dwell_s", "peel"])
def test_what_a_data_sheet_must_say_is_never_proposed(store: Path, missing: str) -> None:
    values = {field: value for field, value in SHEET.items() if field != missing}
    told = refused(store, OwnEntry("films", "ours", {**values, "family": "sparkle"}))
    assert told == f"{missing}: its data sheet must say this"


def test_the_same_id_is_refused_whatever_it_names(store: Path) -> None:
    assert "stands on the shelf already" in refused(store, OwnEntry("films", "denim", SHEET))


def test_what_others_need_cannot_be_removed(store: Path) -> None:
    fabric = {"like": "denim", "weight_gsm": 300}
    add(OwnEntry("fabrics", "our-denim", fabric), store=store)
    areas = [{"name": "back", "width_mm": 250, "height_mm": 250}]
    tote = {"fabric": "our-denim", "wearer": "nobody", "price_each": 4, "print_areas": areas}
    add(OwnEntry("garments", "our-tote", tote), store=store)
    with pytest.raises(BadInputError, match="our-denim: is needed by our-tote"):
        remove("our-denim", store=store)
    remove("our-tote", store=store)
    assert remove("our-denim", store=store) is None
    with pytest.raises(BadInputError, match="ships with Presslore"):
        remove("denim", store=store)
    with pytest.raises(UnknownNameError, match="nearest: denim"):
        remove("denims", store=store)


def test_heavier_cloth_of_a_kind_is_thicker(store: Path) -> None:
    denim = SHELF.fabric("denim")
    heavier = {"like": "denim", "weight_gsm": denim.weight_gsm * 1.5}
    add(OwnEntry("fabrics", "our-denim", heavier), store=store)
    ours = shop_knowledge(store=store).catalogue.fabric("our-denim")
    assert ours.thickness_um == pytest.approx(denim.thickness_um * 1.5)


def test_what_todays_catalogue_does_not_bear_out_is_left_out_and_not_lost(store: Path) -> None:
    gone = OwnEntry("films", "a-film-that-shipped-once", {"price_per_m": 3.0})
    with opened(store) as connection:
        put(connection, [gone])
    known = shop_knowledge(store=store).catalogue
    assert "a-film-that-shipped-once" not in known.films
    assert own_entries(store) == (gone,)
    change("matte-smooth", {"price_per_m": 3}, store=store)
    assert own_entries(store)[0] == gone


def test_a_list_is_taken_in_whole_or_not_at_all(store: Path) -> None:
    good = OwnEntry("films", "good", {**SHEET, "family": "sparkle"})
    bad = OwnEntry("films", "bad", {**SHEET, "family": "sparkle", "peel": "tepid"})
    worse = OwnEntry("films", "worse", {"like": "nothing"})
    with pytest.raises(BadInputError, match=r"bad: peel: 'tepid'.*worse: no thing to be like"):
        take_in([good, bad, worse], store=store)
    assert own_entries(store) == ()
    assert take_in([good], store=store) == TakenIn(1, 0, {})
    assert take_in([good], store=store) == TakenIn(0, 1, {})


def test_a_folder_lies_over_the_store(store: Path, tmp_path: Path) -> None:
    change("matte-smooth", {"price_per_m": 3, "on_shelf_m": 4}, store=store)
    (tmp_path / "films.yaml").write_text("films: [{id: matte-smooth, price_per_m: 5}]", "utf-8")
    ours = shop_knowledge(tmp_path, store=store).catalogue.film("matte-smooth")
    assert (ours.price_per_m, ours.on_shelf_m) == (5, 4)


# --- a fabric by its fibres -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("fibres", "construction", "least_pct", "most_pct"),
    [
        ("nylon=80;elastane=20", "knit", 100, 130),
        ("nylon=75;elastane=25", "knit", 100, 130),
        ("nylon=100", "knit", 15, 39),
        ("wool=100", "knit", 15, 39),
        ("cotton=92;elastane=8", "knit", 60, 80),
        ("polyester=65;cotton=35", "woven", 2, 8),
        ("cotton=97;elastane=3", "woven", 10, 25),
    ],
)
def test_a_fabric_is_proposed_the_stretch_of_its_construction_and_its_elastane(
    store: Path, fibres: str, construction: str, least_pct: float, most_pct: float
) -> None:
    """Bounds from what such cloth is sold as; common practice, no source."""
    texts = [("fibres", fibres), ("weight", "200"), ("construction", construction)]
    add_typed("fabrics", "crew-cloth", texts, like=None, store=store)
    cloth = shop_knowledge(store=store).catalogue.fabric("crew-cloth")
    assert least_pct <= cloth.stretch_pct <= most_pct
    assert (cloth.surface, cloth.basis_of("stretch_pct")) == ("smooth", "proposed")
    assert 330 <= 1000 * cloth.weight_gsm / cloth.thickness_um <= 650


def test_what_a_shop_says_of_a_fabrics_stretch_stands(store: Path) -> None:
    texts = [("fibres", "nylon=80;elastane=20"), ("construction", "knit"), ("stretch_pct", "60")]
    add_typed("fabrics", "crew-cloth", texts, like=None, store=store)
    assert shop_knowledge(store=store).catalogue.fabric("crew-cloth").stretch_pct == 60


def test_a_film_that_hardly_stretches_is_a_sample_on_leggings_of_the_shops_own(store: Path) -> None:
    texts = [("fibres", "nylon=80;elastane=20"), ("weight", "200"), ("construction", "knit")]
    add_typed("fabrics", "crew-leggings", texts, like=None, store=store)
    knowledge = shop_knowledge(store=store)
    stiff = SHELF.film("sparkle-low-temperature")
    assert stiff.stretch_pct <= 10
    report = check(fabric="crew-leggings", stack=[stiff.id], knowledge=knowledge)
    assert "stretch-match" in {one.rule for one in report.findings if one.severity == "sample"}
