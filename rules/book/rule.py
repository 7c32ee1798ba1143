"""Rule: a frozen record of what is judged and why, and one pure function that judges."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Generic, Literal, Protocol, TypeVar

from rules.book.rests_on import basis_read
from rules.errors import ProgramError
from rules.facts.basis import Basis
from rules.facts.finding import Finding, Severity, seriousness
from rules.facts.text import Text

__all__ = ["Example", "Found", "Judges", "Rule", "Words"]

Judges = Literal[
    "film_on_fabric", "film_on_film", "joint", "stack", "bond_line", "schedule", "artwork",
    "seen", "drawn", "garment", "safety",
]  # fmt: skip

Example = Mapping[str, Any]
"""A thing to judge, as plain data in the form that ``tests/rules/example_subjects.py`` reads."""


class _Placed(Protocol):
    """Anything that rules judge: it knows how to say where it is."""

    @property
    def where(self) -> str: ...


Judged = TypeVar("Judged", bound=_Placed)

Words = str | Callable[[], str]
"""A sentence, or what puts it together when somebody reads it: where many pairs of films are
judged, few of the sentences are, and what they name need not tell one film from another."""


@dataclass(frozen=True, slots=True)
class Found:
    """What a rule's function found: the message with its numbers, and where.

    Both are f-strings whose quantities and pieces are marked, as ``rules.facts.text`` says; a
    place of its own is told only where it is not simply the ``where`` of what is judged. A rule on
    two films gives its words as a function.
    ``severity``, ``instead`` and ``basis`` stand in for the rule's own where the case is milder,
    the advice can be more exact, or the limit comes from elsewhere.
    ``drawn_by`` names pieces that draw it wherever they finish as they do here, whatever else is
    pressed beside or between them.
    """

    message: Words
    where: str | None = None
    severity: Severity | None = None
    instead: Words | None = None
    basis: Basis | None = None
    drawn_by: tuple[str, ...] = ()


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

    def __post_init__(self) -> None:
        """Take the marked quantities out of what the rule says always."""
        for field in ("summary", "why", "instead", "source"):
            object.__setattr__(self, field, Text(getattr(self, field)))

    def judge(self, subject: Judged) -> Finding | None:
        """The finding on ``subject``, or nothing when the rule is content."""
        found = self.finds(subject)
        if found is None:
            return None
        severity = self._severity_of(found)
        return Finding.model_construct(
            rule=self.id,
            severity=severity,
            where=Text(subject.where if found.where is None else found.where),
            message=_text(found.message),
            why=self.why,
            instead=_text(found.instead or self.instead),
            basis=basis_read(self.finds, subject, found.basis or self.basis),
            drawn_by=found.drawn_by,
        )

    def severity_on(self, subject: Judged) -> Severity | None:
        """How serious the finding on ``subject`` is, without its words; ``None`` without one."""
        found = self.finds(subject)
        return None if found is None else self._severity_of(found)

    def _severity_of(self, found: Found) -> Severity:
        severity = found.severity or self.severity
        if seriousness(severity) < seriousness(self.severity):
            raise ProgramError(f"rule {self.id} said {severity}, above its own {self.severity}")
        return severity


def _text(words: Words) -> Text:
    return Text(words() if callable(words) else words)
