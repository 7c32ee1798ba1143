"""Rule lost-islands: separate bits must be large enough to survive weeding."""

import math

from rules.book.artwork.larger_print import if_larger
from rules.book.rule import Found, Rule
from rules.facts.film import Film
from rules.facts.subjects import LET_IT_LAP, ArtworkPiece

__all__ = ["RULE", "least_island_mm2"]


def least_island_mm2(film: Film) -> float:
    """Area in mm² of the smallest separate bit of ``film`` that survives weeding.

    A square whose side is the film's least stroke. Common practice, no source.

    >>> from rules.catalogue import load_catalogue
    >>> least_island_mm2(load_catalogue().film("matte-smooth")) > 0
    True
    """
    return film.least_stroke_mm**2


def _finds(piece: ArtworkPiece) -> Found | None:
    if piece.small_islands < 1:
        return None
    least_mm2, smallest_mm2 = least_island_mm2(piece.film), piece.smallest_island_mm2
    bits = "1 separate bit" if piece.small_islands == 1 else f"{piece.small_islands} separate bits"
    smallest = "" if smallest_mm2 is None else f", the smallest of {smallest_mm2:.3g} mm²"
    if piece.as_cut:
        return Found(
            f"where it meets other pieces, {piece.named} is left with {bits} too small for "
            f"{piece.film.id} to keep in weeding{smallest}; from {least_mm2:.3g} mm² they hold",
            instead=LET_IT_LAP,
        )
    larger = if_larger(piece, math.sqrt(least_mm2 / max(smallest_mm2 or 0.0, 1e-9)))
    return Found(
        f"{piece.named} has {bits} too small for {piece.film.id} to keep in weeding{smallest}; "
        f"from {least_mm2:.3g} mm² they hold",
        instead=f"{larger}join the bits to what is beside them, or leave them out",
    )


_STARS = {"piece": "stars", "film": {"like": "matte-smooth", "least_stroke_mm": 1}}

RULE = Rule(
    id="lost-islands",
    judges="artwork",
    severity="sample",
    summary="Every separate bit of a piece is large enough to survive weeding.",
    why="A dot or the tittle of a letter has too little adhesive to stay on its carrier: it goes "
    "away with the waste unseen, or comes off in the wash.",
    instead="enlarge the artwork, join the bits to what is beside them, or leave them out",
    basis="practice",
    source="common practice, no source",
    good={**_STARS, "width_mm": 200, "height_mm": 80, "smallest_island_mm2": 12},
    bad={
        **_STARS,
        "width_mm": 60,
        "height_mm": 24,
        "small_islands": 7,
        "smallest_island_mm2": 0.5,
    },
    finds=_finds,
)
