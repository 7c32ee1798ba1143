"""Rule platen-shine: a platen polishes a lustrous fabric, and drops of water mark it: try one."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric

__all__ = ["RULE", "SHINES"]

SHINES = ("silk", "acetate")
"""Fibres that a platen polishes and water spots. Common practice, no source."""

MOSTLY_PCT = 50.0


def _finds(pair: FilmOnFabric) -> Found | None:
    if not pair.touches or pair.fabric.share_pct(SHINES) < MOSTLY_PCT:
        return None
    return Found(
        f"the platen polishes {pair.fabric.id} around the print, and a drop of water leaves a "
        "ring in it",
        pair.fabric.id,
    )


RULE = Rule(
    id="platen-shine",
    judges="film_on_fabric",
    severity="sample",
    summary="A lustrous fabric is pressed dry, no further than its print, and tried first.",
    why="The platen lays and polishes the threads of silk and acetate, so that its edge shows as "
    "a frame of another shine; and where water or steam spots them the sheen changes for good.",
    instead="lay no more of it under the platen than the print needs, use no steam and no damp "
    "cloth, and try these steps on a seam allowance or a spare piece first",
    basis="practice",
    source="common practice, no source",
    good={"film": "matte-thin", "fabric": "cotton-jersey-tee"},
    bad={"film": "matte-thin", "fabric": "silk-satin"},
    finds=_finds,
)
