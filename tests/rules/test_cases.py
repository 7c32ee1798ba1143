"""Every rule against its case file and its own two examples; cases are data and strict."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import pytest
from pydantic import BaseModel, ConfigDict, Field, model_validator

from rules.book.example_subjects import subjects_from
from rules.catalogue import load_catalogue
from rules.catalogue.documents import read_yaml
from rules.facts.finding import Finding, Severity
from rules.rulebook import rulebook
from tests import CASE_FOLDER


class Case(BaseModel):
    """One thing to judge: it passes, or fails with a severity and perhaps certain words."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    name: str
    passes: dict[str, Any] | None = None
    fails: dict[str, Any] | None = None
    severity: Severity | None = None
    says: str | None = None

    @model_validator(mode="after")
    def _passes_or_fails(self) -> Case:
        if (self.passes is None) == (self.fails is None):
            raise ValueError(f"{self.name}: give either passes or fails")
        if (self.fails is None) != (self.severity is None):
            raise ValueError(f"{self.name}: a failing case names its severity, a passing one none")
        return self


class CaseFile(BaseModel):
    """All cases of one rule: at least one passes and at least one fails."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    rule: str
    cases: Annotated[tuple[Case, ...], Field(min_length=2)]

    @model_validator(mode="after")
    def _both_kinds(self) -> CaseFile:
        if not any(c.passes for c in self.cases) or not any(c.fails for c in self.cases):
            raise ValueError(f"{self.rule}: needs a passing and a failing case")
        return self


def _read(path: Path) -> CaseFile:
    return CaseFile.model_validate(read_yaml(path))


FILES = {path.stem: _read(path) for path in sorted(CASE_FOLDER.glob("*.yaml"))}
CASES = [
    pytest.param(file.rule, case, id=f"{file.rule}: {case.name}")
    for file in FILES.values()
    for case in file.cases
]
RULE_IDS = sorted(rulebook().by_id)


def findings(rule_id: str, example: dict[str, Any]) -> list[Finding]:
    rule = rulebook().rule(rule_id)
    subjects = subjects_from(rule.judges, example, load_catalogue())
    return [found for subject in subjects if (found := rule.judge(subject)) is not None]


def test_every_rule_has_a_case_file_of_its_own_name_and_no_file_is_left_over() -> None:
    assert sorted(FILES) == RULE_IDS
    assert all(stem == file.rule for stem, file in FILES.items())


@pytest.mark.parametrize(("rule_id", "case"), CASES)
def test_case(rule_id: str, case: Case) -> None:
    if case.passes is not None:
        assert findings(rule_id, case.passes) == []
        return
    assert case.fails is not None
    found = findings(rule_id, case.fails)
    assert [f.severity for f in found].count(case.severity) >= 1, found
    if case.says:
        assert any(case.says in f.message for f in found), [f.message for f in found]


@pytest.mark.parametrize("rule_id", RULE_IDS)
def test_a_rule_passes_its_good_example_and_objects_to_its_bad_one(rule_id: str) -> None:
    rule = rulebook().rule(rule_id)
    assert findings(rule_id, dict(rule.good)) == []
    assert findings(rule_id, dict(rule.bad)) != []


@pytest.mark.parametrize("rule_id", RULE_IDS)
def test_a_finding_says_what_where_and_what_instead(rule_id: str) -> None:
    for found in findings(rule_id, dict(rulebook().rule(rule_id).bad)):
        assert found.message
        assert found.where
        assert found.why
        assert found.instead
