"""Rule least-gap: no gap in a piece is narrower than the film can be weeded."""

from rules.book.artwork.larger_print import if_larger
from rules.book.rule import Found, Rule
from rules.facts.subjects import LET_IT_LAP, ArtworkPiece
from rules.facts.units import show_mm

__all__ = ["RULE"]

POINT_MM = 0.01
"""A gap narrower than this has no width to tell: it runs out into nothing."""


def _finds(piece: ArtworkPiece) -> Found | None:
    narrowest_mm, least_mm = piece.least_gap_mm, piece.film.least_gap_mm
    if narrowest_mm is None or narrowest_mm >= least_mm:
        return None
    if piece.as_cut:
        return Found(
            f"where it meets other pieces, {piece.named} has a gap of {show_mm(narrowest_mm):.2g} "
            f"as it is cut; {piece.film.id} weeds from {show_mm(least_mm):g}",
            instead=LET_IT_LAP,
        )
    if narrowest_mm < POINT_MM:
        return Found(
            f"a narrow gap in {piece.named} runs out into nothing; {piece.film.id} weeds from "
            f"{show_mm(least_mm):g}",
            instead="open the gap or close it in the artwork",
        )
    larger = if_larger(piece, least_mm / max(narrowest_mm, 1e-9))
    if piece.letters:
        return Found(
            f"the narrowest gap in or between the letters of {piece.named} is "
            f"{show_mm(narrowest_mm):.2g}"
            + (f", {piece.gap_in}" if piece.gap_in else "")
            + f"; {piece.film.id} weeds from {show_mm(least_mm):g}",
            instead=f"{larger}shorten the longest name, or take a film that weeds finer",
        )
    return Found(
        f"the narrowest gap in {piece.named} is {show_mm(narrowest_mm):.2g}; {piece.film.id} weeds "
        f"from {show_mm(least_mm):g}",
        instead=f"{larger}open the gap or close it in the artwork, or take a film that weeds finer",
    )


_LETTERS = {"piece": "letters", "film": {"like": "matte-smooth", "least_gap_mm": 0.8}}

RULE = Rule(
    id="least-gap",
    judges="artwork",
    severity="sample",
    summary="No gap in a piece is narrower than its film weeds.",
    why="The waste in a narrow gap tears and stays behind, or pulls the edges beside it up; in "
    "the press the gap closes.",
    instead="enlarge the artwork, open the gap or close it, or take a film that weeds finer",
    basis="practice",
    source="common practice, no source; the film's own least gap",
    good={**_LETTERS, "width_mm": 100, "height_mm": 30, "least_gap_mm": 1.5},
    bad={**_LETTERS, "width_mm": 100, "height_mm": 30, "least_gap_mm": 0.4},
    finds=_finds,
)
