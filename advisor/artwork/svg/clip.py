"""Clip paths: the area that an SVG lets show of what it paints."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.file import tag_of
from advisor.artwork.svg.fill import fill_area
from advisor.artwork.svg.outline import Affine
from advisor.artwork.svg.reading import DEEPEST, Place, Reading, keep_inside, use_target
from advisor.artwork.svg.shapes import SHAPE_TAGS, length_px, transform_of
from advisor.artwork.svg.style import cascade

__all__ = ["clip"]


def clip(reading: Reading, value: str, place: Place, first: int, label: str) -> None:
    """Trim the newest paints to a clip path (SVG 1.1 §14.3)."""
    reference = value.partition("url(")[2].partition(")")[0].strip().strip("\"'")
    target = reading.document.by_id.get(reference[1:]) if reference.startswith("#") else None
    if not reference:
        raise ArtworkError(f"its clip path {value[:60]!r} is a CSS shape; draw the clip as a path")
    if target is None or tag_of(target) != "clipPath":
        reading.note(f"{label} is clipped by {reference[:60]!r}, which the file lacks")
        return
    keep_inside(reading, _clip_area(reading, target, place, first), first)


def _clip_area(reading: Reading, target: Element, place: Place, first: int) -> BaseGeometry:
    """The area inside a clip path, in mm, for an element drawn at ``place``."""
    if target in place.used:
        raise ArtworkError(f"{reading.document.label(target)} clips itself")
    if place.depth > DEEPEST:
        raise ArtworkError(f"clip paths are nested more than {DEEPEST} deep; merge them")
    style = cascade(target, {}, rules=reading.rules, document=reading.document)
    onto = place.onto_mm
    viewport = place.viewport_px
    if target.get("clipPathUnits") == "objectBoundingBox":
        onto, viewport = onto @ _bounding_box(reading, onto, first), (1.0, 1.0)
    inner = Place(
        onto_mm=(onto @ transform_of(style, viewport)).within_reason(),
        viewport_px=viewport,
        style=style,
        depth=place.depth + 1,
        used=(*place.used, target),
    )
    parts: list[BaseGeometry] = []
    for child in target:
        parts.extend(_clip_parts(reading, child, inner, first))
    area: BaseGeometry = shapely.union_all(parts) if parts else shapely.Polygon()
    return _clipped_again(reading, area, style, inner, first)


def _clip_parts(reading: Reading, element: Element, place: Place, first: int) -> list[BaseGeometry]:
    """The areas that one child adds to a clip path; its colours do not matter."""
    tag = tag_of(element)
    if tag not in SHAPE_TAGS and tag not in ("use", "text"):
        return []
    reading.spend_visit()
    label = reading.document.label(element)
    style = cascade(element, place.style, rules=reading.rules, document=reading.document)
    if style.get("display", "").lower() == "none":
        return []
    if tag == "text":
        raise ArtworkError("a clip path holds live text; convert text to outlines", field=label)
    onto = (place.onto_mm @ transform_of(style, place.viewport_px)).within_reason()
    if not onto.determinant:
        return []
    inner = replace(place, onto_mm=onto, style=style, depth=place.depth + 1)
    if tag == "use":
        target = use_target(reading, element, inner, label)
        if target is None or tag_of(target) not in SHAPE_TAGS:
            return []
        width, height = place.viewport_px
        x = length_px(element.get("x"), relative_px=width) or 0.0
        y = length_px(element.get("y"), relative_px=height) or 0.0
        shifted = replace(
            inner, onto_mm=inner.onto_mm @ Affine(e=x, f=y), used=(*inner.used, target)
        )
        parts = _clip_parts(reading, target, shifted, first)
        if not parts:
            return []
        area: BaseGeometry = shapely.union_all(parts)
    else:
        if style.get("visibility", "").lower() in ("hidden", "collapse"):
            return []
        evenodd = style.get("clip-rule", "").lower() == "evenodd"
        area = fill_area(reading.runs(element, inner, inner.onto_mm), evenodd=evenodd)
    return [_clipped_again(reading, area, style, inner, first)]


def _clipped_again(
    reading: Reading, area: BaseGeometry, style: Mapping[str, str], place: Place, first: int
) -> BaseGeometry:
    """Apply the clip path that a clip path or one of its children carries itself."""
    value = style.get("clip-path", "none")
    reference = value.partition("url(")[2].partition(")")[0].strip().strip("\"'")
    target = reading.document.by_id.get(reference[1:]) if reference.startswith("#") else None
    if target is None or tag_of(target) != "clipPath":
        return area
    reading.spend_visit()
    return shapely.intersection(area, _clip_area(reading, target, place, first))


def _bounding_box(reading: Reading, onto: Affine, first: int) -> Affine:
    """The transform from the unit square to the bounding box of the newest paints."""
    fills = [paint.area for paint in reading.paints[first:] if not paint.is_stroke]
    areas = fills or [paint.area for paint in reading.paints[first:]]
    points = shapely.get_coordinates(np.array(areas, dtype=object))
    turn = np.array([[onto.a, onto.b], [onto.c, onto.d]])
    local = (points - np.array([onto.e, onto.f])) @ np.linalg.inv(turn)
    low, high = local.min(axis=0), local.max(axis=0)
    return Affine(a=high[0] - low[0], d=high[1] - low[1], e=low[0], f=low[1])
