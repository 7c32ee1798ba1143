"""Rule setpoint-window: every press is hot enough for its films and not too hot for them."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, tack
from rules.facts.schedule import ScheduledStep, films_named, number
from rules.facts.units import show_by_c, show_c

__all__ = ["LEAST_SHARED", "RULE"]

LEAST_SHARED = 0.5
"""Films share more than this of a press's ±; what a sheet gives beyond that allows for an uneven
platen. Common practice, no source."""


_IN_TWO = (
    "where the films may lie in that order, finish the hotter one in a press of its own and lay "
    "the cooler one after it; else take films that share more"
)
"""What to do where one press finishes films that share too little or nothing."""


def _finds(at: ScheduledStep) -> Found | None:
    setpoint_c = at.after.setpoint_c
    if at.step.action != "press" or setpoint_c is None:
        return None
    schedule, films = at.schedule, at.schedule.films
    down = at.after.down
    harmed = tuple(p for p in down if setpoint_c > films[p].bears_c)
    if harmed:
        least_c = min(films[p].bears_c for p in harmed)
        return Found(
            f"{show_c(setpoint_c)} is above the {show_c(least_c)} that "
            f"{films_named(schedule, harmed)} {number(harmed, 'bears', 'bear')}",
            instead=f"press at or below {show_c(_most_c(at))}, or lay "
            f"{films_named(schedule, harmed)} after the hotter press",
        )
    outside = tuple(p for p in at.finishing if not films[p].setpoint_c.holds(setpoint_c))
    if outside:
        low_c = max(films[p].setpoint_c.low for p in at.finishing)
        high_c = _most_c(at)
        window = films[outside[0]].setpoint_c
        return Found(
            f"{show_c(setpoint_c)} is outside the {show_c(window.low, window.high)} of "
            f"{films_named(schedule, outside[:1])}",
            instead=f"set {show_c(low_c, high_c)}" if low_c <= high_c else _IN_TWO,
        )
    return _too_loose(at, setpoint_c) or _too_narrow(at)


def _too_loose(at: ScheduledStep, setpoint_c: float) -> Found | None:
    """A film that is laid at a heat which does not soften its adhesive."""
    schedule, films = at.schedule, at.schedule.films
    loose = tuple(p for p in at.laid_down if setpoint_c < films[p].softens_c)
    if loose:
        softest_c = max(films[p].softens_c for p in loose)
        return Found(
            f"{show_c(setpoint_c)} does not soften the adhesive of {films_named(schedule, loose)}, "
            f"which {number(loose, 'grabs', 'grab')} from {show_c(softest_c)}",
            instead=f"tack it well above {show_c(softest_c)}",
        )
    return None


def _too_narrow(at: ScheduledStep) -> Found | None:
    """Films that leave so little to set the dial to that the press's spread takes it out."""
    films, press, schedule = at.schedule.films, at.schedule.press, at.schedule
    if not at.finishing:
        return None
    coolest = max(at.finishing, key=lambda piece: films[piece].setpoint_c.low)
    tops = {piece: films[piece].bears_c for piece in at.after.down}
    tops |= {piece: films[piece].setpoint_c.high for piece in at.finishing}
    hottest = min(tops, key=lambda piece: tops[piece])
    low_c, high_c = films[coolest].setpoint_c.low, tops[hottest]
    if films[coolest] == films[hottest] or high_c - low_c > press.flat_c * LEAST_SHARED:
        return None
    apart = coolest in at.finishing and hottest in at.finishing
    return Found(
        f"{films_named(schedule, (coolest,))} takes {show_c(low_c)} or more and "
        f"{films_named(schedule, (hottest,))} {show_c(high_c)} at most, and {press.id} is up to "
        f"{show_by_c(press.flat_c)} cooler or hotter in places",
        severity="sample",
        instead=(
            f"{_IN_TWO}; otherwise check the platen with temperature strips"
            if apart
            # Finished before, it lies under the hotter press all the same.
            else f"take another film than {films_named(schedule, (hottest,))} that bears more "
            "heat, or one that bonds cooler above it; otherwise check the platen with temperature "
            "strips"
        ),
        # Whatever else they finish with leaves them no more to share.
        drawn_by=(hottest, coolest),
    )


def _most_c(at: ScheduledStep) -> float:
    """The hottest that fabric and films bear, and that those not yet finished finish at, °C."""
    schedule, films = at.schedule, at.schedule.films
    unfinished = [piece for piece in at.after.down if piece not in at.before.finished]
    return min(
        schedule.fabric.harmed_fibre.harmed_c - schedule.press.flat_c,
        *(films[piece].setpoint_c.high for piece in unfinished),
        *(films[piece].bears_c for piece in at.after.down),
    )


_MATTE = {"fabric": "cotton-jersey-tee", "films": {"base": "matte-smooth"}}

RULE = Rule(
    id="setpoint-window",
    judges="schedule",
    severity="stop",
    summary="Each press is within the setpoint window of the films it finishes, and within what "
    "the films already down bear.",
    why="Too cool and the adhesive never bonds; too hot and films that are down shrink or bubble.",
    instead="choose a setpoint that all of them share, or finish in two stages",
    basis="sheet",
    source="each film's own setpoint window and limit",
    good={**_MATTE, "steps": [tack("base"), peel("base"), full("base", cover="ptfe-cover")]},
    bad={**_MATTE, "steps": [tack("base"), peel("base"), full("base", setpoint_c=135)]},
    finds=_finds,
)
