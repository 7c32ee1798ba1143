"""The colours of an SVG: CSS colour values, and gradients as the one colour that a film can be."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from xml.etree.ElementTree import Element

from coloraide import Color

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.canvas import Canvas
from advisor.artwork.svg.document import href, tag_of
from advisor.artwork.svg.style import url_of

__all__ = ["Colour", "css_colour", "hex_of", "mean_of_stops", "read_paint", "read_share"]

# (red, green, blue, alpha), each 0 to 1.
Colour = tuple[float, float, float, float]


@lru_cache(maxsize=4096)
def css_colour(value: str) -> Colour | None:
    """Read a CSS colour, brought into sRGB; None when it is none.

    >>> css_colour("#1B3a5c") == css_colour("rgb(27 58 92)") == css_colour("rgb(27, 58, 92)")
    True
    >>> css_colour("hsl(120deg 100% 50% / 50%)")
    (0.0, 1.0, 0.0, 0.5)
    >>> css_colour("navyish") is None
    True
    """
    try:
        colour = Color(value.strip().lower()).convert("srgb").clip()
    except ValueError:
        return None
    red, green, blue = colour.coords(nans=False)
    return float(red), float(green), float(blue), float(colour.alpha(nans=False))


def hex_of(colour: Colour) -> str:
    """A colour without its alpha, as lower-case sRGB.

    >>> hex_of((1.0, 0.5, 0.0, 0.3))
    '#ff8000'
    """
    return "#" + "".join(f"{round(level * 255):02x}" for level in colour[:3])


def read_share(text: str | None, *, otherwise: float = 1.0) -> float:
    """Read an opacity or an offset; an unreadable one counts as not given (CSS error handling).

    >>> read_share("50%"), read_share("1.7"), read_share("thick"), read_share(None)
    (0.5, 1.0, 1.0, 1.0)
    """
    text = (text or "").strip()
    try:
        share = float(text[:-1]) / 100 if text.endswith("%") else float(text)
    except ValueError:
        return otherwise
    return min(1.0, max(0.0, share)) if math.isfinite(share) else otherwise


def mean_of_stops(stops: list[tuple[float, Colour]]) -> Colour:
    """Average a gradient over its length, from the first offset 0 to the last 1.

    Between stops the colour runs straight, before the first and after the last it stays
    (SVG 1.1 §13.2.4); the mean is taken in sRGB, each colour weighted by its alpha.

    >>> black, white = (0.0, 0.0, 0.0, 1.0), (1.0, 1.0, 1.0, 1.0)
    >>> mean_of_stops([(0.0, black), (1.0, white)])
    (0.5, 0.5, 0.5, 1.0)
    >>> mean_of_stops([(0.5, black), (0.5, white)])
    (0.5, 0.5, 0.5, 1.0)
    >>> mean_of_stops([(0.5, black), (1.0, white)])
    (0.25, 0.25, 0.25, 1.0)
    """
    at, colour = 0.0, stops[0][1]
    total = [0.0, 0.0, 0.0, 0.0]
    for offset, following in [*stops, (1.0, stops[-1][1])]:
        offset = max(offset, at)
        width = offset - at
        for part in range(3):
            # The integral of (straight colour × straight alpha) over the span.
            one, two = colour[part] * colour[3], following[part] * following[3]
            mixed = (colour[part] * following[3] + following[part] * colour[3]) / 2
            total[part] += width * (one + mixed + two) / 3
        total[3] += width * (colour[3] + following[3]) / 2
        at, colour = offset, following
    alpha = total[3]
    if alpha <= 0:
        return (*stops[0][1][:3], 0.0)
    return (total[0] / alpha, total[1] / alpha, total[2] / alpha, alpha)


def read_paint(canvas: Canvas, value: str, style: Mapping[str, str], label: str) -> Colour | None:
    """Turn a fill or stroke value into one flat colour; None paints nothing.

    Raises:
        ArtworkError: a pattern, a gradient unless it is flattened, or a value that is no colour.
    """
    url = url_of(value)
    if url:
        reference, otherwise = url
        server = canvas.document.referred(reference)
        if server is not None:
            return _server_colour(canvas, server, label)
        if not reference.startswith("#"):
            raise ArtworkError(
                f"its colour is taken from another file ({reference[:60]!r}); use a flat fill",
                field=label,
            )
        canvas.note(f"{label} takes its colour from {reference[:60]!r}, which the file lacks")
        value = otherwise or "none"
    if value.lower() in ("none", "context-fill", "context-stroke"):
        return None
    value = _current(value, style)
    colour = css_colour(value)
    if colour is None:
        raise ArtworkError(
            f"{value[:60]!r} is no colour that can be read; use a value like #1b3a5c", field=label
        )
    return colour


def _current(value: str, style: Mapping[str, str]) -> str:
    """A colour value with ``currentColor`` replaced by the ``color`` it stands for."""
    if value.lower() == "currentcolor":
        value = style.get("color", "black")
    return "black" if value.lower() == "currentcolor" else value


def _server_colour(canvas: Canvas, server: Element, label: str) -> Colour | None:
    """The flat colour of a gradient element."""
    name = canvas.document.label(server)
    if tag_of(server) not in ("linearGradient", "radialGradient"):
        raise ArtworkError(
            f"it is filled with {name}; a film has one colour: use a flat fill", field=label
        )
    stops = _stops(canvas, server)
    if not stops:
        canvas.note(f"{label} is left out: the gradient that fills it, {name}, has no colours")
        return None
    if len({colour for _, colour in stops}) == 1:
        return stops[0][1]
    if not canvas.flatten:
        raise ArtworkError(
            f"it is filled with a gradient ({name}); a film has one colour: use a flat fill, or "
            "say `flatten: true` in the job to take the gradient's mean colour",
            field=label,
        )
    mean = mean_of_stops(stops)
    canvas.note(f"{name} became its mean colour {hex_of(mean)}")
    return mean


def _stops(canvas: Canvas, server: Element) -> list[tuple[float, Colour]]:
    """The stops of a gradient, or those of the gradient that it refers to."""
    seen: set[Element] = set()
    following: Element | None = server
    while following is not None and following not in seen:
        seen.add(following)
        stops: list[tuple[float, Colour]] = []
        for child in following:
            if tag_of(child) != "stop":
                continue
            style = canvas.styles.of(child, {})
            value = _current(style.get("stop-color", "black"), style)
            red, green, blue, alpha = css_colour(value) or (0.0, 0.0, 0.0, 1.0)
            alpha *= read_share(style.get("stop-opacity"))
            offset = read_share(child.get("offset"), otherwise=0.0)
            stops.append((offset, (red, green, blue, alpha)))
        if stops:
            return stops
        following = canvas.document.referred(href(following))
    return []
