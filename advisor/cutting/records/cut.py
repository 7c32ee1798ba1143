"""Cut: names, separated pieces, sheets and carriers."""

from __future__ import annotations

from dataclasses import dataclass, replace

from shapely import LineString, MultiPolygon, Polygon
from shapely.affinity import scale

from advisor.artwork.records import Artwork, Fineness
from rules.facts.film import Film

__all__ = [
    "Carrier", "CarrierLabel", "CutPiece", "CutSheet", "Lettering", "PlacedPiece", "Separation",
    "SizedCut",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lettering:
    """One name as areas to cut.

    Attributes:
        size: the garment that it is for; empty where the list does not say.
        row: its line in the list.
        shape: in artwork mm, y down.
        condensed: how wide its letters are beside those of the font: 1, or less where the name is
            too long for its box.
        height_share: how high the letters of the whole list are beside what is asked, or beside
            what its box would hold where no height is.
        fineness: its finest details, and how high its capitals are.
    """

    name: str
    quantity: int
    size: str
    row: int
    shape: MultiPolygon
    condensed: float
    height_share: float
    fineness: Fineness

    def scaled(self, factor: float) -> Lettering:
        """The same name on artwork ``factor`` times as large."""
        shape = scale(self.shape, factor, factor, origin=(0, 0))
        return replace(self, shape=shape, fineness=self.fineness.scaled(factor))


@dataclass(frozen=True, slots=True)
class CutPiece:
    """A piece as it is cut, in artwork coordinates.

    Attributes:
        shape: what is cut, mm.
        drawn: the piece as the artwork has it, hidden parts included.
        visible: the part of ``drawn`` that shows.
        bulk_mm2: hidden film left out under three or more layers.
    """

    id: str
    shape: MultiPolygon
    drawn: MultiPolygon
    visible: MultiPolygon
    bulk_mm2: float = 0.0


@dataclass(frozen=True, slots=True)
class Separation:
    """All pieces as they are cut, bottom of the artwork first.

    Attributes:
        notes: traps that had to be left out somewhere, one sentence each.
    """

    pieces: tuple[CutPiece, ...]
    notes: tuple[str, ...] = ()

    def piece(self, piece_id: str) -> CutPiece:
        """The piece of that id; ``KeyError`` if there is none."""
        return {piece.id: piece for piece in self.pieces}[piece_id]


@dataclass(frozen=True, slots=True)
class PlacedPiece:
    """A piece on a sheet, in the page's coordinates (mm, y down, mirrored if the sheet is)."""

    id: str
    shape: MultiPolygon


@dataclass(frozen=True, slots=True)
class CarrierLabel:
    """What is written on one carrier of a roll, not to be cut: where, and how large."""

    text: str
    x_mm: float
    y_mm: float
    size_mm: float


@dataclass(frozen=True, slots=True)
class CutSheet:
    """What one cut file holds, in the page's coordinates.

    Attributes:
        pieces: the areas to keep; their outlines are the cut lines.
        borders: the lines around each carrier, cut as well; one that two carriers share is there
            once.
        marks: registration marks, cut as well; each lies inside the border of its carrier.
        label: the lettering of ``lines``, not to be cut.
        carrier_labels: what each carrier on a roll says, not to be cut.
    """

    title: str
    width_mm: float
    height_mm: float
    mirrored: bool
    pieces: tuple[PlacedPiece, ...]
    borders: tuple[LineString, ...]
    marks: tuple[Polygon, ...]
    label: MultiPolygon
    lines: tuple[str, ...]
    carrier_labels: tuple[CarrierLabel, ...] = ()


@dataclass(frozen=True, slots=True)
class Carrier:
    """A sheet with what it is cut from and for.

    Attributes:
        press: the press in which it goes down; ``presses`` in how many this film and colour do.
        count: how often it is cut.
        names: whose names it bears or makes room for; empty where it is for all alike.
        row: the row of its one name in the list; 0 where there is none or more than one.
        nth: which it is of the ``of`` carriers among which this film and press are divided.
    """

    sheet: CutSheet
    film: Film
    colour: str
    srgb: str
    press: int
    presses: int
    count: int
    names: tuple[str, ...]
    row: int
    nth: int = 1
    of: int = 1


@dataclass(frozen=True, slots=True)
class SizedCut:
    """Everything that is cut at one width of the artwork.

    Attributes:
        garments: id and quantity of each garment that wears this size.
        separation: the pieces with the first name, where there are names.
        named: the names at this size, in mm at this size.
    """

    width_mm: float
    garments: tuple[tuple[str, int], ...]
    artwork: Artwork
    separation: Separation
    named: tuple[Lettering, ...]
    carriers: tuple[Carrier, ...]
