"""Rule peel-order: peeling the upper film must not pull at a lower one that has let go."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFilm

__all__ = ["RULE"]

_COOLING = {"hot": 0, "warm": 1, "cold": 2}


def _finds(pair: FilmOnFilm) -> Found | None:
    upper, lower = pair.upper, pair.lower
    if _COOLING[lower.peel] <= _COOLING[upper.peel]:
        return None
    return Found(
        lambda: (
            f"{upper.id} peels {upper.peel}, while {lower.id} under it is made to be pulled at "
            f"only when {lower.peel}"
        ),
        instead=lambda: (
            f"try in a sample whether {upper.id} also peels {lower.peel}, pull low and slow "
            f"along the fabric, or take a lower film that peels {upper.peel}"
        ),
    )


RULE = Rule(
    id="peel-order",
    judges="film_on_film",
    severity="note",
    summary="The upper film is not peeled hotter than the lower one can stand.",
    why="Each press softens every adhesive under it again. A film that peels cold holds only once "
    "cool; pull a hot carrier off above it and it comes up too, or creeps. The other way round, "
    "cold over hot, only costs a wait.",
    instead="take films that peel alike, or put the film that peels coldest on top",
    basis="practice",
    source="common practice, no source",
    good={
        "upper": {"like": "matte-thin", "peel": "hot"},
        "lower": {"like": "matte-smooth", "peel": "hot"},
    },
    bad={
        "upper": {"like": "matte-thin", "peel": "hot"},
        "lower": {"like": "matte-smooth", "peel": "cold"},
    },
    finds=_finds,
)
