"""Cut detail: what of a cut is too fine for its film, where, by how much, and what instead."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from advisor.artwork.fineness import fineness, narrow_places, simplified, small_islands
from advisor.artwork.piecing import visible_parts
from advisor.artwork.records import MOST_WIDTH_MM, Artwork, Fineness
from advisor.cutting.lost import lost_by, lost_told
from advisor.cutting.outlines import plain_outline
from advisor.cutting.records.cut import CutPiece, Separation
from advisor.cutting.records.report import FineDetail, FinePlace, Kind, SimplerPiece, SmallestPrint
from advisor.cutting.separation import separate
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.film import Film
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = [
    "ROUNDING_MM", "films_of", "fine_places", "finest_spot", "measures", "simplified_artwork",
    "smallest_width_mm",
]  # fmt: skip

_Walled = Literal["stroke", "gap"]
_WALLED: tuple[_Walled, ...] = ("stroke", "gap")
_Spot = tuple[Kind, Polygon, float, float, bool]
"""What it is, where, how wide, the least its film takes, and whether separation made it so."""

ROUNDING_MM = 0.02
"""A place this little under the limit is within what fineness is measured to."""


def films_of(plan: Plan, catalogue: Catalogue) -> dict[str, Film]:
    """The film of each piece of a plan.

    Raises:
        UnknownNameError: a film is not in the catalogue.
    """
    return {piece.id: catalogue.film(piece.film) for piece in plan.pieces}


def measures(fine: Fineness, film: Film) -> list[tuple[Kind, float, float]]:
    """The finest stroke, gap and bit of an area, each beside the least that its film takes, mm."""
    rows: list[tuple[Kind, float | None, float]] = [
        ("stroke", fine.least_stroke_mm, film.least_stroke_mm),
        ("gap", fine.least_gap_mm, film.least_gap_mm),
        ("island", math.sqrt(fine.island_areas_mm2[0]), film.least_stroke_mm),
    ]
    return [(kind, size_mm, least_mm) for kind, size_mm, least_mm in rows if size_mm is not None]


def fine_places(
    separation: Separation, films: Mapping[str, Film], *, width_mm: float
) -> tuple[FinePlace, ...]:
    """Every place of the cut pieces that is too fine for its film, in the artwork's order.

    What windows and gaps made is passed over where it is no larger than the least bit that the film
    holds: whether a nib or a notch of that size comes out or not, nobody sees.

    Args:
        width_mm: width of the artwork at this size.

    >>> from rules.catalogue import load_catalogue
    >>> bar = MultiPolygon([shapely.box(0, 0, 40, 0.5)])
    >>> cut = Separation((CutPiece("bar", bar, bar, bar),))
    >>> (place,) = fine_places(cut, {"bar": load_catalogue().film("matte-smooth")}, width_mm=40)
    >>> place.detail.kind, place.detail.measure_mm
    ('stroke', 0.5)
    """
    found: list[FinePlace] = []
    for piece in separation.pieces:
        if piece.shape.is_empty or piece.id not in films:
            continue
        film = films[piece.id]
        spots = [spot for kind in _WALLED for spot in _walled_spots(piece, kind, film)]
        spots += _lost_islands(piece.shape, film, [spot for spot in spots if spot[0] != "gap"])
        for kind, area, measure_mm, least_mm, by_separation in spots:
            if by_separation and area.area < film.least_stroke_mm**2:
                continue
            middle = area.representative_point()
            detail = FineDetail(
                piece=piece.id,
                film=film.id,
                width_mm=width_mm,
                kind=kind,
                measure_mm=round(measure_mm, 2),
                least_mm=least_mm,
                x_mm=round(middle.x, 2),
                y_mm=round(middle.y, 2),
                by_separation=by_separation,
            )
            found.append(FinePlace(detail, area))
    return tuple(found)


def _walled_spots(piece: CutPiece, kind: _Walled, film: Film) -> list[_Spot]:
    """Where the walls of a piece or of a gap in it lie too near each other for its film."""
    least_mm = film.least_gap_mm if kind == "gap" else film.least_stroke_mm
    places = _places(piece.shape, kind, least_mm)
    if not places:
        return []
    drawn = _places(piece.drawn, kind, least_mm) if piece.shape != piece.drawn else places
    return [
        (
            "island" if kind == "stroke" and _is_island(piece.shape, place, least_mm) else kind,
            place,
            width_mm,
            least_mm,
            _made_by_cutting(place, width_mm, drawn, film),
        )
        for place, width_mm in places
    ]


def _made_by_cutting(
    place: Polygon, width_mm: float, drawn: Sequence[tuple[Polygon, float]], film: Film
) -> bool:
    """Whether the drawing has no fine place there, or none as fine as this.

    One that is drawn is told in any case, so that what cutting adds to it counts where it is seen.
    """
    reach_mm = min(film.least_stroke_mm, film.least_gap_mm) / 4
    near = [(one.buffer(reach_mm), mm) for one, mm in drawn]
    near = [(one, mm) for one, mm in near if one.intersects(place)]
    known = shapely.union_all([one for one, _ in near])
    if place.difference(known).area > place.area / 2:
        return True
    seen = place.area >= film.least_stroke_mm**2
    return seen and width_mm < min(mm for _, mm in near) - ROUNDING_MM


def _places(shape: BaseGeometry, kind: _Walled, least_mm: float) -> list[tuple[Polygon, float]]:
    """The places of a shape that are too fine, each with its width."""
    return [
        (place, width_mm)
        for place, width_mm in narrow_places(plain_outline(shape), kind, least_mm=least_mm)
        if width_mm < least_mm - ROUNDING_MM
    ]


def finest_spot(shape: MultiPolygon, kind: Kind, least_mm: float) -> shapely.Point:
    """Where the finest stroke, gap or bit of a shape is.

    >>> ink = MultiPolygon([shapely.box(0, 0, 10, 10), shapely.box(30, 4, 50, 4.5)])
    >>> spot = finest_spot(ink, "stroke", 1.0)
    >>> 30 < spot.x < 50
    True
    """
    if kind == "island":
        return min(shape.geoms, key=lambda part: part.area).representative_point()
    places = narrow_places(plain_outline(shape), kind, least_mm=least_mm)
    if not places:
        return shape.representative_point()
    return min(places, key=lambda one: one[1])[0].representative_point()


def _is_island(shape: MultiPolygon, place: Polygon, least_mm: float) -> bool:
    """Whether a thin place is a whole part of the piece, and small as well."""
    return place.area < 9 * least_mm**2 and any(
        part.area < 9 * least_mm**2 and part.difference(place).area < 0.05 * part.area
        for part in shape.geoms
    )


def _lost_islands(shape: MultiPolygon, film: Film, thin: Sequence[_Spot]) -> list[_Spot]:
    """Bits that weeding loses though no part of them is thin."""
    least_mm = film.least_stroke_mm
    known = shapely.union_all([spot[1] for spot in thin])
    return [
        ("island", island, math.sqrt(island.area), least_mm, False)
        for island in small_islands(plain_outline(shape), least_mm=least_mm).geoms
        if island.intersection(known).area <= island.area / 2
    ]


def smallest_width_mm(
    plan: Plan, artwork: Artwork, *, catalogue: Catalogue
) -> SmallestPrint | None:
    """The smallest width at which every piece is still coarse enough for its film.

    Strokes and gaps grow in proportion to the width, islands with its square; the width that
    follows is measured again and raised until it holds. Windows, traps and gaps at butts do not
    grow with the artwork, so what they make of it is separated and measured at every width that is
    tried, up to four times the first. That is no less than the job's widths that are too fine as
    they are cut: what is a sliver there is nothing at all in a print that is small enough. Names
    are left out: they are fitted to their box at any width, and measured one by one. Returns
    ``None`` when not even ten metres would do.

    Raises:
        BadInputError: the plan and the artwork do not belong together.
        UnknownNameError: a film is not in the catalogue.
    """
    films = films_of(plan, catalogue)
    joints = tuple(j for j in plan.joints if NAMES_PIECE not in (j.upper, j.lower))
    artwork = replace(artwork, pieces=tuple(p for p in artwork.pieces if p.id != NAMES_PIECE))
    if not any(piece.id in films and not piece.shape.is_empty for piece in artwork.pieces):
        raise BadInputError("the artwork has no piece that the plan gives a film")
    ranks = {piece.id: piece.rank for piece in plan.pieces}

    def drawn_at(width_mm: float) -> _Tightest:
        return _tightest(separate(artwork.scaled(width_mm=width_mm), (), ranks=ranks), films)

    def cut_at(width_mm: float) -> float:
        sized = artwork.scaled(width_mm=width_mm)
        cut = separate(sized, joints, ranks=ranks, hidden=plan.hidden_pairs)
        found = [place.detail for place in fine_places(cut, films, width_mm=width_mm)]
        return min((one.measure_mm / one.least_mm for one in found if one.by_separation), default=1)

    width_mm = _estimate_mm(artwork, films)
    if width_mm > MOST_WIDTH_MM:
        return None
    tightest = drawn_at(width_mm)
    while not tightest.holds and width_mm < MOST_WIDTH_MM:
        step = max(1 / max(tightest.share, 0.1), 1.005)
        width_mm = min(math.ceil(step * width_mm), MOST_WIDTH_MM)
        tightest = drawn_at(width_mm)
    asked = [line.width_mm for line in plan.print.lines if line.width_mm > width_mm]
    from_mm = max([width_mm, *(mm for mm in asked if cut_at(mm) < 1)])
    as_cut_mm = _smallest_that_holds(cut_at, from_mm, min(4 * from_mm, MOST_WIDTH_MM))
    return SmallestPrint(
        width_mm=width_mm,
        piece=tightest.piece,
        kind=tightest.kind,
        measure_mm=round(tightest.measure_mm, 2),
        least_mm=tightest.least_mm,
        as_cut_mm=as_cut_mm,
        told=_smallest_told(width_mm, as_cut_mm),
    )


def _smallest_told(drawn_mm: float, as_cut_mm: float | None) -> Text:
    drawn = f"as drawn it cuts from {show_mm(drawn_mm):.0f} wide"
    with_these = "with this plan's windows and gaps"
    if as_cut_mm is None:
        return Text(f"{drawn}; {with_these} some places stay too fine even at four times that")
    from_mm = f"; {with_these} from {show_mm(as_cut_mm):.0f}" if as_cut_mm > drawn_mm else ""
    return Text(f"{drawn}{from_mm}")


def _smallest_that_holds(
    cut_at: Callable[[float], float], from_mm: float, to_mm: float
) -> float | None:
    """The smallest width between two that holds as it is cut, to half a percent.

    Args:
        cut_at: the finest detail that windows and gaps make at a width, beside what its film takes.
    """
    too_small, width_mm = 0.0, from_mm
    while (share := cut_at(width_mm)) < 1:
        too_small = width_mm
        width_mm = math.ceil(width_mm * min(max(1 / max(share, 0.01), 1.05), 2.0))
        if width_mm > to_mm:
            return None
    while too_small and width_mm - too_small > max(1.0, 0.005 * width_mm):
        middle = float(math.ceil((too_small + width_mm) / 2))
        if cut_at(middle) >= 1:
            width_mm = middle
        else:
            too_small = middle
    return width_mm


@dataclass(frozen=True, slots=True)
class _Tightest:
    """The finest detail of a separation against what its film takes."""

    piece: str
    kind: Kind
    measure_mm: float
    least_mm: float

    @property
    def share(self) -> float:
        return self.measure_mm / self.least_mm

    @property
    def holds(self) -> bool:
        return self.measure_mm >= self.least_mm - ROUNDING_MM


def _tightest(made: Separation, films: Mapping[str, Film]) -> _Tightest:
    found: list[_Tightest] = []
    for piece in made.pieces:
        if piece.shape.is_empty or piece.id not in films:
            continue
        film = films[piece.id]
        up_to_mm = 1.2 * max(film.least_stroke_mm, film.least_gap_mm)
        fine = fineness(plain_outline(piece.shape), up_to_mm=up_to_mm, tolerance_mm=0.02)
        found += [_Tightest(piece.id, *measure) for measure in measures(fine, film)]
    return min(found, key=lambda one: one.share)


def _holds(shape: MultiPolygon, film: Film) -> bool:
    """Whether a film can be cut to a shape and weeded."""
    alone = Separation((CutPiece("", shape, shape, shape),))
    return _tightest(alone, {"": film}).holds


def _estimate_mm(artwork: Artwork, films: Mapping[str, Film]) -> float:
    """The width that the drawn pieces need, in proportion; whole millimetres."""
    needed = 0.0
    for piece in artwork.pieces:
        film = films.get(piece.id)
        if film is None or piece.shape.is_empty:
            continue
        for _, measure_mm, least_mm in measures(_finest(piece.shape), film):
            needed = max(needed, least_mm / measure_mm)
    return float(max(1, math.ceil(needed * artwork.width_mm - 1e-6)))


def _finest(shape: BaseGeometry) -> Fineness:
    """The finest details of a shape; those beyond 30 mm are left to its islands."""
    shape = plain_outline(shape)
    fine = fineness(shape)
    if fine.least_stroke_mm is not None:
        return fine
    # Only a first estimate hangs on this, so the outline may be coarse.
    broad = fineness(shapely.simplify(shape, 0.1), up_to_mm=30.0, tolerance_mm=0.2)
    return replace(fine, least_stroke_mm=broad.least_stroke_mm)


def simplified_artwork(
    artwork: Artwork, films: Mapping[str, Film]
) -> tuple[Artwork, tuple[SimplerPiece, ...]]:
    """The artwork with the pieces that are too fine made simple enough for their films.

    Small islands and thin places are taken away and narrow gaps are filled.

    Args:
        artwork: at the width at which it is cut.

    Returns:
        The new artwork, and each piece that changed with its change in area and what of it is
        lost. A piece of which nothing could be kept stays as it is and is not proposed.
    """
    proposals = []
    shapes: dict[str, MultiPolygon] = {}
    for piece in artwork.pieces:
        film = films.get(piece.id)
        if film is None or piece.shape.is_empty or _holds(piece.shape, film):
            continue
        least_mm = max(film.least_stroke_mm, film.least_gap_mm)
        shape = simplified(plain_outline(piece.shape), least_mm=least_mm)
        if shape.is_empty:
            continue
        shapes[piece.id] = shape
        before_mm2, after_mm2 = piece.shape.area, shape.area
        losses = lost_by(piece.shape, shape, least_mm=least_mm)
        proposals.append(
            SimplerPiece(
                piece=piece.id,
                film=film.id,
                width_mm=artwork.width_mm,
                least_mm=least_mm,
                before_mm2=round(before_mm2, 1),
                after_mm2=round(after_mm2, 1),
                change_pct=round(100 * (after_mm2 - before_mm2) / before_mm2, 2),
                used=False,
                losses=losses,
                lost=lost_told(losses),
            )
        )
    if not shapes:
        return artwork, ()
    new = [replace(piece, shape=shapes.get(piece.id, piece.shape)) for piece in artwork.pieces]
    visible = visible_parts([piece.shape for piece in new], [piece.opacity >= 1 for piece in new])
    new = [replace(piece, visible=seen) for piece, seen in zip(new, visible, strict=True)]
    return replace(artwork, pieces=tuple(new)), tuple(proposals)
