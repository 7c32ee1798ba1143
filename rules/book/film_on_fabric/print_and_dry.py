"""Rule print-and-dry: a printable film is printed and dry before it is cut and laid."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric

__all__ = ["RULE"]


def _finds(pair: FilmOnFabric) -> Found | None:
    if not pair.film.printed:
        return None
    return Found(
        f"{pair.film.id} is printed in the artwork's colours, dried, cut from its face and weeded, "
        "and then laid with a transfer mask",
        f"{pair.film.id}",
    )


RULE = Rule(
    id="print-and-dry",
    judges="film_on_fabric",
    severity="note",
    summary="A film that carries ink is printed, and the ink dry, before it is cut and pressed.",
    why="Ink that still holds solvent bleeds under the mask, lifts with it, and boils in the press "
    "so that the print blisters.",
    instead="print it first and let the ink dry as long as it asks for, often overnight; cut and "
    "weed it, and lift it from its backing with a transfer mask",
    basis="practice",
    source="common practice, no source",
    good={"film": "matte-smooth", "fabric": "cotton-jersey-tee"},
    bad={"film": "printable-matte", "fabric": "cotton-jersey-tee"},
    finds=_finds,
)
