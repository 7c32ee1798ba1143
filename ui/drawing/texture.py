"""Texture: a film in its colour, and how each family of film and each fabric is hatched."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from rules.facts.fabric import Fabric
from rules.facts.film import Film

__all__ = ["Coloured", "Texture", "View", "fabric_texture", "film_opacity", "film_texture"]

View = Literal["cut", "above"]


@dataclass(frozen=True, slots=True)
class Coloured:
    """A film in one of its colours; without one, the first it comes in."""

    film: Film
    colour: str | None = None

    @property
    def srgb(self) -> str:
        """The colour as ``#rrggbb``."""
        known = {each.name: each.srgb for each in self.film.colours}
        if self.colour and self.colour.startswith("#"):
            return self.colour
        return known.get(self.colour or "", self.film.colours[0].srgb)

    @property
    def words(self) -> str:
        """The film and its colour."""
        return f"{self.film.id}, {self.colour or self.film.colours[0].name}"


@dataclass(frozen=True, slots=True)
class Texture:
    """A pattern laid over a flat colour.

    Attributes:
        defs: what goes into the drawing's ``defs``.
        fill: the fill that paints it; empty where a flat colour says enough.
    """

    defs: str = ""
    fill: str = ""


def film_texture(film: Film, *, view: View = "cut") -> Texture:
    """The marks of a film's face, cut through or seen from above.

    >>> from rules.catalogue import load_catalogue
    >>> film_texture(load_catalogue().film("sparkle-fine")).fill
    'url(#sparkle-cut)'
    >>> film_texture(load_catalogue().film("matte-smooth")).fill
    ''
    """
    name = f"{film.family}-{view}"
    marks = _MARKS.get((film.family, view)) or _MARKS.get((film.family, "cut"))
    for finish, sheen in (("gloss", _GLOSS), ("satin", _SATIN)):
        if marks is None and finish in film.finishes:
            name, marks = f"{finish}-{view}", sheen
    if marks is None:
        return Texture()
    return Texture(defs=marks.replace("ID", name), fill=f"url(#{name})")


def film_opacity(film: Film) -> float:
    """How much of what lies below a film's face hides."""
    return 0.45 if film.family == "clear" else 1.0


def fabric_texture(fabric: Fabric) -> Texture:
    """The marks of a fabric cut through, by its construction.

    >>> from rules.catalogue import load_catalogue
    >>> fabric_texture(load_catalogue().fabric("denim")).fill
    'url(#woven)'
    """
    marks = _FABRIC[fabric.construction].replace("ID", fabric.construction)
    return Texture(defs=marks, fill=f"url(#{fabric.construction})")


def _pattern(width: float, height: float, body: str, *, turn: float = 0) -> str:
    turned = f' patternTransform="rotate({turn:g})"' if turn else ""
    return (
        f'<pattern id="ID" width="{width:g}" height="{height:g}" '
        f'patternUnits="userSpaceOnUse"{turned}>{body}</pattern>'
    )


def _bands(*stops: tuple[float, str, float], across: bool = True) -> str:
    ends = 'x2="1" y2="0"' if across else 'x2="0" y2="1"'
    marks = "".join(
        f'<stop offset="{at:g}" stop-color="{colour}" stop-opacity="{opacity:g}"/>'
        for at, colour, opacity in stops
    )
    return f'<linearGradient id="ID" x1="0" y1="0" {ends}>{marks}</linearGradient>'


