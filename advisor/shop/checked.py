"""An entry of the shop's shelf checked whole, so that all that is wrong with it is told at once."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from pydantic import ValidationError

from advisor.shop.knowledge import written_as
from advisor.shop.records import OwnEntry
from rules.catalogue import Catalogue, all_problems, fact_of
from rules.catalogue.complaints import MISSING
from rules.catalogue.proposed_film import DATA_SHEET
from rules.catalogue.written import Written
from rules.errors import BadInputError, ProgramError, told_together
from rules.facts.fact import Fact

__all__ = ["checked"]

_STAND_IN: Mapping[str, Any] = {
    "finishes": ["matte"], "setpoint_c": 160, "dwell_s": 15, "peel": "warm",
}  # fmt: skip
"""What the rest of an entry is checked with where its data sheet's values are missing."""
_OF_GARMENT: Mapping[str, str] = {
    "fabric": "what it is made of, such as cotton-jersey-tee",
    "wearer": "who wears it: adult, child, infant or nobody",
    "price_each": "what one costs",
    "print_areas": "where it is printed, such as front=300x400",
}
"""What is asked for of a garment where it is missing."""
Problems = list[tuple[str, str]]


def checked(entry: OwnEntry, known: Catalogue, unread: Mapping[str, str] | None = None) -> Fact:
    """The thing that an entry makes, beside what is known.

    Args:
        entry: what the shop says.
        known: what there is on the shelf.
        unread: values that could not be read, with why.

    Raises:
        BadInputError: with every value that is wrong or missing.
    """
    wrong: Problems = list((unread or {}).items())
    given = {*entry.values, *(unread or {})}
    if not re.fullmatch(r"[a-z0-9]+(-[a-z0-9]+)*", entry.name):
        nearest = "-".join(re.findall(r"[a-z0-9]+", entry.name.lower())) or "our-film"
        wrong.append(
            ("id", f"{entry.name!r}: small letters, digits and hyphens only, such as {nearest}")
        )
        entry = replace(entry, name=nearest[:60])
    name = entry.values.get("name")
    if isinstance(name, str) and not name.isprintable():
        wrong.append(("name", "holds a control character; write it in plain letters"))
    one = written_as(entry)
    if entry.kind == "films" and "family" in entry.values and "like" not in entry.values:
        missing = [field for field in DATA_SHEET if field not in given]
        if missing:
            wrong.append((", ".join(missing), "its data sheet must say this"))
        missing = [field for field in DATA_SHEET if field not in entry.values]
        if missing:
            stand_in = {field: _STAND_IN[field] for field in missing}
            one = replace(one, fields={**one.fields, **stand_in})
    fact, found = _tried(entry.kind, one, known)
    # A list whose every part is refused is not too short as well.
    parts = {field.partition(".")[0] for field, _ in found if "." in field}
    found = [(field, told) for field, told in found if field not in {*parts, *(unread or {})}]
    wrong += [(field, _asked(entry.kind, field, told)) for field, told in found]
    if fact is None:
        wrong += _at_odds(entry.kind, one, known, {field for field, _ in found})
    if wrong:
        raise told_together(": ".join(part for part in each if part) for each in wrong)
    if fact is None:
        raise ProgramError(f"{entry.name} was refused for nothing")
    return fact


def _asked(kind: str, field: str, told: str) -> str:
    """A complaint, with what is to be said where it is missing."""
    if kind == "garments" and told == MISSING and field in _OF_GARMENT:
        return f"{told}: say {_OF_GARMENT[field]}"
    return told


def _tried(kind: str, one: Written, known: Catalogue) -> tuple[Fact | None, Problems]:
    try:
        fact: Fact = fact_of(kind, one, known.by_kind())
    except BadInputError as error:
        return None, [(error.field, error.reason)]
    except ValidationError as error:
        return None, all_problems(error)
    return fact, []


def _at_odds(kind: str, one: Written, known: Catalogue, at_fault: set[str]) -> Problems:
    """What does not hang together even with the values that are wrong by themselves left out."""
    left_out = {field.partition(".")[0] for field in at_fault}
    if not left_out or "" in left_out:
        return []
    rest = {field: value for field, value in one.fields.items() if field not in left_out}
    if kind == "films":
        rest |= {field: value for field, value in _STAND_IN.items() if field in left_out}
    _, found = _tried(kind, replace(one, fields=rest), known)
    return [(field, told) for field, told in found if not field]
