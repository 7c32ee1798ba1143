"""Colour difference: how far two colours look apart, by CIEDE2000."""

from __future__ import annotations

from functools import lru_cache

from coloraide import Color

from rules.book.lightness import lightness

__all__ = ["ALIKE_BELOW_DELTA_E", "colour_difference", "surely_apart"]

ALIKE_BELOW_DELTA_E = 3.0
"""CIEDE2000 below which two colours side by side pass for one at arm's length: about 1 is just
noticeable to a trained eye, a few to anybody. Value from memory."""


@lru_cache(maxsize=16384)
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


def surely_apart(one: str, other: str) -> bool:
    """Whether lightness alone tells two colours apart, at a fraction of the cost of ΔE.

    CIEDE2000 is at least the difference of lightness over its weight, which is nowhere more than
    1.75: 1 + 0.015 · 50² / √(20 + 50²) (Sharma, Wu & Dalal 2005, formula 15).

    >>> surely_apart("#000000", "#1a1a1c"), surely_apart("#c8102e", "#1f6fa3")
    (True, False)
    """
    return abs(lightness(one) - lightness(other)) > 1.75 * ALIKE_BELOW_DELTA_E