_WHITE, _BLACK = "#ffffff", "#101418"
_GLOSS = _bands((0, _WHITE, 0.75), (0.22, _WHITE, 0.1), (1, _BLACK, 0.12), across=False)
_SATIN = _bands((0, _WHITE, 0.35), (0.5, _WHITE, 0.05), (1, _BLACK, 0.08), across=False)
_GLINTS = (
    '<path d="M4 1l2 3-2 3-2-3z" fill="#fff" fill-opacity=".85"/>'
    '<path d="M11 6l1.6 2.4-1.6 2.4-1.6-2.4z" fill="#101418" fill-opacity=".45"/>'
    '<path d="M5 10l1.4 2-1.4 2-1.4-2z" fill="#fff" fill-opacity=".55"/>'
    '<path d="M12 0l1 1.4-1 1.4-1-1.4z" fill="#fff" fill-opacity=".7"/>'
)
_PILE = (
    '<path d="M1 0v9M4 1v9M7 0v9" stroke="#fff" stroke-opacity=".5" stroke-width="1"/>'
    '<path d="M2.5 0v9M5.5 0v9" stroke="#101418" stroke-opacity=".35" stroke-width=".8"/>'
)
_PLUSH = (
    '<path d="M1 2l1 2M5 1l-1 2M7 5l1 2M3 6l-1 2" stroke="#fff" stroke-opacity=".5"/>'
    '<path d="M4 4l1 2M8 1l-1 2M1 7l1 1" stroke="#101418" stroke-opacity=".35"/>'
)
_BUBBLES = (
    '<circle cx="4" cy="4" r="2.6" fill="#fff" fill-opacity=".5" stroke="#101418" '
    'stroke-opacity=".4" stroke-width=".6"/><circle cx="11" cy="9" r="3.4" fill="#fff" '
    'fill-opacity=".4" stroke="#101418" stroke-opacity=".4" stroke-width=".6"/>'
    '<circle cx="4" cy="12" r="1.6" fill="#fff" fill-opacity=".5"/>'
)
_BEADS = (
    '<circle cx="4" cy="4" r="3" fill="#fff" fill-opacity=".75" stroke="#101418" '
    'stroke-opacity=".5" stroke-width=".7"/>'
)
_CHECKS = (
    '<path d="M0 0h5v5H0zM5 5h5v5H5z" fill="#fff" fill-opacity=".45"/>'
    '<path d="M5 0h5v5H5z" fill="#101418" fill-opacity=".25"/>'
)
_DOTS = (
    '<circle cx="2" cy="2" r="1.2" fill="#0b84a5"/><circle cx="6" cy="4" r="1.2" fill="#c2347a"/>'
    '<circle cx="3" cy="6.4" r="1.2" fill="#d9b400"/>'
)
_CARBON = '<circle cx="2" cy="2" r=".9" fill="#101418" fill-opacity=".55"/>'
_STRIPES = '<path d="M0 0v6" stroke="#fff" stroke-opacity=".6" stroke-width="2"/>'
_SHEEN = '<path d="M0 0v9" stroke="#3a7f95" stroke-opacity=".45" stroke-width="1.2"/>'
_GLOW = (
    '<circle cx="4" cy="4" r="1.3" fill="#d8ffb0"/><circle cx="9" cy="9" r="1.8" fill="#a6e36b"/>'
)

_MARKS: dict[tuple[str, str], str] = {
    ("sparkle", "cut"): _pattern(14, 14, _GLINTS),
    ("flock", "cut"): _pattern(8, 10, _PILE),
    ("flock", "above"): _pattern(9, 9, _PLUSH),
    ("metallic", "cut"): _pattern(6, 6, _STRIPES, turn=32),
    ("mirror", "cut"): _bands(
        (0, _WHITE, 0.1), (0.2, _WHITE, 0.9), (0.34, _BLACK, 0.35), (0.6, _WHITE, 0.7),
        (0.8, _BLACK, 0.3), (1, _WHITE, 0.5),
    ),
    ("holographic", "cut"): _bands(
        (0, "#ff5fa2", 0.6), (0.25, "#ffd84d", 0.6), (0.5, "#52e0b0", 0.6),
        (0.75, "#4da3ff", 0.6), (1, "#b06bff", 0.6),
    ),
    ("foam", "cut"): _pattern(15, 15, _BUBBLES),
    ("reflective", "cut"): _pattern(8, 8, _BEADS),
    ("glow", "cut"): _pattern(12, 12, _GLOW),
    ("patterned", "cut"): _pattern(10, 10, _CHECKS),
    ("printable", "cut"): _pattern(8, 8, _DOTS),
    ("clear", "cut"): _pattern(9, 9, _SHEEN, turn=45),
    ("dye-blocking", "cut"): _pattern(4, 4, _CARBON),
    ("high-build", "cut"): _SATIN,
}  # fmt: skip

_YARN = 'fill="none" stroke="#101418" stroke-opacity=".5"'
_PALE = 'fill="none" stroke="#fff" stroke-opacity=".35"'
_FABRIC = {
    "knit": _pattern(
        18, 20,
        f'<path d="M0 14c5 0 3-10 9-10s4 10 9 10" {_YARN} stroke-width="2.4"/>'
        f'<path d="M0 20c5 0 3-10 9-10s4 10 9 10" {_PALE} stroke-width="1.6"/>',
    ),
    "woven": _pattern(
        16, 16,
        f'<circle cx="4" cy="8" r="3.2" {_YARN} stroke-width="1.2"/>'
        f'<circle cx="12" cy="8" r="3.2" {_YARN} stroke-width="1.2"/>'
        f'<path d="M-4 8c4-9 4-9 8-5s4 12 8 9 4-12 8-9" {_PALE} stroke-width="2"/>',
    ),
    "non-woven": _pattern(
        20, 14, f'<path d="M0 3l20 5M2 12l14-10M8 14l12-4M0 9l9 3" {_YARN} stroke-width="1"/>'
    ),
    "felt": _pattern(
        18, 14, f'<path d="M0 4c6-5 8 6 18 1M1 12c8-6 9 3 16-3M6 0c3 6 0 9 8 14" {_YARN}/>'
    ),
    "coated-sheet": _pattern(
        14, 14,
        f'<circle cx="3" cy="8" r="1" {_YARN}/><circle cx="10" cy="5" r=".8" {_YARN}/>'
        f'<path d="M0 12h14" {_PALE}/>',
    ),
    "foam-laminate": _pattern(15, 15, _BUBBLES),
}  # fmt: skip
