"""Rule inset-shape: an inset piece must be more than its rim."""

from rules.book.joint.trap_width import INSETS, ROUNDING_MM
from rules.book.rule import Found, Rule
from rules.facts.subjects import Joint
from rules.facts.units import show_mm

__all__ = ["RULE"]


def _finds(joint: Joint) -> Found | None:
    if joint.meets not in INSETS:
        return None
    window_mm = joint.narrowest_mm - 2 * joint.trap_mm
    stroke_mm, weeds_mm = joint.upper.least_stroke_mm, joint.lower.least_gap_mm
    size = f"{show_mm(joint.narrowest_mm)} at its narrowest less a {show_mm(joint.trap_mm)} rim"
    if not window_mm >= stroke_mm - ROUNDING_MM:
        return Found(
            lambda: (
                f"{joint.upper.id} is {size} on either side: {show_mm(max(window_mm, 0))} is left "
                f"within the rim, and it holds from {show_mm(stroke_mm)}"
            ),
            instead=lambda: (
                f"make it at least {show_mm(2 * joint.trap_mm + stroke_mm)} wide, narrow the "
                "trap, or lap it over a face that takes film"
            ),
        )
    if window_mm < weeds_mm - ROUNDING_MM:
        return Found(
            lambda: (
                f"{joint.upper.id} is {size} on either side: the window in {joint.lower.id} is "
                f"{show_mm(window_mm)}, and it weeds from {show_mm(weeds_mm)}"
            ),
            severity="sample",
            instead=lambda: (
                f"make it at least {show_mm(2 * joint.trap_mm + weeds_mm)} wide, or cut and "
                "weed a trial window"
            ),
        )
    return None


_TEXT_IN_SPARKLE = {
    "upper": {"like": "matte-smooth", "least_stroke_mm": 1},
    "lower": {"like": "sparkle-coarse", "least_gap_mm": 1.5},
    "meets": "inset-under",
    "trap_mm": 0.8,
}

RULE = Rule(
    id="inset-shape",
    judges="joint",
    severity="stop",
    summary="An inset piece, rim included, is wider than its two rims and what both films weed.",
    why="When the rim is all there is, the piece rests on the edges of the other film alone, and "
    "the window that should let it through cannot be weeded.",
    instead="enlarge the piece, narrow the trap, or let the pieces lap",
    basis="practice",
    source="common practice, no source; the films' own least stroke and gap",
    good={**_TEXT_IN_SPARKLE, "narrowest_mm": 6},
    bad={**_TEXT_IN_SPARKLE, "narrowest_mm": 2},
    finds=_finds,
)
