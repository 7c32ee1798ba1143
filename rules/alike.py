"""Alike: films that a rule cannot tell apart, so that it is asked once for all of them.

What a rule reads of the films of a pair is noted as it reads it. Films that agree in all that was
read draw the same answer, since a rule is a pure function; one that reads something new begins
anew with that in mind. So nothing has to be declared, and a rule that looks at a film's id is
asked about every film.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

from pydantic import BaseModel

from rules.book.rule import Rule
from rules.facts.film import Film
from rules.facts.finding import Severity
from rules.facts.subjects import FilmOnFilm, Joint

__all__ = ["AskedOnce", "Pairs", "severities_of_pairs"]

Pairs = dict[tuple[str, Severity], list[tuple[int, int]]]
"""By rule and severity, which of the films above on which of those below draw a finding."""

Subject = FilmOnFilm | Joint


class _Watched(Film, defer_build=True):
    """A film that notes which of its values are read."""

    __slots__ = ("_read",)

    def __getattribute__(self, name: str) -> Any:
        # Copied, compared or listed as a whole, only the film itself is like it.
        noted = name if name in _VALUES else "id" if name in _WHOLE else None
        if noted is not None:
            _reads_of(self).add(noted)
        return object.__getattribute__(self, name)


def _reads_of(film: Film) -> set[str]:
    """What was read of a watched film; of a copy of it, the copying was noted already."""
    try:
        read: set[str] = object.__getattribute__(film, "_read")
    except AttributeError:
        return set()
    return read


_VALUES = frozenset(Film.model_fields)
_WHOLE = frozenset(vars(BaseModel))


@dataclass(slots=True)
class _Asked:
    """What one rule reads of the upper and of the lower film, and what it said.

    Attributes:
        kinds: for each of the two, the number of what is alike, by the film's id.
        known: by what is the same for all films of a table, then the two kinds.
    """

    read: tuple[set[str], set[str]] = field(default_factory=lambda: (set(), set()))
    values: tuple[dict[Hashable, int], dict[Hashable, int]] = field(
        default_factory=lambda: ({}, {})
    )
    kinds: tuple[dict[str, int], dict[str, int]] = field(default_factory=lambda: ({}, {}))
    known: dict[Hashable, Severity | None] = field(default_factory=dict)

    def groups(self, side: int, films: Sequence[Film]) -> dict[int, list[int]]:
        """The films by what is alike in all that the rule has read of them so far."""
        kinds, values = self.kinds[side], self.values[side]
        found: dict[int, list[int]] = {}
        for i, film in enumerate(films):
            if film.id not in kinds:
                key = tuple(_value(film, name) for name in sorted(self.read[side]))
                kinds[film.id] = values.setdefault(key, len(values))
            found.setdefault(kinds[film.id], []).append(i)
        return found

    def ask(
        self, rule: Rule[Any], above: Film, below: Film, subject: _SubjectOf
    ) -> Severity | None:
        """The rule's answer on two films; what it read for it is noted."""
        watched = _watched(above), _watched(below)
        severity = rule.severity_on(subject(*watched))
        reads = [_reads_of(film) for film in watched]
        if all(new <= old for new, old in zip(reads, self.read, strict=True)):
            return severity
        for side in (0, 1):
            self.read[side].update(reads[side])
            self.values[side].clear()
            self.kinds[side].clear()
        self.known.clear()
        raise _ReadsMoreError


_SubjectOf = Callable[[Film, Film], Subject]


class _ReadsMoreError(Exception):
    """A rule read what it never read before, so that what is alike is another thing now."""


AskedOnce = dict[str, _Asked]
"""What the rules of one rulebook have said so far, by rule; begin with an empty one."""


def severities_of_pairs(
    rules: Iterable[Rule[Any]],
    above: Sequence[Film],
    below: Sequence[Film],
    subject: _SubjectOf,
    *,
    asked: AskedOnce,
    same: Hashable = None,
) -> Pairs:
    """Which of the films above draw a stop or a sample on which of those below, by each rule.

    Args:
        rules: of what ``subject`` makes; rules tell films apart by their values.
        subject: what is judged, from an upper and a lower film.
        asked: what was said before; it is added to.
        same: what else ``subject`` depends on.

    >>> from rules.catalogue import load_catalogue
    >>> from rules.book.film_on_film.foam_last import RULE
    >>> films = [load_catalogue().film(each) for each in ("matte-smooth", "foam-raised")]
    >>> severities_of_pairs([RULE], films, films, FilmOnFilm, asked={})
    {('foam-last', 'stop'): [(0, 1), (1, 1)]}
    """
    found: Pairs = {}
    for rule in rules:
        of_rule = asked.setdefault(rule.id, _Asked())
        while True:
            try:
                answers = _answers(rule, of_rule, above, below, subject, same)
            except _ReadsMoreError:
                continue
            break
        for severity, pairs in answers.items():
            found[rule.id, severity] = pairs
    return found


def _answers(
    rule: Rule[Any],
    asked: _Asked,
    above: Sequence[Film],
    below: Sequence[Film],
    subject: _SubjectOf,
    same: Hashable,
) -> dict[Severity, list[tuple[int, int]]]:
    lower = asked.groups(1, below)
    found: dict[Severity, list[tuple[int, int]]] = {}
    for kind, us in asked.groups(0, above).items():
        for other, ls in lower.items():
            key = (same, kind, other)
            if key not in asked.known:
                asked.known[key] = asked.ask(rule, above[us[0]], below[ls[0]], subject)
            severity = asked.known[key]
            if severity in {"stop", "sample"}:
                found.setdefault(severity, []).extend((i, j) for i in us for j in ls)
    return found


def _watched(film: Film) -> Film:
    watched = _Watched.__new__(_Watched)
    object.__setattr__(watched, "_read", set())
    for slot in (
        "__dict__",
        "__pydantic_fields_set__",
        "__pydantic_extra__",
        "__pydantic_private__",
    ):
        object.__setattr__(watched, slot, getattr(film, slot))
    return watched


def _value(film: Film, name: str) -> Hashable:
    """A value of a film, or the film's id where it cannot be compared at once."""
    value = getattr(film, name)
    try:
        hash(value)
    except TypeError:
        return film.id
    return value  # type: ignore[no-any-return]
