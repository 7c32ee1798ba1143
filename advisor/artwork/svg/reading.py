"""The state of one reading of an SVG: options, what is painted and noted, what may be spent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.piecing import DUST_MM2, Paint
from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.file import Document, href, tag_of
from advisor.artwork.svg.outline import MOST_POINTS, Affine, Subpath, flatten
from advisor.artwork.svg.shapes import number_count, segments_of
from advisor.artwork.svg.style import StyleRule, document_rules

__all__ = ["DEEPEST", "Place", "Reading", "keep_inside", "use_target"]

# A drawing that needs more is an attack by nested references, or no drawing for a cutter.
MOST_VISITS = 10_000
MOST_NUMBERS = 600_000
DEEPEST = 150

_ANIMATIONS = frozenset(("animate", "animateTransform", "animateMotion", "animateColor", "set"))


@dataclass(frozen=True, slots=True)
class Place:
    """Where an element is drawn: its units, what it inherits and what it hangs in."""

    onto_mm: Affine
    viewport_px: tuple[float, float]
    style: Mapping[str, str] = field(default_factory=dict)
    depth: int = 0
    used: tuple[Element, ...] = ()


class Reading:
    """One reading of a document: its options, what it has painted and noted, what it may spend."""

    def __init__(
        self, document: Document, *, tolerance_mm: float, flatten: bool, mm_per_px: float
    ) -> None:
        self.document = document
        self.tolerance_mm = tolerance_mm
        self.flatten = flatten
        self.mm_per_px = mm_per_px
        self.paints: list[Paint] = []
        self.counts: dict[str, int] = {}
        self.remarks: dict[str, None] = {}
        self.visits = 0
        self.numbers = 0
        self.points = 0
        self.rules: tuple[StyleRule, ...]
        self.rules, left_out = document_rules(document)
        for selector in left_out:
            self.note(f"the style rule {selector[:60]!r} was not understood and is left out")
        tags = {tag_of(element) for element in document.root.iter()}
        if "script" in tags:
            self.note("scripts are left out and never run")
        if tags & _ANIMATIONS:
            self.note("animations are left out: the artwork is read as it stands at the start")

    def note(self, sentence: str) -> None:
        """Remember a sentence once."""
        self.remarks[sentence] = None

    def count(self, what: str) -> None:
        """Count an event that is told as one sentence with its number."""
        self.counts[what] = self.counts.get(what, 0) + 1

    def notes(self) -> tuple[str, ...]:
        """All notes, counted ones first, each group in a fixed order."""
        counted = [f"{what}: {number}" for what, number in sorted(self.counts.items())]
        return (*counted, *self.remarks)

    def spend_visit(self) -> None:
        """Refuse a drawing whose references multiply without end."""
        self.visits += 1
        if self.visits > MOST_VISITS:
            raise ArtworkError(
                f"the drawing repeats its symbols more than {MOST_VISITS:,} times; "
                "expand the symbols and simplify"
            )

    def runs(self, element: Element, place: Place, onto: Affine) -> tuple[Subpath, ...]:
        """Flatten the outline of a basic shape."""
        self.numbers += number_count(element)
        if self.numbers > MOST_NUMBERS:
            raise ArtworkError(
                f"the paths hold more than {MOST_NUMBERS:,} numbers; simplify them and save again"
            )
        segments, whole = segments_of(element, place.style, place.viewport_px)
        if not whole:
            self.count("shapes with an error, drawn up to the error")
        stretch = onto.greatest_stretch / place.onto_mm.greatest_stretch
        runs = flatten(
            segments,
            onto=onto,
            tolerance=self.tolerance_mm * stretch,
            most_points=MOST_POINTS - self.points,
        )
        self.points += sum(len(run.points) for run in runs)
        return runs


def use_target(reading: Reading, element: Element, place: Place, label: str) -> Element | None:
    """The element that a ``<use>`` shows; None when there is none."""
    reference = href(element)
    if not reference.startswith("#"):
        if not reference:
            return None
        raise ArtworkError(
            f"it shows a part of another file ({reference[:60]!r}); put that part into this file",
            field=label,
        )
    target = reading.document.by_id.get(reference[1:])
    if target is None:
        reading.note(f"{label} refers to {reference[:60]!r}, which the file lacks; left out")
        return None
    if target in place.used or target in reading.document.ancestors(element):
        reading.note(f"{label} refers to itself; left out")
        return None
    return target


def keep_inside(reading: Reading, frame: BaseGeometry, first: int) -> None:
    """Trim the newest paints to an area; what lies outside is dropped."""
    newest = reading.paints[first:]
    areas = np.array([paint.area for paint in newest], dtype=object)
    shapely.prepare(frame)
    outside = np.flatnonzero(~shapely.covers(frame, areas))
    if not outside.size:
        return
    areas[outside] = shapely.intersection(areas[outside], frame)
    reading.paints[first:] = [
        replace(paint, area=area)
        for paint, area in zip(newest, areas, strict=True)
        if area.area > DUST_MM2
    ]
