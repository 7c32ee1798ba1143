"""Words: what a person at the press reads, word for word."""

from __future__ import annotations

import re

import pytest

from advisor.job.records.plan import PlannedJoint, Proof
from advisor.words.examples import said
from advisor.words.plan import joint_clause, proof_words, step_settings, step_title
from advisor.words.verdicts import SEVERITIES, VERDICTS
from rules.catalogue import load_catalogue
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Step
from rules.facts.text import Text
from rules.facts.units import Units
from rules.rulebook import rulebook

NAMES = {"a": "navy matte-smooth", "b": "gold sparkle-fine"}
PRESS = load_catalogue().press("clamshell-38x38")


@pytest.mark.parametrize(
    ("step", "title", "settings"),
    [
        ({"action": "setpoint", "setpoint_c": 160}, "Set the dial", ("320 °F",)),
        ({"action": "pressure", "pressure_kpa": 30}, "Set the pressure", ("medium (30 kPa)",)),
        (
            {"action": "preheat", "setpoint_c": 150, "dwell_s": 4, "pressure_kpa": 15},
            "Preheat the garment",
            ("302 °F", "4 s", "light (15 kPa)"),
        ),
        (
            {"action": "press", "purpose": "tack", "pieces": ("a",), "dwell_s": 2},
            "Tack navy matte-smooth",
            ("2 s",),
        ),
        (
            {"action": "press", "purpose": "full", "pieces": ("a", "b"), "cover": "ptfe-cover"},
            "Full press of navy matte-smooth and gold sparkle-fine",
            ("under ptfe-cover",),
        ),
        ({"action": "press", "purpose": "full", "dwell_s": 90}, "Full press", ("1 min 30 s",)),
        ({"action": "peel", "pieces": ("b",), "peel": "hot"}, "Peel gold sparkle-fine hot", ()),
        ({"action": "peel", "cover": "ptfe-cover"}, "Lift ptfe-cover off", ()),
        ({"action": "wait", "dwell_s": 10}, "Wait with the press open", ("10 s",)),
        (
            {"action": "wait", "dwell_s": 45, "off_press": True},
            "Slide it off the press and let it cool",
            ("45 s",),
        ),
        ({"action": "pad", "pad": "felt-pad"}, "Put felt-pad under the print", ()),
        ({"action": "pad", "pad": "out"}, "Take the pad out", ()),
        ({"action": "turn"}, "Open the garment and lay it flat", ()),
    ],
)
def test_every_step_is_an_instruction_with_its_settings(
    step: dict[str, object], title: str, settings: tuple[str, ...]
) -> None:
    told = Step.model_validate({"n": 1, **step})
    assert step_title(told, NAMES) == title
    assert step_settings(told, PRESS, units=Units(fahrenheit=True)) == settings


@pytest.mark.parametrize(
    ("meets", "said"),
    [
        ("lap", "gold sparkle-fine laps over navy matte-smooth, which lies whole under it"),
        (
            "inset-over",
            "gold sparkle-fine lies in a window cut in navy matte-smooth, its rim over the edge "
            "by 1.5 mm",
        ),
        (
            "inset-under",
            "gold sparkle-fine goes down first; navy matte-smooth is cut with a window whose rim "
            "laps over its edge by 1.5 mm",
        ),
        ("butt", "gold sparkle-fine and navy matte-smooth meet edge to edge, 0.5 mm apart"),
    ],
)
def test_every_way_of_meeting_is_said_with_its_width(meets: str, said: str) -> None:
    widths = {"trap_mm": 1.5 if "inset" in meets else 0, "gap_mm": 0.5 if meets == "butt" else 0}
    joint = PlannedJoint.model_validate({"upper": "b", "lower": "a", "meets": meets, **widths})
    assert joint_clause(joint, NAMES, Units()) == said
    clause = MEETING_WORDS[joint.meets].clause
    assert said.startswith(clause.format(upper=NAMES["b"], lower=NAMES["a"]))


@pytest.mark.parametrize(
    ("optimal", "status", "said"),
    [
        (True, "planned", "proved to be the best"),
        (False, "planned", "the best found so far; not proven to be the best"),
        (True, "impossible", "proved: no choice of films near in colour can be pressed"),
        (False, "impossible", "no choice found; unproven"),
        (False, "unknown", "time ran out"),
    ],
)
def test_the_proof_is_said_for_no_more_than_it_is(optimal: bool, status: str, said: str) -> None:
    proof = Proof(optimal=optimal, bound=None, objective=None, measures=("samples", "cents"))
    told = proof_words(proof, status, "cheapest")
    assert told.startswith(said)
    assert ("proved to be" in told) == (optimal and status == "planned")
    assert (status == "planned") == told.endswith(
        "(cheapest: fewest samples to press first, then lowest cost)"
    )


@pytest.mark.parametrize(
    ("bound", "objective", "said"),
    [
        ((0, 500), (2, 700), "; 0 instead of 2 samples is not ruled out"),
        ((2, 512), (2, 700), "; 5.12 instead of 7.00 a garment is not ruled out"),
        (
            (2, 700),
            (2, 700),
            "; fewer samples asked for by the press steps alone are not ruled out",
        ),
    ],
)
def test_an_unproven_plan_says_how_much_better_one_could_be(
    bound: tuple[int, ...], objective: tuple[int, ...], said: str
) -> None:
    proof = Proof(optimal=False, bound=bound, objective=objective, measures=("samples", "cents"))
    assert proof_words(proof, "planned", "cheapest").endswith(said)
    assert "ruled out" not in proof_words(
        proof.model_copy(update={"optimal": True}), "planned", "cheapest"
    )


def test_verdicts_and_severities_differ_in_shape_and_word() -> None:
    for words in (VERDICTS, SEVERITIES):
        assert len({shown.shape for shown in words.values()}) == len(words)
        assert len({shown.word for shown in words.values()}) == len(words)
    for name in ("stop", "sample"):
        assert VERDICTS[name].shape == SEVERITIES[name].shape


def test_no_rule_says_a_temperature_that_stays_in_celsius() -> None:
    abroad = Units(fahrenheit=True, inches=True)
    for rule in rulebook().by_id.values():
        always = (rule.summary, rule.why, rule.instead, rule.source)
        examples = (said(rule.good), said(rule.bad))
        for text in (*map(Text, always), *examples):
            assert not re.search(r"\d (°C|mm|µm)\b", text.shown(abroad)), text.shown(abroad)


def test_the_steps_at_which_dyes_move_are_all_in_the_readers_degrees() -> None:
    source = Text(rulebook().rule("dye-bleed").source)
    assert "150, 180 and 210 °C" in source
    assert "302, 356 and 410 °F" in source.shown(Units(fahrenheit=True))
