"""Cut sheets: what one file cuts laid out at true size, with all that surrounds the pieces.

A sheet holds the pieces of one film and colour that go down in one press, so nothing on it
overlaps. All sheets of one size are laid out in one frame: laid on each other (mirrored back), the
registration marks and the artwork fall together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon, Polygon
from shapely.affinity import affine_transform, translate

from advisor.cutting.font import outline_text
from advisor.cutting.records import CutSheet, PlacedPiece
from advisor.cutting.roll.layout import place
from advisor.cutting.roll.order import NestedRoll, whole_cm
from rules.errors import BadInputError

__all__ = [
    "BLADE_SLACK_MM", "BORDER_MM", "LABEL_EM_MM", "MARK_MM", "Frame", "frame_of", "gang_sheet_of",
    "roll_sheet", "sheet_of",
]  # fmt: skip

BORDER_MM = 3.0
"""How far the weeding border lies outside the pieces. Common practice, no source."""

MARK_MM = 8.0
"""Size of a registration mark, a cross. Common practice, no source."""

LABEL_EM_MM = 4.0
"""Size of the label's letters, in ems."""

BLADE_SLACK_MM = 0.005
"""How far a cut line may lie from the outline that it follows."""

_APART_MM = 2.0
_LINE_MM = 1.4 * LABEL_EM_MM
_LEAST_ARM_MM = 2.0
_ARC = 4
_NOT_A_LAYER = re.compile(r"[^\w.()-]+")
"""What a layer's name in a drawing file may not hold, and spaces."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The page that all sheets of one size share, in artwork coordinates (mm, y down).

    Attributes:
        left, top, right, bottom: around all pieces of the stack and the marks.
        marks: registration marks, three so that none can be laid the wrong way round.
    """

    left: float
    top: float
    right: float
    bottom: float
    marks: tuple[Polygon, ...]


def frame_of(shapes: Sequence[MultiPolygon], *, arm_mm: float = _LEAST_ARM_MM) -> Frame:
    """The frame around all shapes of a stack.

    Args:
        shapes: everything that any sheet of this size cuts, in artwork coordinates.
        arm_mm: width of the marks' arms; at least what the coarsest film holds.

    Raises:
        BadInputError: there is nothing to cut.

    >>> frame = frame_of([MultiPolygon([shapely.box(0, 0, 100, 50)])])
    >>> frame.left, frame.right, len(frame.marks)
    (-15.0, 115.0, 3)
    >>> frame_of([])
    Traceback (most recent call last):
    rules.errors.BadInputError: there is nothing to cut
    """
    if all(shape.is_empty for shape in shapes):
        raise BadInputError("there is nothing to cut")
    left, top, right, bottom = shapely.total_bounds(np.array(shapes, dtype=object))
    out = BORDER_MM + _APART_MM + MARK_MM / 2
    corners = (
        (left - out, top - out),
        (right + out, top - out),
        (left - out, bottom + out),
    )
    edge = out + MARK_MM / 2 + _APART_MM
    arm = max(arm_mm, _LEAST_ARM_MM)
    return Frame(
        left=float(left - edge),
        top=float(top - edge),
        right=float(right + edge),
        bottom=float(bottom + edge),
        marks=tuple(_cross(float(x), float(y), arm) for x, y in corners),
    )


def _cross(x: float, y: float, arm_mm: float) -> Polygon:
    half, arm = MARK_MM / 2, min(arm_mm, MARK_MM / 2) / 2
    corner = [(arm, half), (arm, arm), (half, arm)]
    ring = list[tuple[float, float]]()
    for turn in range(4):
        for across, along in corner:
            for _ in range(turn):
                across, along = along, -across
            ring.append((x + across, y + along))
    return Polygon(ring)


def sheet_of(
    pieces: Sequence[tuple[str, MultiPolygon]],
    frame: Frame,
    *,
    title: str,
    lines: Sequence[str],
    mirrored: bool,
) -> CutSheet:
    """Lay pieces out on the page of a frame.

    Args:
        pieces: id and shape in artwork coordinates; none is empty.
        frame: that of all sheets of this size.
        title: what the file calls itself.
        lines: the label, written under the frame where it is not cut.
        mirrored: cut from the back, as films on a carrier are.

    >>> square = MultiPolygon([shapely.box(0, 0, 40, 30)])
    >>> sheet = sheet_of([("sun", square)], frame_of([square]), title="sun", lines=["sun"],
    ...                  mirrored=True)
    >>> sheet.pieces[0].shape.area, sheet.borders[0].bounds
    (1200.0, (12.0, 12.0, 58.0, 48.0))
    """

    def onto_page(points: NDArray[np.float64]) -> NDArray[np.float64]:
        across = frame.right - points[:, 0] if mirrored else points[:, 0] - frame.left
        return np.column_stack([across, points[:, 1] - frame.top])

    placed = tuple(
        PlacedPiece(piece_id, shapely.transform(_blade_outline(shape), onto_page))
        for piece_id, shape in pieces
    )
    border = _border(shapely.total_bounds(np.array([one.shape for one in placed], dtype=object)))
    marks = tuple(shapely.transform(mark, onto_page) for mark in frame.marks)
    size = (frame.right - frame.left, frame.bottom - frame.top)
    return _labelled(title, size, lines, placed, (border,), marks, mirrored=mirrored)


def _border(around: Iterable[float]) -> Polygon:
    return shapely.box(*(np.array([*around]) + np.array([-1, -1, 1, 1]) * BORDER_MM))


