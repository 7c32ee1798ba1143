"""Rule carrier-line: a heavy carrier is tacked and peeled, never left on for a full press."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, tack
from rules.facts.practice import LONGEST_TACK_S, TACK_S
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    step, schedule = at.step, at.schedule
    if step.action != "press" or (step.dwell_s or 0) <= LONGEST_TACK_S:
        return None
    marking = tuple(p for p in at.after.carriers_on if schedule.films[p].carrier_marks)
    marked = tuple(
        p
        for p in at.after.down
        if schedule.films[p].marked_by_carriers and p not in at.after.carriers_on
    )
    if not marking or not marked:
        return None
    return Found(
        f"the heavy {number(marking, 'carrier', 'carriers')} of {films_named(schedule, marking)} "
        f"{number(marking, 'stays', 'stay')} on for {step.dwell_s:g} s "
        f"over {films_named(schedule, marked)}",
        instead=f"tack {films_named(schedule, marking)} about {TACK_S:g} s, peel, then "
        "press all together under a cover sheet",
    )


_SPARKLE_OVER_MATTE = {
    "films": {"base": "matte-smooth", "top": "sparkle-coarse"},
    "over": [["top", "base"]],
}

RULE = Rule(
    id="carrier-line",
    judges="schedule",
    severity="stop",
    summary="A heavy carrier is tacked and peeled before any longer press over a matte face.",
    why="At medium to firm pressure the edge of a thick carrier leaves a line in a matte face; "
    "after a tack alone, the line still presses out under a cover sheet.",
    instead="tack about 2 s, peel, then press under a cover sheet",
    basis="practice",
    source="common practice, no source",
    good={
        **_SPARKLE_OVER_MATTE,
        "steps": [
            tack("base"),
            peel("base"),
            tack("top"),
            peel("top"),
            full("base", "top", cover="ptfe-cover"),
        ],
    },
    bad={**_SPARKLE_OVER_MATTE, "steps": [tack("base"), peel("base"), full("base", "top")]},
    finds=_finds,
)
