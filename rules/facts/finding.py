"""Finding: what a rule says of a thing it judged, and the verdict that findings add up to."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from pydantic import Field

from rules.facts.basis import Basis
from rules.facts.fact import Record
from rules.facts.text import Text

__all__ = [
    "Finding", "Severity", "Verdict", "beyond", "distinct", "once_per_cause", "seriousness",
    "verdict", "worst_first",
]  # fmt: skip

Severity = Literal["stop", "sample", "note"]
Verdict = Literal["stop", "sample", "go"]

_SERIOUSNESS: dict[str, int] = {"stop": 0, "sample": 1, "note": 2}


class Finding(Record):
    """One rule's word on one thing: what, where, how much, why, and what to do instead.

    Attributes:
        seen: what the shop's own trials say of it, beside the rule's own reason; empty without.
        drawn_by: pieces that draw it wherever they finish so, where its rule can say that; for the
            proof, not for the person.
    """

    rule: str
    severity: Severity
    where: Text
    message: Text
    why: Text
    instead: Text
    basis: Basis
    seen: Text = Field(default=Text(), exclude_if=lambda seen: not seen)
    drawn_by: tuple[str, ...] = Field(default=(), exclude=True, repr=False)

    @property
    def said(self) -> tuple[str, str, str]:
        """Rule, place and message: two findings with the same are one, found twice."""
        return (self.rule, self.where, self.message)

    def milder_than(self, other: Finding) -> bool:
        """Whether it is less serious than another."""
        return seriousness(self.severity) > seriousness(other.severity)


def seriousness(severity: Severity) -> int:
    """A number to sort by: 0 for ``stop``, 1 for ``sample``, 2 for ``note``."""
    return _SERIOUSNESS[severity]


def distinct(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings in the order given, what was found twice only once, as seriously as it was.

    >>> distinct([])
    ()
    """
    unique: dict[tuple[str, str, str], Finding] = {}
    for finding in findings:
        if unique.setdefault(finding.said, finding).milder_than(finding):
            unique[finding.said] = finding
    return tuple(unique.values())


def beyond(known: Iterable[Finding], more: Iterable[Finding]) -> tuple[Finding, ...]:
    """Of some findings those that were not found before, or not as seriously.

    >>> beyond([], [])
    ()
    """
    before = {finding.said: finding for finding in distinct(known)}
    return tuple(one for one in more if before.get(one.said, one).milder_than(one)
                 or one.said not in before)  # fmt: skip


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, most serious first, otherwise in the order given, without repeats."""
    return distinct(sorted(findings, key=lambda finding: seriousness(finding.severity)))


def once_per_cause(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, with what a rule finds alike at several steps made one that names them all.

    >>> hot = Finding(rule="r", severity="sample", where="step 5", message="too hot", why="",
    ...               instead="", basis="practice")
    >>> again = hot.model_copy(update={"where": "step 6"})
    >>> [finding.where for finding in once_per_cause([hot, again, hot])]
    ['step 5, step 6']
    """
    found: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        place = "" if finding.where.startswith("step ") else finding.where
        key = (finding.rule, finding.severity, finding.message, finding.instead, place)
        found.setdefault(key, []).append(finding)
    return tuple(
        alike[0].model_copy(
            update={"where": Text(", ".join(dict.fromkeys(f"{one.where}" for one in alike)))}
        )
        for alike in found.values()
    )


def verdict(findings: Iterable[Finding]) -> Verdict:
    """``stop`` or ``sample`` if any finding says so, otherwise ``go``.

    >>> verdict([])
    'go'
    """
    severities = {finding.severity for finding in findings}
    if "stop" in severities:
        return "stop"
    return "sample" if "sample" in severities else "go"
