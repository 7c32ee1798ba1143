"""Rule cover-exposed-face: faces without their carriers are pressed under a cover sheet."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, tack
from rules.facts.practice import LONGEST_TACK_S
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    step, dwell_s = at.step, at.step.dwell_s or 0.0
    exposed = tuple(p for p in at.after.down if p not in at.after.carriers_on)
    full_press = step.purpose == "full"
    if step.action != "press" or step.cover or not exposed:
        return None
    if not full_press and dwell_s <= LONGEST_TACK_S:
        return None
    return Found(
        f"the open {number(exposed, 'face', 'faces')} of {films_named(at.schedule, exposed)} "
        f"{number(exposed, 'is', 'are')} pressed {dwell_s:g} s against the bare platen",
        severity="stop" if full_press else "sample",
    )


_OVER = {"films": {"base": "matte-smooth", "top": "sparkle-coarse"}, "over": [["top", "base"]]}
_TACKED = [tack("base"), peel("base"), tack("top"), peel("top")]

RULE = Rule(
    id="cover-exposed-face",
    judges="schedule",
    severity="stop",
    summary="Faces whose carriers are off get a cover sheet for any press longer than a tack.",
    why="A bare film sticks to the hot platen, is dragged out of place and takes its marks.",
    instead="lay a cover sheet over the whole print",
    basis="practice",
    source="common practice, no source",
    good={**_OVER, "steps": [*_TACKED, full("base", "top", cover="ptfe-cover")]},
    bad={**_OVER, "steps": [*_TACKED, full("base", "top")]},
    finds=_finds,
)
