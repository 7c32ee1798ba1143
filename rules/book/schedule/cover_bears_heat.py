"""Rule cover-bears-heat: cover sheet and pad bear the setpoint."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.schedule import ScheduledStep
from rules.facts.units import show_c

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    setpoint_c = at.after.setpoint_c
    if not at.closes_hot or setpoint_c is None:
        return None
    used = [sheet for sheet in (at.step.cover, at.before.pad) if sheet]
    known = [at.schedule.sheets[name] for name in used if name in at.schedule.sheets]
    for sheet in known:
        if setpoint_c > sheet.highest_c:
            return Found(
                f"{sheet.id} bears {show_c(sheet.highest_c)}, not {show_c(setpoint_c)}",
                instead=f"take a {sheet.kind} that bears {show_c(setpoint_c)}, or press cooler",
            )
    for name in used:
        if name not in at.schedule.sheets:
            return Found(
                f"no sheet is called {name!r}, so what heat it bears is not known",
                severity="sample",
                instead=f"press a sample with it at {show_c(setpoint_c)}, or enter its highest "
                "temperature",
            )
    return None


_MATTE = {"films": {"base": "matte-smooth"}}

RULE = Rule(
    id="cover-bears-heat",
    judges="schedule",
    severity="stop",
    summary="The cover sheet and the pad bear the setpoint.",
    why="Past its limit a sheet softens, sticks to the print or gives off fumes.",
    instead="take a sheet that bears the heat",
    basis="sheet",
    source="each sheet's own highest temperature",
    good={**_MATTE, "steps": [full("base", cover="ptfe-cover")]},
    bad={**_MATTE, "steps": [full("base", cover="paper-of-unknown-make")]},
    finds=_finds,
)
