"""Rule sheet-covers-print: cover sheet and pad are as large as the print."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.sheet import Sheet
from rules.facts.subjects import GarmentOnPress
from rules.facts.units import show_size

__all__ = ["RULE"]


def _finds(job: GarmentOnPress) -> Found | None:
    sheets = {sheet.id: sheet for sheet in job.sheets}
    pad, size = None, show_size(job.width_mm, job.height_mm)
    for step in job.steps:
        if step.action == "pad":
            pad = None if step.pad == "out" else step.pad
        if step.action != "press":
            continue
        for name in (step.cover, pad):
            sheet = sheets.get(name or "")
            if sheet is not None and not _is_as_large(sheet, job.width_mm, job.height_mm):
                return Found(
                    f"{sheet.id} is {show_size(sheet.width_mm, sheet.depth_mm)}; "
                    f"the print is {size}",
                    f"step {step.n}",
                    instead=f"take a {sheet.kind} of at least {size}",
                )
    return None


def _is_as_large(sheet: Sheet, width_mm: float, height_mm: float) -> bool:
    straight = sheet.width_mm >= width_mm and sheet.depth_mm >= height_mm
    return straight or (sheet.width_mm >= height_mm and sheet.depth_mm >= width_mm)


_TEE = {"garment": "adult-tee", "width_mm": 250, "height_mm": 250}

RULE = Rule(
    id="sheet-covers-print",
    judges="garment",
    severity="sample",
    summary="Cover sheet and pad are at least as large as the print.",
    why="Beyond the edge of a cover the face meets the bare platen, and beyond the edge of a pad "
    "it gets no pressure; either edge leaves a line.",
    instead="take a larger sheet",
    basis="practice",
    source="common practice, no source; each sheet's own size",
    good={**_TEE, "steps": [full("base", cover="ptfe-cover")]},
    bad={**_TEE, "steps": [full("base", cover="small-ptfe-cover")]},
    finds=_finds,
)
