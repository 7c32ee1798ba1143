"""Carriers: what lies close is cut on one, what lies far apart where that is worth the time."""

from __future__ import annotations

import shapely
from shapely import MultiPolygon

from advisor.cutting.carriers import divided
from advisor.job.records.job import Rates
from rules.catalogue import load_catalogue


def test_parts_whose_borders_overlap_are_never_laid_as_two_carriers() -> None:
    # An L of two thin arms 4 mm apart: two sheets would save film, and could not lie side by side.
    near, clear = (
        MultiPolygon([shapely.box(0, 0, 300, 10), shapely.box(300 + gap, 0, 310 + gap, 300)])
        for gap in (4, 7)
    )
    film = load_catalogue().film("matte-smooth")
    assert len(divided([near], film, Rates()).boxes) == 1
    assert len(divided([clear], film, Rates()).boxes) == 2
