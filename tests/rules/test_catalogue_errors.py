"""A shop's file that cannot be used: one plain line naming file, entry, value and limit."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from rules.catalogue import load_catalogue
from rules.catalogue.documents import file_bytes, parse_json, parse_yaml, read_yaml
from rules.errors import BadInputError, UnknownNameError

PRESS = (
    "{{id: ours, name: Our press, platen_width_mm: {width}, platen_depth_mm: 380, "
    "setpoint_low_c: 60, setpoint_high_c: 215, flat_c: 5, contact_w_m2k: 600, "
    "pressure: {{kind: knob, light_kpa: 15, medium_kpa: 30, firm_kpa: 45}}, "
    "heats_c_per_min: 10, cools_c_per_min: 3{more}}}"
)
FABRIC = (
    "{{id: ours, name: Our jersey, fibres: {fibres}, construction: knit, surface: smooth, "
    "weight_gsm: 180, thickness_um: 400, stretch_pct: 20, colour: {{name: red, srgb: '#aa0000'}}, "
    "dye_class: none, thermal_material: cotton-fabric, holds_water_pct: 7, wash_c: 40}}"
)


def refused(folder: Path, name: str, text: str) -> str:
    (folder / name).write_text(text, "utf-8")
    with pytest.raises(BadInputError) as caught:
        load_catalogue(folder)
    assert "\n" not in str(caught.value)
    return str(caught.value)


def press(width: object = 380, more: str = "") -> str:
    return PRESS.format(width=width, more=more)


def test_text_that_is_not_yaml_is_refused_with_its_line(tmp_path: Path) -> None:
    message = refused(tmp_path, "presses.yaml", "presses:\n  - id: [\n  - }\n")
    assert "presses.yaml" in message
    assert "line 3" in message


def test_a_date_that_cannot_be_is_refused(tmp_path: Path) -> None:
    assert "month" in refused(tmp_path, "presses.yaml", "presses: [{id: 2020-13-45}]")


def test_text_that_nests_without_end_is_refused(tmp_path: Path) -> None:
    assert "nest" in refused(tmp_path, "presses.yaml", "[" * 20_000)


def test_a_yaml_tag_runs_nothing(tmp_path: Path) -> None:
    text = "presses: !!python/object/apply:os.getcwd []"
    assert "not valid YAML" in refused(tmp_path, "presses.yaml", text)


def test_bytes_that_are_not_utf_8_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "films.yaml"
    path.write_bytes(b"films: [\xff]")
    with pytest.raises(BadInputError, match="UTF-8"):
        load_catalogue(tmp_path)


def test_a_file_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match=r"gone\.yaml: cannot be read"):
        read_yaml(tmp_path / "gone.yaml")


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match="is not a folder"):
        load_catalogue(tmp_path / "gone")


@pytest.mark.parametrize("text", ["", "- 1", "films: []", "presses: 3", "presses: {a: 1}"])
def test_a_file_without_its_list_is_refused(tmp_path: Path, text: str) -> None:
    message = refused(tmp_path, "presses.yaml", text)
    assert message.endswith("needs a list called 'presses'")


def test_an_entry_that_is_not_a_mapping_is_refused_with_its_place(tmp_path: Path) -> None:
    message = refused(tmp_path, "presses.yaml", f"presses: [{press()}, 7]")
    assert message == "presses.yaml: presses.1: is not a mapping"


def test_an_unknown_field_is_named(tmp_path: Path) -> None:
    message = refused(tmp_path, "presses.yaml", f"presses: [{press(more=', colour: 3')}]")
    assert "presses.yaml: ours: colour" in message


def test_an_unknown_key_of_the_file_is_named(tmp_path: Path) -> None:
    message = refused(tmp_path, "presses.yaml", f"speed: 3\npresses: [{press()}]")
    assert "speed" in message


def test_a_missing_field_is_named(tmp_path: Path) -> None:
    text = press().replace("flat_c: 5, ", "")
    assert "ours: flat_c: is missing" in refused(tmp_path, "presses.yaml", f"presses: [{text}]")


def test_a_value_out_of_range_comes_with_its_limit(tmp_path: Path) -> None:
    message = refused(tmp_path, "presses.yaml", f"presses: [{press(width=9000)}]")
    assert message == ("presses.yaml: ours: platen_width_mm: 9000: write at most 2000")


def test_the_same_id_twice_in_one_folder_is_refused(tmp_path: Path) -> None:
    message = refused(tmp_path, "presses.yaml", f"presses: [{press()}, {press()}]")
    assert message.endswith("'ours' stands here twice")


def test_the_same_id_in_two_files_of_one_folder_is_refused(tmp_path: Path) -> None:
    (tmp_path / "presses").mkdir()
    (tmp_path / "presses" / "a.yaml").write_text(f"presses: [{press()}]", "utf-8")
    assert "twice" in refused(tmp_path, "presses.yaml", f"presses: [{press()}]")


def test_a_basis_without_a_meaning_is_refused(tmp_path: Path) -> None:
    message = refused(tmp_path, "presses.yaml", f"basis: guess\npresses: [{press()}]")
    assert "'guess'" in message


def test_a_basis_for_a_value_that_does_not_exist_is_refused(tmp_path: Path) -> None:
    text = press(more=", basis: {weight_kg: practice}")
    assert "weight_kg" in refused(tmp_path, "presses.yaml", f"presses: [{text}]")


def test_an_unknown_fibre_is_refused_with_the_nearest_and_the_entry(tmp_path: Path) -> None:
    text = f"fabrics: [{FABRIC.format(fibres='{coton: 100}')}]"
    message = refused(tmp_path, "fabrics.yaml", text)
    assert message == "fabrics.yaml: ours: no fibre is called 'coton'; nearest: cotton"


def test_a_fibre_whose_name_is_a_number_is_refused_in_words(tmp_path: Path) -> None:
    text = f"fabrics: [{FABRIC.format(fibres='{95: cotton}')}]"
    assert "no fibre is called '95'" in refused(tmp_path, "fabrics.yaml", text)


def test_fibres_that_do_not_add_up_are_refused(tmp_path: Path) -> None:
    text = f"fabrics: [{FABRIC.format(fibres='{cotton: 60, polyester: 30}')}]"
    assert "fibres add up to 90 %, not 100 %" in refused(tmp_path, "fabrics.yaml", text)


def test_a_garment_of_an_unknown_fabric_is_refused_with_the_entry(tmp_path: Path) -> None:
    text = (
        "garments: [{id: ours, name: Our tee, fabric: denym, wearer: adult, price_each: 5, "
        "print_areas: [{name: front, width_mm: 200, height_mm: 200}]}]"
    )
    message = refused(tmp_path, "garments.yaml", text)
    assert message == "garments.yaml: ours: no fabric is called 'denym'; nearest: denim"


@pytest.mark.parametrize("kind", ["film", "fabric", "garment", "press", "sheet"])
def test_an_unknown_name_is_refused_in_words(kind: str) -> None:
    with pytest.raises(UnknownNameError, match=f"no {kind}( or garment)? is called 'zzz'"):
        getattr(load_catalogue(), kind)("zzz")


def test_a_key_that_stands_twice_is_refused_wherever_it_stands(tmp_path: Path) -> None:
    path = tmp_path / "films.yaml"
    path.write_text("films:\n  - {id: a,\n     id: b}\n  - x: 1\n    x: 2\n", encoding="utf-8")
    with pytest.raises(BadInputError, match=r"films\.yaml: line 3: 'id' stands here twice"):
        load_catalogue(tmp_path)


def test_what_is_merged_in_may_be_overridden() -> None:
    text = "a: &a {x: 1, y: 2}\nb: {<<: *a, x: 3}\nc: [*a, *a]"
    assert parse_yaml(text, source="x")["b"] == {"x": 3, "y": 2}


def test_a_number_and_its_word_are_two_keys() -> None:
    assert parse_yaml("1: a\n'1': b", source="x") == {1: "a", "1": "b"}


def test_json_names_the_line_of_a_key_that_stands_twice() -> None:
    with pytest.raises(BadInputError, match=r"plan\.json: line 3: 'n' stands here twice"):
        parse_json('{"a": {"n": 1,\n\t"b": 2,\n\t"n": 3}}', source="plan.json")


def test_what_may_never_end_is_refused_before_it_is_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    for path, found in (
        (Path("/dev/zero"), "a device or a pipe"),
        (tmp_path / "pipe", "a device or a pipe"),
        (tmp_path, "a folder"),
    ):
        with pytest.raises(BadInputError) as refused:
            file_bytes(path, most_bytes=10, kind="a font")
        assert (
            str(refused.value) == f"{path}: cannot be read: it is {found}, where a font is wanted"
        )


def test_no_more_is_read_of_a_file_than_it_may_hold(tmp_path: Path) -> None:
    (tmp_path / "just").write_bytes(b"x" * 1_000_000)
    assert len(file_bytes(tmp_path / "just", most_bytes=1_000_000, kind="a plan")) == 1_000_000
    (tmp_path / "over").write_bytes(b"x" * 1_100_000)
    with pytest.raises(BadInputError, match=r"over: is 1\.1 MB; a plan has at most 1 MB"):
        file_bytes(tmp_path / "over", most_bytes=1_000_000, kind="a plan")
    # The system says that a file which it makes up as it is read is empty.
    with pytest.raises(BadInputError, match="a plan has at most"):
        file_bytes(Path("/proc/self/status"), most_bytes=10, kind="a plan")
