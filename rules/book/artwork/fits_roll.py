"""Rule fits-roll: a piece must fit across the roll it is cut from."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import ArtworkPiece
from rules.facts.units import show_mm, show_size

__all__ = ["EDGE_MM", "RULE"]

EDGE_MM = 10.0
"""What a cutter's rollers hold at each edge of the roll, mm. Common practice, no source."""


def _finds(piece: ArtworkPiece) -> Found | None:
    film = piece.film
    one_way = film.one_way
    across_mm = piece.width_mm if one_way else min(piece.width_mm, piece.height_mm)
    roll_mm = film.roll_width_mm
    where = f"{piece.named} at {show_size(piece.width_mm, piece.height_mm)}"
    turned = f" ({film.id} has a direction and cannot be turned)" if one_way else ""
    if not across_mm <= roll_mm:
        fits_mm = piece.width_mm * (roll_mm - 2 * EDGE_MM) / max(across_mm, 1e-9)
        return Found(
            f"{piece.named} is {show_mm(across_mm):.0f} across and the roll of {film.id} "
            f"{show_mm(roll_mm):.0f}{turned}",
            where,
            instead=f"make it at most {show_mm(fits_mm):.0f} wide, cut it in two parts that lap "
            "where the artwork hides it, or take a wider roll",
        )
    if across_mm > roll_mm - 2 * EDGE_MM:
        return Found(
            f"{piece.named} is {show_mm(across_mm):.0f} across a roll of {show_mm(roll_mm):.0f} "
            f"and leaves less than {show_mm(EDGE_MM):g} at each edge for the rollers{turned}",
            where,
            severity="note",
            instead="check how close to the edge your cutter cuts, or take a wider roll",
        )
    return None


_BACK = {"piece": "back", "width_mm": 320, "height_mm": 400}

RULE = Rule(
    id="fits-roll",
    judges="artwork",
    severity="stop",
    summary="A piece fits across the roll of its film.",
    why="A piece wider than the roll cannot be cut whole, and one whose look has a direction "
    "cannot be turned to fit: the light falls differently on it.",
    instead="make the piece smaller, cut it in two parts, or take a wider roll",
    basis="physics",
    source="the film's own roll width; the edge is common practice, no source",
    good={**_BACK, "film": {"like": "matte-smooth", "roll_width_mm": 500}},
    bad={**_BACK, "film": {"like": "matte-smooth", "roll_width_mm": 300}},
    finds=_finds,
)
