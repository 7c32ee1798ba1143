"""Rule hot-surface: bare skin and a hot platen, in seconds of contact."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.subjects import Pressing
from rules.facts.units import show_c, show_s

__all__ = ["BURNS_C", "RULE"]

BURNS_C = ((65.0, 1.0), (55.0, 10.0), (51.0, 60.0), (48.0, 600.0))
"""Bare metal at this temperature (°C) burns skin in this contact time (s), hottest first; from
memory of ISO 13732-1."""


def _finds(job: Pressing) -> Found | None:
    hottest_c = job.hottest_c
    burns = [(limit_c, seconds) for limit_c, seconds in BURNS_C if hottest_c >= limit_c]
    if not burns:
        return None
    limit_c, contact_s = burns[0]
    return Found(
        f"the platen is at {show_c(hottest_c)}; bare metal from {show_c(limit_c)} burns skin "
        f"within {show_s(contact_s)} of contact",
        f"platen at {show_c(hottest_c)}",
    )


RULE = Rule(
    id="hot-surface",
    judges="safety",
    severity="note",
    summary="Keep bare skin off the platen, the cover sheet and the film just pressed.",
    why="A burn takes less time than pulling the hand back.",
    instead="wear heat-resistant gloves when peeling hot, keep children away, and follow the press "
    "manual and local work-safety rules",
    basis="memory",
    source="burn thresholds for bare metal, ISO 13732-1, from memory",
    good={"films": ["matte-smooth"], "steps": []},
    bad={"films": ["matte-smooth"], "steps": [full("base")]},
    finds=_finds,
)
