"""Rule pale-on-dark: a pale film that does not cover turns dull straight on a dark fabric."""

from rules.book.lightness import DARK_BELOW, lightness, lost_over, palest
from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric

__all__ = ["DULL_FROM", "RULE", "SEEN_FROM"]

SEEN_FROM = 8.0
"""Steps of lightness lost that a customer sees beside the shade card. Generic."""

DULL_FROM = 12.0
"""Steps of lightness lost at which it is another colour. Generic."""


def _finds(pair: FilmOnFabric) -> Found | None:
    if not pair.touches:
        return None
    film, fabric = pair.film, pair.fabric
    if "clear" in film.finishes or lightness(fabric.colour.srgb) >= DARK_BELOW:
        return None
    pale = pair.colour or palest(film.colours)
    lost = lost_over(pale.srgb, fabric.colour.srgb, opacity=film.opacity)
    if lost < SEEN_FROM:
        return None
    return Found(
        f"{film.id} covers {100 * film.opacity:.0f} %: straight on {fabric.colour.name} its "
        f"{pale.name} loses {lost:.0f} of {lightness(pale.srgb):.0f} steps of lightness",
        severity="sample" if lost >= DULL_FROM else "note",
        instead="lay a thin white film under it, take a film that covers better, or show the "
        "customer a sample",
    )


RULE = Rule(
    id="pale-on-dark",
    judges="film_on_fabric",
    severity="sample",
    summary="A pale film straight on a dark fabric covers it.",
    why="What the film lets through is the fabric's colour: white turns grey and yellow turns "
    "olive, and glow or sparkle loses its life.",
    instead="lay a thin white film under it, or take a film that covers better",
    basis="physics",
    source="light mixed by share (Porter and Duff, 1984), lightness of ISO/CIE 11664-4; "
    "thresholds generic",
    good={
        "film": {"like": "matte-smooth", "opacity": 0.98},
        "fabric": {"like": "cotton-jersey-tee", "colour": {"name": "navy", "srgb": "#1b2a49"}},
    },
    bad={
        "film": {"like": "matte-smooth", "opacity": 0.4},
        "fabric": {"like": "cotton-jersey-tee", "colour": {"name": "navy", "srgb": "#1b2a49"}},
    },
    finds=_finds,
)
