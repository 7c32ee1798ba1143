"""Ink: the few marks that every drawing is made of, readable on light and on dark."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from typing import Any

from advisor.artwork.svg.writing import document, element, number

__all__ = [
    "Point", "box", "circle", "data_uri", "hatched", "line", "path", "polygon", "rect",
    "sheet_of_paper", "text", "wrap",
]  # fmt: skip

Point = tuple[float, float]

_STYLE = """
.ink{fill:#16212b}.soft{fill:#44515b}.rule{stroke:#16212b;fill:none}.faint{stroke:#75828b;fill:none}
.sheet{fill:#ffffff}.mat{fill:#e9efe9}.tool{fill:#c3ccd1}.adhesive{fill:#e0a83e}.clear{fill:#bfe0ea}
.cover{fill:#d9c7a0}.hot{fill:#b3261e}.hotline{stroke:#b3261e;fill:none}
text{font-family:system-ui,"Noto Sans","DejaVu Sans",sans-serif}
.figure{font-variant-numeric:tabular-nums}
@media (prefers-color-scheme:dark){
.ink{fill:#eef3f0}.soft{fill:#b9c5c8}.rule{stroke:#eef3f0}.faint{stroke:#8d9ba2}
.sheet{fill:#182126}.mat{fill:#223034}.tool{fill:#56636a}.adhesive{fill:#b98426}.clear{fill:#37535d}
.cover{fill:#77684a}.hot{fill:#ff8a7d}.hotline{stroke:#ff8a7d}}
""".replace("\n", "")


def sheet_of_paper(
    marks: Iterable[str], *, width: float, height: float, title: str, alt: str = "",
    defs: Iterable[str] = (),
) -> str:  # fmt: skip
    """A whole SVG document of ``width`` × ``height`` drawing units.

    Args:
        title: what is drawn, in a few words.
        alt: the same in sentences, for those who do not see it.
        defs: patterns and gradients that the marks use; each is written once.

    >>> sheet_of_paper([], width=10, height=10, title="nothing").startswith("<svg")
    True
    """
    patterns = "".join(sorted({*defs}))
    return document(
        [f"<style>{_STYLE}</style>", f"<defs>{patterns}</defs>", *marks],
        width=width, height=height, title=title, description=alt, role="img",
    )  # fmt: skip


def data_uri(svg: str) -> str:
    """The drawing as an address that an image can be shown from; nothing in it can run.

    >>> data_uri("<svg/>")
    'data:image/svg+xml;base64,PHN2Zy8+'
    """
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()


def text(
    x: float, y: float, words: str, *, size: float = 13, kind: str = "ink",
    anchor: str = "start", weight: int = 400,
) -> str:  # fmt: skip
    """Words with their baseline at ``y``.

    >>> text(1, 2, "a<b").endswith('text-anchor="start">a&lt;b</text>')
    True
    """
    return element(
        "text", words, class_=kind, x=x, y=y, font_size=size, font_weight=weight,
        text_anchor=anchor,
    )  # fmt: skip


def rect(x: float, y: float, width: float, height: float, *, radius: float = 0, **look: Any) -> str:
    """A rectangle; ``look`` is as in :func:`path`."""
    return _mark("rect", {"x": x, "y": y, "width": width, "height": height, "rx": radius}, **look)


def circle(x: float, y: float, radius: float, **look: Any) -> str:
    """A disc."""
    return _mark("circle", {"cx": x, "cy": y, "r": radius}, **look)


def polygon(points: Sequence[Point], **look: Any) -> str:
    """A closed shape through ``points``."""
    return _mark("polygon", {"points": _through(points)}, **look)


def path(d: str, **look: Any) -> str:
    """A shape given as path data of our own making.

    Args:
        look: a ``kind`` of ink or a ``fill`` of its own, its ``opacity``, the ``stroke`` of an
            outline around it; further attributes as they are.
    """
    return _mark("path", {"d": d, "fill_rule": "evenodd"}, **look)


def line(points: Sequence[Point], *, kind: str = "rule", width: float = 1) -> str:
    """An open line through ``points``."""
    return element("polyline", class_=kind, points=_through(points), stroke_width=width)


def box(x: float, y: float, width: float, height: float) -> list[Point]:
    """The corners of a rectangle."""
    return [(x, y), (x + width, y), (x + width, y + height), (x, y + height)]


def hatched(
    points: Sequence[Point], colour: str, pattern: str, *, opacity: float = 1, stroke: float = 1.1
) -> list[str]:
    """A shape in a flat colour on paper, under a pattern where there is one, and outlined."""
    marks = [polygon(points, kind="sheet"), polygon(points, fill=colour, opacity=opacity)]
    if pattern:
        marks.append(polygon(points, fill=pattern))
    return [*marks, polygon(points, fill="none", stroke=stroke)]


def wrap(words: str, most: int) -> list[str]:
    """Words broken into lines of at most ``most`` letters, at spaces or hyphens where it can be.

    >>> wrap("dye-blocking-low-temperature", 20)
    ['dye-blocking-low-', 'temperature']
    >>> wrap("", 20)
    ['']
    """
    lines = [""]
    for part in words.replace("-", "-\x00").replace(" ", " \x00").split("\x00"):
        if len(lines[-1] + part.rstrip()) > most and lines[-1]:
            lines.append("")
        lines[-1] += part
    return [each.rstrip() for each in lines]


def _mark(
    name: str,
    where: dict[str, Any],
    *,
    kind: str | None = None,
    fill: str | None = None,
    opacity: float = 1,
    stroke: float = 0,
    **more: Any,
) -> str:
    pale = None if opacity == 1 else opacity
    shape = element(name, class_=kind, fill=fill, fill_opacity=pale, **where, **more)
    return shape + (element(name, class_="rule", **where, stroke_width=stroke) if stroke else "")


def _through(points: Sequence[Point]) -> str:
    return " ".join(f"{number(x, 2)},{number(y, 2)}" for x, y in points)
