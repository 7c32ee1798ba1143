"""The rulebook: the explicit list of every rule, with look-up and judgement."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from rules.book.artwork import least_stroke
from rules.book.film_on_fabric import fabric_heat_limit
from rules.book.film_on_film import top_surface
from rules.book.schedule import carrier_line
from rules.book.stack import layer_count
from rules.errors import PressloreError, UnknownNameError
from rules.facts.finding import Finding
from rules.facts.schedule import ScheduledStep
from rules.rule import Judges, Rule
from rules.subjects import (
    ArtworkPiece,
    BondLine,
    FilmOnFabric,
    FilmOnFilm,
    GarmentOnPress,
    Joint,
    Pressing,
    Stack,
    Subject,
)

__all__ = ["Rulebook", "rulebook"]

_ALL: tuple[Rule[Any], ...] = (
    fabric_heat_limit.RULE,
    top_surface.RULE,
    layer_count.RULE,
    carrier_line.RULE,
    least_stroke.RULE,
)

_JUDGED_AS: dict[type, Judges] = {
    FilmOnFabric: "film_on_fabric",
    FilmOnFilm: "film_on_film",
    Joint: "joint",
    Stack: "stack",
    BondLine: "bond_line",
    ScheduledStep: "schedule",
    ArtworkPiece: "artwork",
    GarmentOnPress: "garment",
    Pressing: "safety",
}


@dataclass(frozen=True, slots=True)
class Rulebook:
    """Every rule by id, and by what it judges."""

    by_id: MappingProxyType[str, Rule[Any]]
    by_judged: MappingProxyType[str, tuple[Rule[Any], ...]]

    def rule(self, rule_id: str) -> Rule[Any]:
        """The rule of that id; ``UnknownNameError`` offers the nearest ids."""
        if rule_id not in self.by_id:
            raise UnknownNameError("rule", rule_id, self.by_id)
        return self.by_id[rule_id]

    def judge(self, *subjects: Subject) -> tuple[Finding, ...]:
        """What every rule finds on these things, in the order of the things and of the list.

        >>> from rules.catalogue import load_catalogue
        >>> films = load_catalogue().films
        >>> over = FilmOnFilm(upper=films["matte-smooth"], lower=films["sparkle-coarse"])
        >>> [finding.rule for finding in rulebook().judge(over)]
        ['top-surface', ...]
        """
        return tuple(
            finding
            for subject in subjects
            for rule in self.by_judged[_JUDGED_AS[type(subject)]]
            if (finding := rule.judge(subject)) is not None
        )


def _bound(rules: Iterable[Rule[Any]]) -> Rulebook:
    by_id: dict[str, Rule[Any]] = {}
    by_judged: dict[str, tuple[Rule[Any], ...]] = dict.fromkeys(_JUDGED_AS.values(), ())
    for rule in rules:
        if rule.id in by_id:
            raise PressloreError(f"two rules are called {rule.id!r}")
        by_id[rule.id] = rule
        by_judged[rule.judges] = (*by_judged[rule.judges], rule)
    return Rulebook(MappingProxyType(by_id), MappingProxyType(by_judged))


@cache
def rulebook() -> Rulebook:
    """The rulebook that ships.

    >>> rulebook().rule("top-surface").severity
    'stop'
    """
    return _bound(_ALL)
