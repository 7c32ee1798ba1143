"""Print: what is printed where, the one record of a job's pieces that every wing reads."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Annotated

from pydantic import Field

from rules.facts.step import Meets
from rules.facts.subjects import AsDrawn

__all__ = [
    "EVERY_WAY", "NAMES_PIECE", "NOTHING_PRINTED", "Contact", "Meeting", "Merged", "Pair",
    "PieceSize", "Place", "Print", "PrintLine", "PrintPiece", "fill_of",
]  # fmt: skip

NAMES_PIECE = "names"
"""The id of the piece that stands for all the names of a job."""

Pair = tuple[str, str]
"""Two pieces as (upper, lower): the upper one is in front in the artwork."""

EVERY_WAY: tuple[Meets, ...] = ("lap", "inset-under", "inset-over", "butt")
"""Ways of meeting, the plainest first."""


@dataclass(frozen=True, slots=True)
class PieceSize:
    """A piece at the size of one garment line: its extent and its finest details.

    Attributes:
        least_stroke_mm: its thinnest part, mm; ``None`` where not measured.
        least_gap_mm: its narrowest gap, mm; ``None`` where it has none or was not measured.
        island_areas_mm2: its separate parts that are so small that weeding may lose them, mm².
        print_width_mm: of the whole print; ``None`` where no artwork gives one.
        room_mm: the widest print of this artwork that the print area takes.
        mean_stroke_mm: how wide its strokes are in the mean, mm; ``None`` where not measured.
        stroke_in, gap_in: which letter of which name is so fine; empty in an artwork.
    """

    width_mm: Annotated[float, Field(ge=0)]
    height_mm: Annotated[float, Field(ge=0)]
    least_stroke_mm: float | None = None
    least_gap_mm: float | None = None
    island_areas_mm2: tuple[float, ...] = ()
    print_width_mm: float | None = None
    room_mm: float | None = None
    mean_stroke_mm: float | None = None
    stroke_in: str = ""
    gap_in: str = ""

    @property
    def extent_mm(self) -> float:
        """The larger of width and height, mm."""
        return max(self.width_mm, self.height_mm)


@dataclass(frozen=True, slots=True)
class PrintPiece:
    """All the shapes of the artwork that share a look.

    Attributes:
        fill: its colour in the artwork, sRGB; ``None`` where no artwork gives one.
        sizes: one for each garment line of the print, in their order.
    """

    id: str
    fill: str | None
    sizes: tuple[PieceSize, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """A part of the artwork where the same pieces lie over one another.

    Attributes:
        stack: the pieces there, bottom first, in the artwork's order.
        area_mm2: how large it is, mm².
    """

    stack: tuple[str, ...]
    area_mm2: Annotated[float, Field(ge=0)]

    def laid(self, meets: Mapping[Pair, Meets]) -> tuple[str, ...]:
        """What lies here once the knocked-out pieces are gone, bottom first.

        A piece is knocked out where another in front of it meets it in any way but a lap.

        >>> place = Place(("sea", "sun", "word"), 100.0)
        >>> place.laid({("sun", "sea"): "lap", ("word", "sun"): "inset-under",
        ...             ("word", "sea"): "lap"})
        ('sea', 'word')
        """
        return tuple(
            lower
            for i, lower in enumerate(self.stack)
            if all(meets.get((upper, lower), "lap") == "lap" for upper in self.stack[i + 1 :])
        )


@dataclass(frozen=True, slots=True)
class Meeting:
    """Two pieces that meet, and the ways in which they may.

    Attributes:
        touching: they only share an edge, so there is nothing to lap.
        hidden: they overlap only where a third piece lies between them.
        covered: the lower piece shows nowhere in the artwork.
        seen: the eye sees one beside the other.
        wished_alike: the job itself wishes both in one look and colour.
        ways: the ways open to the solver, the plainest first.
        rims_mm: how wide the lower piece shows along the upper one, mm, for each garment line;
            empty where that is more than hands miss.
    """

    upper: str
    lower: str
    area_mm2: float
    touching: bool
    hidden: bool
    ways: tuple[Meets, ...]
    covered: bool = False
    seen: bool = True
    wished_alike: bool = False
    rims_mm: tuple[float, ...] = ()

    @property
    def pair(self) -> Pair:
        """The two as (upper, lower)."""
        return (self.upper, self.lower)

    @property
    def open_ways(self) -> tuple[Meets, ...]:
        """The ways that the artwork leaves open, whatever was wished.

        Pieces that overlap only under a third one stay whole, and so does a piece that shows
        nowhere: knocked out, nothing of it would be left.

        >>> Meeting("word", "sea", 9.0, touching=True, hidden=False, ways=("butt",)).open_ways
        ('butt', 'inset-over', 'inset-under')
        """
        if self.hidden or (self.covered and not self.touching):
            return ("lap",)
        if self.touching:
            return ("butt", "inset-over", "inset-under")
        return EVERY_WAY


@dataclass(frozen=True, slots=True)
class Merged:
    """A piece of the artwork that comes out like another in any film, and is one piece with it.

    Attributes:
        into: the piece that it is cut with.
        fill: its own colour in the artwork.
        wished_alike: the job itself wishes both in one look and colour.
    """

    piece: str
    into: str
    fill: str
    wished_alike: bool = False


@dataclass(frozen=True, slots=True)
class Contact:
    """One film on another: ``upper`` is pressed after ``lower`` and lies on its face.

    Unlike a pair, this is the order at the press: where an inset's rim goes under, the piece
    that is behind in the artwork lies on top at the rim.
    """

    upper: str
    lower: str
    rim: bool


@dataclass(frozen=True, slots=True)
class PrintLine:
    """So many garments that bear the print at one size.

    Attributes:
        garment: by id; ``None`` where only a fabric was named.
        area: the print area of the garment; ``None`` likewise.
        fabric: by id, with its colour after a colon where the job says one.
    """

    garment: str | None
    area: str | None
    fabric: str
    quantity: Annotated[int, Field(ge=1)]
    width_mm: Annotated[float, Field(gt=0, le=5000)]
    height_mm: Annotated[float, Field(gt=0, le=5000)]

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height of the print."""
        return self.width_mm, self.height_mm

    @property
    def worn(self) -> str:
        """The garment as a person picks it from the pile: with its colour where one was said.

        >>> PrintLine("adult-tee", "front", "cotton-jersey-tee:navy", 3, 240, 180).worn
        'adult-tee navy'

        Where nobody named a garment it is the fabric.
        """
        if not self.garment:
            return self.fabric
        colour = self.fabric.partition(":")[2]
        return f"{self.garment} {colour}" if colour else self.garment


