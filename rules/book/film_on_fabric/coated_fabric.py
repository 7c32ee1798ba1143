"""Rule coated-fabric: a coating must be one that the film bonds to."""

from rules.book.film_on_fabric.instead import take_instead
from rules.book.rule import Found, Rule
from rules.facts.film import Film
from rules.facts.subjects import FilmOnFabric

__all__ = ["DIFFERING", "REPELLING", "RULE"]

REPELLING = ("silicone", "water-repellent")
"""Coatings made so that nothing sticks to them."""

DIFFERING = {
    "silicone": "finishes differ from one lot to the next",
    "water-repellent": "finishes differ from one lot to the next",
    "pvc": "plasticiser creeps into the adhesive over weeks",
}
"""Coatings of which even a film made for them is tried. Common practice, no source."""

MADE_FOR_IT = "a film made for coated fabric"
UNCOATED = "decorate an uncoated part of the garment"
SAMPLE = "press a sample on the same fabric, flex it when it is cold, and wash it"


def _finds(pair: FilmOnFabric) -> Found | None:
    if not pair.touches:
        return None
    film, fabric = pair.film, pair.fabric
    coating = fabric.coating
    if coating == "none":
        return None
    if coating in film.bonds_to_coatings:
        if coating not in DIFFERING:
            return None
        return Found(
            f"{film.id} is made for a {coating} coating such as that of {fabric.id}, and "
            f"{DIFFERING[coating]}",
            severity="sample",
            instead=SAMPLE,
        )

    def made_for_it(other: Film) -> bool:
        return coating in other.bonds_to_coatings

    if coating in REPELLING:
        return Found(
            f"{fabric.id} has a {coating} coating, and {film.id} is not made to bond to it",
            instead=lambda: take_instead(pair, MADE_FOR_IT, UNCOATED, made_for_it),
        )
    return Found(
        f"{fabric.id} has a {coating} coating, which {film.id} does not list among those it "
        "bonds to",
        severity="sample",
        # A film made for such a coating is tried all the same.
        instead=SAMPLE
        if coating in DIFFERING
        else lambda: take_instead(pair, MADE_FOR_IT, SAMPLE, made_for_it),
    )


RULE = Rule(
    id="coated-fabric",
    judges="film_on_fabric",
    severity="stop",
    summary="A coated fabric takes only films that bond to its coating.",
    why="The adhesive meets the coating and never the fibres. A water-repellent or silicone "
    "finish lets it go; a polyurethane one may hold it, or come off the fabric with it.",
    instead=f"take {MADE_FOR_IT}, or {UNCOATED}",
    basis="practice",
    source="common practice, no source; the coatings that the film's own entry lists",
    good={"film": "matte-smooth", "fabric": "cotton-jersey-tee"},
    bad={
        "film": {"like": "matte-smooth", "bonds_to_coatings": ["none"]},
        "fabric": "nylon-water-repellent",
    },
    finds=_finds,
)
