"""Complaints about a document's values: a person's words, for every kind that is known to come."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated, Any, Literal

import pytest
from pydantic import BaseModel, Field, StringConstraints, ValidationError

import advisor
import rules
from rules.catalogue.complaints import all_problems
from rules.facts.fact import Hex, Record, Slug


class Part(BaseModel):
    """One entry."""

    name: Slug = "a"


class Whole(Record):
    """A document with a field of each kind."""

    parts: tuple[Part, ...] = Field(default=(Part(),), min_length=1, max_length=2)
    names: dict[str, Part] = Field(default={"a": Part()}, min_length=1)
    part: Part = Part()
    colour: Hex = "#000000"
    many: int = Field(default=1, ge=1, le=9)
    long_mm: float = Field(default=1, gt=0, lt=9)
    said: Annotated[str, StringConstraints(min_length=1, max_length=3)] = "a"
    way: Literal["lap", "butt"] = "lap"
    flat: bool = False


@pytest.mark.parametrize(
    ("field", "given", "told"),
    [
        ("parts", [], "it takes at least 1 entry"),
        ("parts", [{}, {}, {}], "it takes at most 2 entries; it has 3"),
        ("parts", "a", "'a': write a list, as in [one, two]"),
        ("parts", None, "is empty; write a list, as in [one, two]"),
        ("names", {}, "it takes at least 1 entry"),
        ("names", 3, "3: write names with their values, as in {name: value}"),
        ("part", "a", "'a': write names with their values, as in {name: value}"),
        ("colour", "red", "'red': write a colour as #rrggbb, such as #1b3a5c"),
        ("many", 0, "0: write at least 1"),
        ("many", 10, "10: write at most 9"),
        ("many", 1.5, "1.5: write a whole number"),
        ("many", "two", "'two': write a whole number"),
        ("long_mm", 0, "0: write more than 0"),
        ("long_mm", 9, "9: write less than 9"),
        ("long_mm", "2cm", "'2cm': write a number, without its unit"),
        ("said", "", "'': it takes at least 1 character"),
        ("said", "abcd", "'abcd': it takes at most 3 characters"),
        ("said", 4, "4: write text"),
        ("way", "glue", "'glue': write lap or butt"),
        ("flat", "maybe", "'maybe': write true or false"),
        ("else", 1, "1: nothing here is called so; mind its spelling, or leave it out"),
    ],
)
def test_a_wrong_value_is_told_with_what_to_write(field: str, given: Any, told: str) -> None:
    with pytest.raises(ValidationError) as raised:
        Whole.model_validate({field: given})
    assert all_problems(raised.value) == [(field, told)]


def test_a_field_that_is_left_out_is_missing() -> None:
    class Needs(Record):
        it: int

    with pytest.raises(ValidationError) as raised:
        Needs.model_validate({})
    assert all_problems(raised.value) == [("it", "is missing")]


def test_no_other_place_words_what_the_models_refuse() -> None:
    folders = [Path(package.__file__ or "").parent for package in (advisor, rules)]
    told = re.compile(r"""problem\[["']msg["']\]""")
    wording = [
        path.name
        for folder in folders
        for path in folder.rglob("*.py")
        if told.search(path.read_text(encoding="utf-8"))
    ]
    assert wording == ["complaints.py"]
