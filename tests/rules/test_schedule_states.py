"""The state of the garment, step by step: what any schedule must keep true, however odd it is."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.catalogue import load_catalogue
from rules.facts.film import Film
from rules.facts.schedule import Schedule, State, films_named
from rules.facts.step import Step
from rules.facts.subjects import GarmentOnPress, Pressing
from rules.facts.text import Text
from rules.rulebook import rulebook

CATALOGUE = load_catalogue()
FILMS: dict[str, Film] = {
    "base": CATALOGUE.film("matte-smooth"),
    "top": CATALOGUE.film("sparkle-coarse"),
    "print": CATALOGUE.film("matte-thin").model_copy(update={"carrier_um": 0.0}),
    "puff": CATALOGUE.film("matte-thick").model_copy(update={"foams": True}),
}


def schedule(*steps: Mapping[str, Any]) -> Schedule:
    return Schedule(
        fabric=CATALOGUE.fabric("cotton-jersey-tee"),
        press=CATALOGUE.press("clamshell-38x38"),
        films=FILMS,
        over=(("top", "base"), ("puff", "base")),
        steps=tuple(Step.model_validate({"n": n, **step}) for n, step in enumerate(steps, 1)),
        sheets=CATALOGUE.sheets,
    )


def last(*steps: Mapping[str, Any]) -> State:
    return schedule(*steps).states[-1]


def press(*pieces: str, dwell_s: float = 2, **more: Any) -> dict[str, Any]:
    return {
        "action": "press",
        "purpose": "tack",
        "pieces": pieces,
        "setpoint_c": 160,
        "dwell_s": dwell_s,
        **more,
    }


def full(*pieces: str, dwell_s: float = 15, **more: Any) -> dict[str, Any]:
    return press(*pieces, dwell_s=dwell_s, **{"purpose": "full", **more})


def peel(*pieces: str) -> dict[str, object]:
    return {"action": "peel", "pieces": pieces}


seconds = st.one_of(st.none(), st.integers(0, 60))
heat = st.one_of(st.none(), st.sampled_from([100, 149, 150, 151, 160, 200]))
any_step = st.fixed_dictionaries(
    {
        "action": st.sampled_from(
            ["preheat", "press", "press", "press", "peel", "wait", "pad", "pressure", "setpoint",
             "turn"]
        ),
        "purpose": st.sampled_from([None, "tack", "full"]),
        "pieces": st.lists(st.sampled_from([*FILMS, "unheard-of"]), max_size=4),
        "setpoint_c": heat,
        "dwell_s": seconds,
        "pressure_kpa": st.sampled_from([None, 15, 30]),
        "pad": st.sampled_from([None, "foam-pad-large", "felt-pad", "out", "folded-towel"]),
        "cover": st.sampled_from([None, "ptfe-cover", "gloss-film-cover", "newspaper"]),
        "peel": st.sampled_from([None, "hot", "cold"]),
    }
)  # fmt: skip
schedules = st.lists(any_step, max_size=12).map(lambda steps: schedule(*steps))


@given(schedules)
def test_there_is_one_state_more_than_there_are_steps_and_they_join_up(it: Schedule) -> None:
    assert len(it.states) == len(it.steps) + 1
    for position, at in enumerate(it.scheduled):
        assert at.position == position
        assert (at.before, at.after) == (it.states[position], it.states[position + 1])
        assert (*at.earlier, at.step, *at.later) == it.steps


@given(schedules)
def test_pressed_seconds_are_all_presses_from_the_one_that_lays_the_piece_down(
    it: Schedule,
) -> None:
    presses = [step for step in it.steps if step.action == "press"]
    for piece in FILMS:
        named = [i for i, step in enumerate(presses) if piece in step.pieces]
        counted = presses[named[0] :] if named else []
        expected = sum(step.dwell_s or 0 for step in counted)
        assert it.states[-1].pressed_s.get(piece, 0) == expected


@given(schedules)
def test_seconds_above_onset_are_those_pressed_hotter_than_the_onset(it: Schedule) -> None:
    dial, laid, expected = None, set(), dict.fromkeys(FILMS, 0.0)
    for step in it.steps:
        if step.action in {"press", "preheat", "setpoint"} and step.setpoint_c is not None:
            dial = step.setpoint_c
        if step.action != "press":
            continue
        laid |= set(step.pieces) & set(FILMS)
        for piece in laid:
            if dial is not None and dial > FILMS[piece].shrink.onset_c:
                expected[piece] += step.dwell_s or 0
    final = it.states[-1]
    assert {p: final.above_onset_s.get(p, 0) for p in FILMS} == expected
    assert all(final.above_onset_s[p] <= final.pressed_s[p] for p in final.down)


@pytest.mark.slow
@given(schedules)
def test_nothing_is_finished_risen_or_under_a_carrier_before_it_is_down(it: Schedule) -> None:
    for state in it.states:
        down = set(state.down)
        assert set(state.finished) <= down
        assert set(state.foamed) <= down
        assert set(state.carriers_on) <= down
        assert set(state.pressed_s) == down


@pytest.mark.slow
@given(schedules)
def test_what_is_down_stays_down_in_its_order_and_is_down_once(it: Schedule) -> None:
    for at in it.scheduled:
        for name in ("down", "finished", "foamed"):
            before, after = getattr(at.before, name), getattr(at.after, name)
            assert after[: len(before)] == before
            assert len(set(after)) == len(after)
    final = it.states[-1]
    assert tuple(p for at in it.scheduled for p in at.laid_down) == final.down
    assert tuple(p for at in it.scheduled for p in at.finishing) == final.finished


@given(schedules)
def test_a_carrier_goes_on_with_its_piece_and_comes_off_once(it: Schedule) -> None:
    for at in it.scheduled:
        fresh = set(at.after.carriers_on) - set(at.before.carriers_on)
        gone = set(at.before.carriers_on) - set(at.after.carriers_on)
        assert fresh == {p for p in at.laid_down if FILMS[p].carrier_um > 0}
        assert gone <= set(at.step.pieces)
        assert not gone or at.step.action == "peel"


@given(schedules)
def test_only_presses_change_what_is_down_and_what_has_been_pressed(it: Schedule) -> None:
    for at in it.scheduled:
        if at.step.action == "press":
            continue
        for name in ("down", "finished", "foamed", "pressed_s", "above_onset_s"):
            assert getattr(at.after, name) == getattr(at.before, name)


@given(schedules)
def test_the_wait_counts_from_the_last_time_the_platen_was_closed(it: Schedule) -> None:
    waited = 0.0
    for at in it.scheduled:
        if at.step.action in {"press", "preheat"}:
            waited = 0.0
        elif at.step.action == "wait":
            waited += at.step.dwell_s or 0
        assert at.after.waited_s == waited


@pytest.mark.slow
@given(schedules)
def test_the_dial_keeps_what_was_set_last(it: Schedule) -> None:
    for at in it.scheduled:
        sets_heat = at.step.action in {"press", "preheat", "setpoint"}
        said = at.step.setpoint_c if sets_heat else None
        assert at.after.setpoint_c == (at.before.setpoint_c if said is None else said)


@given(schedules, st.integers(0, 12))
def test_steps_that_come_later_change_nothing_earlier(it: Schedule, kept: int) -> None:
    shorter = Schedule(it.fabric, it.press, it.films, it.over, it.steps[:kept], it.sheets)
    assert shorter.states == it.states[: len(shorter.steps) + 1]


@given(schedules, st.sampled_from(sorted(CATALOGUE.garments)))
def test_the_rules_have_an_answer_to_every_schedule_however_odd(it: Schedule, name: str) -> None:
    garment = CATALOGUE.garments[name]
    sheets = tuple(CATALOGUE.sheets.values())
    on_press = [
        GarmentOnPress(garment, area, it.press, 200, 120, it.steps, sheets)
        for area in garment.print_areas
    ]
    pressing = Pressing(
        garment.fabric, garment.wearer, garment.nightwear, tuple(FILMS.values()), sheets, it.steps
    )
    for found in rulebook().judge(*it.scheduled, *on_press, pressing):
        assert found.message
        assert found.where
        assert found.instead


@given(st.integers(0, 30), st.integers(0, 30))
def test_one_press_counts_as_much_as_the_same_seconds_in_two(first_s: int, then_s: int) -> None:
    one = last(press("base", dwell_s=first_s + then_s))
    two = last(press("base", dwell_s=first_s), press("base", dwell_s=then_s))
    assert one.pressed_s == two.pressed_s
    assert one.above_onset_s == two.above_onset_s


def test_the_usual_schedule_adds_up_to_nineteen_and_seventeen_seconds() -> None:
    state = last(
        {"action": "preheat", "setpoint_c": 160, "dwell_s": 4},
        press("base"),
        peel("base"),
        press("top"),
        peel("top"),
        full("base", "top", cover="ptfe-cover"),
        {"action": "peel", "cover": "ptfe-cover"},
    )
    assert state.pressed_s == {"base": 19, "top": 17}
    assert state.down == state.finished == ("base", "top")
    assert state.carriers_on == ()
    assert state.preheated


def test_a_piece_named_twice_in_a_step_goes_down_once() -> None:
    state = last(full("base", "base"))
    assert state.down == state.finished == state.carriers_on == ("base",)


def test_a_piece_that_was_peeled_has_no_carrier_when_it_is_pressed_again() -> None:
    assert last(press("base"), peel("base"), full("base")).carriers_on == ()


def test_peeling_what_is_not_down_does_nothing() -> None:
    assert last(peel("base"), press("base")).carriers_on == ("base",)


def test_a_tacked_foam_film_rises_under_the_full_press_of_another() -> None:
    assert last(press("puff")).foamed == ()
    assert last(press("puff"), full("base")).foamed == ("puff",)
    assert last(full("puff"), full("puff")).foamed == ("puff",)


def test_a_pad_lies_under_the_print_until_it_is_taken_out() -> None:
    pad_in = {"action": "pad", "pad": "foam-pad-large"}
    assert last(pad_in, full("base")).pad == "foam-pad-large"
    assert last(pad_in, full("base"), {"action": "pad", "pad": "out"}).pad is None


def test_a_dial_that_a_step_leaves_alone_keeps_its_heat_and_pressure() -> None:
    state = last(
        {"action": "setpoint", "setpoint_c": 150},
        {"action": "pressure", "pressure_kpa": 30},
        {"action": "setpoint"},
        {"action": "pressure"},
        press("base", setpoint_c=None),
    )
    assert (state.setpoint_c, state.pressure_kpa) == (150, 30)


def test_what_lies_on_what_reads_both_ways() -> None:
    it = schedule()
    assert it.lies_on("top") == ("base",)
    assert it.lies_under("base") == ("top", "puff")
    assert it.lies_on("base") == it.lies_under("top") == ()


@pytest.mark.parametrize(
    ("pieces", "said"),
    [((), ""), (("base",), "matte-smooth (base)"), (("base", "unheard-of"), "matte-smooth (base)")],
)
def test_pieces_are_named_with_their_films(pieces: tuple[str, ...], said: str) -> None:
    assert Text(films_named(schedule(), pieces)) == said


def test_the_last_step_is_the_one_that_no_step_follows() -> None:
    it = schedule(press("base"), peel("base"), full("base"), peel("base"))
    assert [at.is_last for at in it.scheduled] == [False, False, False, True]
