"""Rule unattended-press: long presses and waits tempt one to leave a hot press alone."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, wait
from rules.facts.practice import LONG_UNATTENDED_S
from rules.facts.subjects import Pressing
from rules.facts.units import show_s

__all__ = ["RULE"]


def _finds(job: Pressing) -> Found | None:
    idle = [s for s in job.steps if s.action in {"press", "preheat", "wait"}]
    longest = max(idle, key=lambda step: step.dwell_s or 0.0, default=None)
    hot = any(step.setpoint_c is not None for step in job.steps)
    if longest is None or not hot or (longest.dwell_s or 0.0) <= LONG_UNATTENDED_S:
        return None
    doing = "waits" if longest.action == "wait" else "presses"
    return Found(
        f"step {longest.n} {doing} for {show_s(longest.dwell_s or 0.0)} beside a hot platen",
        f"step {longest.n}",
    )


RULE = Rule(
    id="unattended-press",
    judges="safety",
    severity="note",
    summary="Nobody leaves a hot press, closed or open, during a long press or wait.",
    why="A press that does not open, or a garment left under it, scorches and can catch fire.",
    instead="stay beside it, use a press that opens by itself, and keep to local fire rules",
    basis="practice",
    source="common practice, no source",
    good={"films": ["matte-smooth"], "steps": [full("base"), wait(45)]},
    bad={"films": ["matte-smooth"], "steps": [full("base"), wait(120)]},
    finds=_finds,
)
