"""A film that is named instead of another is better there, by the very rule that names it."""

from __future__ import annotations

import re
from functools import cache

import pytest

from advisor import check
from rules.catalogue import load_catalogue
from rules.facts.fabric import Fabric
from rules.facts.finding import Finding
from rules.facts.subjects import FilmOnFabric
from rules.rulebook import rulebook

SHELF = load_catalogue()
RANK = {"note": 1, "sample": 2, "stop": 3}
DYED = [f for f in SHELF.fabrics.values() if f.dye_class.startswith("disperse")]
BY_FACTS = ("fibre-bond", "coated-fabric", "stretch-match", "fabric-heat-limit", "pale-on-dark")


def named_in(finding: Finding, film: str) -> list[str]:
    """The films that an advice names, but for the one that it is on."""
    words = re.findall(r"[a-z]+(?:-[a-z]+)+", str(finding.instead))
    return [word for word in words if word in SHELF.films and word != film]


@cache
def bleeds(fabric: str, film: str, garment: str | None) -> tuple[int, tuple[Finding, ...]]:
    """How badly dye-bleed speaks of a film as it is pressed there, and what it says."""
    report = check(fabric=fabric, stack=[film], colour=garment)
    found = tuple(one for one in report.findings if one.rule == "dye-bleed")
    return max((RANK[one.severity] for one in found), default=0), found


@pytest.mark.parametrize("garment", [None, "navy"])
@pytest.mark.parametrize("fabric", DYED, ids=lambda fabric: fabric.id)
def test_a_film_that_dye_bleed_names_bleeds_less_as_it_is_pressed(
    fabric: Fabric, garment: str | None
) -> None:
    for film in SHELF.films:
        worst, found = bleeds(fabric.id, film, garment)
        for instead in (name for one in found for name in named_in(one, film)):
            assert bleeds(fabric.id, instead, garment)[0] < worst, (film, instead)


def test_on_navy_leggings_a_foam_that_bonds_cooler_is_named() -> None:
    _, (found,) = bleeds("leggings", "foam-low", "navy")
    assert named_in(found, "foam-low") == ["foam-low-temperature"]
    assert "to be bought" in str(found.instead)


def test_where_no_film_of_the_finish_keeps_its_colour_that_is_said() -> None:
    _, (found,) = bleeds("sports-jersey", "glow-smooth", None)
    assert named_in(found, "glow-smooth") == []
    assert "no film of this finish is sure to keep its colour" in str(found.instead)
    assert "lay a dye-blocking film under it" in str(found.instead)


@pytest.mark.parametrize("rule_id", BY_FACTS)
@pytest.mark.parametrize("fabric", SHELF.fabrics.values(), ids=lambda fabric: fabric.id)
def test_a_film_that_another_rule_names_is_milder_by_that_rule(
    fabric: Fabric, rule_id: str
) -> None:
    rule, shelf = rulebook().rule(rule_id), tuple(SHELF.films.values())
    found = {film.id: rule.judge(FilmOnFabric(film, fabric, shelf=shelf)) for film in shelf}
    worst = {film: RANK[one.severity] if one else 0 for film, one in found.items()}
    for film, one in found.items():
        for instead in named_in(one, film) if one else ():
            assert worst[instead] < worst[film], (film, instead)


@pytest.mark.parametrize("fabric", SHELF.fabrics.values(), ids=lambda fabric: fabric.id)
def test_no_film_is_named_that_may_not_be_pressed_there_at_all(fabric: Fabric) -> None:
    """Matte for a water-repellent jacket was named for its fibres, and its finish refuses it."""
    shelf = tuple(SHELF.films.values())
    rules = [rulebook().rule(name) for name in BY_FACTS]
    for film in shelf:
        for rule in rules:
            found = rule.judge(FilmOnFabric(film, fabric, shelf=shelf))
            for instead in named_in(found, film.id) if found else ():
                pair = FilmOnFabric(SHELF.film(instead), fabric)
                stops = [one.id for one in rules if one.severity_on(pair) == "stop"]
                assert stops == [], (film.id, rule.id, instead)


@pytest.mark.parametrize("press", ["clamshell-38x38", "draw-40x50"])
def test_on_neoprene_each_film_named_has_a_setting_on_the_dial_of_the_press(press: str) -> None:
    """A window of 148 to 149 °C holds no step of a dial that goes by fives."""

    def judged(film: str) -> tuple[Finding, ...]:
        return check(fabric="neoprene-like", stack=[film], press=press).findings

    named = {one for film in SHELF.films for found in judged(film) for one in named_in(found, film)}
    assert "matte-thin" in named
    for instead in sorted(named):
        stops = {one.rule for one in judged(instead) if one.severity == "stop"}
        assert not stops & {"press-range", "setpoint-window", "fabric-heat-limit"}, instead


def test_a_film_that_keeps_its_colour_is_not_exchanged_for_one_that_does_not() -> None:
    """On red triblend a nylon film, which bonds cool, was to give way to the hottest matte."""
    report = check(fabric="triblend-jersey", stack=["matte-nylon:white"], colour="red")
    (found,) = (one for one in report.findings if one.rule == "fibre-bond")
    assert named_in(found, "matte-nylon")
    for instead in named_in(found, "matte-nylon"):
        other = check(fabric="triblend-jersey", stack=[f"{instead}:white"], colour="red")
        assert other.verdict != "stop", instead


def test_advice_on_a_fibre_names_films_that_bond_to_it_and_none_for_a_fibre_unknown() -> None:
    fibre, shelf = rulebook().rule("fibre-bond"), tuple(SHELF.films.values())
    nylon = fibre.judge(
        FilmOnFabric(SHELF.film("matte-smooth"), SHELF.fabric("nylon-woven"), shelf=shelf)
    )
    felt = fibre.judge(
        FilmOnFabric(SHELF.film("matte-smooth"), SHELF.fabric("craft-felt"), shelf=shelf)
    )
    assert nylon
    assert "matte-nylon" in named_in(nylon, "matte-smooth")
    assert felt
    assert str(felt.instead) == "press a sample and wash it"
