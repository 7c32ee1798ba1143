"""A schedule's course: what is carried from phase to phase, and what is read off its curves."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.integrate import quad
from scipy.optimize import brentq

from advisor.heat.conduction import ROOM_C
from advisor.heat.curve import Curve, above, spans
from advisor.heat.layers import Boundary, Layer, LayerSide, cell_shares
from advisor.heat.walk import Course, Phase, chain
from rules.errors import BadInputError, UnknownNameError

PLATEN, BED, AIR = Boundary(160.0, 900.0), Boundary(25.0, 60.0), Boundary(22.0, 12.0)
CARRIER = Layer("carrier", 75.0, 0.20, 1360.0, 1000.0, contact_w_m2k=3000.0)
FACE = Layer("face", 80.0, 0.25, 1200.0, 1800.0, contact_w_m2k=4000.0)
GLUE = Layer("glue", 50.0, 0.22, 1200.0, 1700.0)
CLOTH = Layer("cloth", 450.0, 0.07, 500.0, 1300.0, contact_w_m2k=2000.0)
PAD = Layer("pad", 8000.0, 0.05, 150.0, 1500.0, contact_w_m2k=500.0)
GARMENT, FILM = (CLOTH, PAD), (FACE, GLUE, CLOTH, PAD)
BOND = LayerSide("glue", "back")


def schedule() -> list[Phase]:
    """Preheat, tack under a carrier, wait, peel and press to the full."""
    return [
        Phase(GARMENT, PLATEN, BED, 5.0),
        Phase((CARRIER, *FILM), PLATEN, BED, 3.0),
        Phase((CARRIER, *FILM), AIR, BED, 20.0),
        Phase(FILM, PLATEN, BED, 12.0),
        Phase(FILM, AIR, BED, 60.0),
    ]


@pytest.fixture(scope="module")
def course() -> Course:
    return chain(schedule())


def test_two_phases_of_one_configuration_are_one_long_phase() -> None:
    parted = chain([Phase(FILM, PLATEN, BED, 4.0), Phase(FILM, PLATEN, BED, 9.0)])
    whole = chain([Phase(FILM, PLATEN, BED, 13.0)])
    times = [0.0, 1.0, 4.0, 4.5, 13.0]
    for place in (BOND, LayerSide("face", "front"), LayerSide("cloth", "middle")):
        assert parted.curve(place).at(times) == pytest.approx(
            whole.curve(place).at(times), abs=1e-9
        )
    over_s = (float(above(c.curve(BOND), 110.0).seconds) for c in (parted, whole))
    assert next(over_s) == pytest.approx(next(over_s), abs=1e-9)


def test_phases_of_like_stacks_share_one_solution(course: Course) -> None:
    tack, wait, press, cool = (leg.stack for leg in course.legs[1:])
    assert len({id(leg.stack.modes) for leg in course.legs}) == 5
    again = chain([Phase(FILM, PLATEN, BED, 1.0), Phase(FILM, Boundary(150.0, 900.0), BED, 1.0)])
    first, second = (leg.stack for leg in again.legs)
    assert first.modes is second.modes
    assert second.steady_c.max() < 150.0 < first.steady_c.max()
    assert tack.starts == wait.starts
    assert press.starts == cool.starts


def test_a_layer_keeps_its_field_when_the_stack_changes_and_a_new_one_starts_at_room(
    course: Course,
) -> None:
    preheated, tack = (leg.stack for leg in course.legs[:2])
    ended = preheated.field_at(course.legs[0].initial_c, 5.0)[0]
    begun = course.legs[1].initial_c
    new = tack.starts[3]
    assert begun[:new] == pytest.approx(ROOM_C)
    assert begun[new:] == pytest.approx(ended)
    peeled, waiting = course.legs[3].initial_c, course.legs[2]
    waited = waiting.stack.field_at(waiting.initial_c, 20.0)[0]
    assert peeled == pytest.approx(waited[waiting.stack.starts[1] :])


def test_a_whole_schedule_is_within_about_a_tenth_of_a_degree_of_finer_cells(
    course: Course,
) -> None:
    cells = {
        layer.name: cell_shares(layer, first_cell=0.03, growth=1.05) for layer in (CARRIER, *FILM)
    }
    fine = chain(schedule(), cells=cells)
    times = np.concatenate(
        [leg.begins_s + np.geomspace(0.5, 0.999 * leg.seconds, 20) for leg in course.legs]
    )
    for layer in (CARRIER, FACE, GLUE, CLOTH):
        for place in (LayerSide(layer.name, "front"), LayerSide(layer.name, "back")):
            usual = course.curve(place)
            exact = fine.curve(place)
            assert usual.at(times) == pytest.approx(exact.at(times), abs=0.12, nan_ok=True), place
    for celsius in (60.0, 110.0, 130.0):
        usual_s, exact_s = (float(above(c.curve(BOND), celsius).seconds) for c in (course, fine))
        assert usual_s == pytest.approx(exact_s, abs=0.1)


@pytest.mark.parametrize("bed_c", [25.0, 150.0], ids=["a cool bed", "a heated bed"])
def test_both_faces_of_the_pad_hold_to_finer_cells_whatever_it_lies_on(bed_c: float) -> None:
    def press(cells: dict[str, NDArray[np.float64]] | None = None) -> Course:
        bed = Boundary(bed_c, 400.0)
        return chain([Phase(FILM, PLATEN, bed, 15.0), Phase(FILM, AIR, bed, 20.0)], cells=cells)

    fine = press({layer.name: cell_shares(layer, first_cell=0.03, growth=1.05) for layer in FILM})
    usual = press()
    times = [0.5, 2.0, 8.0, 15.0, 16.0, 20.0, 35.0]
    for place in (
        BOND,
        LayerSide("cloth", "back"),
        LayerSide("pad", "front"),
        LayerSide("pad", "back"),
    ):
        error_k = 0.35 if place == LayerSide("pad", "back") else 0.15
        assert usual.curve(place).at(times) == pytest.approx(
            fine.curve(place).at(times), abs=error_k
        )
    cells = np.diff(usual.legs[0].stack.starts)[-1]
    assert (cells < 25) == (bed_c < 30.0)


def test_heat_leaves_only_with_a_layer_that_is_taken_away() -> None:
    closed = Boundary(20.0, 0.0)
    course = chain(
        [Phase((CARRIER, *FILM), closed, closed, 30.0, {"carrier": 150.0}),
         Phase(FILM, closed, closed, 30.0)]
    )  # fmt: skip
    before, after = (leg.stack for leg in course.legs)
    starts, left_c = (leg.initial_c for leg in course.legs)
    ended = before.field_at(starts, 30.0)[0]
    carrier = before.starts[1]
    left = (ended * before.heat_j_m2k)[:carrier].sum()
    assert left_c @ after.heat_j_m2k == pytest.approx(starts @ before.heat_j_m2k - left)
    assert course.curve(BOND).at(60.0)[0] > ROOM_C


def test_a_layer_is_the_same_though_it_is_squeezed() -> None:
    thick = replace(CLOTH, thickness_um=900.0)
    course = chain([Phase((thick, PAD), PLATEN, BED, 5.0), Phase(GARMENT, PLATEN, BED, 5.0)])
    first, second = (leg.stack for leg in course.legs)
    assert first.starts == second.starts
    cells = slice(0, first.starts[1])
    ended = first.field_at(course.legs[0].initial_c, 5.0)[0]
    assert course.legs[1].initial_c[cells] == pytest.approx(ended[cells])


def test_a_place_is_nowhere_before_its_layer_is_laid_and_after_the_end(course: Course) -> None:
    celsius = course.curve(BOND).at([1.0, 5.0, 5.1, 100.0, 101.0])
    assert np.isnan(celsius).tolist() == [True, False, False, False, True]
    assert ROOM_C < celsius[1] < celsius[2]  # the cloth is hot from the preheat
    with pytest.raises(UnknownNameError, match="no layer is called 'glu'; nearest: glue"):
        course.curve(LayerSide("glu"))


def test_when_a_temperature_is_reached_agrees_with_a_root_finder(course: Course) -> None:
    curve = course.curve(BOND)
    for celsius in (60.0, 100.0, 120.0):
        found = float(above(curve, celsius).first_s)
        exact = brentq(
            lambda t, celsius=celsius: curve.at(t)[0] - celsius,
            5.001 if found < 8 else 28.001,
            found + 0.2,
        )
        assert found == pytest.approx(exact, abs=1e-8)


def test_the_peel_wait_is_counted_from_the_end_of_the_press(course: Course) -> None:
    cooling = Curve(course.curve(BOND).spans[-1:])
    wait = float(above(cooling, 70.0, falling=True).first_s)
    assert wait > 40.0
    assert cooling.at(wait)[0] == pytest.approx(70.0, abs=1e-9)
    assert float(above(course.curve(BOND), 70.0, falling=True).first_s) == pytest.approx(5.0)


def test_never_is_told_with_what_would_be_reached(course: Course) -> None:
    curve = Curve(course.curve(BOND).spans[-2:-1])
    assert np.isinf(above(curve, 158.0).first_s)
    assert 120.0 < curve.hottest_c < 158.0
    assert curve.settles_c > curve.hottest_c
    assert float(above(curve, 158.0).seconds) == 0.0


def test_seconds_above_agree_with_adding_up_small_steps(course: Course) -> None:
    curve = course.curve(BOND)
    for celsius in (30.0, 80.0, 120.0, 140.0):
        times = np.linspace(5.0, 100.0, 100_001)
        steps = np.count_nonzero(curve.at(times) >= celsius) * (times[1] - times[0])
        assert float(above(curve, celsius).seconds) == pytest.approx(steps, abs=4e-3)


def test_the_hottest_is_found_though_it_falls_between_phases_ends() -> None:
    # After the press opens, the middle of the cloth still warms before it cools.
    course = chain([Phase(FILM, PLATEN, BED, 1.0), Phase(FILM, AIR, BED, 30.0)])
    curve = course.curve(LayerSide("cloth", "back"))
    times = np.linspace(0.0, 31.0, 200_001)
    assert float(curve.hottest_c) == pytest.approx(curve.at(times).max(), abs=1e-6)
    assert curve.hottest_c > curve.at(1.0)[0] + 1.0


@pytest.mark.parametrize("seconds", [0.0, 5e-324, 1e-12])
def test_a_phase_that_is_over_at_once_changes_nothing(seconds: float) -> None:
    course = chain([Phase((CLOTH,), Boundary(160.0, 500.0), BED, seconds)])
    curve = course.curve(LayerSide("cloth", "middle"))
    assert float(curve.hottest_c) == pytest.approx(20.0, abs=1e-3)
    assert float(above(curve, 100.0).seconds) == 0.0


modes = st.lists(st.tuples(st.floats(1e-3, 1e3), st.floats(-100.0, 100.0)), min_size=1, max_size=6)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(modes=modes, settles=st.floats(0.0, 200.0), level=st.floats(-100.0, 300.0))
def test_time_above_and_time_below_make_up_the_whole(
    modes: list[tuple[float, float]], settles: float, level: float
) -> None:
    assume(abs(level - settles) > 1e-6)  # a curve that lies on the level is on both sides of it
    rates, swings = np.array(modes).T
    curve = Curve(tuple(spans(0.0, 50.0, rates, [(swings, settles)])))
    flipped = Curve(tuple(spans(0.0, 50.0, rates, [(-swings, -settles)])))
    over_s = float(above(curve, level).seconds)
    assert over_s + float(above(flipped, -level).seconds) == pytest.approx(50.0, abs=1e-6)
    first = float(above(curve, level).first_s)
    assert np.isinf(first) == (float(curve.hottest_c) < level - 1e-9)
    if 0 < first < np.inf:
        assert curve.at(first)[0] == pytest.approx(level, abs=1e-7)
        before = curve.at(np.linspace(0.0, first, 500, endpoint=False))
        assert before.max() <= level + 1e-6
    times = np.concatenate([[0.0], np.geomspace(1e-4, 50.0, 3000)])
    assert curve.at(times).max() <= float(curve.hottest_c) + 1e-6
    assert curve.at(times).min() >= -float(flipped.hottest_c) - 1e-6


def test_heat_taken_in_is_what_flowed_through_the_platen() -> None:
    closed = Boundary(20.0, 0.0)
    course = chain([Phase(FILM, PLATEN, closed, 10.0)])
    stack, surface = course.legs[0].stack, course.curve(LayerSide("face", "front"))
    flowed = quad(lambda t: 900.0 * (160.0 - surface.at(t)[0]), 0.0, 10.0, limit=400)[0]
    start, end = stack.field_at(course.legs[0].initial_c, [0.0, 10.0]) @ stack.heat_j_m2k
    assert end - start == pytest.approx(flowed, rel=1e-5)


def test_a_batch_of_samples_reads_as_each_sample_alone() -> None:
    random = np.random.default_rng(3)
    contact = 900.0 * random.uniform(0.5, 2.0, 6)
    setpoint = 160.0 + random.uniform(-6.0, 6.0, 6)
    thick = 450.0 * random.uniform(0.8, 1.2, 6)

    def phases(pick: slice | int) -> list[Phase]:
        platen = Boundary(setpoint[pick], contact[pick])
        cloth = replace(CLOTH, thickness_um=thick[pick])
        film = (FACE, GLUE, cloth, PAD)
        return [
            Phase((CLOTH, PAD), PLATEN, BED, 4.0),  # what is certain needs no samples
            Phase(film, platen, BED, 10.0),
            Phase(film, AIR, BED, 30.0),
        ]

    # The samples share their cells, so each alone is given the same.
    cells = {layer.name: np.full(9, 1 / 9) for layer in (FACE, GLUE, CLOTH, PAD)}
    batch = chain(phases(slice(None)), cells=cells)
    together = batch.curves([BOND, LayerSide("face", "front")])
    levels = np.linspace(90.0, 130.0, 6)
    for n in range(6):
        alone = chain(phases(n), cells=cells)
        for place, many in zip((BOND, LayerSide("face", "front")), together, strict=True):
            one = alone.curve(place)
            times = [4.0, 5.0, 14.0, 44.0]
            assert many.at(times)[n] == pytest.approx(one.at(times), abs=1e-8)
            assert many.hottest_c[n] == pytest.approx(float(one.hottest_c), abs=1e-8)
            assert above(many, 100.0).seconds[n] == pytest.approx(
                float(above(one, 100.0).seconds), abs=1e-7
            )
            assert above(many, levels).first_s[n] == pytest.approx(
                float(above(one, float(levels[n])).first_s), abs=1e-7
            )


def test_schedules_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadInputError, match="phases: is empty; a schedule needs at least one"):
        chain([])
    with pytest.raises(BadInputError, match="seconds: is -1; it must be 0 s or more"):
        Phase(FILM, PLATEN, BED, -1.0)
    nothing = chain([Phase(FILM, PLATEN, BED, 0.0)])
    assert float(nothing.curve(BOND).hottest_c) == pytest.approx(ROOM_C)


def test_a_level_that_is_passed_twice_near_a_turn_is_passed_at_both_times() -> None:
    # 8·(e^−t − e^−2t) rises to 2 at ln 2 and falls: 8·x·(1 − x) passes a level at both its roots.
    curve = Curve(
        tuple(spans(0.0, 9.0, np.array([1.0, 2.0]), [(np.array([8.0, -8.0]), 0.0)])),
    )
    for below in (1e-7, 1e-3, 0.5):
        half = np.sqrt(0.25 - (2.0 - below) / 8)
        enters, leaves = -np.log(0.5 + half), -np.log(0.5 - half)
        assert float(above(curve, 2.0 - below).first_s) == pytest.approx(enters, abs=1e-7)
        assert float(above(curve, 2.0 - below).seconds) == pytest.approx(leaves - enters, abs=1e-7)
