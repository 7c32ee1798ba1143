"""Words: the labels that people read, and quantities in the units that they chose."""

from __future__ import annotations

from advisor.job.records.job import Prefer
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets

__all__ = [
    "PREFER", "WEARER", "plain", "way_named",
]  # fmt: skip

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


def way_named(name: str) -> Meets:
    """The way of meeting that an address names; a lap where it names none.

    >>> way_named("inset-under"), way_named("")
    ('inset-under', 'lap')
    """
    return next((way for way in MEETING_WORDS if way == name), "lap")
