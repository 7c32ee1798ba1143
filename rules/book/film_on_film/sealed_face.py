"""Rule sealed-face: a sealed face gives the adhesive little to hold."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFilm

__all__ = ["RULE"]


def _finds(pair: FilmOnFilm) -> Found | None:
    upper, lower = pair.upper, pair.lower
    if lower.surface != "sealed":
        return None
    contact = "rim" if pair.rim else "adhesive"
    return Found(
        lambda: (
            f"the {contact} of {upper.id} lies on the sealed face of {lower.id}, which may let go"
        ),
        instead=lambda: (
            f"put {lower.id} on top, or press a sample of {upper.id} on {lower.id} and wash it"
        ),
    )


RULE = Rule(
    id="sealed-face",
    judges="film_on_film",
    severity="sample",
    summary="A film on a sealed face is tried in a sample first.",
    why="Mirror, holographic and glossy faces are closed and slick: the adhesive lies on them and "
    "finds nothing to key into, so flexing and washing can peel it off.",
    instead="put the sealed film on top, or press a sample and wash it",
    basis="practice",
    source="common practice, no source",
    good={"upper": "sparkle-coarse", "lower": "matte-smooth"},
    bad={"upper": "matte-thin", "lower": {"like": "matte-smooth", "surface": "sealed"}},
    finds=_finds,
)
