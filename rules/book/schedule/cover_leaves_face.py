"""Rule cover-leaves-face: the cover sheet leaves a smooth film with the sheen that it had."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, tack
from rules.facts.practice import LONGEST_TACK_S
from rules.facts.schedule import ScheduledStep, films_named

__all__ = ["RULE"]

SHEENS = ("matte", "satin", "gloss")
"""The finishes of a smooth face that a cover sheet can change."""


def _finds(at: ScheduledStep) -> Found | None:
    step, films = at.step, at.schedule.films
    sheet = at.schedule.sheets.get(step.cover or "")
    if step.action != "press" or (step.dwell_s or 0) <= LONGEST_TACK_S or sheet is None:
        return None
    if sheet.leaves == "as-is":
        return None
    changed = tuple(
        p
        for p in at.after.down
        if p not in at.after.carriers_on
        and films[p].surface == "smooth"
        and sheet.leaves not in films[p].finishes
        and any(sheen in films[p].finishes for sheen in SHEENS)
    )
    if not changed:
        return None
    return Found(
        f"{sheet.id} leaves a {sheet.leaves} face on {films_named(at.schedule, changed)}",
    )


_PEELED = {"films": {"base": "matte-smooth"}}
_TACKED = [tack("base"), peel("base")]

RULE = Rule(
    id="cover-leaves-face",
    judges="schedule",
    severity="sample",
    summary="The cover sheet leaves a smooth face as matte or glossy as it is meant to be.",
    why="A hot smooth face copies what is pressed against it: glossy sheets shine it, matte ones "
    "dull it.",
    instead="take a cover sheet that leaves faces as they are, or press a sample for the look",
    basis="practice",
    source="common practice, no source",
    good={**_PEELED, "steps": [*_TACKED, full("base", cover="ptfe-cover")]},
    bad={**_PEELED, "steps": [*_TACKED, full("base", cover="gloss-film-cover")]},
    finds=_finds,
)
