"""Rule tone-on-tone: a plain film in the garment's own colour is seen by its sheen alone.

A reflective one is seen at night alone.
"""

from rules.book.colour_difference import colour_difference
from rules.book.rule import Found, Rule
from rules.facts.subjects import SeenAgainst

__all__ = ["RULE", "TONE_BELOW_DELTA_E"]

TONE_BELOW_DELTA_E = 10.0
"""CIEDE2000 below which film and garment are one tone across a room. Value from memory."""

PLAIN_BY_DAY = frozenset({"matte", "satin", "gloss", "reflective"})
"""Finishes that nothing but colour and a little sheen tells from cloth in daylight: a reflective
film is a dull grey or black then. Common practice, no source."""


def _finds(seen: SeenAgainst) -> Found | None:
    if seen.letters or seen.ground_film is not None:
        return None
    if not PLAIN_BY_DAY.issuperset(seen.film.finishes):
        return None
    delta_e = colour_difference(seen.colour.srgb, seen.ground_colour.srgb)
    if delta_e >= TONE_BELOW_DELTA_E:
        return None
    by = (
        "at night alone, in light that comes from where one stands"
        if "reflective" in seen.film.finishes
        else "by its sheen alone"
    )
    return Found(
        lambda: (
            f"{seen.named} in {seen.colour.name} has the colour of {seen.ground} (ΔE "
            f"{delta_e:.0f}): tone on tone, seen {by}"
        )
    )


RULE = Rule(
    id="tone-on-tone",
    judges="seen",
    severity="note",
    summary="A plain film differs from the garment it is seen against, unless that is wanted.",
    why="Some customers ask for just that look; others thought of another garment. Asking costs a "
    "minute, a print that nobody sees costs the garment.",
    instead="ask the customer whether that is meant; otherwise another colour, a finish that "
    "catches light, or another garment",
    basis="memory",
    source="CIEDE2000 (Sharma, Wu & Dalal 2005); the threshold from memory",
    good={
        "piece": "anchor",
        "film": "matte-smooth",
        "colour": {"name": "white", "srgb": "#fbfbf8"},
        "ground": "cotton-jersey-tee",
        "ground_colour": {"name": "navy", "srgb": "#1b2a49"},
    },
    bad={
        "piece": "anchor",
        "film": "matte-smooth",
        "colour": {"name": "navy", "srgb": "#1b2a49"},
        "ground": "cotton-jersey-tee",
        "ground_colour": {"name": "navy", "srgb": "#1e2b48"},
    },
    finds=_finds,
)
