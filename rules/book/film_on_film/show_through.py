"""Rule show-through: a pale film that does not cover shows a dark film under it."""

from rules.book.film_on_fabric.pale_on_dark import DULL_FROM, SEEN_FROM
from rules.book.lightness import DARK_BELOW, darkest, lightness, lost_over, palest
from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFilm

__all__ = ["RULE"]


def _finds(pair: FilmOnFilm) -> Found | None:
    upper, lower = pair.upper, pair.lower
    if pair.rim or "clear" in upper.finishes:
        return None
    if lost_over("#ffffff", "#000000", opacity=upper.opacity) < SEEN_FROM:
        return None  # Nothing loses more than white over black.
    dark = pair.lower_colour or darkest(lower.colours)
    if lightness(dark.srgb) >= DARK_BELOW:
        return None
    pale = pair.upper_colour or palest(upper.colours)
    lost = lost_over(pale.srgb, dark.srgb, opacity=upper.opacity)
    if lost < SEEN_FROM:
        return None
    chosen = pair.upper_colour is not None and pair.lower_colour is not None
    return Found(
        lambda: (
            f"{upper.id} covers {100 * upper.opacity:.0f} %: {pale.name} over the {dark.name} of "
            f"{lower.id} loses {lost:.0f} of {lightness(pale.srgb):.0f} steps of lightness"
        ),
        instead=lambda: (
            f"choose a darker colour of {upper.id} or a paler one of {lower.id}, or knock "
            f"{lower.id} out under it"
        ),
        # Of colours that nobody chose it is not known how dull they come out.
        severity="sample" if chosen and lost >= DULL_FROM else "note",
    )


RULE = Rule(
    id="show-through",
    judges="film_on_film",
    severity="sample",
    summary="A pale film over a strong dark one covers it.",
    why="What the upper film lets through is the lower one's colour, and where the upper lies "
    "partly on it and partly beside it, the edge shows as a step in shade.",
    instead="choose colours closer in shade, or knock the lower film out",
    basis="physics",
    source="light mixed by share (Porter and Duff, 1984), lightness of ISO/CIE 11664-4; "
    "threshold generic",
    good={"upper": {"like": "matte-thin", "opacity": 0.98}, "lower": "matte-smooth"},
    bad={"upper": {"like": "matte-thin", "opacity": 0.5}, "lower": "matte-smooth"},
    finds=_finds,
)
