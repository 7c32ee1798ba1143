"""Typed print: the print that a typed stack of films, or a look without artwork, stands for."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.job.records.print import Meeting, PieceSize, Place, Print, PrintLine, PrintPiece
from rules.facts.fabric import Fabric
from rules.facts.garment import Garment
from rules.facts.step import Meets

__all__ = ["SAMPLE_PRINT_MM", "stack_print"]

SAMPLE_PRINT_MM = 200.0
"""Size of the print that is judged where no artwork gives one, mm."""

MOST_OF_AREA = 0.8
"""How much of a garment's print area such a print fills at most."""


def stack_print(
    pieces: Sequence[str],
    *,
    fabric: Fabric,
    garment: Garment | None = None,
    ways: tuple[Meets, ...] = ("lap",),
    nested: bool = False,
) -> Print:
    """Pieces over one another, bottom first.

    Args:
        garment: whose print area bounds the print, where one is named.
        ways: in which neighbours may meet; others overlap only under the pieces between.
        nested: each piece lies within the one behind it, so that every one of them shows; else
            all lie wholly on one another.

    >>> from rules.catalogue import load_catalogue
    >>> tee = load_catalogue().fabric("cotton-jersey-tee")
    >>> [meeting.pair for meeting in stack_print(["base", "top"], fabric=tee).meetings]
    [('top', 'base')]
    >>> [place.stack for place in stack_print(["base", "top"], fabric=tee, nested=True).places]
    [('base', 'top'), ('base',)]
    """
    width, height = _size_mm(garment)
    area, size = width * height, PieceSize(width, height)
    depths = range(len(pieces), 0, -1) if nested else (len(pieces),)
    meetings = tuple(
        Meeting(
            upper=pieces[above],
            lower=pieces[below],
            area_mm2=area,
            touching=False,
            hidden=above - below > 1,
            ways=ways if above - below == 1 else ("lap",),
        )
        for below in range(len(pieces))
        for above in range(below + 1, len(pieces))
    )
    return Print(
        pieces=tuple(PrintPiece(piece, None, (size,)) for piece in pieces),
        meetings=meetings,
        places=tuple(Place(tuple(pieces[:depth]), area) for depth in depths),
        close=tuple(sorted((min(m.pair), max(m.pair)) for m in meetings)),
        lines=(
            PrintLine(
                garment=garment.id if garment else None,
                area=garment.print_area().name if garment else None,
                fabric=fabric.id,
                quantity=1,
                width_mm=width,
                height_mm=height,
            ),
        ),
    )


def _size_mm(garment: Garment | None) -> tuple[float, float]:
    if garment is None:
        return (SAMPLE_PRINT_MM, SAMPLE_PRINT_MM)
    area = garment.print_area()
    return (
        min(SAMPLE_PRINT_MM, MOST_OF_AREA * area.width_mm),
        min(SAMPLE_PRINT_MM, MOST_OF_AREA * area.height_mm),
    )
