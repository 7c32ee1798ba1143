"""Rule top-surface: a film may only lie on a face that lets it bond."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFilm

__all__ = ["RULE"]


def _finds(pair: FilmOnFilm) -> Found | None:
    upper, lower = pair.upper, pair.lower
    if lower.takes_film_on_top == "yes":
        return None
    if lower.takes_film_on_top == "no":
        return Found(
            lambda: (
                f"{lower.id} has a {lower.surface} {lower.family} face that takes no film on top, "
                f"so {upper.id} will lift"
            ),
        )
    if lower.surface == "sealed":
        return None  # Rule sealed-face tells why, and one cause is one sample.
    return Found(
        lambda: f"{lower.id} takes a film on top only sometimes ({lower.surface} face)",
        severity="sample",
        instead=lambda: f"press a sample of {upper.id} on {lower.id} and wash it, or inset one",
    )


RULE = Rule(
    id="top-surface",
    judges="film_on_film",
    severity="stop",
    summary="A film bonds only to a face that takes a film on top.",
    why="Glitter, fibres, beads and sealed faces give the adhesive too little to hold: the upper "
    "film comes off in the wash.",
    instead="put the film with the difficult face on top, or inset it so that its rim lies over "
    "the other film's edge",
    basis="practice",
    source="common practice, no source",
    good={"upper": "sparkle-coarse", "lower": "matte-smooth"},
    bad={"upper": "matte-smooth", "lower": "sparkle-coarse"},
    finds=_finds,
)
