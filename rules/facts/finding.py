"""Finding: what a rule says of a thing it judged, and the verdict that findings add up to."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from rules.facts.basis import Basis
from rules.facts.fact import Record

__all__ = ["Finding", "Severity", "Verdict", "seriousness", "verdict", "worst_first"]

Severity = Literal["stop", "sample", "note"]
Verdict = Literal["stop", "sample", "go"]

_SERIOUSNESS: dict[str, int] = {"stop": 0, "sample": 1, "note": 2}


class Finding(Record):
    """One rule's word on one thing: what, where, how much, why, and what to do instead."""

    rule: str
    severity: Severity
    where: str
    message: str
    why: str
    instead: str
    basis: Basis


def seriousness(severity: Severity) -> int:
    """A number to sort by: 0 for ``stop``, 1 for ``sample``, 2 for ``note``."""
    return _SERIOUSNESS[severity]


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """The findings, most serious first, otherwise in the order given, without repeats."""
    unique = dict.fromkeys(findings)
    return tuple(sorted(unique, key=lambda finding: seriousness(finding.severity)))


def verdict(findings: Iterable[Finding]) -> Verdict:
    """``stop`` or ``sample`` if any finding says so, otherwise ``go``.

    >>> verdict([])
    'go'
    """
    severities = {finding.severity for finding in findings}
    if "stop" in severities:
        return "stop"
    return "sample" if "sample" in severities else "go"
