"""Rule sheet-covers-print: cover sheet and pad are as large as the print, a pad fits its bed."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.subjects import GarmentOnPress
from rules.facts.text import step_name
from rules.facts.units import show_size

__all__ = ["RULE"]


def _finds(job: GarmentOnPress) -> Found | None:
    sheets = {sheet.id: sheet for sheet in job.sheets}
    pad, size = None, show_size(job.width_mm, job.height_mm)
    bed_mm = (job.press.platen_width_mm, job.press.platen_depth_mm)
    for step in job.steps:
        if step.action == "pad":
            pad = None if step.pad == "out" else step.pad
        if step.action != "press":
            continue
        for name in (step.cover, pad):
            sheet = sheets.get(name or "")
            if sheet is None:
                continue
            sheet_size = show_size(sheet.width_mm, sheet.depth_mm)
            if not sheet.covers(job.width_mm, job.height_mm):
                return Found(
                    f"{sheet.id} is {sheet_size}; the print is {size}",
                    f"{step_name(step.n)}",
                    instead=f"take a {sheet.kind} of at least {size}",
                )
            if sheet.kind == "pad" and not sheet.lies_on(*bed_mm):
                return Found(
                    f"{sheet.id} is {sheet_size} and hangs over the {show_size(*bed_mm)} bed of "
                    f"{job.press.id}",
                    f"{step_name(step.n)}",
                    instead=f"take a pad that lies on the bed and is at least {size}, or cut one",
                )
    return None


_TEE = {"garment": "adult-tee", "width_mm": 250, "height_mm": 250}

RULE = Rule(
    id="sheet-covers-print",
    judges="garment",
    severity="sample",
    summary="Cover sheet and pad are at least as large as the print, and a pad lies on its bed.",
    why="Beyond the edge of a cover the face meets the bare platen, and beyond the edge of a pad "
    "it gets no pressure; either edge leaves a line. A pad that hangs over the bed bends there, "
    "and the garment creases under the platen.",
    instead="take a larger sheet, and a pad no larger than the bed",
    basis="practice",
    source="common practice, no source; each sheet's own size",
    good={**_TEE, "steps": [full("base", cover="ptfe-cover")]},
    bad={**_TEE, "steps": [full("base", cover="small-ptfe-cover")]},
    finds=_finds,
)
