"""Colour difference: CIEDE2000 as published, and as a plain twin reckons it from sRGB."""

from __future__ import annotations

import random
from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

import pytest
from coloraide import Color

from rules.book.colour_difference import ALIKE_BELOW_DELTA_E, colour_difference, surely_apart

Lab = tuple[float, float, float]

# Sharma, Wu and Dalal, "The CIEDE2000 color-difference formula: implementation notes,
# supplementary test data, and mathematical observations" (2005), Table 1: all 34 pairs.
BLUE = (50, 0, -82.7485)
PALE = (50, 2.5, 0)
PUBLISHED: list[tuple[Lab, Lab, float]] = [
    ((50, 2.6772, -79.7751), BLUE, 2.0425),
    ((50, 3.1571, -77.2803), BLUE, 2.8615),
    ((50, 2.8361, -74.0200), BLUE, 3.4412),
    ((50, -1.3802, -84.2814), BLUE, 1.0000),
    ((50, -1.1848, -84.8006), BLUE, 1.0000),
    ((50, -0.9009, -85.5211), BLUE, 1.0000),
    ((50, 0, 0), (50, -1, 2), 2.3669),
    ((50, -1, 2), (50, 0, 0), 2.3669),
    ((50, 2.49, -0.001), (50, -2.49, 0.0009), 7.1792),
    ((50, 2.49, -0.001), (50, -2.49, 0.0010), 7.1792),
    ((50, 2.49, -0.001), (50, -2.49, 0.0011), 7.2195),
    ((50, 2.49, -0.001), (50, -2.49, 0.0012), 7.2195),
    ((50, -0.001, 2.49), (50, 0.0009, -2.49), 4.8045),
    ((50, -0.001, 2.49), (50, 0.0010, -2.49), 4.8045),
    ((50, -0.001, 2.49), (50, 0.0011, -2.49), 4.7461),
    (PALE, (50, 0, -2.5), 4.3065),
    (PALE, (73, 25, -18), 27.1492),
    (PALE, (61, -5, 29), 22.8977),
    (PALE, (56, -27, -3), 31.9030),
    (PALE, (58, 24, 15), 19.4535),
    (PALE, (50, 3.1736, 0.5854), 1.0000),
    (PALE, (50, 3.2972, 0), 1.0000),
    (PALE, (50, 1.8634, 0.5757), 1.0000),
    (PALE, (50, 3.2592, 0.3350), 1.0000),
    ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
    ((63.0109, -31.0961, -5.8663), (62.8187, -29.7946, -4.0864), 1.2630),
    ((61.2901, 3.7196, -5.3901), (61.4292, 2.2480, -4.9620), 1.8731),
    ((35.0831, -44.1164, 3.7933), (35.0232, -40.0716, 1.5901), 1.8645),
    ((22.7233, 20.0904, -46.6940), (23.0331, 14.9730, -42.5619), 2.0373),
    ((36.4612, 47.8580, 18.3852), (36.2715, 50.5065, 21.2231), 1.4146),
    ((90.8027, -2.0831, 1.4410), (91.1528, -1.6435, 0.0447), 1.4441),
    ((90.9257, -0.5406, -0.9208), (88.6381, -0.8985, -0.7239), 1.5381),
    ((6.7747, -0.2908, -2.4247), (5.8714, -0.0985, -2.2286), 0.6377),
    ((2.0776, 0.0795, -1.1350), (0.9033, -0.0636, -0.5514), 0.9082),
]


def plain(one: Lab, other: Lab) -> float:
    """CIEDE2000 written out, formulas 2 to 22 of the paper."""
    chroma = (hypot(*one[1:]) + hypot(*other[1:])) / 2
    g = 0.5 * (1 - sqrt(chroma**7 / (chroma**7 + 25**7)))
    a1, a2 = (1 + g) * one[1], (1 + g) * other[1]
    c1, c2 = hypot(a1, one[2]), hypot(a2, other[2])
    h1, h2 = (degrees(atan2(b, a)) % 360 for a, b in ((a1, one[2]), (a2, other[2])))
    turn = 0.0 if c1 * c2 == 0 else (h2 - h1 + 180) % 360 - 180
    if abs(abs(h2 - h1) - 180) < 1e-12 and c1 * c2:
        turn = h2 - h1
    hue = 2 * sqrt(c1 * c2) * sin(radians(turn / 2))
    middle = h1 + h2
    if c1 * c2:
        middle = (h1 + h2) / 2
        if abs(h1 - h2) > 180:
            middle += 180 if h1 + h2 < 360 else -180
    light, colour = (one[0] + other[0]) / 2, (c1 + c2) / 2
    t = (
        1
        - 0.17 * cos(radians(middle - 30))
        + 0.24 * cos(radians(2 * middle))
        + 0.32 * cos(radians(3 * middle + 6))
        - 0.20 * cos(radians(4 * middle - 63))
    )
    s_l = 1 + 0.015 * (light - 50) ** 2 / sqrt(20 + (light - 50) ** 2)
    s_c, s_h = 1 + 0.045 * colour, 1 + 0.015 * colour * t
    bend = 30 * exp(-(((middle - 275) / 25) ** 2))
    r_t = -sin(radians(2 * bend)) * 2 * sqrt(colour**7 / (colour**7 + 25**7))
    parts = ((other[0] - one[0]) / s_l, (c2 - c1) / s_c, hue / s_h)
    return sqrt(sum(part**2 for part in parts) + r_t * parts[1] * parts[2])


def lab_of(srgb: str) -> Lab:
    """sRGB to CIE L*a*b* under D65 (IEC 61966-2-1; ISO/CIE 11664-4)."""
    coded = [int(srgb[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in coded)
    x = 0.4123908 * r + 0.3575843 * g + 0.1804808 * b
    y = 0.2126390 * r + 0.7151687 * g + 0.0721923 * b
    z = 0.0193308 * r + 0.1191948 * g + 0.9505322 * b
    fx, fy, fz = (
        v ** (1 / 3) if v > 216 / 24389 else (24389 / 27 * v + 16) / 116
        for v in (x / 0.9504559, y, z / 1.0890578)
    )
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


@pytest.mark.parametrize(("one", "other", "delta_e"), PUBLISHED)
def test_ciede2000_is_as_published(one: Lab, other: Lab, delta_e: float) -> None:
    ours = Color("lab-d65", one).delta_e(Color("lab-d65", other), method="2000", space="lab-d65")
    assert ours == pytest.approx(delta_e, abs=6e-5)
    assert plain(one, other) == pytest.approx(delta_e, abs=6e-5)


def test_colours_are_as_far_apart_as_a_plain_twin_reckons_from_srgb() -> None:
    dice = random.Random(5)
    for _ in range(300):
        one = "#" + "".join(f"{dice.randrange(256):02x}" for _ in range(3))
        near = [min(255, max(0, int(one[i : i + 2], 16) + dice.randint(-9, 9))) for i in (1, 3, 5)]
        for other in ("#" + "".join(f"{c:02x}" for c in near), f"#{dice.randrange(1 << 24):06x}"):
            expected = plain(lab_of(one), lab_of(other))
            assert colour_difference(one, other) == pytest.approx(expected, abs=2e-3)
            assert colour_difference(other, one) == colour_difference(one, other)
            assert not surely_apart(one, other) or expected >= ALIKE_BELOW_DELTA_E
