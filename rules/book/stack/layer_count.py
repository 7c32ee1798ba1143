"""Rule layer-count: more than three films over one another make a print bulky."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import Stack

__all__ = ["MOST_LAYERS", "RULE"]

MOST_LAYERS = 3
"""Common practice, no source."""


def _finds(stack: Stack) -> Found | None:
    count = len(stack.films)
    if count <= MOST_LAYERS:
        return None
    return Found(
        f"{count} films lie over one another, more than {MOST_LAYERS}",
        severity="note" if count == MOST_LAYERS + 1 else "sample",
    )


RULE = Rule(
    id="layer-count",
    judges="stack",
    severity="sample",
    summary="At most three films lie over one another.",
    why="Each layer makes the print bulkier and heavier, stiffens the garment and keeps heat from "
    "the lowest adhesive.",
    instead="knock out what lies hidden, or inset pieces instead of lapping them",
    basis="practice",
    source="common practice, no source",
    good={"fabric": "cotton-jersey-tee", "films": ["matte-smooth", "matte-thin", "sparkle-coarse"]},
    bad={
        "fabric": "cotton-jersey-tee",
        "films": ["matte-smooth", "matte-thin", "matte-thin", "sparkle-coarse"],
    },
    finds=_finds,
)
