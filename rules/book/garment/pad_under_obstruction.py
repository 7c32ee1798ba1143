"""Rule pad-under-obstruction: what stands proud in the print area sinks into a pad."""

from __future__ import annotations

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.finding import Severity, seriousness
from rules.facts.garment import Obstruction
from rules.facts.practice import PROUD_MM
from rules.facts.subjects import GarmentOnPress

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
    found += [_shut(job, o) for o in proud if o.place != "beside" and o.opens and not turned]
    moved = [o for o in proud if _moved_away(o, turned=turned)]
    found += [_laid_flat(job, o) for o in moved if None in pads]
    found.append(_beside_or_needless(job, proud, below, pads))
    worst = [f for f in found if f is not None]
    return min(worst, key=lambda f: seriousness(f.severity or "stop"), default=None)


def _moved_away(obstruction: Obstruction, *, turned: bool) -> bool:
    return turned and obstruction.opens and obstruction.place == "under"


def _pad_at(job: GarmentOnPress, position: int) -> str | None:
    pads = [step.pad for step in job.steps[:position] if step.action == "pad"]
    return None if not pads or pads[-1] == "out" else pads[-1]


def _said(job: GarmentOnPress, message: str, severity: Severity, instead: str) -> Found:
    where = f"{job.area.name} of {job.garment.id}"
    return Found(message, where, severity=severity, instead=instead)


def _obstructed(job: GarmentOnPress, it: Obstruction, pads: list[str | None]) -> Found | None:
    proud = f"a {it.kind} {it.place} the print area stands {it.height_mm:g} mm proud"
    bare = sum(pad is None for pad in pads)
    if bare:
        return _said(
            job,
            f"{proud}, and {bare} of {len(pads)} presses have no pad",
            "stop" if it.kind in HARD else "sample",
            f"put a pad that takes up at least {it.height_mm:g} mm under the print area, and set "
            "the pressure again",
        )
    takes_up = {sheet.id: sheet.takes_up_mm for sheet in job.sheets}
    for pad in pads:
        if pad is not None and takes_up.get(pad, 0.0) < it.height_mm:
            given = f"takes up {takes_up[pad]:g} mm" if pad in takes_up else "is not on the shelf"
            return _said(
                job,
                f"{proud}, but {pad} {given}",
                "sample",
                f"take a pad that takes up at least {it.height_mm:g} mm",
            )
    return None


def _shut(job: GarmentOnPress, it: Obstruction) -> Found:
    return _said(
        job,
        f"the {it.kind} {it.place} the print area opens, but the garment is pressed shut",
        "sample",
        f"open the {it.kind} and lay the garment flat, so that one layer lies on the platen",
    )


def _laid_flat(job: GarmentOnPress, it: Obstruction) -> Found:
    return _said(
        job,
        f"the {it.kind} is laid aside, but the seams of the opened garment lie on the bare platen",
        "note",
        "put a pad under the print area so that the seams sink, and set the pressure again",
    )


def _beside_or_needless(
    job: GarmentOnPress,
    proud: list[Obstruction],
    below: list[Obstruction],
    pads: list[str | None],
) -> Found | None:
    beside = [o for o in proud if o.place == "beside"]
    if beside and None in pads:
        highest = max(beside, key=lambda o: o.height_mm)
        return _said(
            job,
            f"a {highest.kind} beside the print area stands {highest.height_mm:g} mm proud",
            "note",
            "let it hang over the platen's edge, or raise the print area on a pad",
        )
    if not proud and any(pads):
        return _said(
            job,
            "a pad lies under a print area that is flat",
            "note",
            "press straight on the platen: heat and pressure are more even there",
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
