"""Cut sheets: what one file cuts laid out at true size, with all that surrounds the pieces.

A carrier holds the pieces of one film and colour that go down in one press, so nothing on it
overlaps, and its registration marks, all inside one weeding border. A sheet holds one carrier,
names to be cut apart, or a whole roll. Where borders lie side by side they are one line.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import accumulate

import numpy as np
import shapely
from shapely import LineString, MultiPolygon, Polygon, STRtree
from shapely.affinity import affine_transform, translate
from shapely.geometry.base import BaseGeometry

from advisor.cutting.carriers import BORDER_MM
from advisor.cutting.font import outline_text
from advisor.cutting.records.cut import CarrierLabel, CutSheet, PlacedPiece
from advisor.cutting.records.rolls import whole_cm
from advisor.cutting.roll.layout import place
from advisor.cutting.roll.order import NestedRoll

__all__ = ["BLADE_SLACK_MM", "LABEL_EM_MM", "gang_sheet_of", "roll_sheet", "sheet_of"]

LABEL_EM_MM = 4.0
"""Size of the label's letters, in ems."""

BLADE_SLACK_MM = 0.005
"""How far a cut line may lie from the outline that it follows."""

SHARED_MM = 0.5
"""Borders that come nearer to each other than twice this are one."""

_APART_MM = 2.0
_LINE_MM = 1.4 * LABEL_EM_MM
_COPY_EM_MM = 2.5
_LETTER_WIDTH = 0.64
_GRID_MM = 0.01
_NOT_A_LAYER = re.compile(r"[^\w.()-]+")
"""What a layer's name in a drawing file may not hold, and spaces."""


def sheet_of(
    pieces: Sequence[tuple[str, MultiPolygon]],
    marks: Sequence[Polygon] = (),
    *,
    title: str,
    lines: Sequence[str],
    mirrored: bool,
) -> CutSheet:
    """One carrier on a page of its own.

    Args:
        pieces: id and shape in artwork coordinates; none is empty.
        marks: its registration marks, likewise.
        title: what the file calls itself.
        lines: the label, written under the border where it is not cut.
        mirrored: cut from the back, as films on a carrier are.

    >>> square = MultiPolygon([shapely.box(0, 0, 40, 30)])
    >>> sheet = sheet_of([("sun", square)], title="sun", lines=["sun"], mirrored=True)
    >>> sheet.pieces[0].shape.area, sheet.borders[0].bounds
    (1200.0, (2.0, 2.0, 48.0, 38.0))
    """
    bounds = shapely.total_bounds(np.array([*(shape for _, shape in pieces), *marks], dtype=object))
    left, top, right, bottom = (float(side) for side in bounds)
    out = BORDER_MM + _APART_MM
    turned = (
        (-1, 0, 0, 1, right + out, out - top) if mirrored else (1, 0, 0, 1, out - left, out - top)
    )
    border = shapely.box(0, 0, right - left, bottom - top).buffer(BORDER_MM, join_style="mitre")
    return _labelled(
        title,
        (right - left + 2 * out, bottom - top + 2 * out),
        lines,
        [(name, affine_transform(_blade_outline(shape), turned)) for name, shape in pieces],
        [translate(border, out, out)],
        [affine_transform(mark, turned) for mark in marks],
        mirrored=mirrored,
    )


def gang_sheet_of(
    pieces: Sequence[tuple[str, MultiPolygon]],
    *,
    title: str,
    lines: Sequence[str],
    mirrored: bool,
) -> CutSheet:
    """Lay pieces out one below the other, each in its own weeding border, without marks.

    They are cut apart and laid one by one, so that nothing is left to register.

    >>> square = MultiPolygon([shapely.box(0, 0, 40, 30)])
    >>> sheet = gang_sheet_of([("ana", square), ("bo", square)], title="crew", lines=["crew"],
    ...                       mirrored=False)
    >>> [piece.shape.bounds for piece in sheet.pieces]
    [(5.0, 5.0, 45.0, 35.0), (5.0, 41.0, 45.0, 71.0)]
    """
    alone = [sheet_of([one], title="", lines=(), mirrored=mirrored) for one in pieces]
    heights = [sheet.height_mm - 2 * _APART_MM for sheet in alone]
    downs = [0.0, *accumulate(heights)]
    return _labelled(
        title,
        (max(sheet.width_mm for sheet in alone), downs[-1] + 2 * _APART_MM),
        lines,
        [
            (sheet.pieces[0].id, translate(sheet.pieces[0].shape, 0, down))
            for sheet, down in zip(alone, downs, strict=False)
        ],
        [
            translate(Polygon(sheet.borders[0]), 0, down)
            for sheet, down in zip(alone, downs, strict=False)
        ],
        mirrored=mirrored,
    )


