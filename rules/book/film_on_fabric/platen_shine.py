"""Rule platen-shine: a platen polishes a lustrous fabric, and drops of water mark it: try one."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric

__all__ = ["RULE"]

DRY = (
    "use no steam and no damp cloth, and try these steps on a seam allowance or a spare piece first"
)


def _finds(pair: FilmOnFabric) -> Found | None:
    fabric = pair.fabric
    if not pair.touches or not fabric.shines:
        return None
    drop = "a drop of water leaves a ring in it"
    if pair.pressed and pair.pressed.covered:
        return Found(
            f"the platen may polish {fabric.id} around the print even through the cover sheet, and "
            f"{drop}",
            fabric.id,
            instead=f"lay no more of it under the platen than the print needs, {DRY}",
        )
    return Found(f"the platen polishes {fabric.id} around the print, and {drop}", fabric.id)


RULE = Rule(
    id="platen-shine",
    judges="film_on_fabric",
    severity="sample",
    summary="A lustrous fabric is pressed dry, no further than its print, and tried first.",
    why="The platen lays and polishes the threads of silk and acetate, so that its edge shows as "
    "a frame of another shine; and where water or steam spots them the sheen changes for good.",
    instead="lay a cover sheet over it, press as lightly as the film allows, lay no more of it "
    f"under the platen than the print needs, {DRY}",
    basis="practice",
    source="common practice, no source",
    good={"film": "matte-thin", "fabric": "cotton-jersey-tee"},
    bad={"film": "matte-thin", "fabric": "silk-satin"},
    finds=_finds,
)
