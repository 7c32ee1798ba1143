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
from advisor.heat.curve import above, curve_through, grid, joined
from advisor.heat.layers import Boundary, Layer, LayerSide, cell_shares
from advisor.heat.walk import Course
from rules.errors import BadInputError, UnknownNameError
from tests.advisor.heat.phases import Phase, chain

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
    times = [0.0, 1.0, 4.0, 4.4, 13.0]
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


def exactly(course: Course, place: LayerSide, seconds: float) -> float:
    """The temperature of a place by the sum of exponentials, between knots too."""
    [leg] = [leg for leg in course.legs if leg.begins_s < seconds <= leg.lasts_s[1]]
    field = leg.stack.field_at(leg.initial_c, seconds - leg.begins_s)
    return float(leg.stack.read(field, place)[0])


def test_the_curve_lies_on_the_exact_one_at_its_knots_and_near_it_between(course: Course) -> None:
    for place in (BOND, LayerSide("face", "front"), LayerSide("cloth", "back")):
        curve = course.curve(place)
        knots = [5.12, 6.0, 8.0, 8.12, 20.0, 28.52, 40.0, 70.0, 71.0, 100.0]
        exact = [exactly(course, place, t) for t in knots]
        assert curve.at(knots) == pytest.approx(exact, abs=1e-9)
        # From half a second after each change on.
        between = [
            5.54,
            6.98,
            7.05,
            7.95,
            8.54,
            9.02,
            10.05,
            28.55,
            29.05,
            33.33,
            41.77,
            66.66,
            70.5,
            99.5,
        ]
        exact = [exactly(course, place, t) for t in between]
        assert curve.at(between) == pytest.approx(exact, abs=0.04)


def test_whole_seconds_after_half_a_minute_lose_nothing() -> None:
    # A press that goes on and on, and a garment that cools, after their first half minute.
    course = chain([Phase(FILM, PLATEN, BED, 300.0), Phase(FILM, AIR, BED, 120.0)])
    for place in (BOND, LayerSide("face", "front"), LayerSide("pad", "middle")):
        curve = course.curve(place)
        for begins_s, ends_s in ((30.0, 300.0), (330.0, 420.0)):
            times = np.arange(begins_s + 0.5, ends_s, 1.0)
            exact = [exactly(course, place, t) for t in times]
            assert curve.at(times) == pytest.approx(exact, abs=0.005)


def test_when_a_temperature_is_reached_agrees_with_a_root_finder(course: Course) -> None:
    curve = course.curve(BOND)
    for celsius in (60.0, 100.0, 120.0):
        found = float(above(curve, celsius).first_s)
        exact = brentq(
            lambda t, celsius=celsius: exactly(course, BOND, t) - celsius,
            5.001 if found < 8 else 28.001,
            found + 0.2,
        )
        assert found == pytest.approx(exact, abs=0.003)


def test_the_peel_wait_is_counted_from_the_end_of_the_press(course: Course) -> None:
    [cooling] = course.legs[-1].curves([BOND])
    wait = float(above(cooling, 70.0, falling=True).first_s)
    assert wait > 40.0
    assert cooling.at(wait)[0] == pytest.approx(70.0, abs=1e-9)
    assert exactly(course, BOND, wait) == pytest.approx(70.0, abs=0.005)
    assert float(above(course.curve(BOND), 70.0, falling=True).first_s) == pytest.approx(5.0)


def test_never_is_told_with_what_would_be_reached(course: Course) -> None:
    [curve] = course.legs[-2].curves([BOND])
    assert np.isinf(above(curve, 158.0).first_s)
    assert 120.0 < curve.hottest_c < 158.0
    assert curve.settles_c > curve.hottest_c
    assert float(above(curve, 158.0).seconds) == 0.0


def test_seconds_above_agree_with_adding_up_small_steps_of_the_exact_curve(course: Course) -> None:
    exact: list[float] = []
    for leg in course.legs[1:]:
        times = np.arange(0.0005, leg.seconds, 0.001)
        exact += leg.stack.read(leg.stack.field_at(leg.initial_c, times), BOND).tolist()
    for celsius in (30.0, 80.0, 120.0, 140.0):
        counted_s = 0.001 * np.count_nonzero(np.array(exact) >= celsius)
        assert float(above(course.curve(BOND), celsius).seconds) == pytest.approx(
            counted_s, abs=6e-3
        )


def test_the_hottest_is_found_though_it_falls_between_phases_ends() -> None:
    # After the press opens, the middle of the cloth still warms before it cools.
    course = chain([Phase(FILM, PLATEN, BED, 1.0), Phase(FILM, AIR, BED, 30.0)])
    curve, cloth = course.curve(LayerSide("cloth", "back")), LayerSide("cloth", "back")
    exact = max(exactly(course, cloth, t) for t in np.arange(0.01, 31.0, 0.01))
    assert float(curve.hottest_c) == pytest.approx(exact, abs=0.04)
    assert curve.hottest_c > curve.at(1.0)[0] + 1.0


