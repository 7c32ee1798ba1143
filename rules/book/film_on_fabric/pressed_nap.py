"""Rule pressed-nap: a platen flattens the nap that it touches."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric

__all__ = ["RULE"]


BRUSH = (
    "lay no more of it under the platen than the print needs, and brush or steam the nap around "
    "the print when it is cold"
)


def _finds(pair: FilmOnFabric) -> Found | None:
    fabric = pair.fabric
    if not pair.touches or fabric.surface != "napped":
        return None
    if pair.pressed and pair.pressed.covered:
        return Found(
            f"the nap of {fabric.id} is pressed flat in the print; the cover sheet keeps the "
            "platen's edge faint around it",
            fabric.id,
            instead=BRUSH,
        )
    return Found(
        f"the nap of {fabric.id} is pressed flat in the print and at the platen's edge", fabric.id
    )


RULE = Rule(
    id="pressed-nap",
    judges="film_on_fabric",
    severity="note",
    summary="On a napped fabric only the print area is pressed, and the nap is raised again.",
    why="Heat and pressure lay the fibres of fleece and felt flat, so that the platen's edge shows "
    "as a frame; and the film holds on fibre ends more than on the ground.",
    instead=f"lay a cover sheet over it, press as lightly as the film allows, {BRUSH}",
    basis="practice",
    source="common practice, no source",
    good={"film": "matte-smooth", "fabric": "cotton-fleece"},
    bad={"film": "matte-low-temperature", "fabric": "polyester-fleece"},
    finds=_finds,
)
