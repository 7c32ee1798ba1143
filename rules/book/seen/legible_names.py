"""Rule legible-names: a name is lighter or darker than what lies under each of its letters."""

from math import floor

from rules.book.lightness import lightness
from rules.book.rule import Found, Rule
from rules.facts.subjects import SeenAgainst
from rules.facts.text import piece_name

__all__ = ["READ_FROM", "RULE", "UNREADABLE_BELOW"]

READ_FROM = 30.0
"""Steps of lightness between letters and their ground from which they are read across a room.
Generic."""

UNREADABLE_BELOW = 10.0
"""Steps of lightness below which letters are guessed at even close by. Generic."""


def _finds(seen: SeenAgainst) -> Found | None:
    if not seen.letters or "clear" in seen.film.finishes:
        return None
    name, ground = lightness(seen.colour.srgb), lightness(seen.ground_colour.srgb)
    apart = abs(name - ground)
    if apart >= READ_FROM:
        return None
    on = piece_name(seen.ground) if seen.ground_film is not None else seen.ground
    lighter = "darker" if ground >= 50 else "lighter"
    return Found(
        lambda: (
            f"{seen.named} in {seen.colour.name} on {on} in {seen.ground_colour.name} differ by "
            # Rounded down, so that what is told lies below the limit as what is judged does.
            f"{floor(apart)} of 100 steps of lightness; letters are read from {READ_FROM:.0f}"
        ),
        severity="stop" if apart < UNREADABLE_BELOW else "sample",
        instead=lambda: (
            f"take a {lighter} colour for {seen.named}, set them elsewhere, or lay a plain piece "
            "under them"
        ),
    )


RULE = Rule(
    id="legible-names",
    judges="seen",
    severity="stop",
    summary="Names are lighter or darker than what lies under each of their letters.",
    why="Letters are read by lightness; hue alone does not part them from their ground, and a name "
    "that nobody reads is a spoiled garment.",
    instead="take a lighter or darker colour for the names",
    basis="generic",
    source="lightness of ISO/CIE 11664-4; thresholds generic",
    good={
        "piece": "names",
        "film": "matte-smooth",
        "colour": {"name": "white", "srgb": "#fbfbf8"},
        "ground": "cotton-jersey-tee",
        "ground_colour": {"name": "navy", "srgb": "#1b2a49"},
        "letters": True,
    },
    bad={
        "piece": "names",
        "film": "matte-smooth",
        "colour": {"name": "black", "srgb": "#1a1a1c"},
        "ground": "cotton-jersey-tee",
        "ground_colour": {"name": "navy", "srgb": "#1b2a49"},
        "letters": True,
    },
    finds=_finds,
)
