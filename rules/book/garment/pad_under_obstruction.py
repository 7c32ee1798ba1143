"""Rule pad-under-obstruction: what stands proud in the print area sinks into a pad."""

from __future__ import annotations

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.finding import seriousness
from rules.facts.garment import Obstruction
from rules.facts.practice import PROUD_MM
from rules.facts.subjects import GarmentOnPress
from rules.facts.text import step_name
from rules.facts.units import show_mm

__all__ = ["RULE"]

HARD = frozenset({"zip", "hook-and-loop", "button", "snap"})
"""Obstructions that do not press flat, and may melt or break the platen's coating."""


def _finds(job: GarmentOnPress) -> Found | None:
    pressed = [(i, step) for i, step in enumerate(job.steps) if step.action == "press"]
    if not pressed:
        return None
    turned = any(step.action == "turn" for step in job.steps[: pressed[0][0]])
    proud = [o for o in job.area.obstructions if o.height_mm > PROUD_MM]
    below = [o for o in proud if o.place != "beside" and not _moved_away(o, turned=turned)]
    pads = [_pad_at(job, i) for i, _ in pressed]
    found = [_obstructed(job, o, pads) for o in below]
    found += [_shut(o) for o in proud if o.place != "beside" and o.opens and not turned]
    moved = [o for o in proud if _moved_away(o, turned=turned)]
    found += [_laid_flat(o) for o in moved if None in pads]
    found += [_across(job, o) for o in proud if turned and o.kind == "zip" and o.place == "in"]
    found += [_beside_or_needless(proud, pads), _not_put_in(job)]
    worst = [f for f in found if f is not None]
    return min(worst, key=lambda f: seriousness(f.severity or "stop"), default=None)


def _moved_away(obstruction: Obstruction, *, turned: bool) -> bool:
    return turned and obstruction.opens and obstruction.place == "under"


def _pad_at(job: GarmentOnPress, position: int) -> str | None:
    pads = [step.pad for step in job.steps[:position] if step.action == "pad"]
    return None if not pads or pads[-1] == "out" else pads[-1]


def _not_put_in(job: GarmentOnPress) -> Found | None:
    """A press that names a pad which no step before it puts under the print."""
    for position, step in enumerate(job.steps):
        closes = step.action in {"press", "preheat"}
        if closes and step.pad is not None and step.pad != _pad_at(job, position):
            return Found(
                f"the press closes on {step.pad}, and no step before it puts that under the print",
                f"{step_name(step.n)}",
                severity="stop",
                instead=f"put {step.pad} under the print by a step of its own and set the pressure "
                "again, or leave it out of this one",
            )
    return None


def _obstructed(job: GarmentOnPress, it: Obstruction, pads: list[str | None]) -> Found | None:
    proud = f"a {it.kind} {it.place} the print area stands {show_mm(it.height_mm):g} proud"
    large_enough = f"a pad that takes up at least {show_mm(it.height_mm):g}"
    bare = sum(pad is None for pad in pads)
    if bare:
        return Found(
            f"{proud}, and {bare} of {len(pads)} presses have no pad",
            severity="stop" if it.kind in HARD else "sample",
            instead=f"put {large_enough} under the print area, and set the pressure again",
        )
    takes_up = {sheet.id: sheet.takes_up_mm for sheet in job.sheets}
    for pad in pads:
        if pad is not None and takes_up.get(pad, 0.0) < it.height_mm:
            known = pad in takes_up
            given = f"takes up {show_mm(takes_up[pad]):g}" if known else "is not on the shelf"
            return Found(
                f"{proud}, but {pad} {given}",
                severity="sample",
                instead=f"take {large_enough}",
            )
    return None


def _shut(it: Obstruction) -> Found:
    return Found(
        f"the {it.kind} {it.place} the print area opens, but the garment is pressed shut",
        severity="sample",
        instead=f"open the {it.kind} and lay the garment flat, so that one layer lies on the "
        "platen",
    )


def _across(job: GarmentOnPress, it: Obstruction) -> Found | None:
    """What an opened zip asks of a print: that it fits beside it, on one half."""
    half_mm = job.area.width_mm / 2
    if not it.opens:
        return None
    halves = f"opened at the {it.kind}, the {job.area.name} is two halves of {show_mm(half_mm):g}"
    if job.width_mm <= half_mm:
        return Found(
            f"{halves}: the print, {show_mm(job.width_mm):g} wide, lies on one of them",
            severity="note",
            instead=f"lay it wholly beside the {it.kind}; across it, it would glue the "
            f"{it.kind} shut",
        )
    return Found(
        f"{halves}, and the print is {show_mm(job.width_mm):g} wide: it lies across the {it.kind}",
        severity="sample",
        instead=f"cut the artwork in two at the {it.kind} and lay each half by itself, make it at "
        f"most {show_mm(half_mm):g} wide and press it beside, or print on another area",
    )


def _laid_flat(it: Obstruction) -> Found:
    return Found(
        f"the {it.kind} is laid aside, but the seams of the opened garment lie on the bare platen",
        severity="note",
        instead="put a pad under the print area so that the seams sink, and set the pressure again",
    )


def _beside_or_needless(proud: list[Obstruction], pads: list[str | None]) -> Found | None:
    beside = [o for o in proud if o.place == "beside"]
    if beside and None in pads:
        highest = max(beside, key=lambda o: o.height_mm)
        return Found(
            f"a {highest.kind} beside the print area stands {show_mm(highest.height_mm):g} proud",
            severity="note",
            instead="let it hang over the platen's edge, or raise the print area on a pad",
        )
    if not proud and any(pads):
        return Found(
            "a pad lies under a print area that is flat",
            severity="note",
            instead="press straight on the platen: heat and pressure are more even there",
        )
    return None


RULE = Rule(
    id="pad-under-obstruction",
    judges="garment",
    severity="stop",
    summary="Seams, zips and closures in or under the print area sink into a pad.",
    why="The platen rests on whatever stands proud: around it the film gets no pressure and does "
    "not bond, and a zip or closure is crushed or melts.",
    instead="put a pad under the print area, open what opens, and set the pressure again",
    basis="practice",
    source="common practice, no source",
    good={"garment": "adult-tee", "steps": [full("base")]},
    bad={"garment": "wind-jacket", "steps": [full("base")]},
    finds=_finds,
)
