"""Film buying: metres, waste and cost of each film and colour, held to what is on the shelf."""

from __future__ import annotations

import pytest
import shapely

from advisor.cutting.roll.order import nest_parts
from advisor.cutting.roll.shapes import NestError, Part, PartTooWideError, rotations_for
from rules.catalogue import load_catalogue
from rules.facts.film import Film

MATTE = (
    load_catalogue()
    .film("matte-smooth")
    .model_copy(
        update={"roll_width_mm": 500.0, "price_per_m": 8.0, "on_shelf_m": 1.0, "one_way": False}
    )
)
FILMS = {MATTE.id: MATTE}
ONE, OTHER = (colour.name for colour in MATTE.colours[:2])
BACK = Part("back", shapely.box(0, 0, 450, 300), 2, (0.0, 90.0))


def one_way() -> dict[str, Film]:
    return {MATTE.id: MATTE.model_copy(update={"one_way": True})}


def test_metres_waste_and_cost_are_those_of_the_whole_width_bought() -> None:
    (need,) = nest_parts({(MATTE.id, ONE): [BACK]}, films=FILMS)
    # Two backs of 300 mm along the roll and 3 mm between them; 480 mm of 500 may be cut.
    assert need.length_m == pytest.approx(0.603)
    assert need.used_m2 == pytest.approx(2 * 0.45 * 0.3)
    assert need.waste_pct == pytest.approx(100 * (1 - 0.27 / (0.603 * 0.5)))
    # Film is cut off the roll, priced and counted by whole centimetres, in a quote too.
    assert need.cost == pytest.approx(0.61 * 8)
    assert (need.on_shelf_m, need.short_m) == (1.0, 0)


def test_the_roll_edge_stays_free_for_the_rollers() -> None:
    (need,) = nest_parts({(MATTE.id, ONE): [BACK]}, films=FILMS)
    assert need.layout.roll_width_mm == 480


def test_a_part_that_needs_the_edge_gets_it_and_the_note_says_so() -> None:
    wide = Part("wide", shapely.box(0, 0, 490, 495), 1)
    (need,) = nest_parts({(MATTE.id, ONE): [wide]}, films=FILMS)
    assert need.layout.roll_width_mm == 500
    assert need.layout.note.endswith("no edge left for the rollers")
    with pytest.raises(PartTooWideError, match="the roll takes 500"):
        nest_parts({(MATTE.id, ONE): [Part("wide", shapely.box(0, 0, 505, 505))]}, films=FILMS)


def test_colours_of_a_film_share_what_the_shelf_counts_together() -> None:
    order = {(MATTE.id, ONE): [BACK], (MATTE.id, OTHER): [BACK]}
    first, second = nest_parts(order, films=FILMS)
    assert second.on_shelf_m == pytest.approx(1.0 - first.length_m)
    assert second.short_m == pytest.approx(2 * 0.603 - 1.0)
    assert second.sentence == f"{MATTE.id} {OTHER}: 0.61 m needed, 0.40 m on the shelf: " \
        "0.21 m to buy"  # fmt: skip


def test_a_film_with_a_direction_is_never_turned_across() -> None:
    films = one_way()
    with pytest.raises(NestError, match="has a direction"):
        nest_parts({(MATTE.id, ONE): [BACK]}, films=films)
    with pytest.raises(NestError, match="has a direction"):
        nest_parts({(MATTE.id, ONE): [Part("back", BACK.shape, 2, (0.0, 90.0))]}, films=films)
    kept = Part("back", BACK.shape, 2, rotations_for(films[MATTE.id]))
    (need,) = nest_parts({(MATTE.id, ONE): [kept]}, films=films)
    assert {spot.rotation_deg for spot in need.layout.placements} <= {0.0, 180.0}


def test_after_ctrl_c_the_remaining_films_are_laid_by_rectangles() -> None:
    parts = [Part("kite", shapely.Polygon([(0, 0), (60, 70), (0, 160), (-60, 70)]), 8)]
    seen: list[tuple[str, str]] = []

    def stop(_film: str, colour: str, progress: object) -> None:
        seen.append((colour, getattr(progress, "phase", "")))
        if seen[-1] == (ONE, "exploring"):
            raise KeyboardInterrupt

    order = {(MATTE.id, ONE): parts, (MATTE.id, OTHER): parts}
    first, second = nest_parts(order, films=FILMS, seconds=30, on_progress=stop)
    assert first.layout.interrupted
    assert second.layout.method == "rectangles"
    assert (OTHER, "exploring") not in seen


@pytest.mark.parametrize(
    ("order", "options", "said"),
    [
        ({("gold-leaf", "gold"): [BACK]}, {}, "gold-leaf: is not among the films given"),
        ({(MATTE.id, "mauve-7"): [BACK]}, {}, "matte-smooth: has no colour 'mauve-7'"),
        ({(MATTE.id, ONE): [BACK]}, {"seconds": -1}, "seconds: is -1; give 0 to 3600 s"),
    ],
)  # fmt: skip
def test_nonsense_is_refused(
    order: dict[tuple[str, str], list[Part]], options: dict[str, float], said: str
) -> None:
    with pytest.raises(NestError) as refused:
        nest_parts(order, films=FILMS, **options)  # type: ignore[arg-type]
    assert str(refused.value).startswith(said)


def test_an_order_without_parts_takes_nothing() -> None:
    (need,) = nest_parts({(MATTE.id, ONE): []}, films=FILMS)
    assert (need.length_m, need.cost, need.waste_pct, need.short_m) == (0, 0, 0, 0)
