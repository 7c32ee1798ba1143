"""The walk over an SVG tree: every shape that it draws, as flat paints in millimetres."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import islice
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.piecing import DUST_MM2, Paint
from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.area import Pen, fill_area, stroke_area
from advisor.artwork.svg.canvas import DEEPEST, DRAWN_TAGS, MOST_VISITS, Canvas, Context
from advisor.artwork.svg.clip import clip
from advisor.artwork.svg.colour import Colour, hex_of, read_paint, read_share
from advisor.artwork.svg.dashes import dash_lengths, dashed
from advisor.artwork.svg.document import href, tag_of
from advisor.artwork.svg.mask import mask
from advisor.artwork.svg.outline import Affine, Subpath
from advisor.artwork.svg.shapes import (
    SHAPE_TAGS,
    diagonal_px,
    length_px,
    shift_of,
    transform_of,
    view_box,
)

__all__ = ["paint_drawing"]

_REFUSED = {
    "text": "it is live text; convert text to outlines and save again",
    "image": "it is a bitmap; trace the bitmap to shapes and save again",
    "foreignObject": "it holds a web page's content; draw it as shapes",
    "video": "it is a film; a cutter needs shapes",
}
_WITH_FLATTEN = {
    "filter": "a film cannot show a filter effect; remove the effect, or say `flatten: true` in "
    "the job to leave it out",
    "mix-blend-mode": "films do not blend; draw the blended colour as a shape of its own, or say "
    "`flatten: true` in the job to lay the colours as they are",
    "marker": "it carries markers; convert them to outlines, or say `flatten: true` in the job to "
    "leave them out",
}


def paint_drawing(canvas: Canvas, size_px: tuple[float, float], onto_mm: Affine) -> None:
    """Paint all that a document draws; its position on a page is of no concern here."""
    root = canvas.document.root
    style = canvas.styles.of(root, {})
    box = view_box(root, width_px=size_px[0], height_px=size_px[1])
    if box is None or style.get("display", "").lower() == "none":
        return
    onto = (onto_mm @ transform_of(style, size_px) @ box[0]).within_reason()
    if onto.determinant:
        # Before any is painted: what is refused takes no time.
        if canvas.drawn > MOST_VISITS:
            canvas.refuse_more(sum(1 for _ in islice(_shown(canvas, root, style), MOST_VISITS + 1)))
        _read_children(canvas, root, Context(onto, viewport_px=box[1], style=style))


def _shown(
    canvas: Canvas, element: Element, style: Mapping[str, str], depth: int = 0
) -> Iterator[Element]:
    """What is sure to be read of an element: all that it holds but for what is not shown."""
    for child in element:
        tag = tag_of(child)
        if tag in DRAWN_TAGS:
            yield child
        if tag in {"g", "a"} and depth < DEEPEST:
            own = canvas.styles.of(child, style)
            if own.get("display", "").lower() != "none" and read_share(own.get("opacity")):
                yield from _shown(canvas, child, own, depth + 1)


def _read_children(canvas: Canvas, element: Element, context: Context) -> None:
    for child in element:
        _read(canvas, child, context)


def _read(canvas: Canvas, element: Element, context: Context) -> None:
    """Paint one element with all that it contains."""
    tag = tag_of(element)
    if tag not in DRAWN_TAGS and tag not in _REFUSED:
        return
    canvas.spend_visit()
    if context.depth > DEEPEST:
        raise ArtworkError(f"the drawing is nested more than {DEEPEST} deep; ungroup it")
    style = canvas.styles.of(element, context.style)
    if style.get("display", "").lower() == "none":
        return
    label = canvas.document.label(element)
    hidden = style.get("visibility", "").lower() in ("hidden", "collapse")
    if tag in _REFUSED:
        if not hidden and _has_content(element, tag):
            raise ArtworkError(_REFUSED[tag], field=label)
        return
    opacity = read_share(style.get("opacity"))
    if opacity == 0:
        return
    _refuse_effects(canvas, style, label)
    try:
        inner = context.inside(style)
        if not inner.onto_mm.determinant:
            canvas.count("shapes scaled to nothing, left out")
            return
        first = len(canvas.paints)
        if tag in SHAPE_TAGS:
            if not hidden:
                _read_shape(canvas, element, inner, label)
        elif tag == "use":
            _read_use(canvas, element, inner, label)
        elif tag == "svg":
            _read_viewport(canvas, element, inner, element)
        elif tag == "switch":
            _read_switch(canvas, element, inner)
        else:
            _read_children(canvas, element, inner)
        clip_path = style.get("clip-path", "none")
        if clip_path.lower() != "none" and len(canvas.paints) > first:
            clip(canvas, clip_path, inner, first, label)
        masked = style.get("mask", "none")
        if masked.lower() != "none" and len(canvas.paints) > first:
            mask(canvas, masked, inner, first, label, _read_children)
    except ArtworkError as error:
        # Name the innermost element only: the message then leads to one place in the drawing.
        if error.field:
            raise
        raise ArtworkError(error.reason, field=label) from None
    if opacity < 1:
        canvas.paints[first:] = _fade(canvas.paints[first:], opacity)


def _has_content(element: Element, tag: str) -> bool:
    """Whether a refused element would show anything."""
    if tag == "text":
        return bool("".join(element.itertext()).strip())
    return bool(href(element)) if tag == "image" else True


def _refuse_effects(canvas: Canvas, style: Mapping[str, str], label: str) -> None:
    """Refuse filters and blending unless they may be left out."""
    for name, plain in (("filter", "none"), ("mix-blend-mode", "normal")):
        if style.get(name, plain).lower() != plain:
            if not canvas.flatten:
                raise ArtworkError(_WITH_FLATTEN[name], field=label)
            canvas.note(f"{label}: its {name} is left out")


def _read_switch(canvas: Canvas, element: Element, context: Context) -> None:
    """Paint the first child that asks for nothing special (SVG 1.1 §5.8)."""
    for child in element:
        if tag_of(child) in ("", "foreignObject") or child.get("requiredExtensions"):
            continue
        if child.get("systemLanguage") and not child.get("systemLanguage", "").startswith("en"):
            continue
        _read(canvas, child, context)
        return


def _read_use(canvas: Canvas, element: Element, context: Context, label: str) -> None:
    """Paint what a ``<use>`` refers to, at its place (SVG 1.1 §5.6)."""
    target = canvas.use_target(element, context, label)
    if target is None:
        return
    inner = context.moved(shift_of(element, context.viewport_px), target)
    if tag_of(target) not in ("symbol", "svg"):
        _read(canvas, target, inner)
        return
    canvas.spend_visit()
    style = canvas.styles.of(target, context.style)
    if style.get("display", "").lower() != "none" or tag_of(target) == "symbol":
        _read_viewport(canvas, target, inner.inside(style), element)


def _read_viewport(canvas: Canvas, element: Element, context: Context, sized_by: Element) -> None:
    """Paint a nested ``<svg>`` or a ``<symbol>`` inside its viewport, trimmed to it."""

    def side(name: str, relative_px: float) -> float:
        for source in (sized_by, element):
            given = length_px(source.get(name), relative_px=relative_px)
            if given is not None:
                return given
        return relative_px

    width, height = side("width", context.viewport_px[0]), side("height", context.viewport_px[1])
    box = view_box(element, width_px=width, height_px=height)
    if box is None or not (width > 0 and height > 0):
        return
    if tag_of(element) == "svg":
        context = context.moved(shift_of(element, context.viewport_px))
    onto = (context.onto_mm @ box[0]).within_reason()
    first = len(canvas.paints)
    inner = replace(context, onto_mm=onto, viewport_px=box[1], depth=context.depth + 1)
    _read_children(canvas, element, inner)
    if context.style.get("overflow", "hidden").lower() not in ("visible", "auto"):
        corners = np.array([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])
        canvas.keep_inside(shapely.Polygon(context.onto_mm.on_points(corners)), first)


def _read_shape(canvas: Canvas, element: Element, context: Context, label: str) -> None:
    """Paint the fill and the stroke of a basic shape."""
    style = context.style

    def paint(name: str, otherwise: str) -> Colour | None:
        colour = read_paint(canvas, style.get(name, otherwise), style, label)
        if colour is None:
            return None
        alpha = colour[3] * read_share(style.get(f"{name}-opacity"))
        return (*colour[:3], alpha) if alpha > 0 else None

    fill = paint("fill", "black") if tag_of(element) != "line" else None
    stroke = paint("stroke", "none")
    if any(style.get(f"marker-{end}", "none").lower() != "none" for end in ("start", "mid", "end")):
        if not canvas.flatten:
            raise ArtworkError(_WITH_FLATTEN["marker"], field=label)
        canvas.note(f"{label}: its markers are left out")
    coats: list[Paint] = []
    if fill is not None:
        runs = canvas.runs(element, context)
        if any(run.gapes for run in runs):
            canvas.count("open paths, closed to be filled")
        area = fill_area(runs, evenodd=style.get("fill-rule", "").lower() == "evenodd")
        if area.area > DUST_MM2:
            coats.append(Paint(hex_of(fill), fill[3], area))
        elif stroke is None:
            canvas.count("shapes without area, left out")
    if stroke is not None:
        area = _stroke(canvas, element, context)
        if area.area > DUST_MM2:
            coats.append(Paint(hex_of(stroke), stroke[3], area, is_stroke=True))
    if style.get("paint-order", "").lower().split()[:1] == ["stroke"]:
        coats.reverse()
    canvas.paints.extend(coats)


def _stroke(canvas: Canvas, element: Element, context: Context) -> BaseGeometry:
    """The area of a shape's stroke, in mm."""
    style, relative_px = context.style, diagonal_px(context.viewport_px)
    width = length_px(style.get("stroke-width"), relative_px=relative_px)
    width = 1.0 if width is None else width
    limit = length_px(style.get("stroke-miterlimit"), relative_px=0)
    pen = Pen(
        width=width,
        cap=style.get("stroke-linecap", "butt").lower(),
        join=style.get("stroke-linejoin", "miter").lower(),
        mitre_limit=4.0 if limit is None or limit < 1 else limit,
    )
    # The pen is drawn in the shape's own units, so that a skewed shape has a skewed stroke.
    scale = context.onto_mm.greatest_stretch
    own, onto = Affine(a=scale, d=scale), context.onto_mm @ Affine(a=1 / scale, d=1 / scale)
    if style.get("vector-effect", "").lower() == "non-scaling-stroke":
        scale, own, onto = canvas.mm_per_px, context.onto_mm, Affine()
    runs = canvas.runs(element, replace(context, onto_mm=own))
    if lengths := dash_lengths(style.get("stroke-dasharray", "none"), relative_px=relative_px):
        canvas.count("dashed lines, cut as their dashes")
        offset = length_px(style.get("stroke-dashoffset"), relative_px=relative_px) or 0.0
        scaled = scale * _stretch_of_dashes(element, runs, scale)
        runs = tuple(dashed(runs, [scaled * one for one in lengths], offset=scaled * offset))
    area = stroke_area(runs, replace(pen, width=width * scale), tolerance=canvas.tolerance_mm)
    return shapely.transform(area, onto.on_points)


def _stretch_of_dashes(element: Element, runs: Sequence[Subpath], scale: float) -> float:
    """How much longer a line is than its author says it is (SVG 2 §9.6.1, ``pathLength``)."""
    said = length_px(element.get("pathLength"), relative_px=0)
    if said is None or said <= 0:
        return 1.0
    return sum(run.length for run in runs) / scale / said


def _fade(paints: list[Paint], opacity: float) -> list[Paint]:
    """Apply the opacity of a group: what its upper parts cover does not show through them."""
    faded: list[Paint] = []
    cover: BaseGeometry = shapely.Polygon()
    for paint in reversed(paints):
        area = shapely.difference(paint.area, cover) if not cover.is_empty else paint.area
        if paint.opacity >= 1:
            cover = shapely.union(cover, paint.area)
        if area.area > DUST_MM2:
            faded.append(replace(paint, area=area, opacity=round(paint.opacity * opacity, 6)))
    return faded[::-1]
