"""Clip paths: the area that an SVG lets show of what it paints."""

from __future__ import annotations

from dataclasses import replace
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.piecing import areas_only
from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.area import fill_area
from advisor.artwork.svg.canvas import DEEPEST, Canvas, Context
from advisor.artwork.svg.document import tag_of
from advisor.artwork.svg.outline import Affine
from advisor.artwork.svg.shapes import SHAPE_TAGS, shift_of
from advisor.artwork.svg.style import url_of

__all__ = ["bounding_box", "clip"]


def clip(canvas: Canvas, value: str, context: Context, first: int, label: str) -> None:
    """Trim the newest paints to a clip path (SVG 1.1 §14.3)."""
    reference, _ = url_of(value) or ("", "")
    if not reference:
        raise ArtworkError(f"its clip path {value[:60]!r} is a CSS shape; draw the clip as a path")
    target = _clip_path(canvas, value)
    if target is None:
        canvas.note(f"{label} is clipped by {reference[:60]!r}, which the file lacks")
        return
    canvas.keep_inside(_clip_area(canvas, target, context, first), first)


def _clip_path(canvas: Canvas, value: str) -> Element | None:
    """The clip path that a property refers to; None when there is none."""
    reference, _ = url_of(value) or ("", "")
    target = canvas.document.referred(reference)
    return target if target is not None and tag_of(target) == "clipPath" else None


def _clip_area(canvas: Canvas, target: Element, context: Context, first: int) -> BaseGeometry:
    """The area inside a clip path, in mm, for an element drawn in ``context``."""
    if target in context.used:
        raise ArtworkError(f"{canvas.document.label(target)} clips itself")
    if context.depth > DEEPEST:
        raise ArtworkError(f"clip paths are nested more than {DEEPEST} deep; merge them")
    if target.get("clipPathUnits") == "objectBoundingBox":
        context = replace(
            context.moved(bounding_box(canvas, context, first)), viewport_px=(1.0, 1.0)
        )
    inner = context.moved(Affine(), target).inside(canvas.styles.of(target, {}))
    parts = [_clip_part(canvas, child, inner, first) for child in target]
    return _clipped_again(canvas, shapely.union_all(parts), inner, first)


def _clip_part(canvas: Canvas, element: Element, context: Context, first: int) -> BaseGeometry:
    """The area that one child adds to a clip path; its colours do not matter."""
    nothing = shapely.Polygon()
    tag = tag_of(element)
    if tag not in SHAPE_TAGS and tag not in ("use", "text"):
        return nothing
    canvas.spend_visit()
    label = canvas.document.label(element)
    style = canvas.styles.of(element, context.style)
    if style.get("display", "").lower() == "none":
        return nothing
    if tag == "text":
        raise ArtworkError("a clip path holds live text; convert text to outlines", field=label)
    inner = context.inside(style)
    if not inner.onto_mm.determinant:
        return nothing
    if tag == "use":
        target = canvas.use_target(element, inner, label)
        if target is None or tag_of(target) not in SHAPE_TAGS:
            return nothing
        shifted = inner.moved(shift_of(element, context.viewport_px), target)
        area = _clip_part(canvas, target, shifted, first)
    elif style.get("visibility", "").lower() in ("hidden", "collapse"):
        return nothing
    else:
        evenodd = style.get("clip-rule", "").lower() == "evenodd"
        area = fill_area(canvas.runs(element, inner), evenodd=evenodd)
    return _clipped_again(canvas, area, inner, first)


def _clipped_again(
    canvas: Canvas, area: BaseGeometry, context: Context, first: int
) -> BaseGeometry:
    """Apply the clip path that a clip path or one of its children carries itself."""
    target = _clip_path(canvas, context.style.get("clip-path", "none"))
    if target is None:
        return area
    canvas.spend_visit()
    return areas_only(shapely.intersection(area, _clip_area(canvas, target, context, first)))


def bounding_box(canvas: Canvas, context: Context, first: int) -> Affine:
    """The transform from the unit square to the bounding box of the newest paints.

    Where nothing is painted it is the unit square itself.
    """
    if len(canvas.paints) == first:
        return Affine()
    fills = [paint.area for paint in canvas.paints[first:] if not paint.is_stroke]
    areas = fills or [paint.area for paint in canvas.paints[first:]]
    points = shapely.get_coordinates(np.array(areas, dtype=object))
    onto = context.onto_mm
    turn = np.array([[onto.a, onto.b], [onto.c, onto.d]])
    local = (points - np.array([onto.e, onto.f])) @ np.linalg.inv(turn)
    low, high = local.min(axis=0), local.max(axis=0)
    return Affine(a=high[0] - low[0], d=high[1] - low[1], e=low[0], f=low[1])
