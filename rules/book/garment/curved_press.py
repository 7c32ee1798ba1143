"""Rule curved-press: a cap goes on a curved press, and what lies flat does not."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.subjects import GarmentOnPress

__all__ = ["RULE"]


def _finds(job: GarmentOnPress) -> Found | None:
    area, press = job.area, job.press
    if area.curved == press.curved or not any(step.action == "press" for step in job.steps):
        return None
    if area.curved:
        return Found(
            f"the {area.name} of {job.garment.id} is curved, and the platen of {press.id} is flat",
            instead="take a curved press, or press the panel before it is sewn; on a flat press, "
            "sample whether it lies flat without a crease",
        )
    return Found(
        f"the {area.name} of {job.garment.id} lies flat, and the platen of {press.id} is curved",
        instead="take a flat press",
    )


RULE = Rule(
    id="curved-press",
    judges="garment",
    severity="sample",
    summary="A cap goes on a curved press, and what lies flat on a flat one.",
    why="A panel that is bent under a flat platen creases, and its edges get neither heat nor "
    "pressure; so does flat cloth on a curved bed.",
    instead="take the press that the garment fits",
    basis="practice",
    source="common practice, no source",
    good={
        "garment": "cap-panel",
        "press": "cap-16x8",
        "width_mm": 80,
        "height_mm": 40,
        "steps": [full("base")],
    },
    bad={"garment": "cap-panel", "width_mm": 80, "height_mm": 40, "steps": [full("base")]},
    finds=_finds,
)
