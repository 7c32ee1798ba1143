"""Larger print: how wide a print would have to be for its finest detail to weed, if it fits."""

from math import ceil

from rules.facts.subjects import ArtworkPiece
from rules.facts.units import show_mm

__all__ = ["if_larger"]

WORTH_TELLING = 4.0
"""A print that would have to grow by more is another job. Common practice, no source."""


def if_larger(piece: ArtworkPiece, factor: float) -> str:
    """What advice begins with where ``piece`` would weed at ``factor`` times its size.

    The job gives the width of the print, so that is what is told; of a piece by itself, its own.
    Whole millimetres, up, so that what is advised is enough.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> from rules.facts.text import Text
    >>> wave = ArtworkPiece("wave", film, 61.3, 20, print_width_mm=114, room_mm=300)
    >>> print(Text(if_larger(wave, 1.85) + "or thicken it"))
    print it at least 211 mm wide, or thicken it
    """
    if not 1 < factor < WORTH_TELLING:
        return ""
    if piece.letters:
        return (
            f"set the letters at least {show_mm(_enough(piece.height_mm * factor))} high in a box "
            "as much wider, "
        )
    if piece.print_width_mm is None:
        return f"make it at least {show_mm(_enough(piece.width_mm * factor))} wide, "
    enough_mm = _enough(piece.print_width_mm * factor)
    if piece.room_mm is not None and enough_mm > piece.room_mm:
        return (
            f"its print area takes a print {show_mm(piece.room_mm):.0f} wide, and it weeds from "
            f"{show_mm(enough_mm)} wide: "
        )
    return f"print it at least {show_mm(enough_mm)} wide, "


def _enough(mm: float) -> int:
    # What comes to a whole number all but exactly could fall short of it by a rounding.
    return ceil(mm + 1e-6)
