"""The seconds that heat asks for: within every window or refused, and no more than are needed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.heat.records import HeatRefusal
from advisor.heat.timed import hotter_settings
from advisor.heat.timing import COLD_PEEL_C, LONGEST_COOLING_S, LONGEST_WAIT_S
from advisor.layering.press_steps import press_steps
from advisor.layering.records.pressing import Laying, Stage, StageConflict, Timing
from rules.facts.moisture import preheat_s
from rules.facts.practice import LONG_TACK_S, PEEL_WAIT_S, TACK_S
from rules.facts.schedule import Schedule
from rules.facts.step import Step
from rules.rulebook import rulebook
from tests.advisor.heat.heat_shop import (
    PRESS,
    SHELF,
    bond_lines,
    full,
    laying,
    peel,
    preheat,
    refusal_of,
    scheduled,
    tack,
    timed_laying,
    timing,
)

MATTE = [film.id for film in SHELF.films.values() if "matte" in film.finishes]
SPARKLE = [film.id for film in SHELF.films.values() if "sparkle" in film.finishes]
JUDGED_BY_SECONDS = {
    "bond-line-heat", "dwell-window", "peel-wait", "pressed-seconds", "tack-before-next",
}  # fmt: skip


def made(films: list[str], fabric: str = "cotton-jersey-tee") -> Laying:
    found = laying(films, fabric)
    assert isinstance(found, Laying)
    return found


def timed(films: list[str], fabric: str = "cotton-jersey-tee") -> Timing:
    found = timing(made(films, fabric))
    assert isinstance(found, Timing)
    return found


def as_schedule(pressed: Laying, seconds: Timing) -> Schedule:
    return Schedule(
        pressed.fabric, pressed.press, pressed.films, pressed.over,
        press_steps(pressed, seconds), pressed.sheets,
    )  # fmt: skip


# --- every stack ----------------------------------------------------------------------------------


@pytest.mark.slow
@pytest.mark.parametrize("fabric", sorted(SHELF.fabrics))
def test_matte_and_sparkle_never_exceed_a_window_without_refusing(fabric: str) -> None:
    answered = 0
    for matte in MATTE:
        for sparkle in SPARKLE:
            pressed = laying([matte, sparkle], fabric)
            if isinstance(pressed, StageConflict):
                continue
            found = timing(pressed)
            if isinstance(found, HeatRefusal):
                assert found.needed_s is None or found.needed_s > found.longest_s
                continue
            answered += 1
            for stage, dwell_s in zip(pressed.stages, found.dwell_s, strict=True):
                assert stage.dwell_window_s[0] <= dwell_s <= stage.dwell_window_s[1]
            assert all(TACK_S <= seconds <= LONG_TACK_S for seconds in found.tack_s)
            for piece, film in pressed.films.items():
                first = int(piece[1:])
                pressed_s = sum(
                    tack_s
                    for n, tack_s in enumerate(found.tack_s)
                    if n >= first and not any(s.direct and s.last == n for s in pressed.stages)
                )
                pressed_s += sum(
                    dwell_s
                    for stage, dwell_s in zip(pressed.stages, found.dwell_s, strict=True)
                    if stage.last >= first
                )
                assert pressed_s <= film.bears_s, (matte, sparkle, piece)
    # What bears little, less what the press may run hotter, leaves fewer that can be pressed.
    assert answered >= (6 if SHELF.fabric(fabric).harmed_fibre.harmed_c > 150 else 3)


@pytest.mark.parametrize(
    "films",
    [
        ["matte-smooth", "sparkle-coarse"], ["matte-thick", "sparkle-warm-peel"],
        ["matte-smooth", "matte-cold-peel"], ["matte-smooth", "clear-matte", "sparkle-fine"],
        ["matte-smooth", "foam-raised"], ["mirror-soft"], ["stretch-matte"],
        ["matte-smooth", "holographic-fine"], ["matte-low-temperature", "sparkle-low-temperature"],
    ],
    ids="+".join,
)  # fmt: skip
def test_what_was_timed_passes_the_rules_on_seconds_and_heat(films: list[str]) -> None:
    found = timed_laying(made(films))
    assert not isinstance(found, HeatRefusal), found
    schedule = as_schedule(*found)
    lines = [course.line for course in bond_lines(schedule)]
    stops = [
        finding
        for finding in rulebook().judge(*schedule.scheduled, *lines)
        if finding.rule in JUDGED_BY_SECONDS and finding.severity == "stop"
    ]
    assert stops == []


@pytest.mark.parametrize(
    "films",
    [["matte-smooth", "sparkle-coarse"], ["matte-smooth", "holographic-fine"]],
    ids="+".join,
)
def test_the_timing_and_the_check_see_the_same_heat(films: list[str]) -> None:
    pressed = made(films)
    found = timing(pressed)
    assert isinstance(found, Timing)
    checked = {c.film.id: c.line for c in bond_lines(as_schedule(pressed, found))}
    for number, stage in enumerate(pressed.stages):
        seen = {film: seconds for film, _, seconds in found.bond_lines[number]}
        assert set(seen) == {pressed.films[piece].id for piece in stage.finishes}
        if number == len(pressed.stages) - 1:
            for film, seconds in seen.items():
                assert checked[film].seconds_bonding == pytest.approx(seconds, abs=1e-6)
        needed = max(checked[film].needed_dwell_s or 0 for film in seen)
        assert needed == found.needed_s[number]


# --- tacks ----------------------------------------------------------------------------------------


def test_a_tack_is_never_shorter_than_practice_and_long_enough_to_soften() -> None:
    found = timed(["matte-smooth", "sparkle-coarse"])
    for tack_s, grabs_s in zip(found.tack_s, found.grabs_s, strict=True):
        assert grabs_s is not None
        assert tack_s == max(TACK_S, float(-(-grabs_s // 1)))


def test_a_deep_adhesive_gets_a_longer_tack_and_one_too_deep_is_refused_with_numbers() -> None:
    base = SHELF.film("matte-smooth")
    thick = SHELF.film("sparkle-coarse").model_copy(update={"face_um": 500.0})
    pressed = laying([base, thick])
    assert isinstance(pressed, Laying)
    found = timing(pressed)
    assert isinstance(found, Timing)
    assert found.tack_s[0] == TACK_S
    assert TACK_S < found.tack_s[1] <= LONG_TACK_S
    assert found.tack_peak_c[1] is not None
    assert found.tack_peak_c[1] >= thick.softens_c

    felt = laying([base, thick.model_copy(update={"face_um": 1500.0})])
    assert isinstance(felt, Laying)
    refused = timing(felt)
    assert isinstance(refused, HeatRefusal)
    assert (refused.purpose, refused.piece, refused.below) == ("tack", "p1", "matte-smooth")
    assert refused.longest_s == LONG_TACK_S
    assert refused.needed_s is not None
    assert refused.needed_s > LONG_TACK_S
    assert refused.peak_c < thick.softens_c
    assert refused.message.startswith(
        "the adhesive of sparkle-coarse on matte-smooth softens at 72 °C; a tack of 8 s at 160 °C "
        "heats it to"
    )


# --- waits ----------------------------------------------------------------------------------------


def test_a_hot_peel_does_not_wait() -> None:
    assert timed(["matte-smooth"]).peel_wait_s[0]["hot"] == 0


@pytest.mark.parametrize("films", [["matte-cold-peel"], ["matte-thick"]], ids="+".join)
def test_a_wait_is_never_shorter_than_practice_nor_longer_than_it_pays(films: list[str]) -> None:
    found = timed(films)
    for how, seconds in found.peel_wait_s[0].items():
        assert seconds >= PEEL_WAIT_S[how]
        assert seconds <= (LONGEST_COOLING_S if how == "cold" else LONGEST_WAIT_S)


def test_a_cold_peel_over_more_layers_waits_until_it_is_cool_to_the_hand() -> None:
    over = timed(["matte-smooth", "matte-cold-peel"])
    deeper = timed(["matte-smooth", "matte-smooth", "matte-cold-peel"])
    assert PEEL_WAIT_S["cold"] < over.peel_wait_s[1]["cold"] < deeper.peel_wait_s[2]["cold"]
    for cooled_c in (over.cools_to_c[1], deeper.cools_to_c[2]):
        assert cooled_c is not None
        assert COLD_PEEL_C - 1 < cooled_c <= COLD_PEEL_C


# --- full presses ---------------------------------------------------------------------------------


def test_a_dwell_is_what_the_stage_wants_unless_heat_needs_longer() -> None:
    pressed = made(["matte-smooth", "sparkle-coarse"])
    [stage] = pressed.stages
    short = replace(pressed, stages=(replace(stage, dwell_s=stage.dwell_window_s[0]),))
    for given in (pressed, short):
        found = timing(given)
        assert isinstance(found, Timing)
        assert found.needed_s[0] is not None
        assert found.dwell_s[0] == max(given.stages[0].dwell_s, found.needed_s[0])


def test_a_thick_stack_is_refused_with_the_numbers_and_they_are_true() -> None:
    pressed = made(["clear-matte", "flock-plush"])
    refused = timing(pressed)
    assert isinstance(refused, HeatRefusal)
    assert (refused.stage, refused.purpose, refused.piece) == (0, "full", "p0")
    assert refused.rule == "bond-line-heat"
    assert refused.seconds < refused.film.bonds_s
    assert refused.needed_s is not None
    assert refused.needed_s > refused.longest_s
    [stage] = pressed.stages
    longer = replace(stage, dwell_s=refused.needed_s, dwell_window_s=(10.0, refused.needed_s))
    roomy = {p: f.model_copy(update={"bears_s": 300.0}) for p, f in pressed.films.items()}
    found = timing(replace(pressed, films=roomy, stages=(longer,)))
    assert isinstance(found, Timing)
    assert found.needed_s == (refused.needed_s,)


def test_a_setpoint_below_bonding_is_refused_as_never() -> None:
    pressed = made(["matte-smooth"])
    [stage] = pressed.stages
    refused = timing(replace(pressed, stages=(replace(stage, setpoint_c=118.0),)))
    assert isinstance(refused, HeatRefusal)
    assert refused.needed_s is None
    assert refused.settles_c < refused.film.bonds_c
    assert "no dwell would do, for it settles at" in refused.message


def test_a_film_that_bears_few_seconds_shortens_the_press_or_refuses() -> None:
    film = SHELF.film("matte-smooth")
    tired = film.model_copy(update={"bears_s": 2 + 13.0})
    pressed = laying([tired])
    assert isinstance(pressed, Laying)
    [stage] = pressed.stages
    tacked: tuple[Stage, ...] = (replace(stage, direct=False, dwell_s=15.0),)
    found = timing(replace(pressed, stages=tacked))
    assert isinstance(found, Timing)
    assert found.dwell_s == (13.0,)
    worn = laying([film.model_copy(update={"bears_s": 18.0})])
    assert isinstance(worn, Laying)
    weak = {"p0": worn.films["p0"].model_copy(update={"bears_s": 2 + 5.0})}
    refused = timing(replace(worn, films=weak, stages=tacked))
    assert isinstance(refused, HeatRefusal)
    assert refused.longest_s == 5


def test_a_hotter_setting_is_the_least_that_does() -> None:
    pressed = made(["clear-gloss", "flock-short"])
    refused = timing(pressed)
    assert isinstance(refused, HeatRefusal)
    found = timed_laying(pressed)
    assert isinstance(found, tuple)
    chosen = found[0].stages[0].setpoint_c
    assert chosen in hotter_settings(pressed.stages[0], PRESS)
    cooler = replace(pressed.stages[0], setpoint_c=chosen - PRESS.setpoint_step_c)
    assert isinstance(timing(replace(pressed, stages=(cooler,))), HeatRefusal)


def test_the_settings_tried_stay_within_what_the_films_share() -> None:
    pressed = made(["matte-smooth", "sparkle-coarse"])
    [stage] = pressed.stages
    settings = hotter_settings(stage, PRESS)
    assert settings == (165.0,)
    assert hotter_settings(replace(stage, setpoint_c=165.0), PRESS) == ()
    fine = PRESS.model_copy(update={"setpoint_step_c": 1.0})
    assert hotter_settings(stage, fine) == (161.0, 162.0, 163.0, 164.0, 165.0)
    in_f = PRESS.model_copy(update={"dial_reads": "fahrenheit", "setpoint_step_c": 25 / 9})
    assert [round(9 / 5 * c + 32, 9) for c in hotter_settings(stage, in_f)] == [325]


def test_presses_are_lengthened_within_the_window_where_an_unlucky_press_would_not_bond() -> None:
    pressed = made(["matte-smooth", "matte-smooth", "matte-smooth", "sparkle-coarse"])
    plain, sure = timing(pressed), timing(pressed, uncertain=True)
    assert isinstance(plain, Timing)
    assert isinstance(sure, Timing)
    assert plain.dwell_s[0] < sure.dwell_s[0] <= pressed.stages[0].dwell_window_s[1]
    easy = made(["matte-smooth"])
    assert timing(easy, uncertain=True) == timing(easy)


def test_places_given_are_the_places_timed() -> None:
    pressed = made(["matte-smooth", "matte-smooth", "sparkle-coarse"])
    deep = timing(pressed)
    apart = timing(pressed, columns=[("p0", "p2"), ("p1", "p2")])
    assert isinstance(deep, Timing)
    assert isinstance(apart, Timing)
    assert apart.needed_s[0] is not None
    assert deep.needed_s[0] is not None
    assert apart.needed_s[0] < deep.needed_s[0]


def test_the_same_laying_has_the_same_timing_every_time() -> None:
    pressed = made(["matte-smooth", "clear-matte", "sparkle-fine"])
    assert timing(pressed) == timing(pressed)


# --- what is refused ------------------------------------------------------------------------------


@pytest.mark.parametrize("fabric", ["cotton-jersey-tee", "polyester-woven-bag"])
@pytest.mark.parametrize("setpoint_c", [135.0, 152.0, 165.0])
def test_a_stack_is_refused_just_where_the_whole_schedule_does_not_bond(
    fabric: str, setpoint_c: float
) -> None:
    def usual_steps(warm_s: float, tack_s: float, dwell_s: float) -> list[Step]:
        tacks = [
            tack(piece, dwell_s=tack_s, setpoint_c=setpoint_c) if down else peel(piece)
            for piece in ("p0", "p1")
            for down in (True, False)
        ]
        finish = full("p0", "p1", dwell_s=dwell_s, setpoint_c=setpoint_c)
        return [preheat(warm_s, setpoint_c), *tacks, finish]

    outcomes = set()
    cloth, cover = SHELF.fabric(fabric), SHELF.sheet("ptfe-cover")
    warm_s = preheat_s(cloth)
    for lower in ("matte-smooth", "clear-gloss", "matte-low-temperature"):
        for upper in ("sparkle-coarse", "flock-plush", "holographic-fine", "foam-raised"):
            for dwell_s in (8.0, 15.0):
                films = [SHELF.film(lower), SHELF.film(upper)]
                refused = refusal_of(
                    films, fabric=cloth, press=PRESS, cover=cover, setpoint_c=setpoint_c,
                    longest_s=dwell_s,
                )  # fmt: skip
                outcomes.add(refused is None)
                whole = [
                    bond_lines(scheduled(films, usual_steps(warm_s, tack_s, dwell_s), fabric))
                    for tack_s in ((TACK_S,) if refused else range(int(TACK_S), int(LONG_TACK_S)))
                ]
                least_s = [min(line.margin_s for line in lines) for lines in whole]
                if refused is None:
                    assert max(least_s) >= 0, (lower, upper, dwell_s)
                else:
                    assert least_s[0] < 0.5
                    assert refused.film in films
    assert len(outcomes) == 2 or setpoint_c in {135.0, 165.0}


def test_a_refusal_counts_what_the_cover_does() -> None:
    films = [SHELF.film("matte-smooth"), SHELF.film("sparkle-coarse")]
    cloth = SHELF.fabric("cotton-jersey-tee")

    def refused(cover: str) -> bool:
        found = refusal_of(
            films, fabric=cloth, press=PRESS, cover=SHELF.sheet(cover), setpoint_c=160, longest_s=12
        )
        return found is not None

    assert not refused("ptfe-cover")
    assert refused("thin-cotton-cover")


def test_a_film_alone_needs_no_cover() -> None:
    common = {"fabric": SHELF.fabric("cotton-jersey-tee"), "press": PRESS, "cover": None}
    alone = [SHELF.film("matte-smooth")]
    assert refusal_of(alone, setpoint_c=160, longest_s=15, **common) is None
    assert refusal_of(alone, setpoint_c=118, longest_s=15, **common) is not None
