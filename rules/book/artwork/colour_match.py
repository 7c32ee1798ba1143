"""Rule colour-match: the film's colour is near the one wanted."""

from rules.book.colour_difference import colour_difference
from rules.book.rule import Found, Rule
from rules.facts.finding import Severity
from rules.facts.subjects import ArtworkPiece

__all__ = ["ANOTHER_COLOUR_DELTA_E", "RULE", "SEEN_DELTA_E", "named_alike"]

SEEN_DELTA_E = 5.0
"""CIEDE2000 from which two colours differ at a glance. Value from memory."""

ANOTHER_COLOUR_DELTA_E = 20.0
"""CIEDE2000 from which people give the two colours different names. Value from memory."""


def named_alike(one: str, other: str) -> bool:
    """Whether people call two sRGB colours by one name.

    >>> named_alike("#b1202c", "#7d1f2d"), named_alike("#b1202c", "#ffffff")
    (True, False)
    """
    return colour_difference(one, other) < ANOTHER_COLOUR_DELTA_E


def _finds(piece: ArtworkPiece) -> Found | None:
    if piece.delta_e is None or piece.delta_e < SEEN_DELTA_E:
        return None
    if "clear" in piece.film.finishes:
        return Found(
            f"{piece.film.id} is clear: {piece.fill} shows what lies below it, not the colour it "
            "is drawn in",
            f"{piece.fill}",
            severity="note",
            instead="a film of that colour, if the colour is meant to be seen",
        )
    severity: Severity = "sample" if piece.delta_e >= ANOTHER_COLOUR_DELTA_E else "note"
    if "reflective" in piece.film.finishes:
        # Whatever it sends back at night. Common practice, no source.
        return Found(
            f"by day {piece.film.id} shows its own dull colour, which differs from the one wanted "
            f"by ΔE {piece.delta_e:.0f} (seen at a glance from {SEEN_DELTA_E:.0f}); it shines only "
            "in light that comes from where one stands",
            f"{piece.fill}",
            severity=severity,
            instead="draw it in the film's own colour and show the customer that, or keep the "
            "colour in a plain film and lay reflective beside it",
        )
    return Found(
        f"its colour in {piece.film.id} differs from the one wanted by ΔE "
        f"{piece.delta_e:.0f} (seen at a glance from {SEEN_DELTA_E:.0f})",
        f"{piece.fill}",
        severity=severity,
    )


RULE = Rule(
    id="colour-match",
    judges="artwork",
    severity="sample",
    summary="The film comes in a colour near the one wanted.",
    why="Films come in the colours they come in: a customer who sees another shade sends it back.",
    instead="show the customer the film's own colour, or wish for a colour that is on the shelf",
    basis="memory",
    source="CIEDE2000 (Sharma, Wu & Dalal 2005); the two thresholds from memory",
    good={"piece": "sun", "film": "matte-smooth", "width_mm": 60, "height_mm": 60, "delta_e": 1.5},
    bad={"piece": "sun", "film": "matte-smooth", "width_mm": 60, "height_mm": 60, "delta_e": 12},
    finds=_finds,
)
