"""Cut SVG: a cut sheet as SVG 1.1 in millimetres, one group for each piece, cut lines only.

What is to be cut is drawn as plain black hairlines without fill, so that no colour means anything
to anyone's cutter; what it is, the group says that it lies in. The label is filled and has no
lines; its group says that it is not to be cut.
"""

from __future__ import annotations

from collections.abc import Iterable

import shapely
from shapely import LineString, MultiPolygon, Polygon

from advisor.artwork.svg.writing import HEAD, document, element, path_data
from advisor.cutting.records.cut import CutSheet

__all__ = ["cut_svg"]

_CUT_LINE = "#000000"
_LABEL_FILL = "#6b7280"

_HAIRLINE_MM = 0.1


def cut_svg(sheet: CutSheet) -> str:
    """The sheet as an SVG file at true size.

    >>> import shapely
    >>> from advisor.cutting.sheet import sheet_of
    >>> square = MultiPolygon([shapely.box(0, 0, 100, 100)])
    >>> sheet = sheet_of([("sun", square)], title="sun", lines=[], mirrored=True)
    >>> cut_svg(sheet).splitlines()[1][:76]
    '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="110mm" height="'
    """
    groups = [_group(f"piece-{piece.id}", [piece.shape]) for piece in sheet.pieces]
    lines = [element("path", d=_line_data(border)) for border in sheet.borders]
    groups.append(element("g", lines, id="weeding-border"))
    if sheet.marks:
        groups.append(_group("registration-marks", sheet.marks))
    parts = [
        element("g", groups, id="cut", fill="none", stroke=_CUT_LINE, stroke_width=_HAIRLINE_MM)
    ]
    if not sheet.label.is_empty:
        label = [
            element("desc", "Not to be cut: this is for reading."),
            element("path", d=path_data(sheet.label)),
            *(
                element(
                    "text", one.text, x=one.x_mm, y=one.y_mm, font_size=one.size_mm,
                    font_family="sans-serif", text_anchor="middle",
                )
                for one in sheet.carrier_labels
            ),
        ]  # fmt: skip
        parts.append(
            element(
                "g", label, id="label-not-cut", class_="not-cut", fill=_LABEL_FILL,
                fill_rule="evenodd", stroke="none",
            )
        )  # fmt: skip
    drawn = document(
        parts,
        width=sheet.width_mm,
        height=sheet.height_mm,
        unit="mm",
        title=sheet.title,
        description=". ".join(sheet.lines),
    )
    return f"{HEAD}{drawn}\n"


def _group(name: str, shapes: Iterable[MultiPolygon | Polygon]) -> str:
    return element("g", [element("path", d=path_data(shape)) for shape in shapes], id=name)


def _line_data(line: LineString) -> str:
    """A line as path data, closed where it ends at its start."""
    points = shapely.get_coordinates(line)
    if line.is_closed:
        return path_data([points[:-1]])
    return path_data([points]).removesuffix("Z")
