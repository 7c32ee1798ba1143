"""Lettering: the names of a list, set in a font, fitted to a box and checked, ready to be cut.

Names are set from left to right with the font's kerning. What it cannot set rightly it refuses in
one line: characters that the font lacks, right-to-left scripts, and marks that attach to letters.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely
from shapely import MultiPolygon, Polygon
from shapely.affinity import affine_transform

from advisor.artwork.fineness import Fineness, fineness
from advisor.artwork.piecing import areas_only
from advisor.artwork.records import Artwork, Piece
from advisor.cutting.font_file import Font, Setting, glyph_area, read_font, set_line
from advisor.job.names_list import NameRow, read_names
from advisor.job.records.job import Names
from advisor.job.records.print import NAMES_PIECE
from rules.errors import BadInputError

__all__ = [
    "UNCOLOURED", "Lettering", "letter_names", "lettered_piece", "names_fineness",
    "outline_text",
]  # fmt: skip

UNCOLOURED = "#000000"
"""The fill that stands for names, which the artwork does not colour."""

_MEASURED_EM_MM = 100.0


@dataclass(frozen=True, slots=True)
class Lettering:
    """One name as areas to cut.

    Attributes:
        shape: in artwork mm, y down.
        drawn_in: 1 where the name has the full height; below 1 where it was too wide for its box
            and was made smaller.
        least_stroke_mm, least_gap_mm: finest details; None where nothing is fine.
        island_areas_mm2: separate parts, smallest first.
    """

    name: str
    quantity: int
    size: str
    row: int
    shape: MultiPolygon
    drawn_in: float
    least_stroke_mm: float | None
    least_gap_mm: float | None
    island_areas_mm2: tuple[float, ...]


def letter_names(names: Names, artwork: Artwork, *, folder: Path = Path()) -> tuple[Lettering, ...]:
    """Every name of a list, set and fitted to its box on the artwork.

    All names share one size and one base line, so that a crew matches: the tallest letter and the
    deepest tail of the whole list fill the box's height. A name that is then wider than the box is
    made smaller as a whole.

    Args:
        artwork: at any width; the box grows with it from ``names.at_width_mm``.
        folder: where the list and the font are looked for.

    Raises:
        BadInputError: the list, the font or a name cannot be used; the message names the row.
    """
    source = folder / names.file
    rows = read_names(source)
    font = read_font(folder / names.font if names.font else None)
    for row in rows:
        _refuse_unsettable(row, font, str(source))
    settings = [set_line(row.name, font) for row in rows]
    scale = artwork.width_mm / (names.at_width_mm or artwork.width_mm)
    left, top, width, height = (scale * side for side in names.box_mm)
    tallest, deepest = _reach_em(settings, font, str(source))
    em_mm = height / (tallest + deepest)
    lettered = []
    for row, setting in zip(rows, settings, strict=True):
        shape = _line_area(setting, font)
        start, _, end, _ = shape.bounds
        drawn_in = min(1.0, width / ((end - start) * em_mm))
        size = em_mm * drawn_in
        spare = width - (end - start) * size
        x = left + {"left": 0.0, "centre": spare / 2, "right": spare}[names.align] - start * size
        # A name that was made smaller keeps to the middle of the box's height.
        base = top + (height - (tallest + deepest) * size) / 2 + tallest * size
        placed = areas_only(affine_transform(shape, (size, 0, 0, size, x, base)))
        fine = _fineness_of(setting, font).scaled(size / _MEASURED_EM_MM)
        lettered.append(
            Lettering(
                name=row.name,
                quantity=row.quantity,
                size=row.size,
                row=row.row,
                shape=placed,
                drawn_in=drawn_in,
                least_stroke_mm=fine.least_stroke_mm,
                least_gap_mm=fine.least_gap_mm,
                island_areas_mm2=fine.island_areas_mm2,
            )
        )
    return tuple(lettered)


def _refuse_unsettable(row: NameRow, font: Font, source: str) -> None:
    where = f"row {row.row}"
    for character in row.name:
        category = unicodedata.category(character)
        code = f"U+{ord(character):04X}"
        if unicodedata.bidirectional(character) in {"R", "AL", "AN", "RLE", "RLO", "RLI"}:
            raise BadInputError(
                f"{row.name!r} is written from right to left, which is not supported; draw the "
                "name in a drawing program and convert it to outlines",
                source=source,
                field=where,
            )
        if category.startswith("M"):
            raise BadInputError(
                f"{row.name!r} has a combining mark ({code}), which is not supported; type the "
                "letter with its accent as one character, or draw the name as outlines",
                source=source,
                field=where,
            )
        if category in {"Cc", "Cf", "Cs", "Co"}:
            raise BadInputError(
                f"{row.name!r} holds the invisible character {code}; delete it",
                source=source,
                field=where,
            )
        if not font.has(character):
            raise BadInputError(
                f"the font {font.name} has no {character!r} ({code}) for the name {row.name!r}; "
                "choose a font that has it",
                source=source,
                field=where,
            )


def _reach_em(settings: Sequence[Setting], font: Font, source: str) -> tuple[float, float]:
    """How far the letters of a list rise above the base line and hang below it, ems."""
    used = sorted({glyph.name for setting in settings for glyph in setting.glyphs})
    bounds = shapely.bounds(np.array([glyph_area(font, glyph) for glyph in used], dtype=object))
    bounds = bounds[~np.isnan(bounds[:, 0])]
    tallest = max(0.0, -float(bounds[:, 1].min())) if len(bounds) else 0.0
    deepest = max(0.0, float(bounds[:, 3].max())) if len(bounds) else 0.0
    for setting in settings:
        if _line_area(setting, font).is_empty or not tallest + deepest > 0:
            raise BadInputError("holds a name in which nothing is drawn", source=source)
    return tallest, deepest


def _line_area(setting: Setting, font: Font) -> MultiPolygon:
    """The area of a line in ems; it starts at the origin on the base line."""
    em = 1 / font.units_per_em
    areas = [
        affine_transform(glyph_area(font, glyph.name), (1, 0, 0, 1, glyph.x * em, 0))
        for glyph in setting.glyphs
    ]
    return _as_multi(shapely.union_all(areas) if areas else MultiPolygon())


def _as_multi(area: shapely.geometry.base.BaseGeometry) -> MultiPolygon:
    # Areas in ems are smaller than what counts as dust in mm, so only the kind is asked here.
    parts = shapely.get_parts(shapely.get_parts(area))
    return MultiPolygon(parts[shapely.get_type_id(parts) == 3].tolist())


@lru_cache(maxsize=4096)
def _glyph_fineness(font: Font, glyph: str) -> Fineness:
    """The finest details of a glyph at 100 mm to the em."""
    size = _MEASURED_EM_MM
    area = affine_transform(glyph_area(font, glyph), (size, 0, 0, size, 0, 0))
    return fineness(area, up_to_mm=size, tolerance_mm=0.02)


def _fineness_of(setting: Setting, font: Font) -> Fineness:
    """The finest details of a line at 100 mm to the em, from its glyphs and the gaps between."""
    fine = [_glyph_fineness(font, glyph.name) for glyph in setting.glyphs]
    strokes = [one.least_stroke_mm for one in fine if one.least_stroke_mm is not None]
    gaps = [one.least_gap_mm for one in fine if one.least_gap_mm is not None]
    size = _MEASURED_EM_MM
    em = size / font.units_per_em
    drawn = [glyph for glyph in setting.glyphs if not glyph_area(font, glyph.name).is_empty]
    for one, other in pairwise(drawn):
        apart = size * shapely.distance(
            glyph_area(font, one.name),
            affine_transform(
                glyph_area(font, other.name), (1, 0, 0, 1, (other.x - one.x) * em / size, 0)
            ),
        )
        if apart > 0:
            gaps.append(float(apart))
    return Fineness(
        least_stroke_mm=min(strokes, default=None),
        least_gap_mm=min(gaps, default=None),
        island_areas_mm2=tuple(sorted(area for one in fine for area in one.island_areas_mm2)),
        hole_areas_mm2=tuple(sorted(area for one in fine for area in one.hole_areas_mm2)),
    )


def names_fineness(lettered: Sequence[Lettering]) -> Fineness:
    """The finest details over all names, mm: the worst that planning has to reckon with.

    >>> names_fineness([])
    Fineness(least_stroke_mm=None, least_gap_mm=None, island_areas_mm2=(), hole_areas_mm2=())
    """
    strokes = [one.least_stroke_mm for one in lettered if one.least_stroke_mm is not None]
    gaps = [one.least_gap_mm for one in lettered if one.least_gap_mm is not None]
    worst = min(lettered, key=lambda one: min(one.island_areas_mm2, default=math.inf), default=None)
    return Fineness(
        least_stroke_mm=min(strokes, default=None),
        least_gap_mm=min(gaps, default=None),
        island_areas_mm2=worst.island_areas_mm2 if worst else (),
        hole_areas_mm2=(),
    )


def lettered_piece(names: Names, artwork: Artwork, *, folder: Path = Path()) -> Piece:
    """The names as one piece on top of an artwork, for planning.

    Its shape is that of a real name, so that its strokes and gaps are real ones: the name with the
    finest strokes, joined by others only where these lie over pieces that it does not reach. Every
    garment then gets its own name when it is cut. The fill is the colour wished for; black stands
    in where the wish names none.

    Raises:
        BadInputError: as `letter_names`.
    """
    lettered = letter_names(names, artwork, folder=folder)
    others = np.array([piece.shape for piece in artwork.pieces], dtype=object)
    reached = {
        one.row: frozenset(np.flatnonzero(shapely.intersects(others, one.shape)).tolist())
        if len(others)
        else frozenset[int]()
        for one in lettered
    }
    finest_first = sorted(
        lettered,
        key=lambda one: (one.least_stroke_mm or math.inf, -len(reached[one.row]), one.row),
    )
    chosen, seen = [finest_first[0].shape], set(reached[finest_first[0].row])
    for one in finest_first[1:]:
        if reached[one.row] - seen:
            chosen.append(one.shape)
            seen |= reached[one.row]
    shape = areas_only(shapely.union_all(chosen)) if len(chosen) > 1 else chosen[0]
    colour = names.look.colour
    return Piece(
        id=NAMES_PIECE,
        fill=colour if colour is not None and colour.startswith("#") else UNCOLOURED,
        opacity=1.0,
        shape=shape,
        visible=shape,
        order=max((piece.order for piece in artwork.pieces), default=-1) + 1,
    )


def outline_text(text: str, *, em_mm: float, font: Font | None = None) -> MultiPolygon:
    """A line of text as areas, mm, y down, its origin on the base line: for labels and pictures.

    A character that the font lacks is shown as a question mark, or left out if that is missing too.

    >>> outline_text("24 mm", em_mm=5).bounds[2] > outline_text("24", em_mm=5).bounds[2]
    True
    >>> outline_text("", em_mm=5).is_empty
    True
    """
    font = read_font() if font is None else font
    known = "".join(character if font.has(character) else "?" for character in text)
    setting = set_line("".join(c for c in known if font.has(c)), font)
    em = em_mm / font.units_per_em
    parts: list[Polygon] = []
    for glyph in setting.glyphs:
        area = _plain_glyph(font, glyph.name)
        parts += affine_transform(area, (em_mm, 0, 0, em_mm, glyph.x * em, 0)).geoms
    return MultiPolygon(parts)


@lru_cache(maxsize=1024)
def _plain_glyph(font: Font, glyph: str) -> MultiPolygon:
    """A glyph with as few points as small print needs."""
    return _as_multi(shapely.simplify(glyph_area(font, glyph), 0.004))
