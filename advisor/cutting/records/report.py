"""Report: all that was written for a job, and what of it is too fine for its film."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import Field
from shapely import Polygon

from advisor.cutting.records.rolls import RollNeed
from rules.facts.fact import Record
from rules.facts.text import Text

__all__ = [
    "CutFile", "CutReport", "FineDetail", "FinePlace", "Kind", "SimplerLoss", "SimplerPiece",
    "SmallestPrint",
]  # fmt: skip

Kind = Literal["stroke", "gap", "island"]
"""Film that is too thin, a gap too narrow to weed, or a bit that is lost in weeding."""


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
        name: in whose name it is, if in one; ``inside``: in which letter of it, in words.
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
    inside: str = ""


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
    lost: Text = Field(default_factory=Text)


class SmallestPrint(Record):
    """The smallest width at which the artwork still cuts in these films, and what limits it.

    Attributes:
        as_cut_mm: the same with the plan's windows, traps and gaps; ``None`` where no width within
            reason is enough.
        told: both widths, in a sentence.
    """

    width_mm: float
    piece: str
    kind: Kind
    measure_mm: float
    least_mm: float
    as_cut_mm: float | None
    told: Text


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
    notes: tuple[Text, ...]
    rolls: tuple[RollNeed, ...] = ()
