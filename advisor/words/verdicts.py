"""Verdicts: what a verdict and a severity are called, and findings as they are shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from rules.facts.finding import Finding, Severity, Verdict
from rules.facts.text import Text

__all__ = [
    "SEVERITIES",
    "VERDICTS",
    "Shown",
    "gathered",
    "printable",
    "verdict_sentence",
    "with_names",
]


@dataclass(frozen=True, slots=True)
class Shown:
    """A verdict or a severity as it is shown.

    Attributes:
        shape: tells it apart where colour cannot.
        word: what it is called on a terminal and a ticket; ``label`` is that on a page.
        meaning: what the person should do.
    """

    shape: str
    word: str
    label: str
    meaning: str


VERDICTS: Mapping[Verdict, Shown] = {
    "go": Shown("●", "GO", "Go", "press it"),
    "sample": Shown(
        "▲", "SAMPLE FIRST", "Sample first", "press a sample and wash it before the order"
    ),
    "stop": Shown("■", "STOP", "Do not press", "do not press this"),
}
"""What each verdict is called; the shape tells it apart where colour cannot."""


SEVERITIES: Mapping[Severity, Shown] = {
    "stop": Shown("■", "stop", "Stop", "do not press"),
    "sample": Shown("▲", "sample", "Sample first", "press a sample and wash it first"),
    "note": Shown("○", "note", "Note", "worth knowing"),
}
"""What each severity is called, with the same shapes."""


def gathered(findings: Iterable[Finding]) -> list[tuple[Finding, Text]]:
    """Findings that say the same of several places made one, with every place named.

    >>> said = [Finding.model_validate({"rule": "hot-surface", "severity": "note",
    ...     "where": where, "message": "hot", "why": "burns", "instead": "gloves",
    ...     "basis": "practice"}) for where in ("step 1", "step 4")]
    >>> [str(where) for _, where in gathered(said)]
    ['step 1, step 4']
    """
    alike: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        said = (finding.message, finding.why, finding.instead, finding.seen)
        key = (finding.rule, finding.severity, *said)
        alike.setdefault(key, []).append(finding)
    return [
        (group[0], Text(", ".join(dict.fromkeys(f"{finding.where}" for finding in group))))
        for group in alike.values()
    ]


def with_names(findings: Iterable[Finding], names: Mapping[str, str]) -> list[Finding]:
    """Findings that call pieces as the person at the press does, instead of by their ids.

    >>> from rules.facts.text import piece_name
    >>> said = Finding.model_validate({"rule": "colour-match", "severity": "note",
    ...     "where": f"{piece_name('fill-2a9d8f')}", "message": "off", "why": "seen",
    ...     "instead": "ask", "basis": "practice"})
    >>> print(with_names([said], {"fill-2a9d8f": "sea-green matte-thin"})[0].where)
    sea-green matte-thin
    """
    return [
        finding.model_copy(
            update={
                "where": finding.where.named(names),
                "message": finding.message.named(names),
                "instead": finding.instead.named(names),
            }
        )
        for finding in findings
    ]


def printable(text: str) -> str:
    """Text whose control characters are question marks, safe for a terminal and for a page.

    >>> printable("kite\\x1b[31m")
    'kite?[31m'
    """
    return "".join(c if c.isprintable() or c == "\n" else "?" for c in str(Text(text)))


def verdict_sentence(verdict: Verdict, findings: Sequence[Finding]) -> Text:
    """A verdict with the first thing that it rests on.

    >>> print(verdict_sentence("go", []))
    Go: no rule objects.
    """
    worst = next((each for each in findings if each.severity == verdict), None)
    if worst is None:
        notes = f"; {len(findings)} worth knowing" if findings else ""
        return Text(f"{VERDICTS[verdict].label}: no rule objects{notes}.")
    more = sum(each.severity == verdict for each in findings) - 1
    others = f" ({more} more like it)" if more else ""
    return Text(f"{VERDICTS[verdict].label}: {worst.message}{others}.")
