"""What one reading of an SVG paints on: options, paints and notes so far, what may be spent."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from xml.etree.ElementTree import Element

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from advisor.artwork.piecing import DUST_MM2, Paint, areas_only
from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.document import Document, href, tag_of
from advisor.artwork.svg.outline import MOST_POINTS, Affine, Subpath, flatten
from advisor.artwork.svg.shapes import SHAPE_TAGS, number_count, segments_of, transform_of
from advisor.artwork.svg.style import Styles

__all__ = ["DEEPEST", "DRAWN_TAGS", "MOST_VISITS", "Canvas", "Context"]

# A drawing that needs more is an attack by nested references, or no drawing for a cutter.
MOST_VISITS = 10_000
MOST_NUMBERS = 600_000
DEEPEST = 150

DRAWN_TAGS = SHAPE_TAGS | {"g", "a", "svg", "use", "switch"}
_ANIMATIONS = frozenset(("animate", "animateTransform", "animateMotion", "animateColor", "set"))


@dataclass(frozen=True, slots=True)
class Context:
    """What an element is drawn in: its units, what it inherits and what it hangs in."""

    onto_mm: Affine
    viewport_px: tuple[float, float]
    style: Mapping[str, str] = field(default_factory=dict)
    depth: int = 0
    used: tuple[Element, ...] = ()

    def inside(self, style: Mapping[str, str]) -> Context:
        """The context of what an element of this style holds."""
        onto = (self.onto_mm @ transform_of(style, self.viewport_px)).within_reason()
        return replace(self, onto_mm=onto, style=style, depth=self.depth + 1)

    def moved(self, by: Affine, *used: Element) -> Context:
        """The same context under one more transform, and inside what a reference brings in."""
        return replace(self, onto_mm=self.onto_mm @ by, used=(*self.used, *used))


class Canvas:
    """One reading of a document: its options, what is painted and noted, what may be spent."""

    def __init__(
        self, document: Document, *, tolerance_mm: float, flatten: bool, mm_per_px: float
    ) -> None:
        self.document = document
        self.styles = Styles(document)
        self.tolerance_mm = tolerance_mm
        self.flatten = flatten
        self.mm_per_px = mm_per_px
        self.paints: list[Paint] = []
        self._counts: dict[str, int] = {}
        self._notes: dict[str, None] = {}
        self._visits = self._numbers = self._points = 0
        for selector in self.styles.left_out:
            self.note(f"the style rule {selector[:60]!r} was not understood and is left out")
        tags = {tag_of(element) for element in document.root.iter()}
        if "script" in tags:
            self.note("scripts are left out and never run")
        if tags & _ANIMATIONS:
            self.note("animations are left out: the artwork is read as it stands at the start")

    def note(self, sentence: str) -> None:
        """Remember a sentence once."""
        self._notes[sentence] = None

    def count(self, what: str, times: int = 1) -> None:
        """Count an event that is told as one sentence with its number."""
        self._counts[what] = self._counts.get(what, 0) + times

    def notes(self) -> tuple[str, ...]:
        """All notes, counted ones first, each group in a fixed order."""
        counted = [f"{what}: {number}" for what, number in sorted(self._counts.items())]
        return (*counted, *self._notes)

    def spend_visit(self) -> None:
        """Refuse a drawing of too many shapes, or whose references multiply without end."""
        self._visits += 1
        if self._visits > MOST_VISITS:
            self.refuse_more(self._visits)
            raise ArtworkError(
                f"the drawing repeats its symbols until it has more than {MOST_VISITS:,} shapes; "
                "repeat them less often, or unite shapes of one colour"
            )

    def refuse_more(self, shown: int) -> None:
        """Refuse a drawing of which so many shapes show at least, where it has too many itself."""
        drawn = self.drawn
        if min(shown, drawn) > MOST_VISITS:
            raise ArtworkError(
                f"the drawing has {drawn:,} shapes and groups, more than the {MOST_VISITS:,} that "
                "are read; unite shapes of one colour, ungroup, and save again"
            )

    @property
    def drawn(self) -> int:
        """How many shapes and groups stand in the file, whether they show or not."""
        return sum(tag_of(each) in DRAWN_TAGS for each in self.document.root.iterfind(".//*"))

    def runs(self, element: Element, context: Context) -> tuple[Subpath, ...]:
        """Flatten the outline of a basic shape."""
        self._numbers += number_count(element)
        if self._numbers > MOST_NUMBERS:
            raise ArtworkError(
                f"the paths hold more than {MOST_NUMBERS:,} numbers; simplify them and save again"
            )
        segments, whole = segments_of(element, context.style, context.viewport_px)
        if not whole:
            fate = "that takes nothing of their outline" if segments else "that draw nothing"
            self.count(f"shapes with an error {fate}")
        runs = flatten(
            segments,
            onto=context.onto_mm,
            tolerance=self.tolerance_mm,
            most_points=MOST_POINTS - self._points,
        )
        self._points += sum(len(run.points) for run in runs)
        return runs

    def use_target(self, element: Element, context: Context, label: str) -> Element | None:
        """The element that a ``<use>`` shows; None when there is none."""
        reference = href(element)
        if not reference:
            return None
        if not reference.startswith("#"):
            raise ArtworkError(
                f"it shows a part of another file ({reference[:60]!r}); put that part into this "
                "file",
                field=label,
            )
        target = self.document.referred(reference)
        if target is None:
            self.note(f"{label} refers to {reference[:60]!r}, which the file lacks; left out")
        elif target in context.used or target in self.document.ancestors(element):
            self.note(f"{label} refers to itself; left out")
            return None
        return target

    def keep_inside(self, window: BaseGeometry, first: int = 0) -> int:
        """Trim the paints from ``first`` on to an area; what lies outside is dropped.

        Returns:
            How many paints lost more than a thousandth.
        """
        newest = self.paints[first:]
        areas = np.array([paint.area for paint in newest], dtype=object)
        shapely.prepare(window)
        outside = np.flatnonzero(~shapely.covers(window, areas))
        if not outside.size:
            return 0
        before = shapely.area(areas)
        for at, inside in zip(outside, shapely.intersection(areas[outside], window), strict=True):
            areas[at] = areas_only(inside)
        after = shapely.area(areas)
        self.paints[first:] = [
            replace(paint, area=area)
            for paint, area, kept in zip(newest, areas, after, strict=True)
            if kept > DUST_MM2
        ]
        return int(np.count_nonzero(before - after > 1e-3 * before))
