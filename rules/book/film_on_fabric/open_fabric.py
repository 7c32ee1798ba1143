"""Rule open-fabric: adhesive strikes through the holes of a mesh."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric

__all__ = ["RULE"]


def _finds(pair: FilmOnFabric) -> Found | None:
    if not pair.touches or pair.fabric.surface != "open":
        return None
    return Found(f"adhesive strikes through the holes of {pair.fabric.id}", pair.fabric.id)


RULE = Rule(
    id="open-fabric",
    judges="film_on_fabric",
    severity="note",
    summary="Inside an open fabric lies a sheet that adhesive does not stick to.",
    why="What strikes through glues the front of the garment to its back, or to the lower platen.",
    instead="lay a cover sheet inside the garment, and peel it off while it is warm",
    basis="practice",
    source="common practice, no source",
    good={"film": "matte-smooth", "fabric": "polyester-jersey"},
    bad={"film": "matte-smooth", "fabric": "polyester-mesh"},
    finds=_finds,
)
