"""What a finding asks of the press is what the steps beside it do."""

from __future__ import annotations

import pytest

from advisor import check
from rules.catalogue import load_catalogue
from rules.facts.subjects import FilmOnFilm
from rules.knowledge import load_knowledge


@pytest.mark.parametrize(
    ("fabric", "film", "rule"),
    [
        ("silk-satin", "matte-low-temperature:black", "platen-shine"),
        ("acetate-lining", "matte-low-temperature:black", "platen-shine"),
        ("polar-fleece", "matte-smooth:white", "pressed-nap"),
    ],
)
def test_a_fabric_that_shows_the_platen_is_asked_for_nothing_that_its_steps_leave_out(
    fabric: str, film: str, rule: str
) -> None:
    report = check(fabric=fabric, stack=[film], size_mm=(60, 60))
    (found,) = (finding for finding in report.findings if finding.rule == rule)
    advice = f"{found.instead}"
    presses = [step for step in report.steps if step.action in {"preheat", "press"}]
    assert presses
    assert "sheet" not in advice or all(step.cover for step in presses)
    assert "pad" not in advice or any(step.pad for step in report.steps)
    light = load_catalogue().press("clamshell-38x38")
    said = [
        light.pressure_words(step.pressure_kpa)
        for step in report.steps
        if step.action == "pressure" and step.pressure_kpa is not None
    ]
    assert "light" not in advice or all("light" in words for words in said)


@pytest.mark.parametrize("upper", ["foam-low", "flock-short", "sparkle-coarse"])
def test_of_two_faces_that_both_refuse_neither_is_advised_on_top(upper: str) -> None:
    """Glitter takes no foam, and foam nothing at all: they lie side by side."""
    known = load_knowledge()
    on = FilmOnFilm(known.catalogue.film(upper), known.catalogue.film("sparkle-fine"), rim=False)
    turned = FilmOnFilm(on.lower, on.upper, rim=False)
    (told,) = [one for one in known.judge(on) if one.rule == "texture-only-on-top"]
    assert any(one.severity == "stop" for one in known.judge(turned))
    assert "side by side" in told.instead
    assert "over it" not in told.instead
