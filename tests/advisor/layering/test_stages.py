"""Stages: one press finishes all where the films allow it, else as few setpoints as will do."""

from __future__ import annotations

from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.layering.records.pressing import Stage, StageConflict
from advisor.layering.stages import choose_stages, compromise, heat_limits, stages_between
from rules.catalogue import load_catalogue
from rules.facts.fact import Window
from rules.facts.film import Film
from rules.facts.practice import TACK_S

SHELF = load_catalogue()
PRESS = SHELF.press("clamshell-38x38")
COTTON = heat_limits([SHELF.fabric("cotton-jersey-tee")], PRESS)
FILMS = [film for film in SHELF.films.values() if not film.foams]


def like(base: str = "matte-smooth", **changes: object) -> Film:
    return Film.model_validate(SHELF.film(base).model_dump() | changes)


def stages(*laid: Film, limits: object = COTTON) -> tuple[Stage, ...] | StageConflict:
    films = {f"p{i}": film for i, film in enumerate(laid)}
    return choose_stages([(piece,) for piece in films], films, limits)  # type: ignore[arg-type]


def test_films_that_share_a_window_finish_in_one_press() -> None:
    made = stages(SHELF.film("matte-smooth"), SHELF.film("sparkle-coarse"))
    assert isinstance(made, tuple)
    (stage,) = made
    assert (stage.setpoint_c, stage.dwell_s) == (160, 15)
    assert stage.pressure_suits


def test_a_hotter_base_is_finished_first_and_the_cooler_top_within_what_it_bears() -> None:
    hot = like(setpoint_c=Window(low=165, best=170, high=175), bears_c=180, bears_s=60)
    cool = like("matte-low-temperature")
    made = stages(hot, cool)
    assert isinstance(made, tuple)
    first, second = made
    assert first.finishes == ("p0",)
    assert second.finishes == ("p1",)
    assert first.setpoint_c > second.setpoint_c
    assert second.setpoint_c <= hot.bears_c


def test_a_cool_base_under_a_hot_top_is_refused_with_the_two_temperatures() -> None:
    cool = like("matte-low-temperature")
    hot = like(setpoint_c=Window(low=165, best=170, high=175), bears_c=180)
    made = stages(cool, hot)
    assert isinstance(made, StageConflict)
    assert made.rule == "setpoint-window"
    assert "165 °C" in made.message
    assert f"{cool.setpoint_c.high:.0f} °C" in made.message


def test_a_film_pressed_longer_than_it_bears_is_refused_with_the_seconds() -> None:
    tired = like(bears_s=18, dwell_s=Window(low=15, best=15, high=18))
    made = stages(tired, like(dwell_s=Window(low=15, best=15, high=18)))
    assert isinstance(made, StageConflict)
    assert made.rule == "pressed-seconds"
    assert f"{15 + 2 * TACK_S:.0f} s" in made.message
    assert "18 s" in made.message


def test_a_fabric_that_is_harmed_sets_the_ceiling() -> None:
    limits = heat_limits([SHELF.fabric("polypropylene-non-woven")], PRESS)
    made = stages(SHELF.film("matte-smooth"), limits=limits)
    assert isinstance(made, StageConflict)
    assert "polypropylene" in made.message.lower()


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(FILMS), min_size=1, max_size=4))
def test_every_stage_keeps_what_its_films_fabric_and_press_ask_for(laid: list[Film]) -> None:
    made = stages(*laid)
    if isinstance(made, StageConflict):
        assert made.message
        assert made.rule in {"setpoint-window", "dwell-window", "pressed-seconds", "press-range"}
        return
    finished = [piece for stage in made for piece in stage.finishes]
    assert finished == [f"p{i}" for i in range(len(laid))]
    assert [stage.first for stage in made[1:]] == [stage.last + 1 for stage in made[:-1]]
    pressed = dict.fromkeys(finished, 0.0)
    for stage in made:
        finishing = [laid[int(piece[1:])] for piece in stage.finishes]
        assert all(film.setpoint_c.holds(stage.setpoint_c) for film in finishing)
        assert all(film.dwell_s.holds(stage.dwell_s) for film in finishing)
        assert stage.setpoint_c <= COTTON.harmed_c
        assert stage.setpoint_c % PRESS.setpoint_step_c == 0
        assert stage.pressure_kpa in PRESS.pressures_kpa
        for film in laid[: stage.first]:
            assert stage.setpoint_c <= film.bears_c
        for i in range(stage.last + 1):
            pressed[f"p{i}"] += stage.dwell_s
    for i, film in enumerate(laid):
        tacks = sum(
            TACK_S
            for at in range(i, len(laid))
            if not any(stage.direct and stage.last == at for stage in made)
        )
        assert pressed[f"p{i}"] + tacks <= film.bears_s


