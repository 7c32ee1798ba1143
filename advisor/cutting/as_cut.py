"""As cut: what windows, rims and gaps leave too fine for its film, at every size of an order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from advisor.artwork.records import Artwork
from advisor.cutting.detail import fine_places
from advisor.cutting.records.report import FineDetail, Kind
from advisor.cutting.separation import separate
from advisor.job.records.plan import PlannedJoint
from advisor.job.records.print import Pair, PieceSize
from rules.facts.film import Film

__all__ = ["sizes_as_cut"]


def sizes_as_cut(
    artwork: Artwork,
    joints: Sequence[PlannedJoint],
    *,
    films: Mapping[str, Film],
    ranks: Mapping[str, int],
    hidden: Iterable[Pair],
    widths_mm: Sequence[float],
) -> dict[str, tuple[PieceSize, ...]]:
    """The pieces that separation makes too fine, with their finest details at each width.

    What the artwork itself has too fine is no part of it. Where all pieces lap, nothing is.

    Args:
        artwork: at any width, of the planned pieces alone.

    Returns:
        By piece, one size for each width; a detail that is coarse enough there is ``None``.

    >>> sizes_as_cut(Artwork("kite", 90, 90, ()), (), films={}, ranks={}, hidden=(), widths_mm=[])
    {}
    """
    if all(joint.meets == "lap" for joint in joints):
        return {}
    apart, least = frozenset(hidden), {piece: film.least_stroke_mm for piece, film in films.items()}
    made: dict[float, list[FineDetail]] = {}
    for width_mm in dict.fromkeys(widths_mm):
        cut = separate(
            artwork.scaled(width_mm=width_mm),
            joints,
            ranks=ranks,
            hidden=apart,
            least_stroke_mm=least,
        )
        places = fine_places(cut, films, width_mm=width_mm)
        made[width_mm] = [place.detail for place in places if place.detail.by_separation]
    extents = {piece.id: piece.shape.bounds for piece in artwork.pieces}
    return {
        piece: tuple(
            _size(extents[piece], width_mm / artwork.width_mm, piece, made[width_mm])
            for width_mm in widths_mm
        )
        for piece in films
        if any(detail.piece == piece for details in made.values() for detail in details)
    }


def _size(
    bounds: tuple[float, float, float, float],
    factor: float,
    piece: str,
    details: Sequence[FineDetail],
) -> PieceSize:
    def found(kind: Kind) -> list[float]:
        return sorted(d.measure_mm for d in details if d.piece == piece and d.kind == kind)

    left, top, right, bottom = bounds
    return PieceSize(
        width_mm=(right - left) * factor,
        height_mm=(bottom - top) * factor,
        least_stroke_mm=min(found("stroke"), default=None),
        least_gap_mm=min(found("gap"), default=None),
        island_areas_mm2=tuple(side_mm**2 for side_mm in found("island")),
    )
