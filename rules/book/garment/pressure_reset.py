"""Rule pressure-reset: the pressure is set again when a pad goes in or comes out."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, tack
from rules.facts.subjects import GarmentOnPress
from rules.facts.text import step_name

__all__ = ["RULE"]


def _finds(job: GarmentOnPress) -> Found | None:
    changed = None
    for step in job.steps:
        if step.action == "pad":
            changed = step
        elif step.action == "pressure":
            changed = None
        elif step.action in {"press", "preheat"} and changed is not None:
            out = changed.pad in {None, "out"}
            moved = "the pad comes out" if out else f"{changed.pad} goes in"
            return Found(
                f"{moved}, and the pressure stays as it was for {step_name(step.n)}",
                f"{step_name(step.n)}",
                instead=f"set the pressure again once {moved}, with everything in place",
            )
    return None


_TEE = {"garment": "adult-tee"}
_IN = {"action": "pad", "pad": "foam-pad-small"}
_SET = {"action": "pressure", "pressure_kpa": 30}

RULE = Rule(
    id="pressure-reset",
    judges="garment",
    severity="sample",
    summary="The pressure is set again whenever the thickness under the platen has changed.",
    why="A pad fills the gap between the platens: the same knob then presses much harder, and "
    "without it hardly at all.",
    instead="set the pressure again with everything in place",
    basis="practice",
    source="common practice, no source",
    good={**_TEE, "steps": [_IN, _SET, tack("base"), full("base")]},
    bad={**_TEE, "steps": [_SET, _IN, tack("base"), full("base")]},
    finds=_finds,
)
