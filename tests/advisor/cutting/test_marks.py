"""Marks: a film laid on the crosses of the first lies in its own place and in no other."""

from __future__ import annotations

import random

import pytest
import shapely
from shapely import MultiPolygon, Polygon

from advisor.cutting.marks import MARK_MM, Station, placed_marks

SEEN_MM = MARK_MM / 2
"""A cross that lies this far beside another is seen not to lie on it."""


def stations(seed: int, number: int) -> list[Station]:
    """A ground with small films laid over it, one in each press."""
    drawn = random.Random(seed)
    found = [Station(1, (MultiPolygon([shapely.box(0, 0, 180, 150)]),), 2e-5)]
    for press in range(2, number + 2):
        x, y = drawn.uniform(5, 120), drawn.uniform(5, 100)
        shape = shapely.box(x, y, x + drawn.uniform(15, 50), y + drawn.uniform(15, 45))
        found.append(Station(press, (MultiPolygon([shape]),), 2e-5))
    return found


def places_where_it_fits(marks: tuple[Polygon, ...], first: tuple[Polygon, ...]) -> int:
    """In how many ways crosses come to lie on crosses of the first film, the film upright."""
    own = [(one.centroid.x, one.centroid.y) for one in marks]
    there = [(one.centroid.x, one.centroid.y) for one in first]
    fits = 0
    for x, y in there:
        across, along = x - own[0][0], y - own[0][1]
        fits += all(
            any(max(abs(a + across - u), abs(b + along - v)) < SEEN_MM for u, v in there)
            for a, b in own
        )
    return fits


@pytest.mark.parametrize("seed", range(6))
def test_the_crosses_of_a_film_fit_those_of_the_first_in_one_place(seed: int) -> None:
    first, *later = placed_marks(stations(seed, 12), arm_mm=2, rate_per_s=0.01)
    marked = [marks for marks in later if marks]
    assert len(marked) >= 6
    for marks in marked:
        assert places_where_it_fits(marks, first) == 1
