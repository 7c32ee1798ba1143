"""Rests on: what a finding rests on, from the values that its rule read to find it.

Once a rule has found something, its function is asked once more about the same thing, with every
film, fabric, press and sheet in it behind a `Noted`, which notes what each value that is read
rests on. A finding is no surer than the least sure of these and of the rule itself, whose
``sheet`` stands for the values that it compares. So no rule has to say it, and none can forget to.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from copy import copy
from dataclasses import fields
from types import FunctionType
from typing import Any

from rules.facts.basis import Basis
from rules.facts.fabric import FibreShare
from rules.facts.fact import Fact
from rules.facts.schedule import Schedule
from rules.facts.subjects import Subject

__all__ = ["Noted", "basis_read", "least_sure"]

SUREST_FIRST: tuple[Basis, ...] = (
    "standard", "handbook", "physics", "sheet", "shop", "practice", "memory", "generic", "proposed",
)  # fmt: skip

WHAT_IT_IS = frozenset({"id", "name", "family", "kind", "fibres", "fabric", "source", "harm"})
"""Fields that say which thing is meant: nothing rests on them."""


def least_sure(bases: Iterable[Basis], rule: Basis) -> Basis:
    """The least sure of a rule's basis and of those of the values that it read.

    >>> least_sure(["sheet", "generic"], "practice"), least_sure(["sheet"], "sheet")
    ('generic', 'sheet')
    """
    return max([*bases, rule], key=SUREST_FIRST.index)


def basis_read(finds: Callable[[Any], object], subject: object, rule: Basis) -> Basis:
    """What a finding rests on: the rule, and the values that it reads of what it judges.

    Args:
        finds: the rule's function; it finds something on ``subject``.
        rule: what the rule, or this finding of it, rests on by itself.
    """
    read: list[Basis] = []
    finds(_noted(subject, read))
    return least_sure(read, rule)


class Noted:
    """A fact that notes what each value that is read of it rests on."""

    __slots__ = ("_fact", "_read")

    def __init__(self, fact: Fact, read: list[Basis]) -> None:
        self._fact, self._read = fact, read

    def __getattr__(self, name: str) -> Any:
        fact, kind = self._fact, type(self._fact)
        if name in kind.model_fields:
            if name not in WHAT_IT_IS:
                self._read.append(fact.basis_of(name))
            return _noted(getattr(fact, name), self._read)
        if hasattr(Fact, name):
            return getattr(self._whole(), name)
        # What is worked out of its values is worked out of what is noted.
        worked_out = getattr(kind, name, None)
        if isinstance(worked_out, property) and worked_out.fget is not None:
            return worked_out.fget(self)
        if isinstance(worked_out, FunctionType):
            return worked_out.__get__(self)
        return getattr(fact, name)

    def __iter__(self) -> Iterator[tuple[str, Any]]:
        return iter(self._whole())

    def _whole(self) -> Fact:
        """The fact itself, copied or listed as a whole: all of it is read."""
        self._read += [self._fact.basis_of(value) for value in type(self._fact).model_fields]
        return self._fact

    def __eq__(self, other: object) -> bool:
        return self._fact == (other._fact if isinstance(other, Noted) else other)

    def __hash__(self) -> int:
        return hash(self._fact)


def _noted(value: Any, read: list[Basis]) -> Any:
    """The same value, with each fact in it behind a `Noted`."""
    if isinstance(value, Fact):
        return Noted(value, read)
    if isinstance(value, FibreShare):
        return value.model_copy(update={"fibre": Noted(value.fibre, read)})
    if isinstance(value, tuple) and value and isinstance(value[0], Fact | FibreShare):
        return tuple(_noted(each, read) for each in value)
    if isinstance(value, Mapping) and isinstance(next(iter(value.values()), None), Fact):
        return {key: Noted(each, read) for key, each in value.items()}
    if isinstance(value, Subject | Schedule):
        twin = copy(value)
        for field in fields(value):
            object.__setattr__(twin, field.name, _noted(getattr(value, field.name), read))
        return twin
    return value
