"""A shop's own folder laid over what ships."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from rules.catalogue import FOLDER, load_catalogue

SHELF = load_catalogue()


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    (tmp_path / "films").mkdir()
    return tmp_path


def film_text(name: str, **changes: object) -> str:
    raw = yaml.safe_load((FOLDER / "films" / "smooth.yaml").read_text("utf-8"))
    shared = {key: value for key, value in raw.items() if key not in {"films", "basis"}}
    entry = {**shared, **raw["films"][0], "id": name, **changes}
    return yaml.safe_dump({"basis": "sheet", "films": [entry]})


def test_a_shop_adds_a_film_and_replaces_another_of_the_same_id(shop: Path) -> None:
    (shop / "films" / "ours.yaml").write_text(film_text("our-matte"), "utf-8")
    (shop / "films" / "changed.yaml").write_text(film_text("matte-thin", bears_s=33), "utf-8")
    ours = load_catalogue(shop)
    assert len(ours.films) == len(SHELF.films) + 1
    assert ours.film("our-matte").basis_of("dwell_s") == "sheet"
    assert ours.film("matte-thin").bears_s == 33
    assert SHELF.film("matte-thin").bears_s != 33


def test_a_shops_garment_may_use_a_built_in_fabric(shop: Path) -> None:
    (shop / "garments.yaml").write_text(
        "garments: [{id: our-tee, name: Our tee, fabric: denim, wearer: adult, price_each: 5, "
        "print_areas: [{name: front, width_mm: 200, height_mm: 200}]}]",
        "utf-8",
    )
    assert load_catalogue(shop).garment("our-tee").fabric is not None
    assert load_catalogue(shop).fabric("our-tee").id == "denim"


@pytest.mark.parametrize(("given", "meant"), [(True, "yes"), (False, "no"), ("sample", "sample")])
def test_a_bare_yes_or_no_in_yaml_is_understood(shop: Path, given: object, meant: str) -> None:
    (shop / "films" / "a.yaml").write_text(film_text("ours", takes_film_on_top=given), "utf-8")
    assert load_catalogue(shop).film("ours").takes_film_on_top == meant


def test_colours_may_be_a_list_as_well_as_a_mapping(shop: Path) -> None:
    colours = [{"name": "teal", "srgb": "#008080"}]
    (shop / "films" / "a.yaml").write_text(film_text("ours", colours=colours), "utf-8")
    assert [c.name for c in load_catalogue(shop).film("ours").colours] == ["teal"]


def test_an_empty_shop_folder_changes_nothing(tmp_path: Path) -> None:
    assert load_catalogue(tmp_path) == SHELF


def test_the_order_is_that_of_the_files(shop: Path) -> None:
    again = load_catalogue(shop)
    paths = sorted((FOLDER / "films").glob("*.yaml"))
    raw = [yaml.safe_load(path.read_text("utf-8"))["films"] for path in paths]
    assert list(again.films) == [entry["id"] for films in raw for entry in films]
