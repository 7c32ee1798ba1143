"""Preview: the print as it will look on the garment, with its films and what is too fine to cut.

Every letter is drawn as an outline, so that the picture needs no font and is the same everywhere.
The PNG is rendered from the SVG by resvg, which ships as a self-contained wheel.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from resvg_py import svg_to_bytes
from shapely import MultiPolygon
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from advisor.artwork.svg.writing import HEAD, document, element, number, path_data
from advisor.cutting.font import BUNDLED_FONT, outline_text, read_font
from advisor.cutting.records.report import FineDetail, FinePlace

__all__ = ["MOST_MARKED", "DrawnPiece", "preview_png", "preview_svg"]

MOST_MARKED = 12
"""Places that are marked one by one; the rest is counted."""

_MARK = "#e6007e"
_INK = "#1f2937"
_PAPER = "#ffffff"
_PNG_PX = 1600
_MOST_PX = 4000


@dataclass(frozen=True, slots=True)
class DrawnPiece:
    """A piece as it lies on the garment: its shape (mm, not mirrored), colour and what it is."""

    shape: MultiPolygon
    srgb: str
    words: str


def preview_svg(
    layers: Sequence[DrawnPiece],
    *,
    title: str,
    fabric_srgb: str,
    fine: Sequence[FinePlace] = (),
    remarks: Sequence[str] = (),
) -> str:
    """The assembled print as an SVG picture with a legend.

    Args:
        layers: in the order in which they are pressed.
        fine: places to mark, in the same coordinates.
        remarks: lines under the legend.

    >>> sun = DrawnPiece(MultiPolygon([shapely.box(0, 0, 60, 40)]), "#f2c14e", "1 gold sparkle")
    >>> picture = preview_svg([sun], title="<kites>", fabric_srgb="#ffffff")
    >>> "<title>&lt;kites&gt;</title>" in picture, picture.count("<text")
    (True, 0)
    """
    shapes = np.array([layer.shape for layer in layers], dtype=object)
    left, top, right, bottom = (float(side) for side in shapely.total_bounds(shapes))
    em = min(max((right - left) / 42, 2.0), 6.0)
    around = 1.5 * em
    marked = sorted(fine, key=lambda place: _urgency(place.detail))
    marked = marked[:MOST_MARKED]
    page = _Page(em)
    page.words(title, weight=1.15)
    for layer in dict.fromkeys((layer.srgb, layer.words) for layer in layers):
        page.swatch(*layer)
    if fine:
        page.words("")
        page.words(f"Too fine for its film: {len(fine)} place{'s' * (len(fine) != 1)}")
        for nth, place in enumerate(marked, 1):
            page.words(f"{nth}  {_in_words(place.detail)}", ink=_MARK, weight=0.8)
        if len(fine) > len(marked):
            page.words(f"and {len(fine) - len(marked)} more, in the list", weight=0.8)
    for remark in remarks:
        page.words(remark, weight=0.8)
    width = 4 * around + (right - left) + page.width
    height = max(bottom - top + 2 * around, page.y + em) + around
    drawn = [
        element("path", fill=layer.srgb, d=path_data(layer.shape))
        for layer in layers
        if not layer.shape.is_empty
    ]
    corner = (left - 1.5 * around, top - 1.5 * around)
    ground = (left - around, top - around, right - left + 2 * around, bottom - top + 2 * around)
    legend = f"{number(right + 2 * around)} {number(top - around + em)}"
    picture = document(
        [
            _box(*corner, width, height, _PAPER),
            _box(*ground, fabric_srgb),
            element(
                "g", drawn, id="print", fill_rule="evenodd", stroke="#000000",
                stroke_opacity=0.25, stroke_width=em / 40,
            ),
            element("g", [_marked(*numbered, em) for numbered in enumerate(marked, 1)],
                    id="too-fine"),
            element("g", page.parts, id="legend", transform=f"translate({legend})"),
        ],
        width=width,
        height=height,
        left=corner[0],
        top=corner[1],
        unit="mm",
        title=title,
        # What the legend says in outlines, for those who do not see it.
        description="; ".join([*dict.fromkeys(layer.words for layer in layers), *remarks]),
    )  # fmt: skip
    return f"{HEAD}{picture}\n"


def preview_png(svg: str) -> bytes:
    """The picture as a PNG, 1600 pixels wide (narrower where it would be very high).

    Text that is no outline is set in the bundled font, whatever fonts there are.

    >>> sun = DrawnPiece(MultiPolygon([shapely.box(0, 0, 60, 40)]), "#f2c14e", "1 gold sparkle")
    >>> preview_png(preview_svg([sun], title="kites", fabric_srgb="#ffffff"))[1:4]
    b'PNG'
    """
    head = svg[: svg.index(">", svg.index("<svg"))]
    width, height = (
        float(head.split(f'{side}="')[1].split("mm")[0]) for side in ("width", "height")
    )
    wide_px = min(_PNG_PX, max(1, int(_MOST_PX * width / height)))
    return svg_to_bytes(
        svg_string=svg,
        width=wide_px,
        dpi=96,
        skip_system_fonts=True,
        font_files=[str(BUNDLED_FONT)],
        sans_serif_family=read_font().name.rsplit(" ", 1)[0],
    )


class _Page:
    """The legend while it is being written, line under line."""

    def __init__(self, em: float) -> None:
        self.em, self.y, self.width = em, 0.0, 0.0
        self.parts: list[str] = []

    def words(self, text: str, indent: float = 0, *, ink: str = _INK, weight: float = 1.0) -> None:
        size = self.em * weight
        outline = outline_text(text, em_mm=size)
        if not outline.is_empty:
            placed = translate(outline, indent, self.y + 0.8 * size)
            self.width = max(self.width, placed.bounds[2])
            self.parts.append(_filled(placed, ink))
        self.y += 1.5 * size

    def swatch(self, srgb: str, text: str) -> None:
        side = self.em
        self.parts.append(
            element("rect", x=0, y=self.y, width=side, height=side, fill=srgb, stroke=_INK,
                    stroke_width=side / 20)
        )  # fmt: skip
        self.words(text, 1.5 * side)


def _urgency(detail: FineDetail) -> tuple[float, float]:
    return detail.measure_mm / detail.least_mm, detail.x_mm


def _in_words(detail: FineDetail) -> str:
    what = {"stroke": "thin part", "gap": "gap", "island": "bit lost in weeding"}[detail.kind]
    takes = "weeds" if detail.kind == "gap" else "holds"
    made = "; a window or gap made it" if detail.by_separation else ""
    return (
        f"{what} {detail.measure_mm:.2g} mm; {detail.film} {takes} from {detail.least_mm:.2g} mm"
        f"{made}"
    )


def _marked(nth: int, place: FinePlace, em: float) -> str:
    left, _, right, _ = place.area.bounds
    ring = min(0.6 * em + 0.25 * max(right - left, 0), 1.5 * em)
    x, y = place.detail.x_mm, place.detail.y_mm
    figure = translate(outline_text(str(nth), em_mm=0.9 * em), x + ring + 0.15 * em, y - 0.3 * em)
    circle: dict[str, str | float] = {
        "cx": x, "cy": y, "r": ring, "fill": "none",
    }  # fmt: skip
    halo: dict[str, str | float] = {
        "stroke": _PAPER, "stroke_width": em / 4, "stroke_linejoin": "round",
    }  # fmt: skip
    marks = [
        _filled(place.area, _MARK),
        element("circle", **circle, **halo),
        element("circle", **circle, stroke=_MARK, stroke_width=em / 8),
        element("path", fill=_PAPER, **halo, d=path_data(figure)),
        _filled(figure, _MARK),
    ]
    return "".join(marks)


def _filled(shape: BaseGeometry, ink: str) -> str:
    return element("path", fill=ink, fill_rule="evenodd", d=path_data(shape))


def _box(x: float, y: float, width: float, height: float, fill: str) -> str:
    return element("rect", x=x, y=y, width=width, height=height, fill=fill)
