"""Rule press-order: a piece goes down after everything that it lies on."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import peel, tack
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    schedule = at.schedule
    for piece in at.laid_down:
        missing = tuple(p for p in schedule.lies_on(piece) if p not in at.after.down)
        if missing:
            lower = films_named(schedule, missing) or ", ".join(missing)
            upper = films_named(schedule, (piece,))
            return Found(
                f"{upper} goes down before {lower}, which it lies on",
                instead=f"press {lower} first",
            )
    if not at.is_last:
        return None
    joined = dict.fromkeys(piece for pair in schedule.over for piece in pair)
    never = tuple(piece for piece in joined if piece not in at.after.down)
    if not never:
        return None
    named = films_named(schedule, never) or ", ".join(never)
    return Found(
        f"{named} {number(never, 'is', 'are')} never pressed",
        "the whole schedule",
        instead=f"tack {named} too",
    )


_OVER = {"films": {"base": "matte-smooth", "top": "sparkle-coarse"}, "over": [["top", "base"]]}

RULE = Rule(
    id="press-order",
    judges="schedule",
    severity="stop",
    summary="A piece goes down after everything that it lies on.",
    why="What is meant to lie below cannot be slipped under a piece that is already bonded.",
    instead="press from the bottom up",
    basis="practice",
    source="common practice, no source",
    good={**_OVER, "steps": [tack("base"), peel("base"), tack("top")]},
    bad={**_OVER, "steps": [tack("top"), peel("top"), tack("base")]},
    finds=_finds,
)
