"""Sample steps: short ways to write press steps down in the examples of rules."""

from __future__ import annotations

from typing import Any

__all__ = ["full", "peel", "preheat", "tack", "wait"]

Written = dict[str, Any]


def preheat(*, setpoint_c: float = 160, dwell_s: float = 4) -> Written:
    """A press of the bare garment."""
    return {"action": "preheat", "setpoint_c": setpoint_c, "dwell_s": dwell_s}


def tack(*pieces: str, setpoint_c: float = 160, dwell_s: float = 2, **more: Any) -> Written:
    """A short press that only grabs."""
    step = {"action": "press", "purpose": "tack", "pieces": list(pieces)}
    return {**step, "setpoint_c": setpoint_c, "dwell_s": dwell_s, **more}


def full(*pieces: str, setpoint_c: float = 160, dwell_s: float = 15, **more: Any) -> Written:
    """A full press that finishes ``pieces``; ``cover`` names the sheet over the print."""
    step = {"action": "press", "purpose": "full", "pieces": list(pieces)}
    return {**step, "setpoint_c": setpoint_c, "dwell_s": dwell_s, **more}


def peel(*pieces: str, how: str = "hot") -> Written:
    """Carriers coming off."""
    return {"action": "peel", "pieces": list(pieces), "peel": how}


def wait(dwell_s: float, *, off_press: bool = False) -> Written:
    """Time with the press open, or off the press, in seconds."""
    return {"action": "wait", "dwell_s": dwell_s, **({"off_press": True} if off_press else {})}
