"""Lightness of colours against values published for the sRGB primaries, and its limits."""

from __future__ import annotations

from itertools import pairwise

import pytest

from rules.book.lightness import lightness, lost_over, palest
from rules.facts.fact import Colour

# L* of the sRGB primaries and secondaries under D65; from memory of common colour calculators.
PRIMARIES = {
    "#ff0000": 53.24, "#00ff00": 87.73, "#0000ff": 32.30, "#ffff00": 97.14, "#00ffff": 91.11,
    "#ff00ff": 60.32,
}  # fmt: skip


@pytest.mark.parametrize(("srgb", "expected"), PRIMARIES.items())
def test_lightness_of_the_srgb_primaries_and_secondaries(srgb: str, expected: float) -> None:
    assert lightness(srgb) == pytest.approx(expected, abs=0.01)


def test_lightness_runs_from_nought_to_a_hundred_and_rises_with_every_grey() -> None:
    greys = [lightness(f"#{level:02x}{level:02x}{level:02x}") for level in range(256)]
    assert greys[0] == 0
    assert greys[-1] == pytest.approx(100)
    assert all(lower < higher for lower, higher in pairwise(greys))


def test_the_less_a_film_covers_the_more_is_lost() -> None:
    lost = [lost_over("#f7d417", "#1b2a49", opacity=share / 20) for share in range(21)]
    assert all(more > less for more, less in pairwise(lost))
    assert lost[-1] == 0
    assert lost[0] == pytest.approx(lightness("#f7d417") - lightness("#1b2a49"))


def test_nothing_is_lost_over_a_paler_ground() -> None:
    assert lost_over("#1b2a49", "#ffffff", opacity=0.5) == 0


def test_the_palest_of_several_colours() -> None:
    navy, yellow = Colour(name="navy", srgb="#1b2a49"), Colour(name="yellow", srgb="#f7d417")
    assert palest((navy, yellow)) is yellow
    with pytest.raises(ValueError):
        palest(())
