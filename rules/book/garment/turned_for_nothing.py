"""Rule turned-for-nothing: a garment is opened where it opens, and before a film lies on it."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, tack
from rules.facts.practice import PROUD_MM
from rules.facts.subjects import GarmentOnPress
from rules.facts.text import step_name

__all__ = ["RULE"]


def _finds(job: GarmentOnPress) -> Found | None:
    # A turn that brings up another print of the garment says which; it opens nothing.
    turns = [i for i, step in enumerate(job.steps) if step.action == "turn" and step.lays is None]
    pressed = [i for i, step in enumerate(job.steps) if step.action == "press"]
    if not turns or not pressed:
        return None
    in_the_area = job.area.obstructions
    last, (first_press, last_press) = turns[-1], (pressed[0], pressed[-1])
    step = job.steps[last]
    if last > first_press:
        later = last < last_press
        return Found(
            "the garment is opened or turned after films were laid on it"
            + (", and is pressed again: they may lie crooked or face down" if later else ""),
            f"{step_name(step.n)}",
            severity="stop" if later else "note",
            instead="open the garment before the preheat, or leave the step out",
        )
    if any(o.opens and o.place != "beside" and o.height_mm > PROUD_MM for o in in_the_area):
        return None
    return Found(
        f"nothing of the {job.area.name} of {job.garment.id} opens: turned over, the print comes "
        "onto the wrong side",
        f"{step_name(step.n)}",
    )


_TEE = {"garment": "adult-tee"}

RULE = Rule(
    id="turned-for-nothing",
    judges="garment",
    severity="stop",
    summary="A garment is opened only where it opens, and before the first film lies on it.",
    why="Whoever follows a step that the garment has no use for turns it over and presses the "
    "wrong side, or moves what is only tacked.",
    instead="leave the step out",
    basis="practice",
    source="common practice, no source",
    good={**_TEE, "steps": [full("base")]},
    bad={**_TEE, "steps": [tack("base"), {"action": "turn"}, full("base")]},
    finds=_finds,
)
