"""Words: the labels that people read, and quantities in the units that they chose."""

from __future__ import annotations

from advisor.job.records.job import Prefer

__all__ = [
    "PREFER", "WEARER", "plain",
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
