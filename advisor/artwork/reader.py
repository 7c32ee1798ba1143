"""Artwork from SVG: what each film piece looks like, how big it is and what lies on what."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal
from xml.etree.ElementTree import Element

import numpy as np
import shapely

from advisor.artwork.leaving_out import leaving_out
from advisor.artwork.overlay import TOUCH_GAP_MM, is_real_overlap
from advisor.artwork.piecing import as_pieces
from advisor.artwork.records import Artwork, ArtworkError, Piece, check_width
from advisor.artwork.svg.canvas import Canvas
from advisor.artwork.svg.document import Document, read_document
from advisor.artwork.svg.outline import Affine
from advisor.artwork.svg.reader import paint_drawing
from advisor.artwork.svg.shapes import MM_PER_PX, box_of, length_px
from rules.facts.text import Text
from rules.facts.units import show_mm, show_size

__all__ = [
    "Artwork",
    "ArtworkError",
    "Piece",
    "read_artwork",
]

LEAST_TOLERANCE_MM = 0.001

SEEN_MARGIN_MM = 1.0
"""A drawing that ends this near to its page's edges is as large as its page to anyone."""

MOST_LOOKS = 3
"""A drawing's own width is settled in so many looks: what is not pressed may lie outside it."""

ENLARGED_AT_MOST = 1.25
"""A drawing is read so fine that it may be enlarged so far: most fill nearly their whole page."""


def read_artwork(
    source: Path | str | bytes,
    *,
    width_mm: float | None = None,
    flatten: bool = False,
    tolerance_mm: float = 0.05,
    name: str = "",
    leave_out: Sequence[str] = (),
    width_of: Literal["page", "drawing"] = "page",
    as_pressed: Callable[[Artwork], Artwork] = lambda drawn: drawn,
) -> Artwork:
    """Read an SVG as pieces of flat colour.

    Args:
        source: a file; or the SVG itself, as bytes or as text that begins with ``<``.
        width_mm: the width on the garment. Without it the size counts that the file states, at
            96 px to the inch.
        flatten: take the mean colour of gradients and leave out filters, blending and markers,
            each with a note, instead of refusing them.
        tolerance_mm: how far a curve may lie from its chords at the final size.
        name: what to call the artwork; the file's name otherwise.
        leave_out: fills (``"#1b3a5c"``) or pieces (``"fill-1b3a5c-2"``) that are not to be cut.
        width_of: what is to be so wide: the page that the drawing lies on, or the drawing itself
            without what is left out; the artwork is then no larger than the drawing.
        as_pressed: what is made of the drawing before it is measured.

    Returns:
        Pieces from the bottom up, and notes on what was changed or left out.

    Raises:
        ArtworkError: the file cannot be read safely or holds what cannot be cut: live text,
            bitmaps, masks in shades, patterns, and gradients unless ``flatten``. The message names
            the element.

    >>> badge = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 20 20">
    ...     <circle cx="10" cy="10" r="10" fill="navy"/>
    ...     <rect x="5" y="9" width="10" height="2" fill="#fff"/></svg>''', width_mm=80)
    >>> [(piece.id, round(piece.visible.area)) for piece in badge.pieces]
    [('fill-000080', 4701), ('fill-ffffff', 320)]
    >>> read_artwork('''<svg xmlns="http://www.w3.org/2000/svg"><text>CREW</text></svg>''')
    Traceback (most recent call last):
    advisor.artwork.records.ArtworkError: artwork: <text> number 1: it is live text; convert text
    to outlines and save again
    """
    known = name or (str(source) if isinstance(source, Path) else "")
    try:
        if width_mm is not None:
            check_width(width_mm)
        if not (math.isfinite(tolerance_mm) and LEAST_TOLERANCE_MM <= tolerance_mm <= 10):
            raise ArtworkError(
                f"{tolerance_mm:g} mm is no tolerance; give {LEAST_TOLERANCE_MM} to 10 mm",
                field="tolerance_mm",
            )
        document, name = read_document(source, name=name)
        known = known or name

        def read(page_mm: float | None, tolerance_mm: float = tolerance_mm) -> Artwork:
            made = _read(document, name, page_mm, flatten=flatten, tolerance_mm=tolerance_mm)
            return replace(made, pieces=leaving_out(made.pieces, leave_out))

        if width_mm is None or width_of == "page":
            artwork = as_pressed(read(width_mm))
            sized = width_mm is not None and artwork.pieces
            return _told_of_hairlines(_told_of_page(artwork)) if sized else artwork
        return _told_of_hairlines(_drawing_so_wide(width_mm, read, as_pressed, tolerance_mm))
    except ArtworkError as error:
        if error.source:
            raise
        shown = known or _short(source)
        raise ArtworkError(error.reason, source=shown, field=error.field) from None
    except shapely.errors.ShapelyError as error:
        raise ArtworkError(
            f"a shape's outline cannot be worked out ({str(error)[:80]}); "
            "unite the shapes in the drawing program and save again",
            source=known,
        ) from None


