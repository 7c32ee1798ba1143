"""The rulebook: every rule is listed once, found by its id, and judged in a fixed order."""

from __future__ import annotations

import importlib
import math
import os
import subprocess
import sys
from dataclasses import replace
from itertools import product
from pathlib import Path
from typing import Any, get_args

import pytest

import rules.book
from rules.book.rule import Found, Judges, Rule
from rules.catalogue import load_catalogue
from rules.errors import ProgramError, UnknownNameError
from rules.facts.finding import seriousness
from rules.facts.subjects import (
    ArtworkPiece,
    BondLine,
    FilmOnFabric,
    FilmOnFilm,
    Joint,
    Stack,
    Subject,
)
from rules.rulebook import rulebook, rulebook_of

BOOK = Path(rules.book.__file__).parent
FILES = {
    f"{path.parent.name}/{path.stem}": path
    for path in sorted(BOOK.glob("*/*.py"))
    if "\nRULE = Rule(" in path.read_text(encoding="utf-8")
}


def test_every_rule_file_is_in_the_rulebook_under_the_id_and_the_folder_of_its_name() -> None:
    listed = {f"{rule.judges}/{rule.id.replace('-', '_')}" for rule in rulebook().by_id.values()}
    assert listed == set(FILES)


@pytest.mark.parametrize("place", FILES)
def test_a_rule_file_defines_the_rule_that_the_rulebook_lists(place: str) -> None:
    folder, stem = place.split("/")
    module = importlib.import_module(f"rules.book.{folder}.{stem}")
    assert rulebook().rule(stem.replace("_", "-")) is module.RULE
    assert (module.__doc__ or "").startswith(f"Rule {module.RULE.id}: ")
    assert "RULE" in module.__all__


def test_everything_that_can_be_judged_has_rules() -> None:
    assert set(rulebook().by_judged) == set(get_args(Judges))
    assert all(rulebook().by_judged.values())


def test_two_rules_of_one_id_are_refused() -> None:
    rule = rulebook().rule("top-surface")
    with pytest.raises(ProgramError, match="two rules are called 'top-surface'"):
        rulebook_of([rule, replace(rule, summary="Another rule of the same name.")])


def test_an_unknown_rule_offers_the_nearest_ids() -> None:
    with pytest.raises(UnknownNameError, match="no rule is called 'top-surfaces'; nearest: top-su"):
        rulebook().rule("top-surfaces")


def test_a_rule_may_not_say_worse_than_it_admits_to() -> None:
    rule: Rule[Any] = replace(
        rulebook().rule("layer-count"),
        severity="note",
        finds=lambda stack: Found("too much", "here", severity="stop"),
    )
    with pytest.raises(ProgramError, match="layer-count said stop, above its own note"):
        rule.judge(None)


def test_a_finding_carries_the_rule_s_own_words_unless_the_case_has_better_ones() -> None:
    rule = rulebook().rule("layer-count")
    plain = replace(rule, finds=lambda stack: Found("too much", "here")).judge(None)
    exact = replace(rule, finds=lambda stack: Found("too much", "here", instead="less")).judge(None)
    assert plain is not None
    assert exact is not None
    assert (plain.instead, plain.severity, plain.why) == (rule.instead, rule.severity, rule.why)
    assert exact.instead == "less"


def everyday() -> tuple[Subject, ...]:
    """Sparkle over a matte base on a cotton tee, as any shop presses it."""
    catalogue = load_catalogue()
    tee = catalogue.fabric("cotton-jersey-tee")
    matte, sparkle = catalogue.film("matte-smooth"), catalogue.film("sparkle-coarse")
    return (
        FilmOnFabric(matte, tee),
        FilmOnFilm(sparkle, matte),
        FilmOnFilm(sparkle, matte, rim=True),
        Joint(sparkle, matte, "lap"),
        Joint(sparkle, matte, "inset-over", trap_mm=1, shift_mm=0.5, shrink_mm=0.4),
        Stack(tee, (matte, sparkle)),
        BondLine(matte, tee.id, 140, 12, 9, 15, 9, 18, 150),
        ArtworkPiece("base", matte, 250, 250, least_stroke_mm=2, least_gap_mm=1.5),
        ArtworkPiece("star", sparkle, 120, 120, least_stroke_mm=6, smallest_island_mm2=40),
    )


