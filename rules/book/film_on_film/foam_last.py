"""Rule foam-last: nothing lies on a film that foams."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFilm

__all__ = ["RULE"]


def _finds(pair: FilmOnFilm) -> Found | None:
    upper, lower = pair.upper, pair.lower
    if not lower.foams:
        return None
    return Found(
        lambda: f"{lower.id} foams, and {upper.id} on it would hold it down or be lifted off by it",
        instead=lambda: (
            f"press {upper.id} first and {lower.id} last, or inset {upper.id} so that the "
            f"rim of {lower.id} laps over its edge"
        ),
    )


RULE = Rule(
    id="foam-last",
    judges="film_on_film",
    severity="stop",
    summary="A film that foams goes down last, with nothing on it.",
    why="A foaming film rises when the press opens. Whatever is pressed on it crushes the foam "
    "flat, or stands on cells that tear.",
    instead="press the foaming film last, over or beside the others",
    basis="practice",
    source="common practice, no source",
    good={
        "upper": {"like": "matte-thick", "foams": True},
        "lower": "matte-smooth",
    },
    bad={
        "upper": "matte-smooth",
        "lower": {"like": "matte-thick", "foams": True},
    },
    finds=_finds,
)
