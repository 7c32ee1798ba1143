"""What findings rest on: every rule on values of every basis, and what is invented told so."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from types import MappingProxyType
from typing import Any, TypeVar, get_args

import pytest

from advisor import check
from rules.book.example_subjects import subjects_from
from rules.book.rests_on import SUREST_FIRST, basis_read, least_sure
from rules.book.rule import Rule
from rules.catalogue import Catalogue, load_catalogue
from rules.facts.basis import Basis
from rules.facts.fact import Fact
from rules.facts.finding import Finding
from rules.facts.subjects import Subject
from rules.rulebook import rulebook
from tests.rules.test_cases import FILES

BASES: tuple[Basis, ...] = get_args(Basis)
RULES = list(rulebook().by_id.values())

RESTS_ON_NO_VALUE = {
    "carrier-off-first", "cover-exposed-face", "faint-overlay", "foam-risen",
    "hot-surface", "layer-count", "mirror-cut", "nightwear", "nothing-seen", "platen-shine",
    "press-order", "pressure-reset", "print-and-dry", "tack-before-next", "trap-width",
    "turned-for-nothing", "unattended-press",
}  # fmt: skip
"""Rules that read of films and fabrics no more than which they are: they look at steps, at pieces,
or at what was measured of them before."""

AnyFact = TypeVar("AnyFact", bound=Fact)


@cache
def catalogue_on(basis: Basis) -> Catalogue:
    """The catalogue as if all its values rested on that."""

    def on(fact: AnyFact) -> AnyFact:
        changed: dict[str, Any] = {"basis_default": basis, "basis": {}}
        if "fibres" in type(fact).model_fields:
            changed["fibres"] = tuple(
                share.model_copy(update={"fibre": on(share.fibre)})
                for share in fact.fibres  # type: ignore[attr-defined]
            )
        if "fabric" in type(fact).model_fields:
            changed["fabric"] = on(fact.fabric)  # type: ignore[attr-defined]
        return fact.model_copy(update=changed)

    known = load_catalogue()
    return replace(
        known,
        **{
            kind: MappingProxyType({name: on(fact) for name, fact in getattr(known, kind).items()})
            for kind in ("films", "fibres", "fabrics", "garments", "presses", "sheets")
        },
    )


def objections(rule: Rule[Any], basis: Basis) -> list[tuple[Subject, Finding]]:
    """What a rule finds on its bad example and in its failing cases, on such values."""
    examples = [rule.bad, *(case.fails for case in FILES[rule.id].cases if case.fails)]
    return [
        (subject, finding)
        for example in examples
        for subject in subjects_from(rule.judges, example, catalogue_on(basis))
        if (finding := rule.judge(subject)) is not None
    ]


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_finding_is_as_sure_as_the_least_sure_value_that_it_rests_on(rule: Rule[Any]) -> None:
    for basis in BASES:
        found = objections(rule, basis)
        assert found
        for subject, finding in found:
            own = rule.finds(subject)
            assert own is not None
            alone = own.basis or rule.basis
            reads = finding.basis == max(alone, basis, key=SUREST_FIRST.index)
            assert reads or finding.basis == alone, (basis, finding)
    invented = {finding.basis for _, finding in objections(rule, "generic")}
    assert ("generic" in invented) == (rule.id not in RESTS_ON_NO_VALUE), invented


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)
def test_a_rule_finds_the_same_while_its_reading_is_noted(rule: Rule[Any]) -> None:
    told: list[object] = []
    for subject, finding in objections(rule, "sheet"):

        def noting(noted: Any) -> object:
            found = rule.finds(noted)
            told.append(found)
            return found

        basis_read(noting, subject, rule.basis)
        found = told[-1]
        assert found is not None
        message = found.message() if callable(found.message) else found.message  # type: ignore[attr-defined]
        assert str(finding.message) == str(type(finding.message)(message))
        assert (found.severity or rule.severity) == finding.severity  # type: ignore[attr-defined]


def test_surest_first_ranks_every_basis_once() -> None:
    assert sorted(SUREST_FIRST) == sorted(BASES)
    assert least_sure([], "practice") == "practice"
    assert least_sure(["standard"], "practice") == "practice"
    assert least_sure(["memory"], "standard") == "memory"


def test_pressed_seconds_claims_a_data_sheet_only_where_a_shop_has_entered_it() -> None:
    rule = rulebook().rule("pressed-seconds")
    for basis in ("sheet", "generic", "memory"):
        shelf = load_catalogue()
        film = shelf.film("matte-smooth")
        entered = film.model_copy(update={"basis": {**film.basis, "bears_s": basis}, "bears_s": 25})
        known = replace(shelf, films=MappingProxyType({**shelf.films, "matte-smooth": entered}))
        example = {**rule.bad, "films": {"base": "matte-smooth"}}
        found = [rule.judge(step) for step in subjects_from("schedule", example, known)]
        assert [one.basis for one in found if one is not None] == [basis]


def test_what_rests_on_the_invented_catalogue_says_so_in_an_answer() -> None:
    found = {
        one.rule: one.basis
        for one in check(fabric="sports-jersey", stack=["matte-smooth"]).findings
    }
    assert found["dye-bleed"] == "generic"
