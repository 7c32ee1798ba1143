"""Rule finish-match: the film shows the finish that was wished for its piece."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import ArtworkPiece
from rules.facts.text import and_list

__all__ = ["RULE"]


def _finds(piece: ArtworkPiece) -> Found | None:
    film = piece.film
    if not piece.wished_finish or piece.wished_finish in film.finishes:
        return None
    return Found(
        f"{piece.wished_finish} was wished for {piece.named}, and {film.id} is "
        f"{and_list(film.finishes)}",
        f"{piece.named}",
    )


_SUN = {"piece": "sun", "width_mm": 60, "height_mm": 60, "wished_finish": "sparkle"}

RULE = Rule(
    id="finish-match",
    judges="artwork",
    severity="sample",
    summary="The film shows the finish that was wished for.",
    why="A customer who was promised a look and gets another sends the order back.",
    instead="take a film of the wished finish, or show the customer this one first",
    basis="practice",
    source="common practice, no source",
    good={**_SUN, "film": "sparkle-coarse"},
    bad={**_SUN, "film": "matte-smooth"},
    finds=_finds,
)
