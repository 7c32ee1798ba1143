"""Rule setpoint-change: a new setpoint in mid-schedule costs minutes at the press."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, tack
from rules.facts.schedule import ScheduledStep
from rules.facts.units import show_c

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    was_c, new_c = at.before.setpoint_c, at.after.setpoint_c
    if was_c is None or new_c is None or was_c == new_c:
        return None
    left_c = at.schedule.dial_c
    dialled = left_c is not None or any(step.action == "setpoint" for step in at.earlier)
    if at.closes_hot and dialled:
        return Found(
            f"the dial was set to {show_c(was_c)}, and the press closes at {show_c(new_c)}",
            severity="stop",
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


_TWO = {"films": {"base": "matte-smooth", "top": "sparkle-coarse"}}

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
    good={**_TWO, "steps": [tack("base"), full("base", "top")]},
    bad={**_TWO, "steps": [tack("base"), full("base", "top", setpoint_c=155)]},
    finds=_finds,
)