@settings(max_examples=100, deadline=None)
@given(st.lists(st.sampled_from(FILMS), min_size=1, max_size=4))
def test_one_stage_is_chosen_whenever_one_will_do(laid: list[Film]) -> None:
    made = stages(*laid)
    low_c, high_c = max(f.setpoint_c.low for f in laid), min(f.setpoint_c.high for f in laid)
    dialled = any(low_c <= setpoint_c <= high_c for setpoint_c in range(0, 250, 5))
    shares = dialled and max(f.dwell_s.low for f in laid) <= min(f.dwell_s.high for f in laid)
    bears = all(
        film.bears_s >= max(f.dwell_s.low for f in laid) + TACK_S * (len(laid) - i)
        for i, film in enumerate(laid)
    )
    if shares and bears:
        assert isinstance(made, tuple)
        assert len(made) == 1


@pytest.mark.parametrize("name", ["polypropylene-non-woven", "cotton-jersey-tee"])
def test_a_compromise_never_goes_above_what_anything_bears(name: str) -> None:
    limits = heat_limits([SHELF.fabric(name)], PRESS)
    films = {"a": SHELF.film("matte-low-temperature"), "b": SHELF.film("matte-smooth")}
    (stage,) = compromise([("a",), ("b",)], films, limits)
    assert stage.setpoint_c <= min(limits.harmed_c, *(film.bears_c for film in films.values()))


def test_a_base_and_its_flock_are_pressed_at_one_setting_of_the_dial() -> None:
    """Both bear 160 °C: the flock likes it, and the base need not be dialled cooler before it."""
    films = {"base": SHELF.film("matte-smooth"), "flock": SHELF.film("flock-plush")}
    made = stages_between((0, 1, 2), [("base",), ("flock",)], films, COTTON)
    assert isinstance(made, tuple)
    assert [stage.setpoint_c for stage in made] == [160, 160]


def test_a_base_that_shares_no_setting_with_what_comes_after_is_pressed_as_coolly_as_it_bonds() -> (
    None
):
    window = Window(low=165, best=170, high=175)
    base = like(setpoint_c=window, bears_c=180, bears_s=60)
    films = {"base": base, "top": like(setpoint_c=Window(low=150, best=155, high=160))}
    made = stages_between((0, 1, 2), [("base",), ("top",)], films, COTTON)
    assert isinstance(made, tuple)
    assert [stage.setpoint_c for stage in made] == [165, 155]


@settings(max_examples=300, deadline=None)
@given(
    laid=st.lists(st.sampled_from(FILMS), min_size=2, max_size=4),
    share=st.lists(st.booleans(), min_size=3, max_size=3),
)
def test_the_dial_is_changed_no_more_often_than_it_must(
    laid: list[Film], share: list[bool]
) -> None:
    """Of all settings that suit every stage, weighed one by one, none has fewer changes."""
    films = {f"p{i}": film for i, film in enumerate(laid)}
    edges = (0, *(i for i in range(1, len(laid)) if share[i - 1]), len(laid))
    made = stages_between(edges, [(piece,) for piece in films], films, COTTON)
    if isinstance(made, StageConflict):
        return
    suits = [
        [
            setpoint_c
            for setpoint_c in range(100, 200, 5)
            if all(film.setpoint_c.holds(setpoint_c) for film in laid[stage.first : stage.last + 1])
            and all(setpoint_c <= film.bears_c for film in laid[: stage.first])
            and setpoint_c <= COTTON.hottest_c
        ]
        for stage in made
    ]
    fewest = min(sum(a != b for a, b in pairwise(dials)) for dials in product(*suits))
    assert sum(a.setpoint_c != b.setpoint_c for a, b in pairwise(made)) == fewest
