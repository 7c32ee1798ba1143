"""Rule: a frozen record of what is judged and why, and one pure function that judges."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, Literal, TypeVar

from rules.errors import ProgramError
from rules.facts.basis import Basis
from rules.facts.finding import Finding, Severity, seriousness

__all__ = ["Example", "Found", "Judges", "Rule"]

Judges = Literal[
    "film_on_fabric", "film_on_film", "joint", "stack", "bond_line", "schedule", "artwork",
    "garment", "safety",
]  # fmt: skip

Example = Mapping[str, Any]
"""A thing to judge, as plain data in the form that ``tests/rules/example_subjects.py`` reads."""

Judged = TypeVar("Judged")


@dataclass(frozen=True, slots=True)
class Found:
    """What a rule's function found: the message with its numbers, and where.

    ``severity``, ``instead`` and ``basis`` stand in for the rule's own where the case is milder,
    the advice can be more exact, or the limit comes from elsewhere.
    """

    message: str
    where: str
    severity: Severity | None = None
    instead: str | None = None
    basis: Basis | None = None


@dataclass(frozen=True, slots=True)
class Rule(Generic[Judged]):
    """A rule of the trade or of physics, written once.

    Attributes:
        severity: the worst that it says.
        summary: what it asks for, in one sentence.
        why: what goes wrong otherwise.
        instead: what to do when it objects.
        source: the standard, handbook or equation; for practice, *common practice, no source*.
        good: an example that it passes; ``bad``: one that it objects to.
        finds: the pure function that judges.
    """

    id: str
    judges: Judges
    severity: Severity
    summary: str
    why: str
    instead: str
    basis: Basis
    source: str
    good: Example
    bad: Example
    finds: Callable[[Judged], Found | None]

    def judge(self, subject: Judged) -> Finding | None:
        """The finding on ``subject``, or nothing when the rule is content."""
        found = self.finds(subject)
        if found is None:
            return None
        severity = found.severity or self.severity
        if seriousness(severity) < seriousness(self.severity):
            raise ProgramError(f"rule {self.id} said {severity}, above its own {self.severity}")
        return Finding.model_construct(
            rule=self.id,
            severity=severity,
            where=found.where,
            message=found.message,
            why=self.why,
            instead=found.instead or self.instead,
            basis=found.basis or self.basis,
        )
