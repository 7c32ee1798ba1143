"""Rule press-range: the press can be set to what the schedule asks for."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.schedule import ScheduledStep
from rules.facts.units import show_by_c, show_c

__all__ = ["RULE"]

SAME_C = 0.1
"""Closer than a dial can be read: a setpoint in °F is written in tenths of °C."""


def _finds(at: ScheduledStep) -> Found | None:
    return _setpoint(at) or _pressure(at)


def _pressure(at: ScheduledStep) -> Found | None:
    """What the press closes with counts: a knob set in between presses nothing."""
    kpa, press = at.after.pressure_kpa, at.schedule.press
    closed = [
        one.after.pressure_kpa for one in at.schedule.scheduled[: at.position] if one.closes_hot
    ]
    # One written otherwise than it was set is another rule's: ``pressure-window``.
    if at.pressure_set_kpa not in {None, kpa}:
        return None
    if kpa is None or not at.closes_hot or closed[-1:] == [kpa] or press.gives_kpa(kpa):
        return None
    lowest_kpa, highest_kpa = press.pressures_kpa[0], press.pressures_kpa[-1]
    return Found(
        f"{press.id} gives {lowest_kpa:.0f} to {highest_kpa:.0f} kPa on the platen, not "
        f"{kpa:.0f} kPa",
        instead=f"set it to {press.pressure_words(kpa)}, or take another press",
    )


def _setpoint(at: ScheduledStep) -> Found | None:
    setpoint_c, press = at.after.setpoint_c, at.schedule.press
    if setpoint_c is None or setpoint_c == at.before.setpoint_c:
        return None
    # Likewise ``setpoint-change``.
    if at.closes_hot and at.dial_set_c not in {None, setpoint_c}:
        return None
    if not press.setpoint_low_c <= setpoint_c <= press.setpoint_high_c:
        return Found(
            f"{press.id} goes from {show_c(press.setpoint_low_c)} to "
            f"{show_c(press.setpoint_high_c)}, not to {show_c(setpoint_c)}",
            instead="take another press, or films that bond within its range",
        )
    nearest_c = press.dial_c(press.dial_step(setpoint_c))
    if abs(nearest_c - setpoint_c) < SAME_C:
        return None
    return Found(
        f"the dial of {press.id} goes in steps of {show_by_c(press.setpoint_step_c)} and cannot "
        f"show {show_c(setpoint_c):g}",
        severity="note",
        instead=f"set {show_c(nearest_c):g}",
    )


_MATTE = {"films": {"base": "matte-smooth"}}

RULE = Rule(
    id="press-range",
    judges="schedule",
    severity="stop",
    summary="The press can be set to the setpoint and to the pressure.",
    why="A press that cannot reach the setpoint does not bond the film, however long it stays "
    "closed; nor does one that cannot press as firmly as the steps say.",
    instead="take another press, or other films",
    basis="sheet",
    source="the press's own ranges and step",
    good={**_MATTE, "steps": [full("base", setpoint_c=160)]},
    bad={
        **_MATTE,
        "press": {"like": "clamshell-38x38", "setpoint_high_c": 150},
        "steps": [full("base", setpoint_c=160)],
    },
    finds=_finds,
)
