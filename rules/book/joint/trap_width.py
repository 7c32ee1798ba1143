"""Rule trap-width: an inset's rim must cover what hand and heat move."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import Joint
from rules.facts.units import show_mm

__all__ = ["INSETS", "RIDGE_FROM_MM", "ROUNDING_MM", "RULE"]

INSETS = ("inset-under", "inset-over")
"""The two ways to knock one piece out and let a rim lap."""

RIDGE_FROM_MM = 3.0
"""A rim wider than this shows as a ridge. Common practice, no source."""

ROUNDING_MM = 1e-6
"""Widths closer than this are alike: sums of tenths do not come out exact in floats."""


def _finds(joint: Joint) -> Found | None:
    if joint.meets not in INSETS:
        return _cut_otherwise(joint) if joint.trap_mm > ROUNDING_MM else None
    needed_mm = joint.shift_mm + joint.shrink_mm
    if not joint.trap_mm >= needed_mm - ROUNDING_MM:
        return Found(
            lambda: (
                f"a trap of {show_mm(joint.trap_mm)} does not cover {show_mm(joint.shift_mm)} of "
                f"laying by hand and {show_mm(joint.shrink_mm)} of shrink"
            ),
            instead=lambda: (
                f"make the trap at least {show_mm(needed_mm)}, or print at the smaller size "
                "where less shrinks"
            ),
            severity="sample",
        )
    widest_mm = max(RIDGE_FROM_MM, needed_mm)
    if joint.trap_mm > widest_mm + ROUNDING_MM:
        return Found(
            lambda: (
                f"a trap of {show_mm(joint.trap_mm)} shows as a ridge; "
                f"{show_mm(needed_mm)} would do"
            ),
            severity="note",
            instead=lambda: (
                f"narrow the trap to between {show_mm(needed_mm)} and {show_mm(widest_mm)}"
            ),
        )
    return None


def _cut_otherwise(joint: Joint) -> Found:
    """Pieces with a window and a rim, laid as if they were whole."""
    return Found(
        lambda: (
            f"the pieces are to {joint.meets}, and are cut for an inset, with a trap of "
            f"{show_mm(joint.trap_mm)}"
        ),
        instead=lambda: (
            f"let them meet as they were planned, or set the trap to {show_mm(0)} and cut both anew"
        ),
    )


_SPARKLE_IN_MATTE = {"upper": "sparkle-coarse", "lower": "matte-smooth", "meets": "inset-over"}

RULE = Rule(
    id="trap-width",
    judges="joint",
    severity="stop",
    summary="An inset's trap covers the shift of laying by hand and the shrink, and little more.",
    why="Too narrow a rim lets the fabric show, or leaves an edge that is not held; too wide a one "
    "is a second layer that stands up as a ridge.",
    instead="make the trap as wide as shift and shrink together",
    basis="practice",
    source="common practice, no source",
    good={**_SPARKLE_IN_MATTE, "trap_mm": 1.0, "shift_mm": 0.5, "shrink_mm": 0.3},
    bad={**_SPARKLE_IN_MATTE, "trap_mm": 0.5, "shift_mm": 0.5, "shrink_mm": 0.3},
    finds=_finds,
)
