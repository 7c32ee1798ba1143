"""Look in colours: what is promised of a film holds in the colour that it is shown in."""

from __future__ import annotations

import pytest

from advisor import check, look
from advisor.answers.records import LookAnswer
from rules.book.artwork.colour_match import named_alike
from rules.catalogue import load_catalogue
from rules.facts.finding import Finding

SHELF = load_catalogue()
SIZE_MM = (120.0, 90.0)
PAIRS = (
    ("mirror", "sparkle"),
    ("gloss:red", "mirror"),
    ("reflective", "matte"),
    ("satin", "sparkle:silver"),
)
GROUNDS = (("mesh-bib", "navy"), ("polyester-jersey", "black"), ("adult-tee", "white"))


def answered(*finishes: str, fabric: str, colour: str) -> LookAnswer:
    return look(*finishes, fabric=fabric, colour=colour, size_mm=SIZE_MM, most=2)


def told(findings: tuple[Finding, ...]) -> set[tuple[str, str, str]]:
    return {(found.rule, found.severity, f"{found.message}") for found in findings}


@pytest.mark.parametrize("pair", PAIRS)
@pytest.mark.parametrize(("fabric", "colour"), GROUNDS)
def test_a_look_says_of_films_in_their_colours_what_check_says_of_them(
    pair: tuple[str, str], fabric: str, colour: str
) -> None:
    found = answered(*pair, fabric=fabric, colour=colour)
    assert found.answers
    for answer in found.answers:
        for laid in (answer, *(other for other in answer.others if other.verdict)):
            films = [f"{film}:{c}" for film, c in zip(laid.films, laid.colours, strict=True)]
            report = check(
                fabric=fabric, colour=colour, stack=films, meets=laid.meets, size_mm=SIZE_MM
            )
            assert report.verdict == laid.verdict, films
            if laid is answer:
                assert told(report.findings) == told(answer.findings)


def test_a_film_is_shown_in_a_colour_that_the_dye_below_it_does_not_spoil() -> None:
    found = answered("reflective", "matte", fabric="mesh-bib", colour="navy")
    films = dict(zip(found.answers[0].films, found.answers[0].colours, strict=True))
    assert films["matte-thick"] == "forest"
    film, cloth = SHELF.film("matte-thick"), SHELF.fabric("mesh-bib:navy")
    (shown,) = [colour for colour in film.colours if colour.name == "forest"]
    assert not named_alike(shown.srgb, cloth.colour.srgb)
    in_white = check(fabric="mesh-bib", colour="navy", stack=["matte-thick:white"], size_mm=SIZE_MM)
    assert ("dye-bleed", "stop") in {(one.rule, one.severity) for one in in_white.findings}


def test_a_film_that_heat_alone_spoils_is_shown_in_another_colour_and_ranks_by_that() -> None:
    # No rule stops gold before it is known how hot and how long it is pressed.
    found = look("sparkle", fabric="polyester-jersey", colour="navy", size_mm=SIZE_MM, most=9)
    shown = {answer.films[0]: answer.colours[0] for answer in found.answers}
    assert (shown["sparkle-fine"], shown["sparkle-warm-peel"]) == ("gold", "red")
    samples = [[one.severity for one in each.findings].count("sample") for each in found.answers]
    assert samples == sorted(samples)
    gold = check(
        fabric="polyester-jersey", colour="navy", stack=["sparkle-warm-peel:gold"], size_mm=SIZE_MM
    )
    assert ("dye-bleed", "stop") in {(one.rule, one.severity) for one in gold.findings}


def test_a_colour_that_somebody_says_is_kept_although_another_would_do() -> None:
    found = answered("matte:white", fabric="mesh-bib", colour="navy")
    assert {answer.colours for answer in found.answers} == {("white",)}
    assert "matte-thick" not in {film for answer in found.answers for film in answer.films}
    refused = {refused.films: refused.rule for refused in found.refused}
    assert refused["matte-thick",] == "dye-bleed"


def test_what_is_advised_instead_of_a_stained_film_is_another_film() -> None:
    stack = ["mirror-soft:silver", "sparkle-low-temperature:gold"]
    found = check(fabric="mesh-bib", colour="navy", stack=stack, meets=["butt"])
    (bleed,) = [one for one in found.findings if one.rule == "dye-bleed"]
    assert "sparkle-low-temperature" not in bleed.instead
