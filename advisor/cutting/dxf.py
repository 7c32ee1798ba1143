"""Cut DXF: a cut sheet as DXF R2010 in millimetres, a layer for each piece, y up.

Cut lines are closed polylines. The label lies on a layer of its own that is set not to plot.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterable

import shapely
from ezdxf import units
from ezdxf.document import Drawing
from ezdxf.enums import TextEntityAlignment
from ezdxf.filemanagement import new
from shapely import LineString, MultiPolygon, Polygon

from advisor.artwork.svg.writing import rings
from advisor.cutting.records.cut import CutSheet

__all__ = ["BORDER_LAYER", "LABEL_LAYER", "MARKS_LAYER", "cut_dxf", "piece_layer"]

BORDER_LAYER = "weeding-border"
MARKS_LAYER = "registration-marks"
LABEL_LAYER = "label-not-cut"

_BLACK, _GREY = 7, 8
_HAIRLINE = 0
_DECIMALS = 3


def piece_layer(piece_id: str) -> str:
    """The layer that a piece lies on.

    >>> piece_layer("fill-1b3a5c")
    'cut-fill-1b3a5c'
    """
    return f"cut-{piece_id}"


def cut_dxf(sheet: CutSheet) -> str:
    """The sheet as the text of a DXF file at true size; the same sheet gives the same text.

    >>> import shapely
    >>> from advisor.cutting.sheet import sheet_of
    >>> square = MultiPolygon([shapely.box(0, 0, 100, 100)])
    >>> sheet = sheet_of([("sun", square)], title="sun", lines=[], mirrored=True)
    >>> text = cut_dxf(sheet)
    >>> text == cut_dxf(sheet), text.count("LWPOLYLINE")
    (True, 2)
    """
    drawing = new("R2010", units=units.MM)
    drawing.header["$MEASUREMENT"] = 1
    for piece in sheet.pieces:
        _cut_layer(drawing, piece_layer(piece.id), [piece.shape], sheet.height_mm)
    _cut_layer(drawing, BORDER_LAYER, sheet.borders, sheet.height_mm)
    _cut_layer(drawing, MARKS_LAYER, sheet.marks, sheet.height_mm)
    label = drawing.layers.add(LABEL_LAYER, color=_GREY)
    label.dxf.plot = 0
    _outline(drawing, sheet.label, LABEL_LAYER, sheet.height_mm)
    for one in sheet.carrier_labels:
        words = drawing.modelspace().add_text(
            one.text, height=one.size_mm, dxfattribs={"layer": LABEL_LAYER}
        )
        where = (round(one.x_mm, _DECIMALS), round(sheet.height_mm - one.y_mm, _DECIMALS))
        words.set_placement(where, align=TextEntityAlignment.MIDDLE_CENTER)
    drawing.header["$EXTMIN"] = (0.0, 0.0, 0.0)
    drawing.header["$EXTMAX"] = (sheet.width_mm, sheet.height_mm, 0.0)
    # The library would list these from a set, in another order each time.
    for kind in sorted(drawing.entitydb.dxf_types_in_use()):
        drawing.classes.add_class(kind)
    text = io.StringIO()
    drawing.write(text)
    return _undated(text.getvalue())


def _cut_layer(
    drawing: Drawing,
    layer: str,
    shapes: Iterable[MultiPolygon | Polygon | LineString],
    height_mm: float,
) -> None:
    drawing.layers.add(layer, color=_BLACK, lineweight=_HAIRLINE)
    for shape in shapes:
        _outline(drawing, shape, layer, height_mm)


def _outline(
    drawing: Drawing, shape: MultiPolygon | Polygon | LineString, layer: str, height_mm: float
) -> None:
    space = drawing.modelspace()
    is_open = isinstance(shape, LineString) and not shape.is_closed
    if isinstance(shape, LineString):
        points = shapely.get_coordinates(shape)
        runs = [points if is_open else points[:-1]]
    else:
        runs = rings(shape)
    for run in runs:
        # DXF counts y upwards, the page downwards.
        raised = [(round(x, _DECIMALS), round(height_mm - y, _DECIMALS)) for x, y in run.tolist()]
        space.add_lwpolyline(raised, close=not is_open, dxfattribs={"layer": layer})


def _undated(text: str) -> str:
    """Take out what differs each time a drawing is written: dates, marks of identity."""
    for variable in ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"):
        text = re.sub(rf"({re.escape(variable)}\n\s*40\n)[^\n]*", r"\g<1>2451545.0", text)
    for variable in ("$FINGERPRINTGUID", "$VERSIONGUID"):
        text = re.sub(
            rf"({re.escape(variable)}\n\s*2\n)[^\n]*",
            r"\g<1>{00000000-0000-0000-0000-000000000000}",
            text,
        )
    return re.sub(r"(\d+\.\d+\.\d+\S*) @ \d{4}-\d\d-\d\dT[^\n]*", r"\g<1>", text)
