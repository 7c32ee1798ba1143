"""Readers of cut files, none of them ours: two of SVG and two of DXF, each giving areas in mm."""

from __future__ import annotations

import warnings
from pathlib import Path

import defusedxml.ElementTree as ElementTree
import ezdxf
import ezdxf.filemanagement
import numpy as np
import pytest
import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry
from svgelements import SVG, Move
from svgelements import Group as SvgGroup
from svgelements import Path as SvgPath

SAME_MM = 0.02
SVG_NS = "{http://www.w3.org/2000/svg}"


def area_of(outlines: list[np.ndarray]) -> BaseGeometry:
    """Nested closed outlines as an area, by the even-odd rule."""
    area: BaseGeometry = MultiPolygon()
    for ring in outlines:
        area = area.symmetric_difference(shapely.make_valid(Polygon(ring)))
    return area


def same(one: BaseGeometry, other: BaseGeometry) -> bool:
    """Whether two areas differ nowhere by a strip wider than 0.02 mm."""
    return bool(one.symmetric_difference(other).buffer(-SAME_MM / 2).is_empty)


def by_svgelements(text: str, tmp_path: Path) -> dict[str, BaseGeometry]:
    """Groups of an SVG as areas in mm, read by svgelements."""
    file = tmp_path / "sheet.svg"
    file.write_text(text, encoding="utf-8")
    px_per_mm = 96 / 25.4
    found = {}
    for group in SVG.parse(str(file)).select(lambda item: isinstance(item, SvgGroup)):
        outlines: list[list[tuple[float, float]]] = []
        for segment in (segment for path in group if isinstance(path, SvgPath) for segment in path):
            if isinstance(segment, Move):
                outlines.append([])
            outlines[-1].append((segment.end.x, segment.end.y))
        if outlines and str(group.id).startswith("piece-"):
            found[group.id] = area_of([np.array(ring) / px_per_mm for ring in outlines])
    return found


def by_svgpathtools(text: str) -> dict[str, BaseGeometry]:
    """Groups of an SVG as areas in its user unit, which the file says is 1 mm."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        tools = pytest.importorskip("svgpathtools")
    found = {}
    root = ElementTree.fromstring(text)
    assert root.get("viewBox").split()[2] + "mm" == root.get("width")
    for group in root.iter(f"{SVG_NS}g"):
        outlines = []
        for path in group.findall(f"{SVG_NS}path"):
            runs = tools.parse_path(path.get("d")).continuous_subpaths()
            outlines += [np.array([[p.start.real, p.start.imag] for p in run]) for run in runs]
        if outlines and group.get("id").startswith("piece-"):
            found[group.get("id")] = area_of(outlines)
    return found


def by_ezdxf(text: str, tmp_path: Path) -> dict[str, BaseGeometry]:
    file = tmp_path / "sheet.dxf"
    file.write_text(text, encoding="utf-8")
    drawing = ezdxf.filemanagement.readfile(file)
    assert not drawing.audit().errors
    assert drawing.units == ezdxf.units.MM
    outlines: dict[str, list[np.ndarray]] = {}
    for line in drawing.modelspace().query("LWPOLYLINE"):
        # What two carriers share is a line between two others.
        assert line.closed or line.dxf.layer == "weeding-border"
        outlines.setdefault(line.dxf.layer, []).append(np.array(line.get_points("xy")))
    return {name: area_of(rings) for name, rings in outlines.items() if name.startswith("cut-")}


def by_dxfgrabber(text: str, tmp_path: Path) -> dict[str, BaseGeometry]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        grabber = pytest.importorskip("dxfgrabber")
        file = tmp_path / "grabbed.dxf"
        file.write_text(text, encoding="utf-8")
        drawing = grabber.readfile(str(file))
    assert drawing.header["$INSUNITS"] == 4
    outlines: dict[str, list[np.ndarray]] = {}
    for entity in (one for one in drawing.entities if one.dxftype == "LWPOLYLINE"):
        assert entity.is_closed or entity.layer == "weeding-border"
        outlines.setdefault(entity.layer, []).append(
            np.array([point[:2] for point in entity.points])
        )
    return {name: area_of(rings) for name, rings in outlines.items() if name.startswith("cut-")}
