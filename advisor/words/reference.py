"""Reference: the rules in words, for the command line, the pages and the documentation."""

from __future__ import annotations

from typing import Any

from advisor.words.examples import said
from advisor.words.verdicts import SEVERITIES
from rules.book.rule import Rule
from rules.facts.basis import BASIS_MEANING
from rules.facts.text import Text
from rules.rulebook import rulebook

__all__ = ["JUDGED", "reference_markdown", "reference_text", "said"]

JUDGED = {
    "film_on_fabric": "A film on a fabric",
    "film_on_film": "A film on a film",
    "joint": "How two pieces meet",
    "stack": "A whole stack",
    "bond_line": "The heat at a bond line",
    "schedule": "The press steps",
    "artwork": "The artwork and the cut",
    "seen": "What the eye sees",
    "drawn": "What no film shows as it is drawn",
    "garment": "The garment on the press",
    "safety": "Safety",
}
"""What each kind of rule judges, as a heading."""


def reference_text(rule: Rule[Any]) -> Text:
    """One rule in plain lines of text: what it asks for, why, what instead, and two examples.

    >>> print(reference_text(rulebook().rule("top-surface")))
    top-surface: A film bonds only to a face that takes a film on top.
      judges: a film on a film
      at worst: stop (do not press)
      why: ...
      instead: ...
      rests on: common practice, no source
      good: sparkle-coarse on matte-smooth
      bad: matte-smooth on sparkle-coarse
    """
    lines = [f"{rule.id}: {rule.summary}", f"judges: {_lower_first(JUDGED[rule.judges])}"]
    lines += [f"{label}: {words}" for label, words in _rows(rule)]
    return Text("\n  ".join(lines))


def reference_markdown() -> Text:
    """Every rule, grouped by what it judges, as one Markdown document."""
    book = rulebook()
    lines = [
        "# Rule reference",
        "",
        f"{len(book.by_id)} rules. A finding is "
        + ", ".join(f"`{name}` ({shown.meaning})" for name, shown in SEVERITIES.items())
        + "; each rule names the worst that it says.",
        "",
        "What a rule rests on:",
        "",
        *(f"- `{basis}`: {meaning}" for basis, meaning in BASIS_MEANING.items()),
        "",
    ]
    for judged, rules in book.by_judged.items():
        lines += [f"## {JUDGED[judged]}", ""]
        for rule in rules:
            lines += [f"### `{rule.id}`", "", f"{rule.summary}", ""]
            lines += [f"- **{_upper_first(label)}:** {words}" for label, words in _rows(rule)]
            lines.append("")
    return Text("\n".join(lines))


def _rows(rule: Rule[Any]) -> tuple[tuple[str, str], ...]:
    return (
        ("at worst", f"{rule.severity} ({SEVERITIES[rule.severity].meaning})"),
        ("why", f"{rule.why}"),
        ("instead", f"{rule.instead}"),
        ("rests on", _rests_on(rule)),
        ("good", f"{said(rule.good)}"),
        ("bad", f"{said(rule.bad)}"),
    )


def _rests_on(rule: Rule[Any]) -> str:
    said_already = rule.source.startswith(BASIS_MEANING[rule.basis])
    return f"{rule.source}" if said_already else f"{rule.basis}: {rule.source}"


def _lower_first(words: str) -> str:
    return words[:1].lower() + words[1:]


def _upper_first(words: str) -> str:
    return words[:1].upper() + words[1:]
