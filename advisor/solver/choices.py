"""Optimise choices: the variables for films and ways of meeting, and literals about them."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

import cpmpy as cp

from advisor.job.records.print import Pair
from advisor.layering.records.problem import Choice, Option
from rules.facts.step import Meets

__all__ = ["Choices", "Tag"]

Tag = tuple[str, ...]
"""What a constraint belongs to: a rule's id (or a fact's kind), then the pieces concerned."""


class Choices:
    """One film for each piece and one way for each pair.

    Args:
        options: the films open to each piece.
        ways: the ways open to each pair.

    Attributes:
        constraints: what must hold, each under its tag.
        film: for each piece a literal for each option.
        way: for each pair a literal for each way.
    """

    def __init__(
        self, options: Mapping[str, Sequence[Option]], ways: Mapping[Pair, Sequence[Meets]]
    ) -> None:
        self.options = {piece: tuple(options[piece]) for piece in options}
        self.pieces = tuple(self.options)
        self.constraints: list[tuple[Tag, Any]] = []
        self.film: dict[str, list[Any]] = {}
        self.way: dict[Pair, dict[Meets, Any]] = {}
        self._numbers: dict[tuple[str, tuple[int, ...]], Any] = {}
        self._among: dict[tuple[str, frozenset[int]], Any] = {}
        for piece, choices in self.options.items():
            self.film[piece] = [cp.boolvar() for _ in choices]
            self.post(("film", piece), cp.sum(self.film[piece]) == 1)
        for pair, open_ways in ways.items():
            self.way[pair] = {way: cp.boolvar() for way in open_ways}
            self.post(("meets", *pair), cp.sum(list(self.way[pair].values())) == 1)

    def post(self, tag: Tag, constraint: Any) -> None:
        """Add a constraint under a tag."""
        self.constraints.append((tag, constraint))

    def never(self, tag: Tag, *literals: Any) -> None:
        """Not all of these literals together; ``True`` among them stands for what always holds."""
        left = [literal for literal in literals if literal is not True]
        if any(literal is False for literal in left):
            return
        self.post(tag, cp.any([~literal for literal in left]) if left else cp.BoolVal(False))

    def among(self, piece: str, at: Iterable[int]) -> Any:
        """A literal: the piece's film is one of those options."""
        chosen = frozenset(at)
        films = self.film[piece]
        if len(chosen) in {0, len(films)}:
            return len(chosen) > 0
        if len(chosen) == 1:
            return films[min(chosen)]
        key = (piece, chosen)
        if key not in self._among:
            rest = frozenset(range(len(films))) - chosen
            if (piece, rest) in self._among:
                return ~self._among[piece, rest]
            if len(rest) == 1:
                return ~films[min(rest)]
            literal = cp.boolvar()
            self.post(("film", piece), cp.sum([films[i] for i in sorted(chosen)]) == literal)
            self._among[key] = literal
        return self._among[key]

    def where(self, piece: str, holds: Callable[[Option], bool]) -> Any:
        """A literal: the piece's film is one for which ``holds``."""
        return self.among(
            piece, (i for i, option in enumerate(self.options[piece]) if holds(option))
        )

    def number(self, piece: str, of: Callable[[Option], int]) -> Any:
        """A whole number that the piece's film has."""
        values = [of(option) for option in self.options[piece]]
        if len(set(values)) == 1:
            return values[0]
        key = (piece, tuple(values))
        if key in self._numbers:
            return self._numbers[key]
        number = self._numbers[key] = cp.intvar(min(values), max(values))
        films = self.film[piece]
        self.post(
            ("film", piece),
            cp.sum([value * film for value, film in zip(values, films, strict=True)]) == number,
        )
        return number

    def meets(self, pair: Pair, *ways: Meets) -> Any:
        """A literal: the pair meets in one of these ways."""
        if pair not in self.way:
            return "lap" in ways
        open_ways = [way for way in self.way[pair] if way in ways]
        if len(open_ways) in {0, len(self.way[pair])}:
            return len(open_ways) > 0
        if len(open_ways) == 1:
            return self.way[pair][open_ways[0]]
        literal = cp.boolvar()
        self.post(("meets", *pair), cp.sum([self.way[pair][way] for way in open_ways]) == literal)
        return literal

    def choice(self) -> Choice:
        """The films and ways that the solver has found."""
        options, meets = {}, {}
        for piece, films in self.film.items():
            options[piece] = next(
                option
                for option, film in zip(self.options[piece], films, strict=True)
                if film.value()
            )
        for pair, ways in self.way.items():
            meets[pair] = next(way for way, literal in ways.items() if literal.value())
        return Choice(options, meets)
