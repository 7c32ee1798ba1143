"""Rule lining: a loose lining slips and wrinkles under the print."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.subjects import GarmentOnPress

__all__ = ["RULE"]


def _finds(job: GarmentOnPress) -> Found | None:
    if not job.garment.lined or not any(step.action == "press" for step in job.steps):
        return None
    return Found(f"a loose lining hangs behind the {job.area.name} of {job.garment.id}")


RULE = Rule(
    id="lining",
    judges="garment",
    severity="note",
    summary="The lining of a garment is kept out of the press, or lies smooth under the print.",
    why="A lining that wrinkles under the platen leaves its folds in the print, holds heat back, "
    "and may bear less heat than the shell or stick to it.",
    instead="open the lining and draw the shell alone over the platen; where it does not open, "
    "smooth it, and press a sample if nobody knows what it is made of",
    basis="practice",
    source="common practice, no source",
    good={"garment": "wind-jacket", "steps": [full("base")]},
    bad={"garment": "lined-jacket", "steps": [full("base")]},
    finds=_finds,
)
