"""SVG writing: elements, numbers, outlines and documents, the one way to write a drawing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

__all__ = ["HEAD", "document", "element", "number", "path_data", "plain_words", "rings"]

HEAD = '<?xml version="1.0" encoding="UTF-8"?>\n'
"""What a drawing begins with that is a file of its own."""

DECIMALS = 3
"""Coordinates in mm are told to a thousandth, far finer than any blade."""


def number(value: float, decimals: int = DECIMALS) -> str:
    """A number to so many decimals, without needless zeros.

    >>> number(1.5), number(-0.0001), number(12.0), number(3.14159, 1)
    ('1.5', '0', '12', '3.1')
    """
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".") if decimals else f"{value:.0f}"
    return "0" if text == "-0" else text


def plain_words(words: str) -> str:
    """Words made safe for an SVG or a page, without the control marks that XML forbids.

    >>> plain_words('<b title="x">tee & cap</b>\\x00')
    '&lt;b title=&quot;x&quot;&gt;tee &amp; cap&lt;/b&gt;'
    """
    shown = (sign if sign.isprintable() else " " * sign.isspace() for sign in words)
    return escape("".join(shown), quote=False).replace('"', "&quot;")


def element(
    name: str, inside: str | Iterable[str] | None = None, /, **attributes: str | float | None
) -> str:
    """An element with its attributes in the order given.

    Args:
        inside: words, which are escaped; or elements, each on a line of its own.
        attributes: escaped, numbers to a thousandth, ``None`` left out; ``_`` stands for ``-``.

    >>> element("circle", cx=1.5, cy=2, r=3, fill="none", stroke_width=0.25)
    '<circle cx="1.5" cy="2" r="3" fill="none" stroke-width="0.25"/>'
    >>> element("title", "tee & cap"), element("g", [], id="empty")
    ('<title>tee &amp; cap</title>', '<g id="empty">\\n</g>')
    """
    said = "".join(
        f' {key.strip("_").replace("_", "-")}="'
        f'{plain_words(value) if isinstance(value, str) else number(value)}"'
        for key, value in attributes.items()
        if value is not None
    )
    if inside is None:
        return f"<{name}{said}/>"
    if isinstance(inside, str):
        return f"<{name}{said}>{plain_words(inside)}</{name}>"
    return "\n".join([f"<{name}{said}>", *inside, f"</{name}>"])


def document(
    inside: Iterable[str],
    *,
    width: float,
    height: float,
    left: float = 0.0,
    top: float = 0.0,
    unit: str = "",
    scale: float = 1.0,
    title: str | None = None,
    description: str | None = None,
    **attributes: str | float | None,
) -> str:
    """A whole drawing.

    Args:
        inside: its elements.
        width, height, left, top: the part of the plane that it shows, in its own units.
        unit: what one of them measures on paper, such as ``mm``, before ``scale``.
        title, description: what is drawn, in a few words and in sentences.
        attributes: further ones of the outermost element.

    >>> document([], width=10, height=5, unit="mm", title="sun").splitlines()[0][:78]
    '<svg xmlns="http://www.w3.org/2000/svg" version="1.1" width="10mm" height="5mm'
    """
    words = {"title": title, "desc": description}
    said = [element(name, text) for name, text in words.items() if text is not None]
    return element(
        "svg",
        [*said, *inside],
        xmlns="http://www.w3.org/2000/svg",
        version="1.1",
        width=f"{number(width * scale)}{unit}",
        height=f"{number(height * scale)}{unit}",
        viewBox=" ".join(number(side) for side in (left, top, width, height)),
        **attributes,
    )


def rings(shape: BaseGeometry) -> list[NDArray[np.float64]]:
    """The closed outlines of an area, outer before inner, without the repeated last point.

    >>> [len(ring) for ring in rings(shapely.box(0, 0, 1, 1))]
    [4]
    >>> rings(shapely.MultiPolygon())
    []
    """
    outlines = shapely.get_rings(shapely.get_parts(shape))
    return [shapely.get_coordinates(outline)[:-1] for outline in outlines]


def path_data(shape: BaseGeometry | Sequence[NDArray[np.float64]], decimals: int = DECIMALS) -> str:
    """The closed outlines of an area, or those given, as the data of one path.

    >>> path_data(shapely.box(0, 0, 4, 2.5))
    'M4,0L4,2.5 0,2.5 0,0Z'
    >>> path_data([])
    ''
    """
    runs = []
    for outline in rings(shape) if isinstance(shape, BaseGeometry) else shape:
        first, *others = (
            f"{number(x, decimals)},{number(y, decimals)}" for x, y in outline.tolist()
        )
        runs.append(f"M{first}L{' '.join(others)}Z")
    return "".join(runs)
