"""Rule all-finished: every film gets its full press, and every carrier and cover comes off."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, tack
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    if not at.is_last:
        return None
    schedule, where = at.schedule, "the whole schedule"
    unfinished = tuple(p for p in schedule.films if p not in at.after.finished)
    if unfinished:
        named = films_named(schedule, unfinished)
        longest_s = max(schedule.films[p].dwell_s.low for p in unfinished)
        return Found(
            f"{named} never {number(unfinished, 'gets', 'get')} a full press",
            where,
            instead=f"end with a full press of {named}, at least {longest_s:g} s",
        )
    if at.after.carriers_on:
        on = at.after.carriers_on
        named = films_named(schedule, on)
        return Found(
            f"the {number(on, 'carrier', 'carriers')} of {named} {number(on, 'is', 'are')} never "
            "peeled",
            where,
            instead=f"peel {named} {schedule.films[on[0]].peel}",
        )
    if at.after.cover:
        return Found(
            f"{at.after.cover} is never lifted off the print",
            where,
            instead=f"lift {at.after.cover} after the press, and look at every edge",
        )
    return None


_MATTE = {"films": {"base": "matte-smooth"}}

RULE = Rule(
    id="all-finished",
    judges="schedule",
    severity="stop",
    summary="By the last step every film has had its full press and lost its carrier, and no cover "
    "sheet lies on the print.",
    why="A tack only grabs: a film that is never pressed in full comes off in the first wash.",
    instead="end with a full press of all pieces under a cover sheet",
    basis="practice",
    source="common practice, no source",
    good={**_MATTE, "steps": [full("base"), peel("base")]},
    bad={**_MATTE, "steps": [tack("base"), peel("base")]},
    finds=_finds,
)
