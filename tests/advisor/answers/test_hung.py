"""Hung: no print of a garment lies over another, and what is placed stays where it was placed."""

from __future__ import annotations

from itertools import combinations
from pathlib import Path
from typing import Any

import pytest

from advisor.job.records.order_plan import LiesOn
from rules.errors import BadInputError
from tests.advisor.answers.prints_orders import CREW, block, letters, planned


def measured(below_mm: float, across_mm: float = 0, width_mm: float = 80) -> dict[str, Any]:
    at = {"area": "back", "below_mm": below_mm, "across_mm": across_mm}
    return {**block("back", width_mm), "at": at}


def lie(made: Any) -> dict[str, LiesOn]:
    return {one.id: one.lies[0] for one in made.prints}


@pytest.mark.parametrize("turned", [False, True], ids=["name first", "number first"])
def test_a_number_hangs_below_the_name_whichever_is_named_first(
    turned: bool, tmp_path: Path
) -> None:
    asked = [letters("yoke", "name", 40), letters("back", "number", 150)]
    found = lie(planned(tmp_path, asked[::-1] if turned else asked, people=CREW))
    assert found["yoke-name"].top_mm == 0
    # The height asked is that of the capitals; round letters stand out of it a little.
    assert 40 <= found["yoke-name"].height_mm <= 42
    assert found["back-number"].top_mm == found["yoke-name"].height_mm + 20
    assert found["back-number"].told == "20 mm below the yoke name"


def test_a_motif_on_the_front_hangs_below_a_badge_on_the_chest(tmp_path: Path) -> None:
    found = lie(planned(tmp_path, [block("centre-front", 240), block("chest-left", 80)]))
    told = "90 mm below the collar, its middle 95 mm to the wearer's left"
    assert found["chest-left"].told == told
    assert found["centre-front"].top_mm == 10 + 80 + 20


def test_both_sleeves_and_both_chests_hang_where_they_are(tmp_path: Path) -> None:
    asked = [block(f"{at}-{side}", 60) for at in ("sleeve", "chest") for side in ("left", "right")]
    found = lie(planned(tmp_path, asked))
    assert all(" below the " in one.told and "mm below the" in one.told for one in found.values())
    measured_from = {one.told.split(" mm below the ")[1].split(",")[0] for one in found.values()}
    assert measured_from == {"shoulder seam", "collar"}


def test_what_is_placed_by_its_measures_stays_there(tmp_path: Path) -> None:
    found = lie(planned(tmp_path, [block("back", 100), measured(0, 100), measured(0, -100)]))
    assert sorted(one.across_mm for one in found.values()) == [-100, 0, 100]
    assert {one.top_mm for one in found.values()} == {0}
    for one, other in combinations(found.values(), 2):
        assert abs(one.across_mm - other.across_mm) >= (one.width_mm + other.width_mm) / 2


def test_two_that_are_placed_over_one_another_are_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match="would lie over back"):
        planned(tmp_path, [measured(0), measured(40)])


def test_one_print_named_twice_on_a_garment_is_refused(tmp_path: Path) -> None:
    with pytest.raises(BadInputError, match=r"prints\.1: is the same print as one before it"):
        planned(tmp_path, [block("back"), block("back")])
