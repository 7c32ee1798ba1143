"""Rule setpoint-change: the dial is set to what the presses say; a new setpoint costs minutes."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, tack
from rules.facts.schedule import ScheduledStep
from rules.facts.units import show_c

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    was_c, new_c = _dial_c(at), at.after.setpoint_c
    if at.closes_hot and at.step.setpoint_c is None:
        return Found(
            "the press closes, and nothing says at what setpoint",
            instead="write the setpoint in the step"
            + ("" if was_c is None else f"; the dial is at {show_c(was_c)}"),
        )
    if new_c is None or was_c == new_c:
        return None
    if was_c is None:
        if not at.closes_hot:
            return None
        return Found(
            f"the press closes at {show_c(new_c)}, and no step before it sets the dial",
            instead=f"begin by setting the dial to {show_c(new_c)}",
        )
    if at.closes_hot:
        return Found(
            f"the dial was set to {show_c(was_c)}, and the press closes at {show_c(new_c)}",
            instead=f"write the same setpoint in both, or set the dial to {show_c(new_c)} first",
        )
    if not any(step.action in {"press", "preheat"} for step in at.earlier):
        return None
    press = at.schedule.press
    rate = press.heats_c_per_min if new_c > was_c else press.cools_c_per_min
    minutes = abs(new_c - was_c) / rate
    return Found(
        f"the setpoint goes from {show_c(was_c)} to {show_c(new_c)}, about {minutes:.1f} min on "
        f"{press.id}",
        severity="note",
    )


def _dial_c(at: ScheduledStep) -> float | None:
    """What the dial says before a step, °C."""
    if at.dial_set_c is not None:
        return at.dial_set_c
    left_c = at.schedule.dial_c
    return at.before.setpoint_c if left_c is None else left_c


_TWO = {"films": {"base": "matte-smooth", "top": "sparkle-coarse"}}
_DIAL = {"action": "setpoint", "setpoint_c": 160}

RULE = Rule(
    id="setpoint-change",
    judges="schedule",
    severity="stop",
    summary="One setpoint serves the whole schedule, and the dial is set to what the presses say.",
    why="A platen takes minutes to heat and longer to cool, and pressing before it has settled "
    "spoils the garment.",
    instead="wait until the platen has settled, press a whole batch at each setpoint, or take "
    "films that share one",
    basis="practice",
    source="common practice, no source; minutes from the press's own heating and cooling rate",
    good={**_TWO, "steps": [_DIAL, tack("base"), full("base", "top")]},
    bad={**_TWO, "steps": [_DIAL, full("base", "top", setpoint_c=155)]},
    finds=_finds,
)
