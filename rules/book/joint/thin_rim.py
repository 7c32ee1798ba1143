"""Rule thin-rim: a rim of one film round another is wider than hands miss."""

from rules.book.joint.trap_width import ROUNDING_MM
from rules.book.rule import Found, Rule
from rules.facts.subjects import Joint
from rules.facts.text import piece_name
from rules.facts.units import show_mm

__all__ = ["RULE"]

CUT_IN_ONE = ("inset-under", "butt")
"""The ways in which both edges of the rim are cut in the lower film, so that hands move neither."""


def _finds(joint: Joint) -> Found | None:
    misses_mm, rim_mm = joint.shift_mm, joint.rim_mm
    if rim_mm >= misses_mm - ROUNDING_MM:
        return None
    upper, lower = joint.pieces or (joint.upper.id, joint.lower.id)
    if joint.meets in CUT_IN_ONE:
        if rim_mm >= joint.lower.least_stroke_mm:
            return None
        return Found(
            lambda: (
                f"all that is cut of {piece_name(lower)} round {piece_name(upper)} is a rim of "
                f"{show_mm(rim_mm):.2g}, and {joint.lower.id} weeds from "
                f"{show_mm(joint.lower.least_stroke_mm):g}"
            ),
            instead=lambda: (
                f"draw the rim at least {show_mm(joint.lower.least_stroke_mm):g} wide, or lap "
                "the upper piece over the whole lower one"
            ),
        )
    return Found(
        lambda: (
            f"a rim of {show_mm(rim_mm):.2g} of {piece_name(lower)} is to show round "
            f"{piece_name(upper)}; laid by hand to {show_mm(misses_mm):g} it comes out from "
            f"nothing to {show_mm(rim_mm + misses_mm):.2g}"
        ),
        instead=lambda: (
            f"draw the rim at least {show_mm(2 * misses_mm):g} wide, let the upper piece cover it, "
            "or see on a sample whether it will do"
        ),
    )


_DISC = {"upper": "matte-smooth", "lower": "satin-smooth", "meets": "lap"}

RULE = Rule(
    id="thin-rim",
    judges="joint",
    severity="sample",
    summary="What shows of a film as a rim round another is wider than hands miss.",
    why="The film above is laid by hand: where it lies off by as much as the rim is wide, the rim "
    "is gone on one side and twice as wide on the other, and that is what a customer sees.",
    instead="widen the rim, or let the upper piece cover it",
    basis="practice",
    source="common practice, no source",
    good={**_DISC, "rim_mm": 1.0},
    bad={**_DISC, "rim_mm": 0.2},
    finds=_finds,
)