@dataclass(frozen=True, slots=True)
class Print:
    """What is printed where: the pieces, how they lie and meet, and on which garments.

    Attributes:
        pieces: bottom first in the artwork.
        meetings: every two pieces that overlap or touch.
        places: the distinct stacks of pieces, each with its area at the largest size.
        close: pairs whose carriers cannot be trimmed apart, each pair in alphabetical order.
        lines: the garments, each with the size of its print.
        registration_mm: how far hands are expected to miss, mm.
        set_aside: what the artwork draws and no film shows as it is drawn.
        merged: what is cut as one with a piece that it would not be told from.
    """

    pieces: tuple[PrintPiece, ...]
    meetings: tuple[Meeting, ...]
    places: tuple[Place, ...]
    close: tuple[Pair, ...]
    lines: tuple[PrintLine, ...]
    registration_mm: Annotated[float, Field(ge=0, le=5)] = 0.5
    set_aside: tuple[AsDrawn, ...] = ()
    merged: tuple[Merged, ...] = ()

    def piece(self, piece_id: str) -> PrintPiece:
        """The piece of that id; ``KeyError`` if there is none."""
        return {piece.id: piece for piece in self.pieces}[piece_id]

    def meeting(self, pair: Pair) -> Meeting:
        """The meeting of that pair; ``KeyError`` if they do not meet."""
        return {meeting.pair: meeting for meeting in self.meetings}[pair]

    def with_ways(self, ways: Mapping[Pair, Meets]) -> Print:
        """The same print with one way alone open to each of these pairs."""
        meetings = (
            replace(meeting, ways=(ways[meeting.pair],)) if meeting.pair in ways else meeting
            for meeting in self.meetings
        )
        return replace(self, meetings=tuple(meetings))


NOTHING_PRINTED = Print((), (), (), (), ())
"""The print of a plan that has no pieces."""


def fill_of(piece: str) -> str:
    """The fill in the artwork that a piece's id tells.

    >>> fill_of("fill-1b3a5c-2")
    '#1b3a5c'
    """
    return "#" + piece.removeprefix("fill-")[:6]
