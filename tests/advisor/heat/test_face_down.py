"""Face down: heat through two panels of cloth, beside a plain implicit twin of its own."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest
from scipy.linalg import solve_banded

from advisor.heat.face_down import Felt, felt_face_down
from rules.catalogue import load_catalogue
from rules.facts.film import Film
from rules.facts.schedule import Schedule
from rules.facts.step import Step

SHELF = load_catalogue()
PRESS = SHELF.press("clamshell-38x38")
ROOM_C, STEP_S, CELL_UM = 20.0, 0.02, 10.0


def steps(*closings: dict[str, Any]) -> tuple[Step, ...]:
    return tuple(Step.model_validate({"n": n, **of}) for n, of in enumerate(closings, 1))


def closed(setpoint_c: float, dwell_s: float) -> dict[str, Any]:
    return {"action": "press", "purpose": "full", "pieces": ["back"], "setpoint_c": setpoint_c,
            "dwell_s": dwell_s}  # fmt: skip


def schedule(fabric: str, *of: dict[str, Any], film: str = "matte-smooth") -> Schedule:
    return Schedule(
        fabric=SHELF.fabric(fabric),
        press=PRESS,
        films={"back": SHELF.film(film)},
        over=(),
        steps=steps(*of),
        sheets=SHELF.sheets,
    )


def felt(film: str, pressed: Schedule, *, sheet: str | None = "ptfe-cover") -> list[Felt]:
    found = felt_face_down(
        SHELF.film(film),
        pressed,
        sheet=SHELF.sheets[sheet] if sheet else None,
        straight_after=None,
        materials=SHELF.materials,
    )
    assert [each is not None for each in found] == [
        step.action in {"press", "preheat"} for step in pressed.steps
    ]
    return [each for each in found if each]


def rows(film: Film, fabric: str, sheet: str) -> list[tuple[float, float, float]]:
    """Thickness in µm, W/mK and J/m³K of upper panel, lower panel, adhesive, face, sheet, bed."""
    cloth, under = SHELF.fabric(fabric), SHELF.sheets[sheet]
    of = SHELF.materials
    woven = of[cloth.thermal_material]
    panel = (
        cloth.thickness_um,
        woven.conductivity_w_mk,
        1000 * cloth.weight_gsm / cloth.thickness_um * woven.heat_capacity_j_kgk,
    )

    def solid(um: float, name: str) -> tuple[float, float, float]:
        return um, of[name].conductivity_w_mk, of[name].density_kg_m3 * of[name].heat_capacity_j_kgk

    return [
        panel,
        panel,
        solid(film.adhesive_um, film.adhesive_material),
        solid(film.face_um, film.face_material),
        solid(under.thickness_um, under.thermal_material),
        solid(10_000.0, "silicone-sponge"),
    ]


def twin(layers: Sequence[tuple[float, float, float]], platen_c: float, dwell_s: float) -> Any:
    """Temperature at the adhesive's upper side against time: backward Euler on even cells."""
    um, k, heat = [], [], []
    for thick, conducts, holds in layers:
        cells = max(2, round(thick / (CELL_UM if thick < 2000 else 100)))
        um += [thick / cells * 1e-6] * cells
        k += [conducts] * cells
        heat += [holds] * cells
    at = sum(max(2, round(thick / CELL_UM)) for thick, _, _ in layers[:2])
    size, through, holds_j = np.array(um), np.array(k), np.array(heat) * np.array(um)
    half = size / (2 * through)
    link = np.concatenate(
        (
            [1 / (1 / PRESS.contact_w_m2k + half[0])],
            1 / (half[:-1] + half[1:]),
            [1 / half[-1]],
        )
    )
    bands = np.zeros((3, size.size))
    bands[0, 1:], bands[2, :-1] = -link[1:-1], -link[1:-1]
    bands[1] = holds_j / STEP_S + link[:-1] + link[1:]
    field, seen = np.full(size.size, ROOM_C), []
    for _ in range(round(dwell_s / STEP_S)):
        right = holds_j / STEP_S * field
        right[0] += link[0] * platen_c
        right[-1] += link[-1] * ROOM_C
        field = solve_banded((1, 1), bands, right)
        # The side is as far from both cells as they are thick.
        left, after = through[at - 1] / size[at - 1], through[at] / size[at]
        seen.append((left * field[at - 1] + after * field[at]) / (left + after))
    return np.array(seen)


@pytest.mark.parametrize(
    ("fabric", "film", "dial_c", "dwell_s"),
    [
        ("adult-tee", "matte-smooth", 160, 15),
        ("adult-tee", "flock-short", 155, 20),
        ("sports-jersey", "matte-low-temperature", 150, 20),
        ("wind-jacket", "matte-nylon", 145, 20),
        ("wind-jacket", "flock-low-temperature", 150, 25),
    ],
)
def test_heat_that_comes_through_agrees_with_a_plain_implicit_twin(
    fabric: str, film: str, dial_c: float, dwell_s: float
) -> None:
    [found] = felt(film, schedule(fabric, closed(dial_c, dwell_s)))
    of = SHELF.film(film)
    course = twin(rows(of, fabric, "ptfe-cover"), dial_c + PRESS.flat_c, dwell_s)
    assert found.peak_c == pytest.approx(course.max(), abs=0.5)
    hot_s = STEP_S * int((course >= of.bonds_c).sum())
    assert hot_s - 0.15 <= found.seconds <= hot_s + 1.15


def test_through_a_tee_a_usual_press_bonds_nothing_and_a_very_long_one_does() -> None:
    [usual] = felt("matte-smooth", schedule("adult-tee", closed(160, 12)))
    assert usual.seconds == 0
    [long] = felt("matte-smooth", schedule("adult-tee", closed(160, 60)))
    assert 0 < long.seconds < 60


def test_thinner_cloth_lets_more_heat_through() -> None:
    peaks = [
        felt("matte-smooth", schedule(name, closed(150, 15)))[0].peak_c
        for name in ("zip-hoodie", "adult-tee", "sports-jersey", "wind-jacket")
    ]
    assert peaks == sorted(peaks)


def test_presses_soon_after_one_another_add_up_and_a_long_wait_lets_them_not() -> None:
    wait = {"action": "wait", "dwell_s": 300}
    press = closed(160, 15)
    once, twice = felt("matte-smooth", schedule("adult-tee", press, press))
    _, later = felt("matte-smooth", schedule("adult-tee", press, wait, press))
    assert once.peak_c < later.peak_c + 1 < twice.peak_c


def test_a_garment_turned_while_it_is_hot_is_hotter_for_longer() -> None:
    own, pressed = schedule("adult-tee", closed(160, 15)), schedule("adult-tee", closed(160, 15))
    told = {"sheet": SHELF.sheets["ptfe-cover"], "materials": SHELF.materials}
    film = SHELF.film("matte-smooth")
    [cold] = felt_face_down(film, pressed, straight_after=None, **told)  # type: ignore[arg-type]
    [hot] = felt_face_down(film, pressed, straight_after=("back", own), **told)  # type: ignore[arg-type]
    assert cold is not None
    assert hot is not None
    assert hot.peak_c > cold.peak_c + 3
    assert hot.seconds >= cold.seconds


def test_heat_that_came_through_a_garment_is_followed_once_for_all_later_prints() -> None:
    press, fabric = closed(160, 15), "adult-tee"
    [first] = felt("matte-smooth", schedule(fabric, press))
    [again, _] = felt("matte-smooth", schedule(fabric, press, closed(150, 10)))
    assert again is first
