"""Rule overlay-stretch: a film over a stretchy one must stretch a fair share of it."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFilm

__all__ = ["RULE", "STRETCHY_FILM_FROM_PCT", "UNEVEN_SHARE"]

STRETCHY_FILM_FROM_PCT = 60.0
"""A film chosen for its stretch. Common practice, no source."""

UNEVEN_SHARE = 0.5
"""Below this share of the lower film's stretch the two part ways. Common practice, no source."""


def _finds(pair: FilmOnFilm) -> Found | None:
    upper, lower = pair.upper, pair.lower
    if lower.stretch_pct < STRETCHY_FILM_FROM_PCT:
        return None
    wanted_pct = UNEVEN_SHARE * lower.stretch_pct
    if upper.stretch_pct >= wanted_pct:
        return None
    return Found(
        lambda: (
            f"{lower.id} stretches {lower.stretch_pct:g} % and {upper.id} over it only "
            f"{upper.stretch_pct:g} %"
        ),
        instead=lambda: (
            f"take an upper film that stretches at least {wanted_pct:g} %, keep it small, "
            "or press a sample and stretch it"
        ),
    )


RULE = Rule(
    id="overlay-stretch",
    judges="film_on_film",
    severity="note",
    summary="A film over a stretchy film stretches at least half as far.",
    why="Where the garment is pulled, it pulls the lower film along and the upper one cannot "
    "follow: it cracks, or its edge shears loose. What a fabric's own stretch asks of every film "
    "on it is the matter of stretch-match.",
    instead="take an upper film that stretches, keep it small, or press a sample and stretch it",
    basis="practice",
    source="common practice, no source",
    good={
        "upper": {"like": "matte-thin", "stretch_pct": 80},
        "lower": {"like": "matte-smooth", "stretch_pct": 100},
    },
    bad={
        "upper": {"like": "matte-thin", "stretch_pct": 10},
        "lower": {"like": "matte-smooth", "stretch_pct": 100},
    },
    finds=_finds,
)
