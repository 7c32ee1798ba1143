"""Dye that comes up through a film which does not block it, where films lie over one another."""

from __future__ import annotations

import pytest

from advisor import check, look, plan
from advisor.job.records.job import Job
from rules.catalogue import load_catalogue

FILMS = load_catalogue().films
ARTWORK = b"""\
<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">
  <rect x="5" y="5" width="110" height="70" fill="#1b2a49"/>
  <rect x="20" y="20" width="50" height="30" fill="#c8102e"/>
  <circle cx="60" cy="40" r="20" fill="#ffffff"/>
</svg>
"""


def job(white: dict[str, str]) -> Job:
    return Job.model_validate(
        {
            "job": "white-over-navy",
            "artwork": "art.svg",
            "looks": {
                "#1b2a49": {"film": "matte-smooth", "colour": "navy"},
                "#c8102e": {"film": "matte-smooth", "colour": "red"},
                "#ffffff": {**white, "colour": "white"},
            },
            "garments": [{"garment": "sports-jersey", "quantity": 4, "artwork_width_mm": 120}],
        }
    )


def test_white_of_the_same_film_over_navy_is_planned_as_a_sample() -> None:
    made = plan(job({"film": "matte-smooth"}), svg=ARTWORK)
    assert (made.status, made.verdict) == ("planned", "sample")
    dye = [found for found in made.findings if found.rule == "dye-bleed"]
    assert dye
    assert all(found.severity == "sample" for found in dye)


def test_where_the_white_may_be_any_matte_film_one_that_keeps_its_colour_is_proved_best() -> None:
    made = plan(job({"finish": "matte"}), svg=ARTWORK)
    assert (made.status, made.verdict, made.proof.optimal) == ("planned", "go", True)
    top = next(piece for piece in made.pieces if piece.colour == "white")
    assert FILMS[top.film].blocks_dye or FILMS[top.film].setpoint_c.low < 135


def test_a_pale_gloss_over_any_matte_film_that_look_offers_is_judged_as_check_does() -> None:
    answers = look("matte", "gloss", fabric="sports-jersey").answers
    assert answers
    for answer in answers:
        stack = [
            f"{film}:{colour}" for film, colour in zip(answer.films, answer.colours, strict=True)
        ]
        judged = check(fabric="sports-jersey", stack=stack, meets=answer.meets)
        assert judged.verdict == answer.verdict, stack


def test_leggings_are_offered_nothing_that_half_follows_as_go() -> None:
    for answer in look("matte", "sparkle", fabric="polyester-elastane-jersey").answers:
        follows = all(FILMS[film].stretch_pct >= 55 for film in answer.films)
        assert follows or answer.verdict != "go", answer.films


def test_a_cool_film_over_one_that_was_pressed_hot_stains_by_its_own_press() -> None:
    asked = {
        "fabric": "polyester-elastane-jersey",
        "stack": ("stretch-satin:black", "stretch-low-temperature:gold"),
    }
    cool = check(**asked)  # type: ignore[arg-type]
    presses = [step.setpoint_c for step in cool.steps if step.action == "press"]
    assert (presses, cool.verdict) == ([145, 125], "go")
    both_hot = [
        step.model_copy(update={"setpoint_c": 145.0}) if step.setpoint_c else step
        for step in cool.steps
    ]
    hot = check(**asked, steps=both_hot)  # type: ignore[arg-type]
    assert ("sample", "dye-bleed") in {(found.severity, found.rule) for found in hot.findings}


ROSETTE = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<path d="M5 5H95V70L50 95L5 70Z" fill="#0b2a5b"/>
<path d="M11 11H89V67L50 88L11 67Z" fill="#ffffff"/>
<path d="M14 14H86V65L50 85L14 65Z" fill="#c01818"/><path d="M14 45H86V58H14Z" fill="#d4a017"/>
<circle cx="50" cy="30" r="11" fill="#ffffff"/></svg>"""


@pytest.mark.slow
def test_films_that_a_strong_dye_stains_are_given_up_for_cooler_ones_in_a_few_seconds() -> None:
    """Every hot pale film wants a sample there: it need not be seen of each pile of them anew."""

    def samples(matte: dict[str, str]) -> int:
        looks = {"default": matte, "#d4a017": {"finish": "sparkle"}}
        garment = {"garment": "sports-jersey", "colour": "royal", "quantity": 6}
        job = Job.model_validate(
            {
                "job": "rosette",
                "artwork": "rosette.svg",
                "looks": looks,
                "garments": [garment | {"area": "left-chest", "artwork_width_mm": 80}],
            }
        )
        made = plan(job, svg=ROSETTE, time_limit_s=8)
        return sum(finding.severity == "sample" for finding in made.findings)

    assert samples({"finish": "matte"}) <= samples({"film": "matte-low-temperature"})
