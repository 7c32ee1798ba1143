"""Everyday good practice draws no stop and no sample from any rule on schedule, garment, safety."""

from __future__ import annotations

from typing import Any

import pytest

from rules.book.example_subjects import subjects_from
from rules.book.schedule.registration_shrink import edge_shift_mm
from rules.book.schedule.sample_steps import full, peel, preheat, tack, wait
from rules.catalogue import load_catalogue
from rules.facts import practice
from rules.facts.finding import Finding
from rules.rulebook import rulebook

CATALOGUE = load_catalogue()
DIAL = [{"action": "setpoint", "setpoint_c": 160}, {"action": "pressure", "pressure_kpa": 30}]
LIFT = {"action": "peel", "cover": "ptfe-cover", "peel": "warm"}
MATTE_THEN_SPARKLE = [
    *DIAL,
    preheat(),
    tack("base"),
    peel("base"),
    tack("top"),
    peel("top"),
    full("base", "top", cover="ptfe-cover"),
    LIFT,
]
TWO_FILMS = {
    "films": {"base": "matte-smooth", "top": "sparkle-coarse"},
    "over": [["top", "base"]],
    "size_mm": {"base": 280, "top": 120},
}


def judged(kind: Any, example: dict[str, Any]) -> list[Finding]:
    return list(rulebook().judge(*subjects_from(kind, example, CATALOGUE)))


def grave(findings: list[Finding]) -> list[str]:
    return [f"{f.rule}: {f.message}" for f in findings if f.severity != "note"]


def test_matte_then_sparkle_on_a_cotton_tee_draws_no_finding_on_its_schedule() -> None:
    assert judged("schedule", {**TWO_FILMS, "steps": MATTE_THEN_SPARKLE}) == []


def test_matte_then_sparkle_on_a_cotton_tee_draws_no_finding_on_its_garment() -> None:
    front = {"garment": "adult-tee", "width_mm": 280, "height_mm": 200}
    assert judged("garment", {**front, "steps": MATTE_THEN_SPARKLE}) == []


def test_matte_then_sparkle_for_an_adult_cautions_only_against_the_hot_platen() -> None:
    findings = judged(
        "safety",
        {
            "films": ["matte-smooth", "sparkle-coarse"],
            "sheets": ["ptfe-cover"],
            "steps": MATTE_THEN_SPARKLE,
        },
    )
    assert [(f.rule, f.severity) for f in findings] == [("hot-surface", "note")]


@pytest.mark.parametrize("film", sorted(CATALOGUE.films))
def test_every_film_alone_at_its_best_settings_on_cotton_draws_nothing_grave(film: str) -> None:
    it = CATALOGUE.films[film]
    best_c, cover = it.setpoint_c.best, {} if it.carrier_um else {"cover": "ptfe-cover"}
    steps = [
        {"action": "setpoint", "setpoint_c": best_c},
        {"action": "pressure", "pressure_kpa": it.pressure_kpa.best},
        preheat(setpoint_c=best_c),
        full("it", setpoint_c=best_c, dwell_s=it.dwell_s.best, **cover),
        wait(practice.PEEL_WAIT_S[it.peel]),
        peel("it", how=it.peel),
    ]
    example = {"films": {"it": film}, "size_mm": {"it": 280}, "steps": steps}
    assert grave(judged("schedule", example)) == []


def test_a_foam_film_last_in_one_press_under_its_own_carrier_draws_nothing() -> None:
    steps = [
        *DIAL,
        preheat(),
        tack("base"),
        peel("base"),
        full("base", "puff", cover="ptfe-cover"),
        LIFT,
        peel("puff"),
    ]
    films = {"base": "matte-smooth", "puff": {"like": "matte-thick", "foams": True, "peel": "hot"}}
    example = {"films": films, "over": [["puff", "base"]], "size_mm": {"base": 280}, "steps": steps}
    assert grave(judged("schedule", example)) == []


def test_a_jacket_opened_on_a_pad_with_the_pressure_set_again_draws_nothing_grave() -> None:
    steps = [
        DIAL[0],
        {"action": "turn"},
        preheat(),
        {"action": "pad", "pad": "foam-pad-large"},
        DIAL[1],
        tack("base"),
        peel("base"),
        full("base", cover="ptfe-cover"),
    ]
    example = {"garment": "wind-jacket", "area": "back", "width_mm": 250, "height_mm": 250}
    assert grave(judged("garment", {**example, "steps": steps})) == []


def test_the_practice_figures_pass_the_rules_that_judge_by_them() -> None:
    assert (
        practice.LEAST_TACK_S <= practice.TACK_S <= practice.LONGEST_TACK_S < practice.LONG_TACK_S
    )
    assert practice.LEAST_PREHEAT_S <= practice.PREHEAT_S <= practice.LONGEST_PREHEAT_S
    assert practice.COLD_PEEL_WAIT_S < practice.LONG_UNATTENDED_S


@pytest.mark.parametrize("how", ["warm", "cold"])
def test_one_second_less_than_the_practice_wait_is_too_soon(how: str) -> None:
    film = {"like": "matte-smooth", "peel": how}
    for less_s, rules in ((0.0, []), (1.0, ["peel-wait"])):
        steps = [*DIAL, full("it"), wait(practice.PEEL_WAIT_S[how] - less_s), peel("it", how=how)]
        assert [
            f.rule for f in judged("schedule", {"films": {"it": film}, "steps": steps})
        ] == rules


@pytest.mark.parametrize("factor", [0.5, 2.0, 3.0])
def test_the_edge_moves_in_proportion_to_size_rate_and_seconds_beyond_the_grace(
    factor: float,
) -> None:
    once_mm = edge_shift_mm(percent_per_s=0.1, grace_s=4, above_onset_s=14, size_mm=200)
    assert once_mm == pytest.approx(1.0)
    assert edge_shift_mm(
        percent_per_s=0.1, grace_s=4, above_onset_s=14, size_mm=200 * factor
    ) == pytest.approx(factor * once_mm)
    assert edge_shift_mm(
        percent_per_s=0.1 * factor, grace_s=4, above_onset_s=14, size_mm=200
    ) == pytest.approx(factor * once_mm)
    assert edge_shift_mm(
        percent_per_s=0.1, grace_s=4, above_onset_s=4 + 10 * factor, size_mm=200
    ) == pytest.approx(factor * once_mm)
