"""Judged: a piece as it is cut and as it is seen, the way that rules look at it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.job.records.print import NAMES_PIECE, Meeting, Print, PrintPiece
from rules.book.artwork.lost_islands import least_island_mm2
from rules.book.colour_difference import colour_difference
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.subjects import ArtworkPiece, SeenAgainst

__all__ = [
    "InColour",
    "artwork_pieces",
    "merged_into",
    "names_are_on_garment",
    "names_on_garment",
    "on_garment",
    "seen_at",
]

InColour = tuple[Film, Colour]
"""A film and the colour that it is cut in."""


def artwork_pieces(
    piece: PrintPiece,
    film: Film,
    delta_e: float | None,
    *,
    lines: Sequence[int] | None = None,
    as_cut: bool = False,
    wished_finish: str = "",
) -> tuple[ArtworkPiece, ...]:
    """The piece cut from ``film`` at each of its sizes, as the rules on artwork look at it.

    Without artwork there is nothing to look at but the colour, where another was asked for.

    Args:
        lines: the lines of the print whose sizes are meant, from 0; all by default.
        as_cut: its sizes are what windows and gaps leave of it.
        wished_finish: what was wished for it, where that is known.
    """
    if piece.fill is None and not delta_e:
        return ()
    least_mm2 = least_island_mm2(film)
    return tuple(
        ArtworkPiece(
            piece=piece.id,
            film=film,
            width_mm=size.width_mm,
            height_mm=size.height_mm,
            least_stroke_mm=size.least_stroke_mm,
            least_gap_mm=size.least_gap_mm,
            small_islands=sum(area < least_mm2 for area in size.island_areas_mm2),
            smallest_island_mm2=min(size.island_areas_mm2, default=None),
            mirrored=film.cut_mirrored,
            delta_e=delta_e,
            as_cut=as_cut,
            print_width_mm=size.print_width_mm,
            room_mm=size.room_mm,
            wished_finish=wished_finish,
            mean_stroke_mm=size.mean_stroke_mm,
            letters=piece.id == NAMES_PIECE,
            stroke_in=size.stroke_in,
            gap_in=size.gap_in,
        )
        for size in (piece.sizes if lines is None else [piece.sizes[line] for line in lines])
    )


def seen_at(
    print_: Print, meeting: Meeting, upper: InColour, lower: InColour
) -> tuple[SeenAgainst, ...]:
    """The upper piece of a meeting as it is seen against the lower one, where it is.

    A butt that was wished for keeps a line of the garment between the two.
    """
    if not meeting.seen or meeting.hidden or meeting.ways == ("butt",):
        return ()
    drawn = [print_.piece(piece).fill for piece in meeting.pair]
    letters = meeting.upper == NAMES_PIECE
    return (
        SeenAgainst(
            piece=meeting.upper,
            film=upper[0],
            colour=upper[1],
            ground=meeting.lower,
            ground_film=lower[0],
            ground_colour=lower[1],
            drawn_delta_e=0.0
            if letters or drawn[0] is None or drawn[1] is None
            else colour_difference(drawn[0], drawn[1]),
            letters=letters,
            wished_alike=meeting.wished_alike,
        ),
    )


def merged_into(print_: Print, piece: str, in_colour: InColour) -> tuple[SeenAgainst, ...]:
    """The pieces that are cut as one with a piece, as they are not seen against it."""
    film, colour = in_colour
    fill = print_.piece(piece).fill
    return tuple(
        SeenAgainst(
            piece=one.piece,
            film=film,
            colour=colour,
            ground=piece,
            ground_film=film,
            ground_colour=colour,
            drawn_delta_e=0.0 if fill is None else colour_difference(one.fill, fill),
            wished_alike=one.wished_alike,
        )
        for one in print_.merged
        if one.into == piece
    )


def names_are_on_garment(print_: Print) -> bool:
    """Whether the eye sees names on the garment itself, with no other piece under them."""
    return any(place.stack == (NAMES_PIECE,) for place in print_.places)


def names_on_garment(in_colour: InColour, fabric: Fabric) -> SeenAgainst:
    """The names as they are seen against the garment."""
    film, colour = in_colour
    return SeenAgainst(NAMES_PIECE, film, colour, fabric.id, fabric.colour, letters=True)


def on_garment(
    print_: Print, looks: Mapping[str, InColour], fabric: Fabric
) -> tuple[SeenAgainst, ...]:
    """The pieces that the eye sees against the garment; names by `names_on_garment` alone."""
    alone = {place.stack[0] for place in print_.places if len(place.stack) == 1}
    return tuple(
        SeenAgainst(piece, film, colour, fabric.id, fabric.colour)
        for piece, (film, colour) in looks.items()
        if piece in alone and piece != NAMES_PIECE
    )
