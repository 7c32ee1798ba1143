"""Cut report: what was cut from what, how often, in which files, and what is too fine for it."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from rules.facts.fact import Record

__all__ = ["CutFile", "CutReport", "FineDetail", "RollNeed", "SimplerPiece", "SmallestPrint"]


class CutFile(Record):
    """One carrier to cut: the pieces of one film and colour that go down in one press.

    Attributes:
        press: the press in which it goes down, 1 first.
        width_mm: width of the artwork at this size.
        garments: what it is for, as ``adult-tee × 24``.
        count: how often to cut it.
        name: whose name it bears or makes room for; empty where it is for all alike.
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
        x_mm, y_mm: where, from the artwork's top left corner.
        by_separation: a window or a gap made it; it is not so in the artwork.
        name: in whose name it is, if in one.
    """

    piece: str
    film: str
    width_mm: float
    kind: Literal["stroke", "gap", "island"]
    measure_mm: float
    least_mm: float
    x_mm: float
    y_mm: float
    by_separation: bool = False
    name: str = ""


class SimplerPiece(Record):
    """A piece made simple enough for its film at one size, and how its area changes."""

    piece: str
    film: str
    width_mm: float
    least_mm: float
    before_mm2: float
    after_mm2: float
    change_pct: float
    used: bool


class SmallestPrint(Record):
    """The smallest width at which the artwork still cuts in these films, and what limits it.

    Attributes:
        as_cut_mm: the same with the plan's windows, traps and gaps; ``None`` where no width within
            reason is enough.
    """

    width_mm: float
    piece: str
    kind: Literal["stroke", "gap", "island"]
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
