"""Masks that a cutter can follow: a mask of plain white shapes shows what lies under them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from xml.etree.ElementTree import Element

import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.piecing import areas_only
from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.canvas import DEEPEST, Canvas, Context
from advisor.artwork.svg.clip import bounding_box
from advisor.artwork.svg.colour import css_colour
from advisor.artwork.svg.document import tag_of
from advisor.artwork.svg.outline import Affine
from advisor.artwork.svg.shapes import length_px
from advisor.artwork.svg.style import url_of

__all__ = ["mask"]

_SIDES = (("x", "-10%"), ("y", "-10%"), ("width", "120%"), ("height", "120%"))
"""The area that a mask covers where it says nothing (SVG 1.1 §14.4)."""

WHITE_ENOUGH = 0.98
"""A shape this white or more shows all; what is darker than the rest of it hides all."""


def mask(
    canvas: Canvas,
    value: str,
    context: Context,
    first: int,
    label: str,
    paint: Callable[[Canvas, Element, Context], None],
) -> None:
    """Trim the newest paints to what a mask shows.

    Args:
        paint: paints what an element holds.

    Raises:
        ArtworkError: the mask shows something by half, which no film can.
    """
    reference, _ = url_of(value) or ("", "")
    target = canvas.document.referred(reference)
    if target is None or tag_of(target) != "mask":
        canvas.note(f"{label} is masked by {reference[:60]!r}, which the file lacks")
        return
    if target in context.used or context.depth > DEEPEST:
        raise ArtworkError(f"{canvas.document.label(target)} masks itself")
    style = canvas.styles.of(target, {})
    within = context.moved(Affine(), target).inside({**style, "transform": "none"})
    box = bounding_box(canvas, context, first)
    unit = replace(within.moved(box), viewport_px=(1.0, 1.0))
    inner = unit if target.get("maskContentUnits") == "objectBoundingBox" else within
    hidden = canvas.paints
    canvas.paints = []
    paint(canvas, target, inner)
    painted, canvas.paints = canvas.paints, hidden
    shown: BaseGeometry = shapely.Polygon()
    by_alpha = style.get("mask-type", "").lower() == "alpha"
    for one in painted:
        share = one.opacity * (1.0 if by_alpha else _luminance(one.fill))
        if WHITE_ENOUGH > share > 1 - WHITE_ENOUGH:
            raise ArtworkError(
                f"it is masked by {one.fill} of {canvas.document.label(target)}, which shows it by "
                "half; make the mask white and black, or cut the shape to its outline"
            )
        change = shapely.union if share >= WHITE_ENOUGH else shapely.difference
        shown = change(shown, one.area)
    held = within if target.get("maskUnits") == "userSpaceOnUse" else unit
    canvas.keep_inside(areas_only(shapely.intersection(shown, _covered(target, held))), first)


def _luminance(fill: str) -> float:
    """How bright a colour is, 0 to 1 (SVG 1.1 §14.4, with the factors of its luminance mask)."""
    red, green, blue, _ = css_colour(fill) or (0.0, 0.0, 0.0, 1.0)
    return 0.2125 * red + 0.7154 * green + 0.0721 * blue


def _covered(target: Element, held: Context) -> BaseGeometry:
    """The rectangle beyond which a mask hides everything."""
    x, y, width, height = (
        length_px(target.get(side, otherwise), relative_px=held.viewport_px[n % 2]) or 0.0
        for n, (side, otherwise) in enumerate(_SIDES)
    )
    corners = shapely.box(x, y, x + width, y + height)
    return shapely.transform(corners, held.onto_mm.on_points)
