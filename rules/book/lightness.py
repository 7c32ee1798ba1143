"""Lightness: how light a colour looks, and what is left of it over a dark ground."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from rules.facts.fact import Colour

__all__ = ["DARK_BELOW", "darkest", "lightness", "lost_over", "palest"]

DARK_BELOW = 40.0
"""Lightness, 0 to 100, below which a colour counts as dark. Common practice, no source."""


def lightness(srgb: str) -> float:
    """CIE lightness L*, 0 (black) to 100 (white), of an sRGB colour ``#rrggbb``.

    Source: sRGB transfer and luminance of IEC 61966-2-1; L* of ISO/CIE 11664-4.

    >>> round(lightness("#ffffff")), round(lightness("#777777")), round(lightness("#000000"))
    (100, 50, 0)
    """
    return _lightness_of(_luminance(srgb))


def lost_over(colour: str, ground: str, *, opacity: float) -> float:
    """How many steps of L* a colour loses over a ground; 0 where the ground is lighter.

    The light of the two mixes by share, as in the *over* of Porter and Duff, "Compositing
    Digital Images" (1984), in linear light.

    >>> round(lost_over("#ffffff", "#000000", opacity=0.5))
    24
    >>> lost_over("#ffffff", "#000000", opacity=1)
    0.0
    """
    share = min(1.0, max(0.0, opacity))
    mixed = share * _luminance(colour) + (1 - share) * _luminance(ground)
    return max(0.0, lightness(colour) - _lightness_of(mixed))


def palest(colours: Iterable[Colour]) -> Colour:
    """The lightest of the colours; the first of several alike. Raises ``ValueError`` for none."""
    return max(colours, key=lambda colour: lightness(colour.srgb))


def darkest(colours: Iterable[Colour]) -> Colour:
    """The darkest of the colours; the first of several alike. Raises ``ValueError`` for none."""
    return min(colours, key=lambda colour: lightness(colour.srgb))


# Films share their few colours, and every pair of films asks about all of them.
@lru_cache(maxsize=4096)
def _luminance(srgb: str) -> float:
    red, green, blue = (_linear(int(srgb[i : i + 2], 16) / 255) for i in (1, 3, 5))
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _linear(coded: float) -> float:
    return coded / 12.92 if coded <= 0.04045 else float(((coded + 0.055) / 1.055) ** 2.4)


def _lightness_of(luminance: float) -> float:
    if luminance > 216 / 24389:
        return float(116 * luminance ** (1 / 3) - 16)
    return luminance * 24389 / 27
