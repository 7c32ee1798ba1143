"""Rule registration-shrink: pieces do not shrink away from what is laid on them."""

import math
from collections.abc import Mapping

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, tack
from rules.facts.practice import LAP_SHIFT_MM, TACK_S
from rules.facts.schedule import Schedule, ScheduledStep, films_named
from rules.facts.units import show_mm

__all__ = ["RULE", "edge_shift_mm"]


def edge_shift_mm(
    *, percent_per_s: float, grace_s: float, above_onset_s: float, size_mm: float
) -> float:
    """How far a piece's edge draws in, mm: percent per second beyond the grace, over half its size.

    Args:
        percent_per_s: shrink of the film, % per second.
        grace_s: seconds above the onset that it bears first, s.
        above_onset_s: seconds pressed above its shrink onset, s.
        size_mm: the largest extent of the piece, mm; its middle stays, so half of it moves.

    >>> edge_shift_mm(percent_per_s=0.1, grace_s=5, above_onset_s=15, size_mm=200)
    1.0
    >>> edge_shift_mm(percent_per_s=0.1, grace_s=5, above_onset_s=2, size_mm=200)
    0.0
    """
    percent = percent_per_s * max(0.0, above_onset_s - grace_s)
    return percent / 100 * size_mm / 2


def _finds(at: ScheduledStep) -> Found | None:
    if at.step.action != "press":
        return None
    schedule, trap_mm = at.schedule, at.schedule.trap_mm
    limit_mm = trap_mm if trap_mm > 0 else LAP_SHIFT_MM
    for piece in at.after.down:
        # Once all that lies on a piece is down, they are held together and shrink as one.
        if all(upper in at.after.down for upper in schedule.lies_under(piece)):
            continue
        was_mm = _shift_mm(schedule, piece, at.before.above_onset_s)
        shift_mm = _shift_mm(schedule, piece, at.after.above_onset_s)
        if was_mm <= limit_mm < shift_mm:
            hides = "that the trap hides" if trap_mm > 0 else "that goes unseen"
            return Found(
                f"the edge of {films_named(schedule, (piece,))} draws in {show_mm(shift_mm):.2f} "
                f"before the next piece is laid on it, more than the {show_mm(limit_mm):g} {hides}",
                severity="stop" if shift_mm > 2 * limit_mm else "sample",
                instead=f"tack it about {TACK_S:g} s instead"
                + (
                    f", or trap at least {show_mm(math.ceil(10 * shift_mm) / 10):g}"
                    if trap_mm
                    else ""
                ),
            )
    return None


def _shift_mm(schedule: Schedule, piece: str, above_onset_s: Mapping[str, float]) -> float:
    shrink = schedule.films[piece].shrink
    return edge_shift_mm(
        percent_per_s=shrink.percent_per_s,
        grace_s=shrink.grace_s,
        above_onset_s=above_onset_s.get(piece, 0.0),
        size_mm=schedule.size_mm.get(piece, 0.0),
    )


_SHRINKS = {"onset_c": 150, "percent_per_s": 0.1, "grace_s": 4}
_BIG = {
    "films": {"base": {"like": "matte-smooth", "shrink": _SHRINKS}, "top": "sparkle-coarse"},
    "over": [["top", "base"]],
    "size_mm": {"base": 250},
}

RULE = Rule(
    id="registration-shrink",
    judges="schedule",
    severity="stop",
    summary="A piece shrinks by less than what its trap hides before the next one is laid on it.",
    why="The next piece was cut to the size that was drawn; over a piece that has drawn in, it "
    "hangs over the edge or leaves a gap.",
    instead="tack instead of pressing in full, or trap more",
    basis="physics",
    source="shrink in percent times half the piece's size; each film's own shrink rate",
    good={**_BIG, "steps": [tack("base"), tack("top"), full("base", "top")]},
    bad={**_BIG, "steps": [full("base"), tack("top")]},
    finds=_finds,
)