def _short(source: Path | str | bytes) -> str:
    """What to call a source that could not be opened."""
    if isinstance(source, bytes) or "<" in str(source) or not str(source):
        return "artwork"
    return str(source)[:200]


def _read(
    document: Document, name: str, width_mm: float | None, *, flatten: bool, tolerance_mm: float
) -> Artwork:
    """Size the artboard, paint everything onto it and sort the paints into pieces."""
    remarks: list[str] = []
    size = _stated_size_px(document.root)
    frame = Affine()
    if size is None:
        frame, size = _extent_px(document, flatten=flatten)
        remarks.append("the file states no size; its drawing's extent is taken as the artboard")
    width_px, height_px = size
    scale = MM_PER_PX if width_mm is None else width_mm / width_px
    # Nine digits: 240 mm by way of px and back is to be 240 mm again.
    width, height = round(width_px * scale, 9), round(height_px * scale, 9)
    check_width(width)
    if not 0 < height <= 1e5:
        raise ArtworkError(f"the artboard would be {height:g} mm high; check its width and height")
    canvas = Canvas(document, tolerance_mm=tolerance_mm, flatten=flatten, mm_per_px=scale)
    paint_drawing(canvas, size, Affine(a=scale, d=scale) @ frame)
    painted = len(canvas.paints)
    trimmed = canvas.keep_inside(shapely.box(0, 0, width, height))
    gone = painted - len(canvas.paints)
    if not canvas.paints:
        raise ArtworkError("the file draws nothing that can be cut")
    if trimmed > gone:
        canvas.count("shapes that reach beyond the artboard, trimmed to it", trimmed - gone)
    if gone:
        canvas.count("shapes that lie off the artboard, left out", gone)
    pieces = as_pieces(canvas.paints)
    remarks.extend(canvas.notes())
    return Artwork(name=name, width_mm=width, height_mm=height, pieces=pieces, notes=tuple(remarks))


def _told_of_page(page: Artwork) -> Artwork:
    """An artwork as wide as its page, with a word on its drawing where that is smaller."""
    if _fills_page(page):
        return page
    left, top, right, bottom = page.extent_mm
    note = Text(
        f"the page is {show_size(page.width_mm, page.height_mm)} and the drawing on it "
        f"{show_size(right - left, bottom - top)}; to give the drawing the size asked say "
        "`width_of: drawing`"
    )
    return replace(page, notes=(note, *page.notes))


def _told_of_hairlines(drawn: Artwork) -> Artwork:
    """An artwork with a word on its size where its edge is a line that no film keeps."""
    parts = shapely.get_parts(np.array([piece.shape for piece in drawn.pieces], dtype=object))
    wide = parts[is_real_overlap(parts)]
    if not wide.size or wide.size == parts.size:
        return drawn
    (left, top, right, bottom), all_round = shapely.total_bounds(wide), drawn.extent_mm
    if max(map(abs, np.subtract((left, top, right, bottom), all_round))) < SEEN_MARGIN_MM:
        return drawn
    note = Text(
        f"at its edge the drawing has lines finer than {show_mm(TOUCH_GAP_MM)}, of which nothing "
        f"stays: the rest of it is {show_size(right - left, bottom - top)}; draw them wider or "
        "take them out"
    )
    return replace(drawn, notes=(note, *drawn.notes))