def roll_sheet(roll: NestedRoll, *, job: str) -> CutSheet:
    """The roll laid out for the cutter: every copy where it was nested, with its marks and border.

    Each copy bears a label, not to be cut, that says what it is and which of how many.

    Args:
        roll: the film, its parts and how they lie.
        job: what the job is called.

    >>> from advisor.cutting.roll.order import nest_parts
    >>> from advisor.cutting.roll.shapes import Part
    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> tags = (Part("tag", MultiPolygon([shapely.box(0, 0, 40, 20)]), 3),)
    >>> (roll,) = nest_parts({(film.id, "navy"): tags}, films={film.id: film}, seconds=0)
    >>> sheet = roll_sheet(roll, job="crew")
    >>> [(piece.id, piece.shape.area) for piece in sheet.pieces]
    [('1-tag', 2400.0)]
    """
    layout, parts = roll.layout, {part.id: part for part in roll.parts}
    half_mm = layout.spacing_mm / 2
    blade = {part.id: _blade_outline(part.shape) for part in roll.parts}
    copies: dict[str, list[MultiPolygon]] = {part.id: [] for part in roll.parts}
    marks: list[Polygon] = []
    labels: list[CarrierLabel] = []
    around = [translate(place(parts[spot.part].outline, spot), half_mm, half_mm)
              for spot in layout.placements]  # fmt: skip
    for spot, outline in zip(layout.placements, around, strict=True):
        part = parts[spot.part]
        copies[part.id].append(translate(place(blade[part.id], spot), half_mm, half_mm))
        marks += (translate(place(mark, spot), half_mm, half_mm) for mark in part.marks)
        which = f"{part.id} · {spot.copy}/{part.quantity} · {roll.colour}"
        labels.append(_within(which, outline))
    size = (layout.length_mm + layout.spacing_mm, layout.roll_width_mm + layout.spacing_mm)
    how = "mirrored" if roll.film.cut_mirrored else "not mirrored"
    if any(spot.rotation_deg for spot in layout.placements):
        how += ", some turned"
    lines = (
        f"{job}: {roll.film.id} {roll.colour}, {len(layout.placements)} carriers on "
        f"{whole_cm(roll.length_m):.2f} m of a roll {roll.film.roll_width_mm:g} mm wide",
        f"{how}; each carrier bears its crosses, and a label that is not cut",
    )
    return _labelled(
        f"{job}, {roll.film.id} {roll.colour}, roll",
        size,
        lines,
        [
            (
                f"{nth}-{_NOT_A_LAYER.sub('-', part)}",
                MultiPolygon([one for copy in laid for one in copy.geoms]),
            )
            for nth, (part, laid) in enumerate(copies.items(), 1)
            if laid
        ],
        _cells(around, half_mm, shapely.box(0, 0, *size)),
        marks,
        labels,
        mirrored=roll.film.cut_mirrored,
    )


def _cells(around: Sequence[Polygon], half_mm: float, page: Polygon) -> list[Polygon]:
    """A patch for each carrier, side by side with its neighbours' wherever these are near."""
    grown = shapely.buffer(np.array(around, dtype=object), half_mm + SHARED_MM, quad_segs=4)
    tree = STRtree(grown)
    cells: list[BaseGeometry] = []
    for n, patch in enumerate(grown):
        before = [cells[other] for other in sorted(tree.query(patch)) if other < n]
        cells.append(
            shapely.difference(shapely.intersection(patch, page), shapely.union_all(before))
        )
    return [part for cell in cells for part in shapely.get_parts(cell) if part.area > 1]


def _labelled(
    title: str,
    size: tuple[float, float],
    lines: Sequence[str],
    pieces: Sequence[tuple[str, MultiPolygon]],
    carriers: Sequence[Polygon],
    marks: Sequence[Polygon] = (),
    labels: Sequence[CarrierLabel] = (),
    *,
    mirrored: bool,
) -> CutSheet:
    """A sheet of a width and height with its label under all that is cut."""
    width_mm, below_mm = size
    label, label_mm = _page_label(lines, width_mm)
    outlines = np.array([one.exterior for one in carriers], dtype=object)
    # Nodes where borders meet, so that a line that two of them share is there once.
    borders = shapely.line_merge(shapely.union_all(outlines, grid_size=_GRID_MM))
    return CutSheet(
        title=title,
        width_mm=width_mm,
        height_mm=below_mm + label_mm,
        mirrored=mirrored,
        pieces=tuple(PlacedPiece(name, shape) for name, shape in pieces),
        borders=tuple(LineString(line) for line in shapely.get_parts(borders)),
        marks=tuple(marks),
        label=translate(label, 0, below_mm),
        lines=tuple(lines),
        carrier_labels=tuple(labels),
    )


def _blade_outline(shape: Polygon | MultiPolygon) -> MultiPolygon:
    """The same outline without points that no blade can tell apart.

    >>> fine = MultiPolygon([Polygon([(0, 0), (5, 0.001), (10, 0), (10, 4), (0, 4)])])
    >>> len(_blade_outline(fine).geoms[0].exterior.coords)
    5
    """
    plain = shapely.simplify(shape, BLADE_SLACK_MM)
    return MultiPolygon([plain]) if isinstance(plain, Polygon) else plain


def _within(text: str, outline: Polygon) -> CarrierLabel:
    """A line across the middle of a carrier, smaller where that is narrow."""
    middle = shapely.point_on_surface(outline)
    left, _, right, _ = outline.bounds
    across = shapely.intersection(outline, LineString([(left, middle.y), (right, middle.y)]))
    size_mm = min(_COPY_EM_MM, across.length / (_LETTER_WIDTH * len(text)))
    return CarrierLabel(text, middle.x, middle.y, size_mm)


def _page_label(lines: Sequence[str], page_mm: float) -> tuple[MultiPolygon, float]:
    """Lines under each other from y = 0, smaller if one is too wide for the page; their height.

    >>> label, height_mm = _page_label(["crew"], 100)
    >>> 0 <= label.bounds[1] < label.bounds[3] < height_mm
    True
    """
    if not lines:
        return MultiPolygon(), 0.0
    width_mm = page_mm - 2 * _APART_MM
    outlines = [outline_text(line, em_mm=LABEL_EM_MM) for line in lines]
    widest = max((line.bounds[2] for line in outlines if not line.is_empty), default=0.0)
    size = min(1.0, width_mm / widest) if widest > 0 else 1.0
    parts: list[Polygon] = []
    for nth, line in enumerate(outlines):
        base = nth * _LINE_MM + LABEL_EM_MM
        parts += affine_transform(line, (size, 0, 0, size, _APART_MM, base)).geoms
    return MultiPolygon(parts), len(lines) * _LINE_MM + _APART_MM
