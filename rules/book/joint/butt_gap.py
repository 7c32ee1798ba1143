"""Rule butt-gap: two pieces laid edge to edge show a hairline, and must not overlap by accident."""

from rules.book.joint.trap_width import ROUNDING_MM
from rules.book.rule import Found, Rule
from rules.facts.subjects import Joint
from rules.facts.units import show_mm

__all__ = ["RULE", "WIDEST_HAIRLINE_MM"]

WIDEST_HAIRLINE_MM = 1.5
"""Fabric seen between two pieces that are meant to touch. Common practice, no source."""


def _finds(joint: Joint) -> Found | None:
    if joint.meets != "butt":
        return None
    moves_mm = joint.shift_mm + joint.shrink_mm
    widest_mm = joint.gap_mm + moves_mm
    instead = f"inset one with a trap of at least {show_mm(moves_mm)}"
    if not joint.gap_mm >= moves_mm - ROUNDING_MM:
        refusing = [f.id for f in (joint.upper, joint.lower) if f.takes_film_on_top != "yes"]
        harm = f", on a face that may refuse it ({', '.join(refusing)})" if refusing else ""
        bare = not joint.gap_mm > ROUNDING_MM
        gap = "no gap" if bare else f"a gap of {show_mm(joint.gap_mm)}"
        shows = "; where it does not, the fabric shows" if bare else ""
        return Found(
            lambda: (
                f"{gap} is less than the {show_mm(moves_mm)} that the pieces move: one may lap "
                f"over the other{harm}{shows}"
            ),
            severity="sample" if refusing or bare else "note",
            instead=lambda: f"leave a gap of {show_mm(moves_mm)}, or {instead}",
        )
    if widest_mm > WIDEST_HAIRLINE_MM + ROUNDING_MM:
        return Found(
            lambda: (
                f"a gap of {show_mm(joint.gap_mm)} can open to {show_mm(widest_mm)} and show "
                "the fabric"
            ),
            instead=instead,
        )
    return Found(
        lambda: (
            f"a gap of {show_mm(joint.gap_mm)} shows as a hairline, up to {show_mm(widest_mm)} wide"
        ),
        severity="note",
        instead=lambda: f"{instead} if the line would be seen",
    )


RULE = Rule(
    id="butt-gap",
    judges="joint",
    severity="sample",
    summary="Pieces that butt keep a gap wider than they move, and no wider than a hairline.",
    why="Hand and heat move every edge a little. With too small a gap the pieces lap by accident, "
    "perhaps on a face that refuses film; with too wide a one the fabric shows. A line always "
    "shows.",
    instead="inset one of them with a trap",
    basis="practice",
    source="common practice, no source",
    good={
        "upper": "sparkle-coarse",
        "lower": "matte-smooth",
        "meets": "inset-over",
        "trap_mm": 0.8,
    },
    bad={"upper": "sparkle-coarse", "lower": "sparkle-fine", "meets": "butt", "gap_mm": 0.2},
    finds=_finds,
)