def _labelled(
    title: str,
    size: tuple[float, float],
    lines: Sequence[str],
    pieces: Sequence[PlacedPiece],
    borders: Sequence[Polygon],
    marks: Sequence[Polygon] = (),
    *,
    mirrored: bool,
) -> CutSheet:
    """A sheet of a width and height with its label under all that is cut."""
    width_mm, below_mm = size
    label, label_mm = _page_label(lines, width_mm)
    return CutSheet(
        title=title,
        width_mm=width_mm,
        height_mm=below_mm + label_mm,
        mirrored=mirrored,
        pieces=tuple(pieces),
        borders=tuple(borders),
        marks=tuple(marks),
        label=translate(label, 0, below_mm),
        lines=tuple(lines),
    )


def _blade_outline(shape: Polygon | MultiPolygon) -> MultiPolygon:
    """The same outline without points that no blade can tell apart.

    >>> fine = MultiPolygon([Polygon([(0, 0), (5, 0.001), (10, 0), (10, 4), (0, 4)])])
    >>> len(_blade_outline(fine).geoms[0].exterior.coords)
    5
    """
    plain = shapely.simplify(shape, BLADE_SLACK_MM)
    return MultiPolygon([plain]) if isinstance(plain, Polygon) else plain


def gang_sheet_of(
    pieces: Sequence[tuple[str, MultiPolygon]],
    *,
    title: str,
    lines: Sequence[str],
    mirrored: bool,
) -> CutSheet:
    """Lay pieces out one below the other, each with its own weeding border, without marks.

    They are cut apart and laid one by one, so that nothing is left to register.

    >>> square = MultiPolygon([shapely.box(0, 0, 40, 30)])
    >>> sheet = gang_sheet_of([("ana", square), ("bo", square)], title="crew", lines=["crew"],
    ...                       mirrored=False)
    >>> [piece.shape.bounds for piece in sheet.pieces]
    [(5.0, 5.0, 45.0, 35.0), (5.0, 43.0, 45.0, 73.0)]
    """
    out = BORDER_MM + _APART_MM
    placed, borders = [], []
    y, widest = out, 0.0
    for piece_id, shape in pieces:
        left, top, right, bottom = shape.bounds
        flip = (-1, 0, 0, 1, right, y - top) if mirrored else (1, 0, 0, 1, -left, y - top)
        moved = affine_transform(_blade_outline(shape), (*flip[:4], flip[4] + out, flip[5]))
        placed.append(PlacedPiece(piece_id, moved))
        borders.append(_border(moved.bounds))
        y += bottom - top + 2 * BORDER_MM + _APART_MM
        widest = max(widest, right - left)
    size = (widest + 2 * out, y - out + _APART_MM)
    return _labelled(title, size, lines, placed, borders, mirrored=mirrored)


def roll_sheet(roll: NestedRoll, *, job: str) -> CutSheet:
    """The roll laid out for the cutter: every copy where it was nested, with its weeding border.

    The borders follow the carriers at half their distance, so that every copy comes off by itself.
    There are no registration marks: a carrier that is turned on the roll lies as it comes.

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
    >>> [(piece.id, piece.shape.area) for piece in sheet.pieces], len(sheet.borders)
    ([('1-tag', 2400.0)], 3)
    """
    layout = roll.layout
    half_mm = layout.spacing_mm / 2
    copies: dict[str, list[MultiPolygon]] = {part.id: [] for part in roll.parts}
    borders: list[Polygon] = []
    blade = {part.id: _blade_outline(part.shape) for part in roll.parts}
    around = {part.id: part.outline.buffer(half_mm, quad_segs=_ARC) for part in roll.parts}
    for spot in layout.placements:
        copies[spot.part].append(translate(place(blade[spot.part], spot), half_mm, half_mm))
        borders.append(translate(place(around[spot.part], spot), half_mm, half_mm))
    how = "mirrored" if roll.film.cut_mirrored else "not mirrored"
    if any(spot.rotation_deg for spot in layout.placements):
        how += ", some turned"
    lines = (
        f"{job}: {roll.film.id} {roll.colour}, {len(layout.placements)} carriers on "
        f"{whole_cm(roll.length_m):.2f} m of a roll {roll.film.roll_width_mm:g} mm wide",
        f"{how}; without registration marks: lay them by their edges, or cut the files one by one",
    )
    title = f"{job}, {roll.film.id} {roll.colour}, roll"
    size = (layout.length_mm + layout.spacing_mm, layout.roll_width_mm + layout.spacing_mm)
    pieces = [
        PlacedPiece(
            f"{nth}-{_NOT_A_LAYER.sub('-', part)}",
            MultiPolygon([one for copy in laid for one in copy.geoms]),
        )
        for nth, (part, laid) in enumerate(copies.items(), 1)
        if laid
    ]
    return _labelled(title, size, lines, pieces, borders, mirrored=roll.film.cut_mirrored)


def _page_label(lines: Sequence[str], page_mm: float) -> tuple[MultiPolygon, float]:
    """Lines under each other from y = 0, smaller if one is too wide for the page; their height.

    >>> label, height_mm = _page_label(["crew"], 100)
    >>> 0 <= label.bounds[1] < label.bounds[3] < height_mm
    True
    """
    width_mm = page_mm - 2 * _APART_MM
    outlines = [outline_text(line, em_mm=LABEL_EM_MM) for line in lines]
    widest = max((line.bounds[2] for line in outlines if not line.is_empty), default=0.0)
    size = min(1.0, width_mm / widest) if widest > 0 else 1.0
    parts: list[Polygon] = []
    for nth, line in enumerate(outlines):
        base = nth * _LINE_MM + LABEL_EM_MM
        parts += affine_transform(line, (size, 0, 0, size, _APART_MM, base)).geoms
    return MultiPolygon(parts), len(lines) * _LINE_MM + _APART_MM
