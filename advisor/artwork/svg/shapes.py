"""Lengths, transforms and basic shapes of an SVG, read with svgelements."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from xml.etree.ElementTree import Element

from svgelements import (
    Circle,
    Ellipse,
    Length,
    Line,
    Matrix,
    Move,
    Path,
    PathSegment,
    Rect,
    SVGLexicalParser,
    Viewbox,
)

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.document import tag_of
from advisor.artwork.svg.outline import Affine

__all__ = [
    "MM_PER_PX",
    "SHAPE_TAGS",
    "box_of",
    "diagonal_px",
    "length_px",
    "number_count",
    "segments_of",
    "shift_of",
    "transform_of",
    "view_box",
]

SHAPE_TAGS = frozenset(("path", "rect", "circle", "ellipse", "line", "polyline", "polygon"))
# Sides whose percentages refer to the viewport's width.
_ACROSS = frozenset(("x", "x1", "x2", "cx", "rx", "width"))
# CSS Values 4 §6.2: one inch is 96 px and 25.4 mm.
MM_PER_PX = 25.4 / 96
_PX = {"": 1.0, "px": 1.0, "in": 96.0, "pt": 96 / 72, "pc": 16.0}
_PX |= {"cm": 96 / 2.54, "mm": 96 / 25.4, "q": 96 / 101.6}
_FONT_PX = 16.0
_TRANSFORM = re.compile(
    r"\b(?:matrix|(?:translate|scale|skew)[xy]?|rotate)\s*\(([^()]*)\)[\s,]*", re.IGNORECASE
)
_WORD = re.compile(r"[a-z%]+")
_TRANSFORM_UNITS = frozenset(
    ("%", "cm", "deg", "e", "grad", "in", "mm", "pc", "pt", "px", "rad", "turn")
)
_SIDES = {"left": "0%", "top": "0%", "center": "50%", "right": "100%", "bottom": "100%"}
_COMMAND = re.compile(r"[a-df-z]", re.IGNORECASE)
_NUMBER = re.compile(r"\.?\d+")
# What the parser raises on broken attribute text: it has no error class of its own.
_PARSER_ERRORS = (
    ValueError,
    IndexError,
    TypeError,
    AttributeError,
    OverflowError,
    ZeroDivisionError,
)


def length_px(text: str | None, *, relative_px: float) -> float | None:
    """Read a length in px; None when it is not given, ``auto`` or no length.

    The parser splits number and unit; the factors are CSS's exact ones.

    Raises:
        ArtworkError: a unit that no file should need, or ``calc()``.

    >>> length_px("25.4mm", relative_px=0), length_px("50%", relative_px=30)
    (96.0, 15.0)
    >>> length_px("auto", relative_px=0) is None
    True
    """
    if text is None or not any(sign.isdigit() for sign in text):
        return None
    if "(" in text:
        raise ArtworkError(f"the length {text[:40]!r} is a formula; write a plain number")
    length = Length("".join(text.split()))
    unit = str(length.units).lower()
    relative = {"%": relative_px / 100, "em": _FONT_PX, "rem": _FONT_PX, "ex": _FONT_PX / 2}
    factor = _PX.get(unit, relative.get(unit))
    if factor is None:
        raise ArtworkError(f"the length {text[:40]!r} has no unit that is known; use mm, in or px")
    return float(length.amount) * factor


def diagonal_px(viewport_px: tuple[float, float]) -> float:
    """What a percentage of neither width nor height refers to (SVG 1.1 §7.10).

    >>> diagonal_px((30, 30))
    30.0
    """
    return math.hypot(*viewport_px) / math.sqrt(2)


def number_count(element: Element) -> int:
    """How many numbers an element's path or point list holds, at a glance."""
    return sum(sum(1 for _ in _NUMBER.finditer(element.get(name, ""))) for name in ("d", "points"))


def shift_of(element: Element, viewport_px: tuple[float, float]) -> Affine:
    """The shift by an element's ``x`` and ``y``."""
    x, y = (
        length_px(element.get(n), relative_px=s) for n, s in zip("xy", viewport_px, strict=True)
    )
    return Affine(e=x or 0.0, f=y or 0.0)


def transform_of(style: Mapping[str, str], viewport_px: tuple[float, float]) -> Affine:
    """Read the ``transform`` of an element, with ``transform-origin`` when it is given in lengths.

    Raises:
        ArtworkError: the transform cannot be read.

    >>> transform_of({"transform": "translate(10 20) scale(2)"}, (100, 100))
    Affine(a=2.0, b=0.0, c=0.0, d=2.0, e=10.0, f=20.0)
    """
    text = style.get("transform", "")
    if not text or text.lower() == "none":
        return Affine()
    width, height = viewport_px
    words = _WORD.findall(" ".join(_TRANSFORM.findall(text.lower())))
    if _TRANSFORM.sub("", text).strip() or not _TRANSFORM_UNITS.issuperset(words):
        raise ArtworkError(f"the transform {text[:60]!r} cannot be read")
    try:
        matrix = Matrix(text)
        matrix.render(ppi=96, width=width, height=height)
        own = _affine(matrix)
    except _PARSER_ERRORS:
        raise ArtworkError(f"the transform {text[:60]!r} cannot be read") from None
    words = style.get("transform-origin", "").split()
    if words:
        words = [_SIDES.get(word, word) for word in (*words, "50%")][:2]
        x = length_px(words[0], relative_px=width) or 0.0
        y = length_px(words[1], relative_px=height) or 0.0
        own = Affine(e=x, f=y) @ own @ Affine(e=-x, f=-y)
    return own


def _affine(matrix: Matrix) -> Affine:
    return Affine(*(float(getattr(matrix, name)) for name in "abcdef"))