@pytest.mark.parametrize("seconds", [0.0, 5e-324, 1e-12])
def test_a_phase_that_is_over_at_once_changes_nothing(seconds: float) -> None:
    course = chain([Phase((CLOTH,), Boundary(160.0, 500.0), BED, seconds)])
    curve = course.curve(LayerSide("cloth", "middle"))
    assert float(curve.hottest_c) == pytest.approx(20.0, abs=1e-3)
    assert float(above(curve, 100.0).seconds) == 0.0


temperatures = st.lists(st.floats(-50.0, 200.0), min_size=2, max_size=40)


@settings(max_examples=150, deadline=None, derandomize=True)
@given(celsius=temperatures, level=st.floats(-60.0, 210.0), wanted_s=st.floats(0.01, 5.0))
def test_what_is_read_off_any_curve_is_what_small_steps_count(
    celsius: list[float], level: float, wanted_s: float
) -> None:
    assume(min(abs(c - level) for c in celsius) > 1e-3)  # on the level is on both sides of it
    times = np.arange(len(celsius)) * 0.1
    curve = curve_through(3.0, times, np.array(celsius), np.asarray(celsius[-1]))
    there, below = above(curve, level), above(curve, level, falling=True)
    assert float(there.seconds + below.seconds) == pytest.approx(times[-1], abs=1e-9)
    small = np.arange(0.0005, times[-1], 0.001)
    counted = np.interp(small, times, celsius) >= level
    assert float(there.seconds) == pytest.approx(0.001 * counted.sum(), abs=0.002 * times.size)
    first = float(there.first_s)
    assert np.isinf(first) == (max(celsius) < level)
    if np.isfinite(first) and celsius[0] < level:
        assert curve.at(first)[0] == pytest.approx(level, abs=1e-6)
        assert (curve.at(np.arange(3.0, first, 0.001)) <= level + 1e-6).all()
    held = float(there.held_at(wanted_s))
    assert np.isinf(held) == (float(there.seconds) < wanted_s - 1e-9)
    if np.isfinite(held):
        assert float(there.seconds_by(held)) == pytest.approx(wanted_s, abs=1e-6)


def test_what_lies_between_two_parts_of_a_curve_counts_for_neither() -> None:
    hot = np.full(grid(1.0).size, 150.0)
    first, second = (curve_through(at, grid(1.0), hot, hot[0]) for at in (0.0, 60.0))
    both = joined([first, second])
    assert float(above(both, 120.0).seconds) == pytest.approx(2.0)
    assert float(above(both, 120.0).held_at(1.5)) == pytest.approx(60.5)
    assert np.isnan(both.at(30.0)[0])
    assert float(above(both.during([(60.0, 61.0)]), 120.0).first_s) == 60.0
    assert np.isnan(joined([]).hottest_c)


def test_a_press_cut_off_at_a_whole_second_says_what_the_longer_one_said() -> None:
    long, short = (chain([Phase(FILM, PLATEN, BED, s)]).curve(BOND) for s in (60.0, 9.0))
    reached_s = float(above(long, 150.0).first_s)
    assert 3.0 < reached_s < 9.0
    assert float(above(short, 150.0).first_s) == pytest.approx(reached_s, abs=1e-9)


def test_heat_taken_in_is_what_flowed_through_the_platen() -> None:
    closed = Boundary(20.0, 0.0)
    course = chain([Phase(FILM, PLATEN, closed, 10.0)])
    stack, surface = course.legs[0].stack, LayerSide("face", "front")
    flowed = quad(lambda t: 900.0 * (160.0 - exactly(course, surface, t)), 1e-12, 10.0, limit=400)[
        0
    ]
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
            assert many.at(times)[n] == pytest.approx(one.at(times), abs=0.01)
            assert many.hottest_c[n] == pytest.approx(float(one.hottest_c), abs=0.01)
            assert above(many, 100.0).seconds[n] == pytest.approx(
                float(above(one, 100.0).seconds), abs=0.01
            )
            assert above(many, levels).first_s[n] == pytest.approx(
                float(above(one, float(levels[n])).first_s), abs=0.01
            )


def test_schedules_that_cannot_be_are_refused() -> None:
    with pytest.raises(BadInputError, match="phases: is empty; a schedule needs at least one"):
        chain([])
    with pytest.raises(BadInputError, match="seconds: is -1; it must be 0 s or more"):
        Phase(FILM, PLATEN, BED, -1.0)
    nothing = chain([Phase(FILM, PLATEN, BED, 0.0)])
    assert float(nothing.curve(BOND).hottest_c) == pytest.approx(ROOM_C)
