"""Rule heat-order: what is already down must bear the heat of what is pressed over it."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFilm
from rules.facts.units import show_c, show_s

__all__ = ["RULE"]


def _finds(pair: FilmOnFilm) -> Found | None:
    upper, lower = pair.upper, pair.lower
    coolest_c = upper.setpoint_c.low
    if coolest_c > lower.bears_c:
        return Found(
            lambda: (
                f"{upper.id} needs at least {show_c(coolest_c)}, and {lower.id} under it bears "
                f"{show_c(lower.bears_c)}"
            ),
            instead=lambda: (
                f"take an upper film that bonds at {show_c(lower.bears_c)} or below, or one "
                f"under it that bears {show_c(coolest_c)}"
            ),
        )
    shrink, shortest_s = lower.shrink, upper.dwell_s.low
    shrunk_pct = shrink.percent_per_s * (shortest_s - shrink.grace_s)
    if coolest_c <= shrink.onset_c or shrunk_pct <= 0:
        return None
    return Found(
        lambda: (
            f"{lower.id} shrinks above {show_c(shrink.onset_c)} after {show_s(shrink.grace_s)}: "
            f"{upper.id} over it ({show_s(shortest_s)} at {show_c(coolest_c)} or more) costs about "
            f"{shrunk_pct:.3g} % of its size"
        ),
        severity="note",
        instead=lambda: (
            f"tack {lower.id} only briefly, give both their full press together, and keep "
            "the trap wider than the shrink"
        ),
    )


RULE = Rule(
    id="heat-order",
    judges="film_on_film",
    severity="stop",
    summary="The lower film bears the setpoint of the film pressed over it.",
    why="The lower film is pressed again with every film above it. Past what it bears its colour "
    "turns, its face melts or wrinkles; above its shrink onset it draws in.",
    instead="take films whose setpoints meet, or put the film that needs less heat on top",
    basis="practice",
    source="common practice, no source; the temperatures that the films' own entries state",
    good={
        "upper": {"like": "matte-thin", "setpoint_c": {"low": 125, "best": 130, "high": 140}},
        "lower": {
            "like": "matte-smooth",
            "shrink": {"onset_c": 150, "percent_per_s": 0.05, "grace_s": 5},
        },
    },
    bad={
        "upper": {
            "like": "matte-thick",
            "setpoint_c": {"low": 185, "best": 190, "high": 195},
            "bears_c": 200,
        },
        "lower": {"like": "matte-smooth", "bears_c": 180},
    },
    finds=_finds,
)
