"""The artwork as the rest of Presslore sees it: pieces of one look in paint order, in mm."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon
from shapely.affinity import translate

from rules.errors import BadInputError
from rules.facts.subjects import AsDrawn

__all__ = ["MOST_WIDTH_MM", "Artwork", "ArtworkError", "Fineness", "Overlap", "Piece"]

# Wider than any roll or garment: a width above this is a slip in the units.
MOST_WIDTH_MM = 10_000.0


class ArtworkError(BadInputError):
    """An artwork file that cannot be cut as it is; the message says what to do about it.

    >>> str(ArtworkError("the file is empty", source="logo.svg"))
    'logo.svg: the file is empty'
    """


@dataclass(frozen=True, slots=True)
class Piece:
    """All shapes of one artwork that share a fill and can be laid as one film in one go.

    Attributes:
        id: ``"fill-1b3a5c"``; when one fill had to be split, ``"fill-1b3a5c-2"`` and so on, counted
            from the bottom. Unique in the artwork.
        fill: the colour as lower-case sRGB, ``"#1b3a5c"``.
        opacity: 1.0 is opaque.
        shape: the whole area in mm, hidden parts included; y runs down, the origin is the artwork's
            top left corner.
        visible: the part of ``shape`` that no opaque piece above covers.
        order: rank in paint order, 0 at the bottom.
    """

    id: str
    fill: str
    opacity: float
    shape: MultiPolygon
    visible: MultiPolygon
    order: int


@dataclass(frozen=True, slots=True)
class Artwork:
    """A drawing of a known size, as pieces from the bottom up.

    Attributes:
        name: what the artwork is called, usually the file's name without its ending.
        width_mm, height_mm: the size of the artboard.
        pieces: bottom first.
        notes: what the reader changed or left out, one sentence each.
        set_aside: what is drawn and no film shows as it is drawn; most of it is no piece.
    """

    name: str
    width_mm: float
    height_mm: float
    pieces: tuple[Piece, ...]
    notes: tuple[str, ...] = ()
    set_aside: tuple[AsDrawn, ...] = ()

    def scaled(self, *, width_mm: float) -> Artwork:
        """Return the same artwork at another width; the height follows.

        Curves keep the points they were read with, so a large enlargement shows their facets:
        read the file again at the larger width where that matters.

        Raises:
            ArtworkError: the width is not a positive size of at most 10,000 mm.

        >>> from advisor.artwork.reader import read_artwork
        >>> square = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="20mm"
        ...     height="10mm"><rect width="100%" height="100%" fill="navy"/></svg>''')
        >>> large = square.scaled(width_mm=40)
        >>> large.height_mm, round(large.pieces[0].shape.area)
        (20.0, 800)
        """
        check_width(width_mm, source=self.name)
        factor = width_mm / self.width_mm

        def scale(points: NDArray[np.float64]) -> NDArray[np.float64]:
            return points * factor

        pieces = tuple(
            replace(
                piece,
                shape=_sound(shapely.transform(piece.shape, scale)),
                visible=_sound(shapely.transform(piece.visible, scale)),
            )
            for piece in self.pieces
        )
        height_mm = self.height_mm * factor
        return replace(self, width_mm=float(width_mm), height_mm=height_mm, pieces=pieces)

    @property
    def extent_mm(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom of all that is drawn.

        >>> Artwork("nothing", 10, 10, ()).extent_mm
        (nan, nan, nan, nan)
        """
        if not self.pieces:
            return (math.nan, math.nan, math.nan, math.nan)
        shapes = np.array([piece.shape for piece in self.pieces], dtype=object)
        left, top, right, bottom = shapely.total_bounds(shapes).tolist()
        return left, top, right, bottom

    def trimmed(self) -> Artwork:
        """The same pieces on a page that is no larger than what is drawn."""
        left, top, right, bottom = self.extent_mm
        pieces = tuple(
            replace(
                piece,
                shape=_sound(translate(piece.shape, -left, -top)),
                visible=_sound(translate(piece.visible, -left, -top)),
            )
            for piece in self.pieces
        )
        return replace(self, width_mm=right - left, height_mm=bottom - top, pieces=pieces)


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two pieces that lie over one another, or that touch along an edge.

    Attributes:
        lower, upper: piece ids in paint order.
        area_mm2: the whole overlap of the two shapes; 0 when they only touch.
        direct: somewhere, wider than a sliver, no other piece lies between the two.
        touching: true when the two only abut: they share an edge, or leave a gap under 0.05 mm.
    """

    lower: str
    upper: str
    area_mm2: float
    direct: bool
    touching: bool


def _sound(moved: MultiPolygon) -> MultiPolygon:
    """A shape that was moved or scaled; where points all but coincide, rounding may cross them."""
    if moved.is_valid:
        return moved
    parts = shapely.get_parts(shapely.get_parts(shapely.make_valid(moved)))
    return MultiPolygon(parts[shapely.get_type_id(parts) == 3].tolist())


def check_width(width_mm: float, *, source: str = "") -> None:
    """Refuse a width that no artwork can have.

    >>> check_width(240)
    >>> check_width(-1)
    Traceback (most recent call last):
    advisor.artwork.records.ArtworkError: width_mm: -1 mm is no width; give 0.1 to 10000 mm
    """
    if not math.isfinite(width_mm) or not 0.1 <= width_mm <= MOST_WIDTH_MM:
        raise ArtworkError(
            f"{width_mm:g} mm is no width; give 0.1 to {MOST_WIDTH_MM:.0f} mm",
            source=source,
            field="width_mm",
        )


@dataclass(frozen=True, slots=True)
class Fineness:
    """The finest details of a piece.

    Attributes:
        least_stroke_mm: width of the thinnest part; None where nothing is thinner than the
            ``up_to_mm`` asked for.
        least_gap_mm: narrowest gap between parts, or across a slot, a notch or a hole; None
            likewise.
        island_areas_mm2: area of each separate part (its holes taken off), smallest first.
        hole_areas_mm2: area of each hole, smallest first.
        stroke_in, gap_in: which letter of which name has them; empty in a drawing.
        capital_mm: how high the capitals of lettering are; None in a drawing.
    """

    least_stroke_mm: float | None
    least_gap_mm: float | None
    island_areas_mm2: tuple[float, ...]
    hole_areas_mm2: tuple[float, ...]
    stroke_in: str = field(default="", repr=False)
    gap_in: str = field(default="", repr=False)
    capital_mm: float | None = field(default=None, repr=False)

    def scaled(self, factor: float) -> Fineness:
        """Return the fineness of the same artwork drawn ``factor`` times as large.

        None stays None: it then means "not thinner than ``factor`` times the limit asked for".

        Raises:
            BadInputError: ``factor`` is not a positive number.

        >>> larger = Fineness(1.5, None, (20.0,), ()).scaled(2)
        >>> larger.least_stroke_mm, larger.least_gap_mm, larger.island_areas_mm2
        (3.0, None, (80.0,))
        """
        if not (math.isfinite(factor) and factor > 0):
            raise BadInputError(f"{factor}: give a number above 0", field="factor")
        stroke, gap = self.least_stroke_mm, self.least_gap_mm
        return replace(
            self,
            least_stroke_mm=None if stroke is None else stroke * factor,
            least_gap_mm=None if gap is None else gap * factor,
            island_areas_mm2=tuple(area * factor**2 for area in self.island_areas_mm2),
            hole_areas_mm2=tuple(area * factor**2 for area in self.hole_areas_mm2),
            capital_mm=None if self.capital_mm is None else self.capital_mm * factor,
        )
