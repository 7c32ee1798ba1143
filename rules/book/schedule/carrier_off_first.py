"""Rule carrier-off-first: a carrier comes off what is laid, and before more is laid on it."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import peel, tack
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    early = tuple(piece for piece in at.step.pieces if piece not in at.before.down)
    if at.step.action == "peel" and early:
        named = films_named(at.schedule, early)
        return Found(
            f"{named} {number(early, 'is', 'are')} peeled before {number(early, 'it', 'they')} "
            f"{number(early, 'is', 'are')} laid",
            instead=f"press {named} first, then peel",
        )
    bare = tuple(piece for piece in at.step.pieces if piece in _peeled_earlier(at))
    if at.step.action == "peel" and bare:
        named = films_named(at.schedule, bare)
        return Found(
            f"{named} {number(bare, 'is', 'are')} peeled again: the "
            f"{number(bare, 'carrier is', 'carriers are')} off already",
            instead=f"peel {named} once",
        )
    cover = at.before.cover
    if cover and at.laid_down:
        named = films_named(at.schedule, at.laid_down)
        return Found(
            f"{named} {number(at.laid_down, 'is', 'are')} laid while {cover} still lies on the "
            "print",
            instead=f"lift {cover} first, then lay {named}",
        )
    for piece in at.laid_down:
        wrapped = tuple(p for p in at.schedule.lies_on(piece) if p in at.after.carriers_on)
        if wrapped:
            lower = films_named(at.schedule, wrapped)
            upper = films_named(at.schedule, (piece,))
            return Found(
                f"{upper} is laid on {lower} while the {number(wrapped, 'carrier', 'carriers')} of "
                f"{lower} {number(wrapped, 'is', 'are')} still on",
                instead=f"tack and peel {lower} first, then lay {upper}",
            )
    return None


def _peeled_earlier(at: ScheduledStep) -> set[str]:
    return {
        piece
        for step in at.earlier
        if step.action == "peel"
        for piece in step.pieces
        if piece in at.before.down and piece not in at.before.carriers_on
    }


_OVER = {"films": {"base": "matte-smooth", "top": "sparkle-coarse"}, "over": [["top", "base"]]}

RULE = Rule(
    id="carrier-off-first",
    judges="schedule",
    severity="stop",
    summary="The carrier comes off a piece once, after it is laid and before another is laid on "
    "it.",
    why="The upper film would bond to the carrier and come off with it.",
    instead="tack and peel the lower piece first",
    basis="practice",
    source="common practice, no source",
    good={**_OVER, "steps": [tack("base"), peel("base"), tack("top")]},
    bad={**_OVER, "steps": [tack("base"), tack("top")]},
    finds=_finds,
)
