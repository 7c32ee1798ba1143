"""Cut SVG: a cut sheet as SVG 1.1 in millimetres, one group for each piece, cut lines only.

What is to be cut is drawn as hairlines without fill. The label is filled and has no lines; its
group says that it is not to be cut.
"""

from __future__ import annotations

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

import numpy as np
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon

from advisor.cutting.sheet import CutSheet, rings

__all__ = ["CUT_LINE", "LABEL_FILL", "cut_svg", "path_data", "svg_number"]

CUT_LINE = "#e6007e"
"""The colour of the lines that are cut."""

LABEL_FILL = "#6b7280"

_HAIRLINE_MM = 0.1


def svg_number(value: float) -> str:
    """A coordinate to a thousandth of a millimetre, without needless zeros.

    >>> svg_number(1.5), svg_number(-0.0001), svg_number(12.0)
    ('1.5', '0', '12')
    """
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def path_data(outlines: Iterable[NDArray[np.float64]]) -> str:
    """Closed outlines as the data of one SVG path.

    >>> path_data([np.array([[0, 0], [4, 0], [4, 2.5]])])
    'M0,0L4,0 4,2.5Z'
    >>> path_data([])
    ''
    """
    runs = []
    for outline in outlines:
        points = [f"{svg_number(x)},{svg_number(y)}" for x, y in outline.tolist()]
        runs.append(f"M{points[0]}L{' '.join(points[1:])}Z")
    return "".join(runs)


def cut_svg(sheet: CutSheet) -> str:
    """The sheet as an SVG file at true size.

    >>> import shapely
    >>> from advisor.cutting.sheet import frame_of, sheet_of
    >>> square = MultiPolygon([shapely.box(0, 0, 100, 100)])
    >>> sheet = sheet_of([("sun", square)], frame_of([square]), title="sun", lines=[],
    ...                  mirrored=True)
    >>> cut_svg(sheet).splitlines()[1][:76]
    '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="130mm" height="'
    """
    width, height = svg_number(sheet.width_mm), svg_number(sheet.height_mm)
    lines = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        f'<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="{width}mm" '
        f'height="{height}mm" viewBox="0 0 {width} {height}">',
        f"<title>{escape(sheet.title)}</title>",
        f"<desc>{escape('. '.join(sheet.lines))}</desc>",
        f'<g id="cut" fill="none" stroke="{CUT_LINE}" stroke-width="{_HAIRLINE_MM:g}">',
    ]
    for piece in sheet.pieces:
        lines += _group(f"piece-{piece.id}", [piece.shape])
    lines += _group("weeding-border", sheet.borders)
    lines += _group("registration-marks", sheet.marks) if sheet.marks else []
    lines.append("</g>")
    if not sheet.label.is_empty:
        lines += [
            f'<g id="label-not-cut" class="not-cut" fill="{LABEL_FILL}" fill-rule="evenodd" '
            'stroke="none">',
            "<desc>Not to be cut: this is for reading.</desc>",
            f'<path d="{path_data(rings(sheet.label))}"/>',
            "</g>",
        ]
    return "\n".join([*lines, "</svg>", ""])


def _group(name: str, shapes: Iterable[MultiPolygon | Polygon]) -> list[str]:
    paths = [f'<path d="{path_data(rings(shape))}"/>' for shape in shapes]
    return [f"<g id={quoteattr(name)}>", *paths, "</g>"]
