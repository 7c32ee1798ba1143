"""The rule reference: every rule is in it, and its examples read as plain words."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from advisor.words.examples import said_step
from advisor.words.reference import JUDGED, reference_markdown, reference_text, said
from rules.catalogue.documents import read_yaml
from rules.facts.basis import BASIS_MEANING
from rules.rulebook import rulebook
from tests import CASE_FOLDER

RULES = list(rulebook().by_id.values())
CASE_FILES = sorted(CASE_FOLDER.glob("*.yaml"))
RAW = re.compile(r"[{}\[\]_'\"]|None|True|False|\d\.\d{6}|  |, ,| $")
"""What plain data leaves behind when it is not put into words."""


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_says_what_why_instead_and_what_it_rests_on(rule: Any) -> None:
    text = reference_text(rule)
    assert text.startswith(f"{rule.id}: {rule.summary}\n")
    for part in (rule.why, rule.instead, rule.source, f"at worst: {rule.severity}"):
        assert part in text
    assert f"good: {said(rule.good)!s}" in text
    assert f"bad: {said(rule.bad)!s}" in text


def test_the_document_holds_every_rule_once_under_what_it_judges() -> None:
    lines = reference_markdown().splitlines()
    assert [line for line in lines if line.startswith("### ")] == [
        f"### `{rule.id}`" for rules in rulebook().by_judged.values() for rule in rules
    ]
    heading = ""
    for line in lines:
        if line.startswith("## "):
            heading = line.removeprefix("## ")
        elif line.startswith("### "):
            rule = rulebook().rule(line.removeprefix("### ").strip("`"))
            assert heading == JUDGED[rule.judges]


def test_the_document_explains_every_basis_that_a_rule_rests_on() -> None:
    document = reference_markdown()
    for rule in RULES:
        assert f"- `{rule.basis}`: {BASIS_MEANING[rule.basis]}" in document


def test_the_document_is_the_same_every_time() -> None:
    assert reference_markdown() == reference_markdown()


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_the_two_examples_of_a_rule_read_well_and_differ(rule: Any) -> None:
    for example in (rule.good, rule.bad):
        assert not RAW.search(said(example)), said(example)
    assert said(rule.good) != said(rule.bad)


@pytest.mark.parametrize("path", CASE_FILES, ids=lambda path: path.stem)
def test_every_case_reads_well_too(path: Path) -> None:
    for case in read_yaml(path)["cases"]:
        line = said(case.get("passes") or case["fails"])
        assert not RAW.search(line), line


def test_saying_an_example_leaves_it_as_it_was() -> None:
    example = {"films": {"base": "matte-smooth"}, "steps": [{"action": "turn"}]}
    said(example)
    assert example == {"films": {"base": "matte-smooth"}, "steps": [{"action": "turn"}]}


SAID = [
    ({"film": "matte-smooth", "fabric": "cotton-jersey-tee"}, "matte-smooth on cotton-jersey-tee"),
    (
        {"film": {"like": "matte-smooth", "setpoint_c": {"low": 150, "best": 160, "high": 165}}},
        "matte-smooth (setpoint 150 to 165 °C)",
    ),
    (
        {"upper": "matte-smooth", "lower": "sparkle-fine", "rim": True},
        "matte-smooth on sparkle-fine at a narrow rim only",
    ),
    (
        {"upper": "matte-smooth", "lower": "sparkle-fine", "meets": "inset-under", "trap_mm": 0.8},
        "matte-smooth inset in sparkle-fine with its rim under it, trap 0.8 mm",
    ),
    (
        {"upper": "sparkle-coarse", "lower": "matte-thin", "meets": "butt", "gap_mm": 1},
        "sparkle-coarse butted against matte-thin, gap 1 mm",
    ),
    (
        {"films": ["matte-smooth", {"like": "matte-thin", "colours": [{"name": "navy",
         "srgb": "#1b2a49"}]}], "fabric": "denim"},
        "matte-smooth, matte-thin (colours: navy) (bottom first) on denim",
    ),
    (
        {"piece": "crest", "film": "printable-matte", "width_mm": 80, "height_mm": 60.5,
         "mirrored": False},
        "crest in printable-matte, 80 × 60.5 mm, mirrored: no",
    ),
    (
        {"film": "matte-smooth", "below": "denim", "peak_c": 120, "needed_dwell_s": None},
        "matte-smooth on denim, peak 120 °C, needed dwell none",
    ),
    (
        {"garment": "adult-tee", "area": "front", "width_mm": 200, "height_mm": 100,
         "press": "draw-40x50", "steps": [{"action": "preheat", "setpoint_c": 160, "dwell_s": 4}]},
        "adult-tee front, 200 × 100 mm on draw-40x50: preheat 4 s at 160 °C",
    ),
    ({"films": ["flock-plush"], "wearer": "infant", "steps": []},
     "flock-plush for an infant: no steps"),
]  # fmt: skip


@pytest.mark.parametrize(("example", "words"), SAID, ids=[words for _, words in SAID])
def test_an_example_in_words(example: dict[str, Any], words: str) -> None:
    assert said(example) == words


STEPS = [
    (
        {"action": "press", "purpose": "full", "pieces": ["a", "b", "c"], "setpoint_c": 160,
         "dwell_s": 15, "pressure_kpa": 30, "cover": "ptfe-cover"},
        "press a, b and c 15 s at 160 °C and 30 kPa under ptfe-cover",
    ),
    ({"action": "peel", "cover": "ptfe-cover", "peel": "cold"}, "lift ptfe-cover cold"),
    ({"action": "wait", "dwell_s": 10}, "wait 10 s"),
    ({"action": "wait", "dwell_s": 45, "off_press": True}, "let it cool off the press 45 s"),
    ({"action": "pad", "pad": "foam-pad-small"}, "put foam-pad-small under it"),
    ({"action": "setpoint", "setpoint_c": 130}, "set the dial to 130 °C"),
    ({"action": "pressure", "pressure_kpa": 45}, "set the pressure to 45 kPa"),
    ({"action": "turn"}, "turn the garment"),
]  # fmt: skip


@pytest.mark.parametrize(("step", "words"), STEPS, ids=[words for _, words in STEPS])
def test_a_press_step_in_words(step: dict[str, Any], words: str) -> None:
    assert said_step(step) == words
