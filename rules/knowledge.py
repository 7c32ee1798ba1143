"""Knowledge: the rules, the catalogue and the shop's evidence, handed on together."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Protocol

from rules.catalogue import Catalogue, load_catalogue
from rules.facts.finding import Finding, Severity
from rules.facts.subjects import Subject
from rules.rulebook import Rulebook, rulebook

__all__ = ["Evidence", "Knowledge", "load_knowledge"]


class Evidence(Protocol):
    """What a shop has seen for itself, as one thing that has a say in every judgement."""

    def weigh(self, subject: Subject, findings: tuple[Finding, ...]) -> tuple[Finding, ...]:
        """The findings of the rules on ``subject`` as this evidence leaves them.

        It may add a finding, make one more or less serious, or take one away.
        """
        ...


@dataclass(frozen=True)
class Knowledge:
    """All that a judgement rests on; whoever judges is handed it as one argument.

    Attributes:
        evidence: weighed one after the other, each on what the one before left.
    """

    rules: Rulebook
    catalogue: Catalogue
    evidence: tuple[Evidence, ...] = ()

    def judge(self, *subjects: Subject) -> tuple[Finding, ...]:
        """What rules and evidence find on these things, in the order of the things.

        >>> from rules.facts.subjects import FilmOnFilm
        >>> known = load_knowledge()
        >>> film = known.catalogue.film
        >>> [f.rule for f in known.judge(FilmOnFilm(film("matte-smooth"), film("sparkle-coarse")))]
        ['top-surface', ...]
        """
        if not self.evidence:
            return self.rules.judge(*subjects)
        findings: list[Finding] = []
        for subject in subjects:
            of_one = self.rules.judge(subject)
            for evidence in self.evidence:
                of_one = evidence.weigh(subject, of_one)
            findings += of_one
        return tuple(findings)

    def severities(self, *subjects: Subject) -> tuple[tuple[str, Severity], ...]:
        """The rule and the severity of each finding that `judge` gives, without its words."""
        if not self.evidence:
            return self.rules.severities(*subjects)
        return tuple((finding.rule, finding.severity) for finding in self.judge(*subjects))


def load_knowledge(*shop_folders: Path) -> Knowledge:
    """The rules and the catalogue that ship, with each shop folder's entries laid over them.

    Raises:
        BadInputError: a folder or file cannot be read, or an entry is wrong.

    >>> "top-surface" in load_knowledge().rules.by_id
    True
    """
    return Knowledge(rulebook(), load_catalogue(*shop_folders))