def _drawing_so_wide(
    width_mm: float,
    read: Callable[[float, float], Artwork],
    as_pressed: Callable[[Artwork], Artwork],
    tolerance_mm: float,
) -> Artwork:
    """The artwork with its drawing so wide, with a word on its page where that is wider.

    Args:
        read: reads the drawing at a width of its page and a tolerance, both in mm.
    """
    raw = read(width_mm, tolerance_mm / ENLARGED_AT_MOST)
    drawn = raw
    if _fills_page(raw):
        drawn = as_pressed(raw)
        if not drawn.pieces or _fills_page(drawn):
            return drawn
    for _ in range(MOST_LOOKS):
        left, _, right, _ = drawn.extent_mm
        page_mm = drawn.width_mm * width_mm / (right - left)
        fine = page_mm <= ENLARGED_AT_MOST * width_mm
        drawn = as_pressed(raw.scaled(width_mm=page_mm) if fine else read(page_mm, tolerance_mm))
        left, _, right, _ = drawn.extent_mm
        # What is not pressed may have made the drawing look wider than it is.
        if not drawn.pieces or right - left > width_mm - SEEN_MARGIN_MM / 100:
            break
    if not drawn.pieces:
        return drawn
    drawing = drawn.trimmed().scaled(width_mm=width_mm)
    if round(page_mm) == round(width_mm):
        # Only its height differs, and the width is what is asked for.
        return drawing
    note = Text(
        f"the drawing is cut {show_size(width_mm, drawing.height_mm)}, its page would be "
        f"{show_size(page_mm, page_mm * raw.height_mm / raw.width_mm)}; to give the page the size "
        "asked say `width_of: page`"
    )
    return replace(drawing, notes=(note, *drawing.notes))


def _fills_page(page: Artwork) -> bool:
    left, top, right, bottom = page.extent_mm
    return max(left, top, page.width_mm - right, page.height_mm - bottom) < SEEN_MARGIN_MM


def _stated_size_px(root: Element) -> tuple[float, float] | None:
    """The size of the artboard as the file states it; None when it states none."""
    stated = [
        None if "%" in root.get(name, "") else length_px(root.get(name), relative_px=0)
        for name in ("width", "height")
    ]
    width, height = stated
    for side, given in zip(("width", "height"), stated, strict=True):
        if given is not None and not (math.isfinite(given) and given > 0):
            raise ArtworkError(f"its {side} is {root.get(side)!r}; nothing would be drawn")
    box = box_of(root)
    if box is not None and box.width > 0 and box.height > 0:
        # One side alone, or none, follows the viewBox (CSS Images 3 §5: natural aspect ratio).
        if width is None and height is None:
            return float(box.width), float(box.height)
        if width is None and height is not None:
            return height * box.width / box.height, height
        if height is None and width is not None:
            return width, width * box.height / box.width
    if width is None or height is None:
        return None
    return width, height


def _extent_px(document: Document, *, flatten: bool) -> tuple[Affine, tuple[float, float]]:
    """Measure a drawing without an artboard: the shift to its corner, and its size in px."""
    canvas = Canvas(document, tolerance_mm=0.05, flatten=flatten, mm_per_px=1.0)
    paint_drawing(canvas, (100.0, 100.0), Affine())
    if not canvas.paints:
        raise ArtworkError("the file draws nothing that can be cut")
    left, top, right, bottom = shapely.total_bounds(
        np.array([paint.area for paint in canvas.paints], dtype=object)
    )
    return Affine(e=-float(left), f=-float(top)), (float(right - left), float(bottom - top))
