"""Rule tack-before-next: a film under another is only tacked, about two seconds."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, tack
from rules.facts.practice import LEAST_TACK_S, LONG_TACK_S, LONGEST_TACK_S, TACK_S
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    if at.step.action != "press":
        return None
    return _full_press_between(at) if at.step.purpose == "full" else _tack_dwell(at)


def _full_press_between(at: ScheduledStep) -> Found | None:
    later = tuple(piece for step in at.later if step.action == "press" for piece in step.pieces)
    with_carrier = tuple(p for p in at.finishing if p in at.after.carriers_on)
    under = tuple(
        p
        for p in with_carrier
        if any(u in later and u not in at.after.down for u in at.schedule.lies_under(p))
    )
    if at.step.cover or not under:
        return None
    named = films_named(at.schedule, under)
    return Found(
        f"{named} {number(under, 'gets its', 'get their')} full press of "
        f"{at.step.dwell_s or 0:g} s before the next piece is laid on "
        + number(under, "it", "them"),
        severity="note",
        instead=f"keep the trap wider than what {number(under, 'it draws', 'they draw')} in; tack "
        f"{number(under, 'it', 'them')} about {TACK_S:g} s and press all in full together only "
        "where they share a setting whose heat bonds what lies below",
    )


def _tack_dwell(at: ScheduledStep) -> Found | None:
    dwell_s = at.step.dwell_s or 0.0
    if LEAST_TACK_S <= dwell_s <= LONGEST_TACK_S:
        return None
    named = films_named(at.schedule, at.laid_down or at.after.down) or "the bare garment"
    if dwell_s == 0:
        return Found(
            f"0 s is no tack: {named} {number(at.laid_down, 'does', 'do')} not grab",
            severity="stop",
            instead=f"tack about {TACK_S:g} s",
        )
    if dwell_s < LEAST_TACK_S:
        return Found(
            f"{dwell_s:g} s may not let {named} grab",
            severity="sample",
            instead=f"tack about {TACK_S:g} s",
        )
    return Found(
        f"{dwell_s:g} s is long for a tack of {named}; about {TACK_S:g} s is usual",
        severity="sample" if dwell_s > LONG_TACK_S else "note",
        instead=f"tack about {TACK_S:g} s, unless the adhesive lies deep under other layers",
    )


_OVER = {"films": {"base": "matte-smooth", "top": "sparkle-coarse"}, "over": [["top", "base"]]}

RULE = Rule(
    id="tack-before-next",
    judges="schedule",
    severity="stop",
    summary="A piece that another is laid on is tacked about two seconds; a long tack shrinks it.",
    why="A long press shrinks the lower piece before the next one is placed, so the two no longer "
    "register; too short a tack lets it lift with its carrier.",
    instead="tack each piece about 2 s, and press all in full at the end",
    basis="practice",
    source="common practice, no source",
    good={**_OVER, "steps": [tack("base"), peel("base"), tack("top")]},
    bad={**_OVER, "steps": [full("base"), peel("base"), tack("top")]},
    finds=_finds,
)
