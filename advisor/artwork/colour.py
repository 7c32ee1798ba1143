"""Colour: how far a shelf colour is from the artwork's, by CIEDE2000."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from coloraide import Color

from rules.facts.fact import Colour

__all__ = ["colour_difference", "nearest_colour"]


@lru_cache(maxsize=4096)
def colour_difference(one: str, other: str) -> float:
    """CIEDE2000 between two sRGB colours, ΔE; about 1 is just noticeable side by side.

    Computed by coloraide over CIE L*a*b* under D65, the white of sRGB (Sharma, Wu & Dalal 2005).

    >>> round(colour_difference("#000000", "#ffffff"), 1)
    100.0
    >>> colour_difference("#1b3a5c", "#1b3a5c")
    0.0
    """
    first, second = sorted((one.lower(), other.lower()))
    return float(Color(first).delta_e(second, method="2000", space="lab-d65"))


def nearest_colour(wanted: str, colours: Iterable[Colour]) -> tuple[Colour, float]:
    """The colour nearest to an sRGB value, and how far it is, ΔE (CIEDE2000).

    Raises ``ValueError`` when there are no colours.

    >>> navy, gold = Colour(name="navy", srgb="#1c3557"), Colour(name="gold", srgb="#d4a94a")
    >>> nearest_colour("#1b3a5c", [navy, gold])[0].name
    'navy'
    """
    return min(
        ((colour, colour_difference(wanted, colour.srgb)) for colour in colours),
        key=lambda found: found[1],
    )