def view_box(
    element: Element, *, width_px: float, height_px: float
) -> tuple[Affine, tuple[float, float]] | None:
    """Return the transform from viewBox units to a viewport at 0, 0, and the size inside.

    None when the viewBox has no size: then nothing of the element is drawn (SVG 1.1 §7.7).

    >>> from xml.etree.ElementTree import fromstring
    >>> view_box(fromstring('<svg viewBox="0 0 10 20"/>'), width_px=100, height_px=100)
    (Affine(a=5.0, b=0.0, c=0.0, d=5.0, e=25.0, f=0.0), (10.0, 20.0))
    """
    box = box_of(element)
    if box is None:
        return Affine(), (width_px, height_px)
    if not (box.width > 0 and box.height > 0 and width_px > 0 and height_px > 0):
        return None
    align = " ".join(element.get("preserveAspectRatio", "").replace("defer", "").split())
    fitted = Viewbox.viewbox_transform(
        0, 0, width_px, height_px, box.x, box.y, box.width, box.height, align or None
    )
    return _affine(Matrix(fitted)), (float(box.width), float(box.height))


def box_of(element: Element) -> Viewbox | None:
    """The viewBox of an element; None when it has none or one that is not four numbers."""
    text = element.get("viewBox")
    if not text:
        return None
    try:
        box = Viewbox(text)
    except _PARSER_ERRORS:
        return None
    sides = (box.x, box.y, box.width, box.height)
    if any(side is None or not math.isfinite(side) for side in sides):
        return None
    return box


def segments_of(
    element: Element, style: Mapping[str, str], viewport_px: tuple[float, float]
) -> tuple[list[PathSegment], bool]:
    """Return the path segments of a basic shape, and whether all of it could be read.

    Raises:
        ArtworkError: a part of it could not, and would be missing.

    >>> from xml.etree.ElementTree import fromstring
    >>> segments, whole = segments_of(fromstring('<path d="M0 0H5V5z L"/>'), {}, (0, 0))
    >>> len(segments), whole
    (4, False)
    >>> segments_of(fromstring("<circle/>"), {"r": "0"}, (0, 0))
    ([], True)
    """
    tag = tag_of(element)
    if tag in ("path", "polyline", "polygon"):
        return _path_segments(element, tag)

    def side(name: str) -> float | None:
        relative_px = viewport_px[0] if name in _ACROSS else viewport_px[1]
        relative_px = diagonal_px(viewport_px) if name == "r" else relative_px
        return length_px(style.get(name, element.get(name)), relative_px=relative_px)

    if tag == "line":
        x1, y1, x2, y2 = (side(name) or 0.0 for name in ("x1", "y1", "x2", "y2"))
        begin, end = complex(x1, y1), complex(x2, y2)
        return [Move(begin), Line(begin, end)], True
    if tag == "circle":
        radius = side("r") or 0.0
        if radius <= 0:
            return [], radius == 0
        shape = Circle(side("cx") or 0.0, side("cy") or 0.0, radius)
        return list(shape.segments(transformed=False)), True
    rx, ry = side("rx"), side("ry")
    if tag == "rect":
        wide, high = side("width") or 0.0, side("height") or 0.0
        if not (wide > 0 and high > 0):
            return [], wide >= 0 and high >= 0
        rx = ry if rx is None or rx < 0 else rx
        ry = rx if ry is None or ry < 0 else ry
        corner = max(rx or 0.0, 0.0), max(ry or 0.0, 0.0)
        shape = Rect(side("x") or 0.0, side("y") or 0.0, wide, high, *corner)
    else:
        rx = ry if rx is None else rx
        ry = rx if ry is None else ry
        if not (rx and ry and rx > 0 and ry > 0):
            return [], True
        shape = Ellipse(side("cx") or 0.0, side("cy") or 0.0, rx, ry)
    return list(shape.segments(transformed=False)), True


def _path_segments(element: Element, tag: str) -> tuple[list[PathSegment], bool]:
    """The segments of a path, and whether all of its text is path data.

    SVG draws a path up to its first error (SVG 1.1 §F.2), and a film would then be cut without the
    rest: an error that takes anything of the shape is refused, one that takes nothing is told.

    A list of points is the path M points, closed for a polygon (SVG 1.1 §9.6, §9.7); the parser's
    own reader of point lists takes a time that grows with the square of its length.

    Raises:
        ArtworkError: something of the shape cannot be read.
    """
    text = element.get("d" if tag == "path" else "points", "").strip()
    outline = text
    if tag != "path" and text:
        # A letter that a path would take for a command is an error among points.
        stray = _COMMAND.search(text)
        outline = f"M{text[: stray.start()] if stray else text}"
        outline += "z" if tag == "polygon" and not stray else ""
    path, parser = Path(), SVGLexicalParser()
    try:
        parser.parse(path, outline)
        begun = read_to = parser.pos
    except _PARSER_ERRORS:
        # The parser stands somewhere within the command that it could not read.
        read_to = parser.pos
        begun = max((one.start() for one in _COMMAND.finditer(outline, 0, read_to)), default=0)
    segments = list(path)
    if segments and not isinstance(segments[0], Move):
        segments, begun, read_to = [], 0, 0
    before = 0 if tag == "path" else 1
    lost = text[max(0, begun - before) :]
    if any(sign.isdigit() for sign in lost):
        at = max(0, read_to - before)
        near = " ".join(text[max(0, at - 20) : at + 20].split())
        raise ArtworkError(
            f"its outline cannot be read at {near!r}, and the rest of the shape would be missing "
            "from the film; mend it there, or draw the shape anew and save again"
        )
    return segments, not lost.strip()
