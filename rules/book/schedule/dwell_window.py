"""Rule dwell-window: the press that finishes a film lasts as long as its film asks for."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


_APART = "finish each in a press of its own, or take films that share a time"
"""What to do where one press finishes films whose windows share no time."""


def _finds(at: ScheduledStep) -> Found | None:
    dwell_s, schedule, films = at.step.dwell_s or 0.0, at.schedule, at.schedule.films
    least_s = max((films[p].dwell_s.low for p in at.finishing), default=0.0)
    most_s = min((films[p].dwell_s.high for p in at.finishing), default=0.0)
    short = tuple(p for p in at.finishing if dwell_s < films[p].dwell_s.low)
    if short:
        low_s = max(films[p].dwell_s.low for p in short)
        in_parts = all(_full_seconds(at, p) >= films[p].dwell_s.low for p in short)
        return Found(
            f"{dwell_s:g} s is shorter than the {low_s:g} s that {films_named(schedule, short)} "
            + number(short, "needs", "need")
            + (" in one press, and gets only in parts" if in_parts else ""),
            severity="sample" if in_parts else "stop",
            instead=f"press {low_s:g} s in one go" if least_s <= most_s else _APART,
        )
    long = tuple(p for p in at.finishing if dwell_s > films[p].dwell_s.high)
    if long:
        high_s = min(films[p].dwell_s.high for p in long)
        return Found(
            f"{dwell_s:g} s is longer than the {high_s:g} s of {films_named(schedule, long)}",
            severity="sample",
            instead=f"press at most {high_s:g} s" if least_s <= most_s else _APART,
        )
    return None


def _full_seconds(at: ScheduledStep, piece: str) -> float:
    return sum(
        step.dwell_s or 0.0
        for step in (at.step, *at.later)
        if step.action == "press" and step.purpose == "full" and piece in step.pieces
    )


RULE = Rule(
    id="dwell-window",
    judges="schedule",
    severity="stop",
    summary="The full press lasts within the dwell window of every film that it finishes.",
    why="The adhesive needs its seconds at temperature to flow into the fabric; beyond the window "
    "it is squeezed out at the edges and the film shrinks.",
    instead=f"set the timer within the window that the films share; where they share none, "
    f"{_APART}",
    basis="sheet",
    source="each film's own dwell window",
    good={"films": {"base": "matte-smooth"}, "steps": [full("base", dwell_s=15)]},
    bad={"films": {"base": "matte-smooth"}, "steps": [full("base", dwell_s=3)]},
    finds=_finds,
)
