"""Rule pressed-seconds: all presses of a film together stay within what it bears."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, tack
from rules.facts.schedule import ScheduledStep, films_named

__all__ = ["RULE", "SHARE_TO_NOTE"]

SHARE_TO_NOTE = 0.85
"""Share of what a film bears from which it is worth a note. Common practice, no source."""


def _finds(at: ScheduledStep) -> Found | None:
    if at.step.action != "press":
        return None
    return _passes(at, 1.0) or _passes(at, SHARE_TO_NOTE)


def _passes(at: ScheduledStep, share: float) -> Found | None:
    """The film that this very press takes beyond that share of what it bears."""
    films, before, after = at.schedule.films, at.before.pressed_s, at.after.pressed_s
    over = tuple(
        p for p in at.after.down if before.get(p, 0.0) <= share * films[p].bears_s < after[p]
    )
    if not over:
        return None
    worst = max(over, key=lambda piece: after[piece] / films[piece].bears_s)
    bears_s = films[worst].bears_s
    return Found(
        f"{films_named(at.schedule, (worst,))} has then been pressed {after[worst]:g} s in all; "
        f"it bears {bears_s:g} s",
        severity="stop" if share >= 1 else "note",
        instead=f"lay it later, shorten the presses by {after[worst] - bears_s:.0f} s, or take a "
        "film that bears more"
        if share >= 1
        else "add no further press",
    )


RULE = Rule(
    id="pressed-seconds",
    judges="schedule",
    severity="stop",
    summary="The seconds for which a film is pressed add up to no more than it bears.",
    why="Every press of a later piece presses the earlier ones again: they shrink, discolour and "
    "grow brittle.",
    instead="tack instead of pressing in full between layers, and lay what bears least last",
    basis="sheet",
    source="each film's own limit",
    good={"films": {"base": "matte-smooth"}, "steps": [tack("base"), full("base")]},
    bad={
        "films": {"base": {"like": "matte-smooth", "bears_s": 25}},
        "steps": [full("base"), full("base")],
    },
    finds=_finds,
)
