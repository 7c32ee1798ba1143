"""The shop's own shelf out and in again: YAML and CSV, exactly what went out, or refused by row."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.shop import acts
from advisor.shop.entries import own_entries
from advisor.shop.exchange import csv_of, from_yaml, rows_of_csv, yaml_of
from advisor.shop.records import OwnEntry, TakenIn
from advisor.shop.shelf import SHELF_KINDS, change, take_in
from advisor.shop.typed import field_of, plain_data, text_of, typed
from rules.catalogue import MODELS, load_catalogue
from rules.catalogue.everyday import load_words
from rules.errors import BadInputError
from rules.facts.film import FINISHES


def from_csv(text: str, kind: str, *, source: str) -> tuple[OwnEntry, ...]:
    """The entries of a table of which nothing is wrong."""
    rows, wrong = rows_of_csv(text, kind, source=source)
    assert not wrong
    assert not [row for row in rows if row.wrong or row.unread]
    return tuple(row.entry for row in rows)


NUMBER = st.floats(0, 1e4, allow_nan=False)
NAME = st.from_regex(r"[a-z0-9]{1,8}(-[a-z0-9]{1,8}){0,2}", fullmatch=True)
TEXT = st.text(st.characters(exclude_categories=["C", "Z"]), min_size=1) | st.sampled_from(
    ["=1+1", "+49 30", "-2", "@SUM(A1)", "'quoted'", '"quoted"', "[x]", "{x}", "a;b,c", 'say "so"']
)
COLOUR = st.from_regex(r"#[0-9a-f]{6}", fullmatch=True)
WINDOW = st.dictionaries(st.sampled_from(["low", "best", "high"]), NUMBER, min_size=1)
VALUES: dict[str, st.SearchStrategy[dict[str, Any]]] = {
    "films": st.fixed_dictionaries({}, optional={
        "like": NAME, "name": TEXT, "family": NAME, "setpoint_c": WINDOW, "dwell_s": WINDOW,
        "finishes": st.lists(st.sampled_from(FINISHES), min_size=1),
        "colours": st.dictionaries(NAME, COLOUR | st.none(), min_size=1),
        "peel": st.sampled_from(["hot", "warm", "cold"]), "foams": st.booleans(),
        "takes_film_on_top": st.sampled_from(["yes", "sample", "no"]), "price_per_m": NUMBER,
        "shrink": st.fixed_dictionaries({"onset_c": NUMBER, "percent_per_s": NUMBER}),
        "bonds_to": st.lists(NAME, min_size=1),
    }),
    "fabrics": st.fixed_dictionaries({}, optional={
        "name": TEXT, "fibres": st.dictionaries(NAME, NUMBER, min_size=1), "weight_gsm": NUMBER,
        "colour": st.fixed_dictionaries({"name": NAME, "srgb": COLOUR}),
    }),
    "garments": st.fixed_dictionaries({}, optional={
        "fabric": NAME, "price_each": NUMBER, "lined": st.booleans(),
        "print_areas": st.lists(st.fixed_dictionaries(
            {"name": NAME, "width_mm": NUMBER, "height_mm": NUMBER},
            optional={"obstructions": st.lists(st.fixed_dictionaries(
                {"kind": st.sampled_from(["zip", "seam"]), "opens": st.booleans()}
            ))},
        ), min_size=1),
    }),
    "presses": st.fixed_dictionaries({}, optional={
        "name": TEXT, "flat_c": NUMBER, "pressure": st.sampled_from([
            {"kind": "feel"},
            {"kind": "knob", "light_kpa": 1.0, "medium_kpa": 2.5, "firm_kpa": 3.0},
            {"kind": "cylinder", "bore_mm": 63.0, "gauge_low_bar": 2.0},
        ]),
    }),
    "sheets": st.fixed_dictionaries({}, optional={"kind": st.just("pad"), "thickness_um": NUMBER}),
}  # fmt: skip


@st.composite
def entries(draw: st.DrawFn) -> list[OwnEntry]:
    names = draw(st.lists(NAME, unique=True, max_size=6))
    return [
        OwnEntry(kind, name, draw(VALUES[kind]))
        for name in names
        for kind in [draw(st.sampled_from(SHELF_KINDS))]
    ]


@given(entries())
@settings(max_examples=40)
def test_what_goes_out_as_yaml_comes_back_as_it_was(shelf: list[OwnEntry]) -> None:
    back = from_yaml(yaml_of(shelf), source="ours.yaml")
    assert sorted(back, key=lambda one: one.name) == sorted(shelf, key=lambda one: one.name)


@given(entries())
@settings(max_examples=40)
def test_what_goes_out_as_csv_comes_back_as_it_was(shelf: list[OwnEntry]) -> None:
    for kind in SHELF_KINDS:
        text = csv_of(shelf, kind)
        assert list(from_csv(text, kind, source="ours.csv")) == [
            one for one in shelf if one.kind == kind
        ]
        assert not any(cell[:1] in "=+-@" for cell in text.replace("\n", ",").split(",") if cell)


def test_the_whole_shelf_that_ships_can_be_said_in_cells() -> None:
    for kind in SHELF_KINDS:
        for fact in load_catalogue().by_kind()[kind].values():
            values = plain_data(kind, fact.model_dump(mode="json"))
            for field, value in values.items():
                if field not in {"id", "basis", "basis_default", "fabric"} and value is not None:
                    assert typed(kind, field, text_of(kind, field, value)) == value


def test_a_list_from_a_spreadsheet_is_taken_as_people_write_it() -> None:
    text = (
        "\ufeffId;Finish;Setpoint;Dwell;Peel;Price;Colours\r\n"
        "our-glitter;sparkle;320F;12-15 s;warm;17.50;gold=#D4A017\r\n;;;;;;\r\n"
    )
    (entry,) = from_csv(text, "films", source="ours.csv")
    assert entry.values == {
        "finishes": ["sparkle"], "setpoint_c": {"best": 160.0},
        "dwell_s": {"low": 12.0, "high": 15.0}, "peel": "warm", "price_per_m": 17.5,
        "colours": {"gold": "#d4a017"},
    }  # fmt: skip


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("films: 3", "'films' is no list"),
        ("flims: []", "'flims' is no list"),
        ("films: [{peel: hot}]", "films 1: needs an id"),
        ("films: [{id: a}, {id: a}]", "'a' stands here twice"),
        ("- a", "needs lists called films"),
        ("films: [", "not valid YAML"),
    ],
)
def test_a_document_that_is_no_shelf_is_refused(text: str, says: str) -> None:
    with pytest.raises(BadInputError, match=rf"ours\.yaml: .*{says}"):
        from_yaml(text, source="ours.yaml")


def test_what_was_entered_goes_out_and_into_another_store(tmp_path: Path) -> None:
    one, other = tmp_path / "one.sqlite", tmp_path / "other.sqlite"
    change("matte-smooth", {"colours": {"navy": None}, "price_per_m": 1 / 3}, store=one)
    kept = own_entries(one)
    take_in(from_csv(csv_of(kept, "films"), "films", source="x"), store=other)
    assert own_entries(other) == kept
    take_in(from_yaml(yaml_of(kept), source="x"), store=other)
    assert own_entries(other) == kept


# --- values as people type them -------------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "field", "text", "value"),
    [
        ("films", "setpoint_c", "160", {"best": 160.0}),
        ("films", "setpoint_c", "302–320 °F", {"low": 150.0, "high": 160.0}),
        ("films", "setpoint_c.best", "320F", 160.0),
        ("films", "dwell_s", "10-12-15", {"low": 10.0, "best": 12.0, "high": 15.0}),
        ("films", "roll_width_mm", "20in", 508.0),
        ("films", "face_um", "2mil", 50.8),
        ("films", "finishes", "matte, gloss", ["matte", "gloss"]),
        ("films", "colours", "teal=", {"teal": None}),
        ("fabrics", "fibres", "cotton=60%; polyester=40", {"cotton": 60.0, "polyester": 40.0}),
        ("presses", "flat_c", "9F", 5.0),
        ("presses", "pressure", "unknown", {"kind": "feel"}),
        ("sheets", "thickness_um", "5mm", 5000.0),
    ],
)
def test_values_are_read_as_people_type_them(
    kind: str, field: str, text: str, value: object
) -> None:
    assert typed(kind, field, text) == value


@pytest.mark.parametrize(
    ("kind", "field", "text", "says"),
    [
        ("films", "setpoint_c", "hot", "'hot' is not a setting"),
        ("films", "setpoint_c", "160 s", "the unit 's' does not belong here"),
        ("films", "price_per_m", "cheap", "'cheap' is not a number"),
        ("films", "price_per_m", "3-4", "'3-4' is not a number"),
        ("films", "colours", "teal", "'teal' is not written as name=value"),
        ("garments", "print_areas", "front", "'front' is not written as front=300x400"),
        ("presses", "pressure", "30", "write light/medium/firm"),
        ("films", "shrink", "{", "is not valid JSON"),
    ],
)
def test_what_cannot_be_read_is_told_with_how_to_write_it(
    kind: str, field: str, text: str, says: str
) -> None:
    with pytest.raises(BadInputError, match=says):
        typed(kind, field, text)


def test_every_value_can_be_named_and_an_unknown_one_has_the_nearest() -> None:
    for kind in SHELF_KINDS:
        for field in set(MODELS[kind].model_fields) - {"id", "basis", "basis_default"}:
            assert field_of(kind, field) == field
            assert field_of(kind, field.replace("_", "-")) == field
    assert field_of("films", "metres") == "on_shelf_m"
    with pytest.raises(BadInputError, match="nearest: price"):
        field_of("films", "prise")


@pytest.mark.parametrize("said", ["5.5oz", "5.5 oz/yd²", "5.5 oz/yd2", "5,5 oz", "186.48 g/m²"])
def test_cloth_is_weighed_in_grams_or_in_ounces(said: str) -> None:
    """An avoirdupois ounce is 28.349523125 g and a yard 0.9144 m, by the international
    yard and pound agreement of 1959: 33.906 g/m² an ounce a square yard."""
    assert typed("fabrics", "weight_gsm", said) == pytest.approx(186.48, abs=0.005)


@pytest.mark.parametrize(
    ("kind", "field", "belongs"),
    [
        ("fabrics", "weight_gsm", "g/m² or oz/yd²"), ("films", "setpoint_c", "°C or °F"),
        ("films", "dwell_s", "s"), ("films", "roll_width_mm", "mm, cm or in"),
        ("films", "opacity", "the number alone"),
    ],
)  # fmt: skip
def test_a_unit_that_does_not_belong_is_answered_with_those_that_do(
    kind: str, field: str, belongs: str
) -> None:
    with pytest.raises(BadInputError, match=f"'ells' does not belong here; write {belongs}$"):
        typed(kind, field, "5 ells")


@pytest.mark.parametrize(
    ("field", "said", "means"),
    [
        ("price_per_m", "3,20", 3.2), ("price_per_m", "0,125", 0.125),
        ("price_per_m", "12,5", 12.5),
        ("setpoint_c", "150,5-160", {"low": 150.5, "high": 160.0}),
        ("on_shelf_m", "8,5 m", 8.5),
    ],
)  # fmt: skip
def test_a_decimal_comma_is_understood(field: str, said: str, means: object) -> None:
    assert typed("films", field, said) == means


def test_a_comma_that_may_part_thousands_is_told() -> None:
    with pytest.raises(BadInputError, match=r"'1,200' may mean 1\.200 or 1200; write it without"):
        typed("films", "price_per_m", "1,200")


def test_fibres_take_commas_of_both_kinds() -> None:
    for said in (
        "cotton=95,5;elastane=4,5",
        "cotton=95,5, elastane=4,5",
        "cotton=95.5,elastane=4.5",
    ):
        assert typed("fabrics", "fibres", said) == {"cotton": 95.5, "elastane": 4.5}


@pytest.mark.parametrize("field", ["finishes", "family"])
def test_a_word_of_the_shop_that_may_mean_several_is_answered_with_them(field: str) -> None:
    with pytest.raises(BadInputError, match="'foil'; it may mean: metallic, mirror"):
        typed("films", field, "foil")


def test_every_word_that_look_understands_is_understood_of_a_film() -> None:
    for word, ids in load_words()["finishes"].items():
        if len(ids) == 1 and word not in FINISHES:
            assert typed("films", "finishes", word) == [*ids]


def test_all_that_is_wrong_with_a_list_is_told_at_once_whether_it_can_be_read_or_not(
    tmp_path: Path,
) -> None:
    listed, store = tmp_path / "ours.csv", tmp_path / "shop.sqlite"
    listed.write_text(
        "id,finish,setpoint,dwell,peel,price,setpont\n"
        'good,matte,305F,10-12,hot,"3,20",\n'
        "bad,mat,400,5,tepid,abc,\n"
        "good,matte,300F,10,hot,3.2,\n"
        ",matte,300F,10,hot,3.2,\n"
        "more,matte,300F,10,hot,3.2,,5\n",
        encoding="utf-8",
    )
    with pytest.raises(BadInputError) as refused:
        acts.bring_in(listed, "films", store=store)
    told = str(refused.value)
    for part in (
        "ours.csv: column 'setpont'", "nearest: setpoint",
        "row 3: price_per_m: 'abc' is not a number",
        "'mat': write matte", "400 °C is beyond 260 °C", "'tepid': write hot, warm or cold",
        "row 4: 'good' stands here twice", "row 5: has no id", "row 6: has more cells",
    ):  # fmt: skip
        assert part in told
    assert "row 2" not in told
    assert own_entries(store) == ()


def test_a_film_of_a_list_is_of_the_family_that_its_finish_tells_as_one_that_is_added(
    tmp_path: Path,
) -> None:
    listed, store = tmp_path / "ours.csv", tmp_path / "shop.sqlite"
    listed.write_text(
        "id,finish,setpoint,dwell,peel,price\nours,glitter,155,12,warm,9\nmatte-smooth,,,,,5.5\n",
        encoding="utf-8",
    )
    assert acts.bring_in(listed, "films", store=store) == TakenIn(2, 0, {})
    ours, changed = own_entries(store)
    assert (ours.values["family"], changed.values) == ("sparkle", {"price_per_m": 5.5})


def test_a_film_from_its_data_sheet_comes_in_by_yaml_as_by_csv(tmp_path: Path) -> None:
    """The family follows from the finish in both, and the rest from the family."""
    files = {
        "ours.csv": "id,finishes,setpoint_c,dwell_s,peel\nour-matte,matte,155,12,hot\n",
        "ours.yaml": "films:\n  - {id: our-matte, finishes: [matte], setpoint_c: 155, dwell_s: 12, "
        "peel: hot}\n",
    }
    came = []
    for name, text in files.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
        store = tmp_path / f"{name}.db"
        assert acts.bring_in(tmp_path / name, "films", store=store) == TakenIn(1, 0, {})
        came.append(own_entries(store))
    assert came[0] == came[1]
