"""Rule unattended-press: a long press or wait tempts one to leave a hot press alone."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, wait
from rules.facts.practice import LONG_UNATTENDED_S
from rules.facts.subjects import Pressing
from rules.facts.text import step_name
from rules.facts.units import show_s

__all__ = ["RULE"]


def _finds(job: Pressing) -> Found | None:
    under = [s for s in job.steps if s.action in _UNDER and not s.off_press]
    longest = max(under, key=lambda step: step.dwell_s or 0.0, default=None)
    if longest is None or (longest.dwell_s or 0.0) <= LONG_UNATTENDED_S:
        return None
    lies, lasts = _UNDER[longest.action], show_s(longest.dwell_s or 0.0)
    return Found(f"{lies} for {lasts}", f"{step_name(longest.n)}")


_UNDER = {
    "press": "the press is closed",
    "preheat": "the press is closed",
    "wait": "the garment lies under the open press",
}


RULE = Rule(
    id="unattended-press",
    judges="safety",
    severity="note",
    summary="Nobody leaves a hot press that is closed, or a garment under an open one.",
    why="A press that does not open, or a garment left under it, scorches and can catch fire.",
    instead="stay beside it, let a garment cool off the press, use a press that opens by itself, "
    "and keep to local fire rules",
    basis="practice",
    source="common practice, no source",
    good={"films": ["matte-smooth"], "steps": [full("base"), wait(120, off_press=True)]},
    bad={"films": ["matte-smooth"], "steps": [full("base", dwell_s=120)]},
    finds=_finds,
)
