"""Rule coated-fabric: a coating must be one that the film bonds to."""

from rules.book.rule import Found, Rule
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
            instead="press a sample on the same fabric, flex it when it is cold, and wash it",
        )
    if coating in REPELLING:
        return Found(
            f"{fabric.id} has a {coating} coating, and {film.id} is not made to bond to it"
        )
    return Found(
        f"{fabric.id} has a {coating} coating, which {film.id} does not list among those it "
        "bonds to",
        severity="sample",
        instead=f"take a film that bonds to a {coating} coating, or press a sample and wash it",
    )


RULE = Rule(
    id="coated-fabric",
    judges="film_on_fabric",
    severity="stop",
    summary="A coated fabric takes only films that bond to its coating.",
    why="The adhesive meets the coating and never the fibres. A water-repellent or silicone "
    "finish lets it go; a polyurethane one may hold it, or come off the fabric with it.",
    instead="take a film made for coated fabric, or decorate an uncoated part of the garment",
    basis="practice",
    source="common practice, no source; the coatings that the film's own entry lists",
    good={"film": "matte-smooth", "fabric": "cotton-jersey-tee"},
    bad={
        "film": {"like": "matte-smooth", "bonds_to_coatings": ["none"]},
        "fabric": "nylon-water-repellent",
    },
    finds=_finds,
)
