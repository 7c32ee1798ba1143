"""Records of cutting: names, separated pieces, sheets and carriers; and the report of a cut."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from pydantic import Field
from shapely import LineString, MultiPolygon, Polygon
from shapely.affinity import scale

from advisor.artwork.records import Artwork, Fineness
from rules.facts.fact import Record
from rules.facts.film import Film

__all__ = [
    "Carrier", "CarrierLabel", "CutFile", "CutPiece", "CutReport", "CutSheet", "FineDetail",
    "FinePlace", "Kind", "Lettering", "OrderTaken", "PlacedPiece", "Progress", "RollNeed",
    "RollTaken", "Separation", "SimplerLoss", "SimplerPiece", "SizedCut", "SmallestPrint", "Watch",
]  # fmt: skip

Kind = Literal["stroke", "gap", "island"]
"""Film that is too thin, a gap too narrow to weed, or a bit that is lost in weeding."""


@dataclass(frozen=True, slots=True)
class Lettering:
    """One name as areas to cut.

    Attributes:
        size: the garment that it is for; empty where the list does not say.
        row: its line in the list.
        shape: in artwork mm, y down.
        condensed: how wide its letters are beside those of the font: 1, or less where the name is
            too long for its box.
        height_share: how high the letters of the whole list are beside what its box would hold.
        fineness: its finest details.
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


class CutFile(Record):
    """One carrier to cut: the pieces of one film and colour that go down in one press.

    Attributes:
        press: the press in which it goes down, 1 first.
        width_mm: width of the artwork at this size.
        garments: what it is for, as ``adult-tee × 24``.
        count: how often to cut it.
        name: whose name it bears or makes room for; empty where it is for all alike.
        nth: which it is of the ``of`` carriers among which this film and press are divided.
        marks: how many registration marks it has; without any it is laid by hand, or alone.
        svg, dxf: names of the files.
        page_mm: width and height of the page, mm.
        carrier_mm: width and height of the weeding border, or of all of them, mm.
        area_mm2: film that stays.
        cut_mm: length of all cut lines.
    """

    film: str
    colour: str
    srgb: str
    press: int
    width_mm: float
    garments: tuple[str, ...]
    count: int = Field(ge=1)
    name: str = ""
    nth: int = 1
    of: int = 1
    marks: int = 0
    pieces: tuple[str, ...]
    mirrored: bool
    svg: str
    dxf: str
    page_mm: tuple[float, float]
    carrier_mm: tuple[float, float]
    area_mm2: float
    cut_mm: float


class FineDetail(Record):
    """A place that is finer than its film can be cut or weeded, at one size.

    Attributes:
        width_mm: width of the artwork at this size.
        measure_mm: how wide it is; for an island, the side of a square of its area.
        least_mm: the least that the film takes there.
        x_mm, y_mm: where, from the artwork's top left corner.
        by_separation: a window or a gap made it; it is not so in the artwork.
        name: in whose name it is, if in one.
    """

    piece: str
    film: str
    width_mm: float
    kind: Kind
    measure_mm: float
    least_mm: float
    x_mm: float
    y_mm: float
    by_separation: bool = False
    name: str = ""


@dataclass(frozen=True, slots=True)
class FinePlace:
    """A place that is too fine for its film, and the area itself."""

    detail: FineDetail
    area: Polygon


class SimplerLoss(Record):
    """What a simpler piece no longer shows: a bit that is gone, a hole filled, a part cut in two.

    Attributes:
        what: a whole part, a thin part of one, a hole, or a part that falls into several.
        length_mm: of the least rectangle around it; ``across_mm`` is its other side.
        x_mm: a point in it, on the artwork at its size; so is ``y_mm``.
    """

    what: Literal["part", "limb", "hole", "split"]
    length_mm: float
    across_mm: float
    x_mm: float
    y_mm: float


