"""Rule mirror-cut: a film cut from its adhesive side is cut mirrored."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import ArtworkPiece

__all__ = ["RULE"]


def _finds(piece: ArtworkPiece) -> Found | None:
    where = f"{piece.named} in {piece.film.id}"
    if not piece.film.cut_mirrored:
        if not piece.mirrored:
            return None
        return Found(
            f"{piece.named} is mirrored, but {piece.film.id} is printed and cut from its face",
            where,
            severity="note",
            instead="print and cut it as it should read, unless your film is cut from the back",
        )
    if piece.mirrored:
        return None
    return Found(
        f"{piece.named} is not mirrored, so in {piece.film.id} it will read backwards",
        where,
    )


_NAME = {"piece": "name", "width_mm": 200, "height_mm": 40}

RULE = Rule(
    id="mirror-cut",
    judges="artwork",
    severity="stop",
    summary="What is cut from the adhesive side is cut mirrored.",
    why="The film lies on the cutter with its carrier down and is turned over to be pressed: "
    "lettering that reads right on the cutter reads backwards on the garment.",
    instead="mirror the cut",
    basis="practice",
    source="common practice, no source",
    good={**_NAME, "film": "matte-smooth", "mirrored": True},
    bad={**_NAME, "film": "matte-smooth", "mirrored": False},
    finds=_finds,
)
