"""The colours of an SVG: CSS colour values, and gradients as the one colour that a film can be."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping
from xml.etree.ElementTree import Element

from svgelements import Angle, Color

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.file import Document, href, tag_of

__all__ = ["Colour", "css_colour", "mean_of_stops", "read_paint", "read_share"]

# (red, green, blue, alpha), each 0 to 1.
Colour = tuple[float, float, float, float]

_URL = re.compile(r"""url\(\s*["']?\s*([^"')]*?)\s*["']?\s*\)\s*(.*)""", re.IGNORECASE | re.DOTALL)
_FUNCTION = re.compile(r"(rgb|hsl)a?\(([^()]*)\)\Z", re.IGNORECASE)
_HEX = re.compile(r"#(?:[0-9a-f]{3,4}|[0-9a-f]{6}|[0-9a-f]{8})\Z", re.IGNORECASE)
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:e[+-]?\d+)?(?:%|deg|turn|rad|grad)?\Z", re.I)
# The parser's names have one wrong value and lack one name (CSS Color 4 §6.1).
_NAMES = {"aliceblue": "#f0f8ff", "rebeccapurple": "#663399"}


def css_colour(value: str) -> Colour | None:
    """Read a CSS colour; None when it is none.

    The parser is svgelements'; what it would silently take for black is refused here, and the
    function notations of CSS Color 4 are brought to the older form that it reads.

    >>> css_colour("#1B3a5c") == css_colour("rgb(27 58 92)") == css_colour("rgb(27, 58, 92)")
    True
    >>> css_colour("hsl(120deg 100% 50% / 50%)")
    (0.0, 1.0, 0.0, 0.5)
    >>> css_colour("navyish") is None
    True
    """
    text = value.strip().lower()
    text = _NAMES.get(text, text)
    function = _FUNCTION.match(text)
    if function:
        return _function_colour(function.group(1), function.group(2))
    if not (_HEX.match(text) or text.isalpha()):
        return None
    colour = Color(text)
    if colour.value is None or (text.isalpha() and text != "black" and colour.hex == "#000000"):
        return None
    return (colour.red / 255, colour.green / 255, colour.blue / 255, float(colour.opacity))


def _function_colour(kind: str, body: str) -> Colour | None:
    """Read rgb() and hsl() with commas, spaces, decimals and percentages."""
    parts = body.replace(",", " ").replace("/", " ").split()
    if len(parts) not in (3, 4) or not all(_NUMBER.match(part) for part in parts):
        return None
    alpha = _share(parts[3]) if len(parts) == 4 else 1.0
    if alpha is None:
        return None
    if kind == "hsl":
        if not (parts[1][-1] == parts[2][-1] == "%" and not parts[0].endswith("%")):
            return None
        turn = Angle.parse(parts[0]).as_degrees % 360
        colour = Color(f"hsl({turn:.6f},{parts[1]},{parts[2]})")
        return (colour.red / 255, colour.green / 255, colour.blue / 255, alpha)
    levels = [
        _share(part) if part.endswith("%") else _share(f"{float(part) / 255}")
        for part in parts[:3]
        if part[-1].isdigit() or part[-1] in "%."
    ]
    if len(levels) != 3 or None in levels:
        return None
    red, green, blue = (level or 0.0 for level in levels)
    return (red, green, blue, alpha)


def _share(text: str) -> float | None:
    """A number or a percentage as a share from 0 to 1; None when it is neither."""
    try:
        share = float(text[:-1]) / 100 if text.endswith("%") else float(text)
    except ValueError:
        return None
    return min(1.0, max(0.0, share)) if math.isfinite(share) else None


def read_share(text: str | None, *, otherwise: float = 1.0) -> float:
    """Read an opacity or an offset; an unreadable one counts as not given (CSS error handling).

    >>> read_share("50%"), read_share("1.7"), read_share("thick"), read_share(None)
    (0.5, 1.0, 1.0, 1.0)
    """
    if text is None:
        return otherwise
    share = _share(text.strip())
    return otherwise if share is None else share


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


def read_paint(
    value: str,
    *,
    style: Mapping[str, str],
    document: Document,
    label: str,
    flatten: bool,
    style_of: Callable[[Element], Mapping[str, str]],
    note: Callable[[str], None],
) -> Colour | None:
    """Turn a fill or stroke value into one flat colour; None paints nothing.

    Raises
    ------
    ArtworkError
        For a pattern, for a gradient unless ``flatten``, and for a value that is no colour.
    """
    match = _URL.match(value)
    if match:
        reference, fallback = match.group(1), match.group(2).strip()
        server = document.by_id.get(reference[1:]) if reference.startswith("#") else None
        if server is None:
            if not reference.startswith("#"):
                raise ArtworkError(
                    f"its colour is taken from another file ({reference[:60]!r}); use a flat fill",
                    field=label,
                )
            note(f"{label} takes its colour from {reference[:60]!r}, which the file lacks")
            value = fallback or "none"
        else:
            return _server_colour(
                server,
                document=document,
                label=label,
                flatten=flatten,
                style_of=style_of,
                note=note,
            )
    word = value.lower()
    if word in ("none", "context-fill", "context-stroke"):
        return None
    if word == "currentcolor":
        value = style.get("color", "black")
        value = "black" if value.lower() == "currentcolor" else value
    colour = css_colour(value)
    if colour is None:
        raise ArtworkError(
            f"{value[:60]!r} is no colour that can be read; use a value like #1b3a5c", field=label
        )
    return colour


def _server_colour(
    server: Element,
    *,
    document: Document,
    label: str,
    flatten: bool,
    style_of: Callable[[Element], Mapping[str, str]],
    note: Callable[[str], None],
) -> Colour | None:
    """The flat colour of a gradient element."""
    tag = tag_of(server)
    if tag not in ("linearGradient", "radialGradient"):
        raise ArtworkError(
            f"it is filled with {document.label(server)}; a film has one colour: use a flat fill",
            field=label,
        )
    stops = _stops(server, document, style_of)
    if not stops:
        return None
    if len({colour for _, colour in stops}) == 1:
        return stops[0][1]
    if not flatten:
        raise ArtworkError(
            f"it is filled with a gradient ({document.label(server)}); a film has one colour: use "
            "a flat fill, or say `flatten: true` in the job to take the gradient's mean colour",
            field=label,
        )
    mean = mean_of_stops(stops)
    shown = "#" + "".join(f"{round(level * 255):02x}" for level in mean[:3])
    note(f"{document.label(server)} became its mean colour {shown}")
    return mean


def _stops(
    server: Element, document: Document, style_of: Callable[[Element], Mapping[str, str]]
) -> list[tuple[float, Colour]]:
    """The stops of a gradient, or those of the gradient that it refers to."""
    seen: set[Element] = set()
    while server not in seen:
        seen.add(server)
        stops: list[tuple[float, Colour]] = []
        for child in server:
            if tag_of(child) != "stop":
                continue
            style = style_of(child)
            value = style.get("stop-color", "black")
            if value.lower() == "currentcolor":
                value = style.get("color", "black")
            red, green, blue, alpha = css_colour(value) or (0.0, 0.0, 0.0, 1.0)
            alpha *= read_share(style.get("stop-opacity"))
            stops.append(
                (read_share(child.get("offset"), otherwise=0.0), (red, green, blue, alpha))
            )
        following = document.by_id.get(href(server)[1:])
        if stops or following is None:
            return stops
        server = following
    return []
