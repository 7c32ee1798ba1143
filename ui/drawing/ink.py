"""Ink: the few marks that every drawing is made of, escaped, readable on light and on dark."""

from __future__ import annotations

import base64
from collections.abc import Iterable, Sequence
from html import escape

__all__ = [
    "Point", "circle", "clean", "data_uri", "line", "path", "polygon", "rect", "sheet_of_paper",
    "text", "wrap",
]  # fmt: skip

Point = tuple[float, float]

_STYLE = """
.ink{fill:#16212b}.soft{fill:#44515b}.rule{stroke:#16212b;fill:none}.faint{stroke:#75828b;fill:none}
.sheet{fill:#ffffff}.mat{fill:#e9efe9}.tool{fill:#c3ccd1}.adhesive{fill:#e0a83e}.clear{fill:#bfe0ea}
.cover{fill:#d9c7a0}.hot{fill:#b3261e}.hotline{stroke:#b3261e;fill:none}
text{font-family:"Source Sans 3","Source Sans Pro",system-ui,"Noto Sans","DejaVu Sans",sans-serif}
.figure{font-variant-numeric:tabular-nums}
@media (prefers-color-scheme:dark){
.ink{fill:#eef3f0}.soft{fill:#b9c5c8}.rule{stroke:#eef3f0}.faint{stroke:#8d9ba2}
.sheet{fill:#182126}.mat{fill:#223034}.tool{fill:#56636a}.adhesive{fill:#b98426}.clear{fill:#37535d}
.cover{fill:#77684a}.hot{fill:#ff8a7d}.hotline{stroke:#ff8a7d}}
""".replace("\n", "")


def clean(words: str) -> str:
    """Words made safe for the text of an SVG, without the control marks that XML forbids.

    >>> clean('<b onclick="x">tee & cap</b>\\x00')
    '&lt;b onclick=&quot;x&quot;&gt;tee &amp; cap&lt;/b&gt;'
    """
    return escape("".join(c for c in words if c.isprintable() or c == " "), quote=True)


def sheet_of_paper(
    marks: Iterable[str], *, width: float, height: float, title: str, told: str = "", defs: str = ""
) -> str:
    """A whole SVG document of ``width`` × ``height`` drawing units.

    Args:
        title: what is drawn, in a few words.
        told: the same in sentences, for those who do not see it.
        defs: patterns and gradients that the marks use.

    >>> sheet_of_paper([], width=10, height=10, title="nothing").startswith("<svg")
    True
    """
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_n(width)} {_n(height)}" '
        f'width="{_n(width)}" height="{_n(height)}" role="img">'
        f"<title>{clean(title)}</title><desc>{clean(told)}</desc>"
        f"<style>{_STYLE}</style><defs>{defs}</defs>{''.join(marks)}</svg>"
    )


def data_uri(svg: str) -> str:
    """The drawing as an address that an image can be shown from; nothing in it can run.

    >>> data_uri("<svg/>")
    'data:image/svg+xml;base64,PHN2Zy8+'
    """
    return "data:image/svg+xml;base64," + base64.b64encode(svg.encode()).decode()


def text(
    x: float,
    y: float,
    words: str,
    *,
    size: float = 13,
    kind: str = "ink",
    anchor: str = "start",
    weight: int = 400,
) -> str:
    """Words with their baseline at ``y``.

    >>> text(1, 2, "a<b").endswith('text-anchor="start">a&lt;b</text>')
    True
    """
    return (
        f'<text class="{kind}" x="{_n(x)}" y="{_n(y)}" font-size="{_n(size)}" '
        f'font-weight="{weight}" text-anchor="{anchor}">{clean(words)}</text>'
    )


def rect(
    x: float,
    y: float,
    width: float,
    height: float,
    *,
    kind: str = "",
    fill: str = "",
    radius: float = 0,
    opacity: float = 1,
    stroke: float = 0,
) -> str:
    """A rectangle, in a kind of ink or with a fill of its own."""
    return _mark(
        "rect",
        f'x="{_n(x)}" y="{_n(y)}" width="{_n(width)}" height="{_n(height)}" rx="{_n(radius)}"',
        kind, fill, opacity, stroke,
    )  # fmt: skip


def circle(
    x: float, y: float, radius: float, *, kind: str = "", fill: str = "", stroke: float = 0
) -> str:
    """A disc."""
    return _mark(
        "circle", f'cx="{_n(x)}" cy="{_n(y)}" r="{_n(radius)}"', kind, fill, 1, stroke
    )  # fmt: skip


def polygon(
    points: Sequence[Point], *, kind: str = "", fill: str = "", opacity: float = 1,
    stroke: float = 0,
) -> str:  # fmt: skip
    """A closed shape through ``points``."""
    at = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
    return _mark("polygon", f'points="{at}"', kind, fill, opacity, stroke)


def line(points: Sequence[Point], *, kind: str = "rule", width: float = 1, dash: str = "") -> str:
    """An open line through ``points``."""
    at = " ".join(f"{_n(x)},{_n(y)}" for x, y in points)
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<polyline class="{kind}" points="{at}" stroke-width="{_n(width)}"{dashes}/>'


def path(
    d: str, *, kind: str = "", fill: str = "", opacity: float = 1, stroke: float = 0,
    dash: str = "",
) -> str:  # fmt: skip
    """A shape given as path data of our own making."""
    extra = f' stroke-dasharray="{dash}"' if dash else ""
    return _mark("path", f'd="{d}" fill-rule="evenodd"{extra}', kind, fill, opacity, stroke)


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


def _mark(name: str, where: str, kind: str, fill: str, opacity: float, stroke: float) -> str:
    look = f'class="{kind}" ' if kind else ""
    look += f'fill="{clean(fill)}" ' if fill else ""
    look += f'fill-opacity="{_n(opacity)}" ' if opacity != 1 else ""
    outline = f'<{name} class="rule" {where} stroke-width="{_n(stroke)}"/>' if stroke else ""
    return f"<{name} {look}{where}/>{outline}"


def _n(number: float) -> str:
    return f"{number:.2f}".rstrip("0").rstrip(".")
