"""Published strip-packing instances, read where they are kept; they do not ship with Presslore."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path

import pytest
from shapely import Polygon, affinity

from advisor.cutting.roll.shapes import Part
from tests import ROOT

__all__ = ["BEST_KNOWN", "ROLL_MM", "Instance", "load"]

ROLL_MM = 400.0
"""Each instance is brought to the width of a roll; lengths are compared in its own unit."""

BEST_KNOWN = {
    "shirts": 59.393,
    "trousers": 235.172,
    "swim": 5541.653,
    "marques": 75.176,
    "albano": 9692.056,
    "shapes0": 57.012,
}
"""Shortest length known, in the instance's own unit: the repository JeroenGar/sparrow (MIT)."""


@dataclass(frozen=True, slots=True)
class Instance:
    """One instance, its parts brought to a roll of 400 mm, and how much that enlarged it."""

    parts: tuple[Part, ...]
    enlarged: float
    best_known_mm: float


def load(name: str) -> Instance:
    """Read an instance from PRESSLORE_NESTING, or from shared/nesting beside the checkout."""
    beside = ROOT.parent / "shared" / "nesting"
    path = Path(os.environ.get("PRESSLORE_NESTING", beside)) / f"{name}.json"
    if not path.exists():
        pytest.skip(
            f"{name}.json of JeroenGar/sparrow is not here; PRESSLORE_NESTING names its folder"
        )
    given = json.loads(path.read_text(encoding="utf-8"))
    enlarged = ROLL_MM / given["strip_height"]
    parts = tuple(
        Part(
            str(item["id"]),
            affinity.scale(Polygon(item["shape"]["data"]), enlarged, enlarged, origin=(0, 0)),
            item["demand"],
            tuple(item["allowed_orientations"]),
        )
        for item in given["items"]
    )
    return Instance(parts, enlarged, BEST_KNOWN[name] * enlarged)
