"""Tint: the colour that another one takes on when a dye gets into it."""

from __future__ import annotations

from functools import lru_cache

from coloraide import Color

__all__ = ["tinted"]


@lru_cache(maxsize=4096)
def tinted(colour: str, dye: str, share: float) -> str:
    """A colour with a share of a dye in it, both as ``#rrggbb``.

    A dye only takes light away, so each of red, green and blue moves toward the darker of the two,
    in linear light.

    >>> tinted("#ffffff", "#b5202f", 0.1), tinted("#000000", "#b5202f", 0.5)
    ('#f9f4f4', '#000000')
    """
    light, takes = (Color(one).convert("srgb-linear") for one in (colour, dye))
    mixed = [
        (1 - share) * was + share * min(was, left)
        for was, left in zip(light.coords(), takes.coords(), strict=True)
    ]
    return Color("srgb-linear", mixed).convert("srgb").to_string(hex=True)