def test_everyday_good_practice_is_told_nothing_worse_than_a_note() -> None:
    assert {f.rule: f.severity for f in rulebook().judge(*everyday()) if f.severity != "note"} == {}


def test_findings_come_in_the_order_of_the_things_judged_and_then_of_the_list() -> None:
    catalogue = load_catalogue()
    matte, sparkle = catalogue.film("matte-smooth"), catalogue.film("sparkle-coarse")
    foam = catalogue.film("foam-raised").model_copy(update={"takes_film_on_top": "no"})
    found = rulebook().judge(FilmOnFilm(matte, foam), FilmOnFilm(matte, sparkle))
    told = [(f.where, f.rule) for f in found]
    order = list(rulebook().by_id)
    things = [f"matte-smooth on {foam.id}", "matte-smooth on sparkle-coarse"]
    assert told == sorted(told, key=lambda t: (things.index(t[0]), order.index(t[1])))
    assert {"top-surface", "texture-only-on-top", "foam-last"} <= {rule for _, rule in told}


@pytest.mark.slow
def test_judging_does_not_depend_on_the_hash_seed() -> None:
    code = (
        "from rules.catalogue import load_catalogue as c; from rules.rulebook import rulebook as r;"
        "from rules.facts.subjects import FilmOnFabric as F;"
        "x = [F(f, g) for f in c().films.values() for g in c().fabrics.values()];"
        "print(*(f.model_dump_json() for f in r().judge(*x)), sep='\\n')"
    )
    told = [
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    ]
    assert len(told[0].splitlines()) > 100
    assert told[0] == told[1]


def test_every_pair_of_films_and_every_film_on_every_fabric_is_judged_without_a_stumble() -> None:
    catalogue = load_catalogue()
    films, fabrics = list(catalogue.films.values()), list(catalogue.fabrics.values())
    found = rulebook().judge(
        *(FilmOnFilm(upper, lower) for upper, lower in product(films, films)),
        *(FilmOnFabric(film, fabric) for film, fabric in product(films, fabrics)),
    )
    for finding in found:
        assert finding.message
        assert finding.instead
        assert "e+" not in finding.message + finding.instead
        own = rulebook().rule(finding.rule).severity
        assert seriousness(finding.severity) >= seriousness(own)


def odd() -> list[Subject]:
    """Things that a careless caller could ask about: nothing, nought, negative, endless, NaN."""
    catalogue = load_catalogue()
    matte, sparkle = catalogue.film("matte-smooth"), catalogue.film("sparkle-coarse")
    numbers = (0.0, -1.0, 1e9, math.inf, math.nan)
    things: list[Subject] = [Stack(catalogue.fabric("denim"), ())]
    for number in numbers:
        things += [
            ArtworkPiece("x", matte, number, number, number, number, 3, number),
            BondLine(matte, "denim", number, number, number, number, number, number, number),
            BondLine(matte, "denim", number, number, number, number, None, number, number),
        ]
        things += [
            Joint(matte, sparkle, meets, number, number, number, number, number)
            for meets in ("lap", "inset-under", "inset-over", "butt")
        ]
    return things


@pytest.mark.parametrize("thing", odd(), ids=lambda thing: type(thing).__name__)
def test_no_rule_stumbles_over_an_odd_thing(thing: Subject) -> None:
    for finding in rulebook().judge(thing):
        assert finding.message


@pytest.mark.parametrize("number", [math.nan, 0.0, -1.0])
def test_a_bond_line_of_which_nothing_sensible_is_known_is_not_waved_through(number: float) -> None:
    matte = load_catalogue().film("matte-smooth")
    line = BondLine(matte, "denim", number, number, number, number, None, number, number)
    assert [f.severity for f in rulebook().judge(line)] == ["stop"]
