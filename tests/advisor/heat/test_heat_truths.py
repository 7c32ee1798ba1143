"""What every decorator sees at the press, and what heat can only do one way."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.heat.bond_lines import worst_lines
from advisor.heat.conduction import AIR_W_M2K
from advisor.heat.moments import columns_of
from advisor.heat.records import BondLineCourse
from rules.errors import UnknownNameError
from rules.facts.step import Step
from rules.rulebook import rulebook
from tests.advisor.heat.heat_shop import (
    PRESS,
    SHELF,
    bond_lines,
    full,
    lift,
    pad,
    peel,
    preheat,
    scheduled,
    tack,
    wait,
)

SMOOTH = [film.id for film in SHELF.films.values() if film.family == "smooth"]
THIN = [
    name for name in SMOOTH
    if SHELF.film(name).face_um <= 80 and SHELF.film(name).softens_c <= 100
]  # fmt: skip
PAIR = ["matte-smooth", "sparkle-coarse"]


def usual_steps(dwell_s: float = 15.0, setpoint_c: float = 160.0) -> list[Step]:
    """A base tacked and peeled, sparkle tacked and peeled over it, one press under a cover."""
    return [
        preheat(setpoint_c=setpoint_c),
        tack("p0", setpoint_c=setpoint_c), peel("p0"),
        tack("p1", setpoint_c=setpoint_c), peel("p1"),
        full("p0", "p1", dwell_s=dwell_s, setpoint_c=setpoint_c), lift(),
    ]  # fmt: skip


def of_tack(film: object, **how: float) -> BondLineCourse:
    [line] = bond_lines(scheduled([film], [preheat(), tack("p0", **how)]))  # type: ignore[list-item]
    return line


# --- common practice, no source -------------------------------------------------------------------


@pytest.mark.parametrize("name", THIN)
def test_two_seconds_at_160_under_its_carrier_make_a_thin_smooth_film_grab(name: str) -> None:
    # Common practice, no source.
    line = of_tack(SHELF.film(name))
    assert line.softened_at_s is not None
    # Preheat 4 s, laying and closing 15 s, then the tack.
    assert 19.0 < line.softened_at_s <= 21.0


@pytest.mark.parametrize("base", ["matte-smooth", "matte-thin", "satin-smooth", "gloss-smooth"])
def test_15_s_under_a_cover_through_a_sparkle_film_bond_both(base: str) -> None:
    # Common practice, no source.
    lines = bond_lines(scheduled([base, "sparkle-coarse"], usual_steps()))
    assert all(line.margin_s > 0 for line in lines), [line.line for line in lines]
    assert all(line.bonded_at_s is not None for line in lines)


def test_the_two_seconds_of_a_tack_bond_neither() -> None:
    # Common practice, no source.
    steps = [preheat(), tack("p0"), peel("p0"), tack("p1"), peel("p1"), full("p0", dwell_s=2)]
    for line in bond_lines(scheduled(PAIR, steps)):
        assert line.softened_at_s is not None
        assert line.bonded_at_s is None
        assert line.margin_s < 0


def test_a_tack_alone_is_stopped_by_the_rule_and_the_usual_press_is_not() -> None:
    short = bond_lines(scheduled(PAIR, usual_steps(dwell_s=2)))
    long = bond_lines(scheduled(PAIR, usual_steps()), uncertain=True)
    bad, good = ([one.line for one in worst_lines(lines).values()] for lines in (short, long))
    assert {f.severity for f in rulebook().judge(*bad)} == {"stop"}
    assert rulebook().judge(*good) == ()


def test_air_takes_as_much_heat_as_convection_and_radiation_by_the_handbook() -> None:
    # Natural convection over a hot plate facing up, Nu = .15·Ra^⅓ (Incropera, eq. 9.31; from
    # memory), air at the mean temperature, and 4·ε·σ·T³ between grey surfaces.
    def conductance(surface_c: float) -> float:
        room_k, surface_k = 293.15, surface_c + 273.15
        film_k = (room_k + surface_k) / 2
        k = 0.0263 * (film_k / 300) ** 0.8
        viscosity, diffusivity = 15.9e-6 * (film_k / 300) ** 1.7, 22.5e-6 * (film_k / 300) ** 1.7
        per_m3 = 9.81 / film_k * (surface_k - room_k) / (viscosity * diffusivity)
        return float(0.15 * k * per_m3 ** (1 / 3) + 4 * 0.9 * 5.67e-8 * film_k**3)

    assert conductance(50) < AIR_W_M2K < conductance(120)
    assert conductance(80) == pytest.approx(AIR_W_M2K, rel=0.1)


# --- what counts ----------------------------------------------------------------------------------


def test_bonding_counts_only_under_the_closed_platen() -> None:
    steps = usual_steps()
    for line, longer in zip(
        bond_lines(scheduled(PAIR, steps)),
        bond_lines(scheduled(PAIR, [*steps, wait(60)])),
        strict=True,
    ):
        assert line.line.seconds_bonding <= 15
        # The bond line stays hot for a while after the press opens, and that does not count.
        opened_s = sum(moment.seconds for moment in line.moments[:-1])
        assert line.curve.at(opened_s + 0.5)[0] > line.film.bonds_c
        assert longer.line.seconds_bonding == pytest.approx(line.line.seconds_bonding, abs=1e-9)


def test_two_presses_add_up_at_a_bond_line() -> None:
    once = [preheat(), tack("p0"), peel("p0"), full("p0", dwell_s=12)]
    [one] = bond_lines(scheduled(["matte-smooth"], once))
    [two] = bond_lines(scheduled(["matte-smooth"], [*once, lift(), full("p0", dwell_s=12)]))
    assert two.line.seconds_bonding >= 2 * one.line.seconds_bonding
    assert two.bonded_at_s == pytest.approx(one.bonded_at_s)


def test_a_piece_that_no_press_lays_down_has_no_bond_line() -> None:
    assert bond_lines(scheduled(PAIR, [wait(5)])) == ()
    assert [c.piece for c in bond_lines(scheduled(PAIR, [preheat(), tack("p0")]))] == ["p0"]
    assert bond_lines(scheduled(PAIR, [])) == ()


def test_a_column_of_pieces_that_are_not_there_is_refused() -> None:
    with pytest.raises(UnknownNameError, match="no piece is called 'p7'; there are: p0, p1"):
        bond_lines(scheduled(PAIR, usual_steps()), [("p0", "p7")])


def test_each_place_has_its_own_answer_and_the_worst_is_judged() -> None:
    schedule = scheduled(PAIR, usual_steps())
    lines = bond_lines(schedule, [("p0",), ("p0", "p1")])
    alone, under, over = lines
    assert (alone.line.below, under.line.below, over.line.below) == (
        "cotton-jersey-tee", "cotton-jersey-tee", "matte-smooth",
    )  # fmt: skip
    assert alone.line.seconds_bonding > under.line.seconds_bonding
    assert worst_lines(lines) == {"p0": under, "p1": over}


def test_the_needed_dwell_is_the_least_whole_second_that_bonds() -> None:
    lines = bond_lines(scheduled(PAIR, usual_steps(dwell_s=4)))
    for line in lines:
        needed_s = line.line.needed_dwell_s
        assert needed_s is not None
        for dwell_s, bonds in ((needed_s, True), (needed_s - 1, False)):
            again = bond_lines(scheduled(PAIR, usual_steps(dwell_s=dwell_s)))
            [same] = [other for other in again if other.piece == line.piece]
            assert (same.margin_s >= 0) == bonds


def test_the_longest_dwell_is_the_shortest_window_and_what_is_left_of_pressed_seconds() -> None:
    base, top = SHELF.film("matte-smooth"), SHELF.film("sparkle-coarse")
    lines = bond_lines(scheduled(PAIR, usual_steps()))
    assert {line.line.longest_dwell_s for line in lines} == {
        min(base.dwell_s.high, top.dwell_s.high)
    }
    tired = base.model_copy(update={"bears_s": 20.0})
    lines = bond_lines(scheduled([tired, top], usual_steps()))
    assert {line.line.longest_dwell_s for line in lines} == {20.0 - 2 - 2}


def test_where_the_steady_temperature_is_too_low_no_dwell_will_do() -> None:
    lines = bond_lines(scheduled(PAIR, usual_steps(setpoint_c=120)))
    base = lines[0].line
    assert base.steady_c < base.film.bonds_c
    assert base.needed_dwell_s is None


def test_a_face_that_never_gets_to_its_onset_does_not_shrink_and_a_hot_one_moves_its_edge() -> None:
    cool = bond_lines(scheduled(PAIR, usual_steps()))
    assert [line.shrink_pct for line in cool] == [0.0, 0.0]
    easily = SHELF.film("matte-smooth").model_copy(
        update={
            "shrink": SHELF.film("matte-smooth").shrink.model_copy(
                update={"onset_c": 100.0, "percent_per_s": 0.1, "grace_s": 0.0}
            )
        }
    )
    steps = [preheat(), full("p0", cover=None), peel("p0"), tack("p1"), peel("p1"), full("p1")]
    line = bond_lines(scheduled([easily, "sparkle-coarse"], steps, size_mm=200.0))[0]
    # 0.1 % a second of 200 mm, half of it at each edge, is 0.1 mm a second.
    before_next_s = line.before_next_mm / 0.1
    assert line.face_hottest_c > 140
    assert 10 < before_next_s < line.above_onset_s
    assert line.shrink_pct == pytest.approx(0.1 * line.above_onset_s)
    assert line.trap_mm == 1.0


# --- what heat can only do one way ----------------------------------------------------------------

FEW = settings(max_examples=25, deadline=None)


@FEW
@given(st.integers(140, 175), st.integers(1, 20), st.integers(4, 25), st.integers(0, 10))
def test_hotter_or_longer_never_lowers_the_seconds_bonding(
    setpoint_c: int, hotter: int, dwell_s: int, longer: int
) -> None:
    less = bond_lines(scheduled(PAIR, usual_steps(dwell_s, setpoint_c)))
    more = bond_lines(scheduled(PAIR, usual_steps(dwell_s + longer, setpoint_c + hotter)))
    for one, other in zip(less, more, strict=True):
        assert other.line.seconds_bonding >= one.line.seconds_bonding - 1e-9
        assert other.line.peak_c >= one.line.peak_c


@FEW
@given(
    st.sampled_from(sorted(SHELF.films)), st.floats(25, 250), st.floats(1, 200), st.integers(1, 6)
)
def test_a_thicker_carrier_never_speeds_a_tack(
    name: str, carrier_um: float, thicker_um: float, dwell_s: int
) -> None:
    film = SHELF.film(name)
    thin = of_tack(film.model_copy(update={"carrier_um": carrier_um}), dwell_s=dwell_s)
    thick = of_tack(
        film.model_copy(update={"carrier_um": carrier_um + thicker_um}), dwell_s=dwell_s
    )
    assert thick.line.peak_c <= thin.line.peak_c
    if thick.softened_at_s is not None:
        assert thin.softened_at_s is not None
        assert thin.softened_at_s <= thick.softened_at_s


@pytest.mark.parametrize("cover", [s.id for s in SHELF.sheets.values() if s.kind == "cover"])
def test_a_cover_never_speeds_a_press(cover: str) -> None:
    steps = [preheat(), tack("p0"), peel("p0"), full("p0", cover=cover)]
    [covered] = bond_lines(scheduled(["matte-smooth"], steps))
    bare = [*steps[:-1], full("p0", cover=None)]
    [open_] = bond_lines(scheduled(["matte-smooth"], bare))
    assert covered.line.seconds_bonding < open_.line.seconds_bonding


def effusivity_j_m2k_s05(material: str) -> float:
    """Thermal effusivity √(k·ρ·c): how hard a material draws heat when touched."""
    of = SHELF.materials[material]
    return math.sqrt(of.conductivity_w_mk * of.density_kg_m3 * of.heat_capacity_j_kgk)


def test_a_pad_that_draws_more_heat_than_the_bed_slows_and_one_that_draws_less_speeds() -> None:
    # Two bodies in contact share heat by their effusivity √(k·ρ·c).
    bed = effusivity_j_m2k_s05("silicone-sponge")
    base = [tack("p0"), peel("p0"), full("p0")]
    [plain] = bond_lines(scheduled(["matte-smooth"], base))
    pads = [sheet for sheet in SHELF.sheets.values() if sheet.kind == "pad"]
    drawn = {effusivity_j_m2k_s05(p.thermal_material) > bed for p in pads}
    assert drawn == {True, False}
    for sheet in pads:
        [padded] = bond_lines(scheduled(["matte-smooth"], [pad(sheet.id), *base]))
        draws = effusivity_j_m2k_s05(sheet.thermal_material)
        difference_s = padded.line.seconds_bonding - plain.line.seconds_bonding
        if draws == bed:
            # It is more of the bed.
            assert abs(difference_s) < 0.01
        else:
            assert difference_s < 0 if draws > bed else difference_s > 0


def test_a_longer_wait_between_presses_never_warms_what_follows() -> None:
    def with_wait(seconds: float) -> list[BondLineCourse]:
        steps = usual_steps()
        return list(bond_lines(scheduled(PAIR, [*steps[:5], wait(seconds), *steps[5:]])))

    for soon, late in zip(with_wait(5), with_wait(90), strict=True):
        assert late.line.seconds_bonding < soon.line.seconds_bonding


def test_a_better_contact_never_lowers_the_seconds_bonding() -> None:
    before = 0.0
    for contact in (150.0, 300.0, 600.0, 1200.0, 5000.0):
        press = PRESS.model_copy(update={"contact_w_m2k": contact})
        got_s = bond_lines(scheduled(PAIR, usual_steps(), press=press))[0].line.seconds_bonding
        assert got_s > before or got_s == before == 0
        before = got_s


PIECES = st.lists(st.sampled_from(["p0", "p1"]), max_size=2, unique=True).map(tuple)
ANY_STEP = st.builds(
    Step,
    n=st.just(1),
    action=st.sampled_from(
        ["preheat", "press", "peel", "wait", "pad", "pressure", "setpoint", "turn"]
    ),
    purpose=st.sampled_from([None, "tack", "full"]),
    pieces=PIECES,
    setpoint_c=st.none() | st.floats(20, 260),
    dwell_s=st.none() | st.floats(0, 120),
    cover=st.sampled_from([None, "ptfe-cover"]),
    pad=st.sampled_from([None, "out", "foam-pad-thin"]),
    peel=st.sampled_from([None, "hot", "cold"]),
)


@settings(max_examples=60, deadline=None)
@given(st.lists(ANY_STEP, max_size=8))
def test_any_steps_edited_by_hand_are_answered(steps: list[Step]) -> None:
    schedule = scheduled(PAIR, steps)
    for line in bond_lines(schedule, uncertain=True):
        assert line.piece in schedule.states[-1].down
        assert 0 <= line.line.low_seconds_bonding <= line.line.seconds_bonding
        hottest = max([20.0, *(s.setpoint_c for s in steps if s.setpoint_c is not None)])
        assert 20 - 1e-6 <= line.line.peak_c <= hottest + 1e-6
        assert (line.bonded_at_s is not None) == (line.margin_s >= 0)


def test_columns_follow_the_contacts_and_never_run_in_a_circle() -> None:
    over = [("b", "a"), ("c", "b"), ("c", "a"), ("d", "a")]
    assert columns_of("abcd", over) == (("a", "b", "c"), ("a", "c"), ("a", "d"))
    assert columns_of(["a", "b"], []) == (("a",), ("b",))
    assert columns_of(["a", "b", "z"], [("a", "b"), ("b", "a")]) == (("z",),)