class SimplerPiece(Record):
    """A piece made simple enough for its film at one size, and how its area changes.

    Attributes:
        losses: what would be missed; the largest first.
        lost: the same as a sentence; empty where nothing is.
    """

    piece: str
    film: str
    width_mm: float
    least_mm: float
    before_mm2: float
    after_mm2: float
    change_pct: float
    used: bool
    losses: tuple[SimplerLoss, ...] = ()
    lost: str = ""


class SmallestPrint(Record):
    """The smallest width at which the artwork still cuts in these films, and what limits it.

    Attributes:
        as_cut_mm: the same with the plan's windows, traps and gaps; ``None`` where no width within
            reason is enough.
    """

    width_mm: float
    piece: str
    kind: Kind
    measure_mm: float
    least_mm: float
    as_cut_mm: float | None


class RollNeed(Record):
    """What a whole order takes of one film in one colour, nested on its roll.

    Attributes:
        parts: carriers that are cut from it, each as often as it is wanted.
        length_m: metres of roll; ``short_m`` of them are not on the shelf.
        used_m2: area that ends up on garments.
        waste_pct: share of the metres, over the whole width of the roll, that does not.
        cost: the metres at the film's price, in the shop's currency.
        on_shelf_m: metres on the shelf that are left for this colour.
        method, note: how the layout came about, and what is not sure about it.
        interrupted: nesting was stopped early; the layout is the best so far, and whole.
        sentence: metres needed, on the shelf and to buy, in words.
        svg, png: names of the pictures of the roll.
        cut_svg, cut_dxf: names of the cut files with all carriers as they lie.
    """

    film: str
    colour: str
    parts: int
    roll_width_mm: float
    length_m: float
    used_m2: float
    waste_pct: float
    cost: float
    on_shelf_m: float
    short_m: float
    method: Literal["true-shape", "rectangles"]
    note: str
    interrupted: bool = False
    sentence: str
    svg: str
    png: str
    cut_svg: str
    cut_dxf: str


class RollTaken(Record):
    """Metres of one film in one colour that an order takes, as they nest, whole centimetres.

    Attributes:
        note: how the layout came about; ``interrupted`` whether nesting was stopped early.
    """

    film: str
    colour: str
    metres: float
    price_per_m: float
    note: str = ""
    interrupted: bool = False


class OrderTaken(Record):
    """What an order takes in all of film, cutting and weeding.

    Attributes:
        cut_m: metres of cut line: outlines, weeding borders and marks.
        carriers: how many are cut, weeded and laid.
        names: people whose names are set.
    """

    rolls: tuple[RollTaken, ...]
    cut_m: float
    carriers: int
    names: int = 0


class CutReport(Record):
    """All that was written for a job.

    Attributes:
        folder: where the files lie.
        previews: pictures of the assembled print, one SVG and one PNG for each size.
        smallest: ``None`` where it was not asked for, or no width is large enough.
        notes: what to know before cutting, in sentences.
        rolls: what the order takes of each film and colour; empty where it was not nested.
    """

    job: str
    artwork: str
    folder: str
    files: tuple[CutFile, ...]
    previews: tuple[str, ...]
    fine: tuple[FineDetail, ...]
    simpler: tuple[SimplerPiece, ...]
    smallest: SmallestPrint | None
    notes: tuple[str, ...]
    rolls: tuple[RollNeed, ...] = ()


@dataclass(frozen=True, slots=True)
class Progress:
    """How a nesting is coming on, for a progress bar.

    Attributes:
        elapsed_s, seconds: time used and time allowed, s.
        length_mm: the shortest length known so far, mm.
        phase: ``rectangles``, ``exploring``, ``compressing``, ``final`` or ``done``.
    """

    elapsed_s: float
    seconds: float
    length_mm: float
    phase: str

    @property
    def share(self) -> float:
        """The share of the time that is used, 0 to 1; 1 when done.

        >>> Progress(2.0, 8.0, 431.0, "exploring").share
        0.25
        """
        if self.phase == "done" or self.seconds <= 0:
            return 1.0
        return min(1.0, self.elapsed_s / self.seconds)


Watch = Callable[[str, str, Progress], None]
"""Is told film, colour and how far the nesting is; what it raises ends it."""
