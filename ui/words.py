"""Words: the labels that people read, and quantities in the units that they chose."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.job.records.job import Prefer
from rules.facts.finding import Finding, Severity, Verdict
from rules.facts.step import Meets
from rules.facts.text import Text

__all__ = [
    "LIES", "MEETING", "MEETS", "PREFER", "SEVERITY", "VERDICT", "WEARER", "plain",
    "verdict_sentence",
]  # fmt: skip

VERDICT: dict[Verdict, str] = {
    "go": "Go",
    "sample": "Sample first",
    "stop": "Do not press",
}
SEVERITY: dict[Severity, str] = {"stop": "Stop", "sample": "Sample first", "note": "Note"}
MEETS: dict[Meets, str] = {
    "lap": "lapped: the upper film lies over the whole lower one",
    "inset-over": "inset: in a window, its rim over the edge",
    "inset-under": "inset: in a window whose rim laps over it; it goes down first",
    "butt": "butted: edge to edge",
}
MEETING = {
    "any": "Any way",
    "lap": "Lapped",
    "inset-over": "Inset, rim over",
    "inset-under": "Inset, rim under",
    "butt": "Butted",
}
LIES: dict[Meets, str] = {
    "lap": "on",
    "inset-over": "set in",
    "inset-under": "set in",
    "butt": "beside",
}
PREFER: dict[Prefer, str] = {
    "durable": "Lasts longest",
    "softest": "Softest hand",
    "fastest": "Fastest to press",
    "cheapest": "Lowest cost",
}
WEARER = {
    "adult": "an adult",
    "child": "a child",
    "infant": "an infant",
    "nobody": "nobody (it is not worn)",
}


def plain(name: str) -> str:
    """A name from the shelf as one says it.

    >>> plain("matte-smooth")
    'Matte smooth'
    """
    words = name.replace("_", " ").replace("-", " ")
    return words[:1].upper() + words[1:]


def verdict_sentence(verdict: Verdict, findings: Sequence[Finding]) -> Text:
    """A verdict with the first thing that it rests on.

    >>> print(verdict_sentence("go", []))
    Go: no rule objects.
    """
    worst = next((each for each in findings if each.severity == verdict), None)
    if worst is None:
        notes = f"; {len(findings)} worth knowing" if findings else ""
        return Text(f"{VERDICT[verdict]}: no rule objects{notes}.")
    more = sum(each.severity == verdict for each in findings) - 1
    others = f" ({more} more like it)" if more else ""
    return Text(f"{VERDICT[verdict]}: {worst.message}{others}.")
