"""Lettering: the names of a list, set in a font, fitted to a box and checked, ready to be cut.

Names are set from left to right with the font's kerning. What it cannot set rightly it refuses in
one line: characters that the font lacks, right-to-left scripts, and marks that attach to letters.
"""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import shapely
from shapely import MultiPolygon
from shapely.affinity import affine_transform

from advisor.artwork.fineness import fineness
from advisor.artwork.piecing import areas_only
from advisor.artwork.records import Artwork, Fineness, Piece
from advisor.cutting.font import Font, glyph_area, line_area, read_font
from advisor.cutting.records.cut import Lettering
from advisor.job.names_list import read_names, told_twice
from advisor.job.records.job import GivenNames, NameRow, Names
from advisor.job.records.print import NAMES_PIECE
from rules.catalogue.everyday import load_words, meant
from rules.errors import UnknownNameError, nearest_names, told_together
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = [
    "UNCOLOURED",
    "assigned",
    "doubled_notes",
    "fitted_notes",
    "letter_names",
    "lettered_piece",
    "nameless_notes",
    "names_fineness",
    "why_not_set",
]

UNCOLOURED = "#000000"
"""The fill that stands for names, which the artwork does not colour."""

MOST_CONDENSED = 0.6
"""How narrow letters may be made beside the font's own and still be read from afar. Common
practice, no source."""

_MEASURED_EM_MM = 100.0


NARROW_NAME = 0.95
"""A name that is condensed by more than this is seen to be narrower than the others. Common
practice, no source."""

LOW_LETTERS = 0.995
"""Letters lower than this share of what the box allows are told."""


def letter_names(names: Names, artwork: Artwork, *, folder: Path = Path()) -> tuple[Lettering, ...]:
    """Every name of a list, set and fitted to its box on the artwork.

    All names share one letter height and one base line, so that a crew matches. Where a height is
    asked, it is that of the capitals (of the digits, where nothing else is set), and accents and
    tails lie beyond it: common practice, no source. Else the tallest letter and the deepest tail of
    the whole list fill the box's height. A name that is then wider than the box is condensed; where
    one would have to be narrower than letters can be read, or accents and tails would stand out of
    the box, the letters of the whole list are made lower.

    Args:
        artwork: at any width; the box grows with it from ``names.at_width_mm``.
        folder: where the list and the font are looked for.

    Raises:
        BadInputError: the list, the font or a name cannot be used; the message names the row.
    """
    source = folder / names.file
    rows = names.rows if isinstance(names, GivenNames) else read_names(source)
    font = read_font(folder / names.font if names.font else None)
    _refuse_unsettable(rows, font, str(source))
    grown = artwork.width_mm / (names.at_width_mm or artwork.width_mm)
    left, top, width, height = (grown * side for side in names.box_mm)
    areas = [line_area(row.name, font) for row in rows]
    tallest, deepest = _reach_em(rows, font)
    capital_em = _capital_em(rows, font)
    filled_mm = height / (tallest + deepest)
    asked_mm = grown * names.capital_mm / capital_em if isinstance(names, GivenNames) else filled_mm
    longest_em = max(area.bounds[2] - area.bounds[0] for area in areas)
    em_mm = min(asked_mm, filled_mm, width / (MOST_CONDENSED * longest_em))
    base = top + (height - (tallest + deepest) * em_mm) / 2 + tallest * em_mm
    lettered = []
    for row, area in zip(rows, areas, strict=True):
        start, _, end, _ = area.bounds
        condensed = min(1.0, _whole_percent(width / ((end - start) * em_mm)))
        across = em_mm * condensed
        spare = width - (end - start) * across
        x = left + {"left": 0.0, "centre": spare / 2, "right": spare}[names.align] - start * across
        lettered.append(
            Lettering(
                name=row.name,
                quantity=row.quantity,
                size=row.size,
                row=row.row,
                shape=areas_only(affine_transform(area, (across, 0, 0, em_mm, x, base))),
                condensed=condensed,
                height_share=em_mm / asked_mm,
                fineness=replace(
                    _fineness_of(row.name, font, condensed).scaled(em_mm / _MEASURED_EM_MM),
                    capital_mm=capital_em * em_mm,
                ),
            )
        )
    return tuple(lettered)


def nameless_notes(ordered: Mapping[str, int], named: Mapping[str, int]) -> list[str]:
    """What is to be told where a list has no name for some of the garments.

    >>> nameless_notes({"child-tee": 2, "adult-tee": 1}, {"child-tee": 1, "adult-tee": 1})
    ['1 of 2 child-tee gets no lettering: the list has none for it']
    """
    notes = []
    for garment, count in ordered.items():
        if left := count - named.get(garment, 0):
            gets, them = ("gets", "it") if left == 1 else ("get", "them")
            notes.append(
                f"{left} of {count} {garment} {gets} no lettering: the list has none for {them}"
            )
    return notes


def fitted_notes(lettered: Sequence[Lettering]) -> list[Text]:
    """Which names are set narrower than the others, and whose sake makes all letters lower.

    >>> fitted_notes([])
    []
    """
    notes = []
    bounds = [one.shape.bounds for one in lettered]
    high_mm = max((low for *_, low in bounds), default=0.0) - min(
        (top for _, top, *_ in bounds), default=0.0
    )
    capital_mm = next((one.fineness.capital_mm or 0.0 for one in lettered), 0.0)
    if lettered and lettered[0].height_share < LOW_LETTERS:
        longest = min(lettered, key=lambda one: one.condensed)
        why = (
            f"{longest.name!r} fits its width; widen the box, or shorten that name"
            if longest.condensed <= MOST_CONDENSED
            else f"all of it, accents and tails too, fits the {show_mm(high_mm):.0f} that there are"
        )
        notes.append(
            Text(
                f"the lettering is made lower: its capitals or digits are "
                f"{show_mm(capital_mm):.0f} high, {100 * lettered[0].height_share:.0f} % of the "
                f"{show_mm(capital_mm / lettered[0].height_share):.0f} asked, so that {why}"
            )
        )
    for one, (left, _, right, _) in zip(lettered, bounds, strict=True):
        if one.condensed < NARROW_NAME:
            as_drawn_mm = (right - left) / (one.condensed * one.height_share)
            notes.append(
                Text(
                    f"{one.name!r} is set {100 * (1 - one.condensed):.0f} % narrower, to fit "
                    f"{show_mm(right - left):.0f}, and its strokes and gaps with it; a box "
                    f"{show_mm(math.ceil(as_drawn_mm))} wide, or one "
                    f"{show_mm(math.floor(high_mm * one.condensed))} high, with capitals of "
                    f"{show_mm(math.floor(capital_mm * one.condensed))}, sets it as the font draws "
                    "it"
                )
            )
    return list(dict.fromkeys(notes))


def _whole_percent(share: float) -> float:
    """Down to whole percents, so that names of much the same length are set alike."""
    return math.floor(100 * share + 1e-9) / 100


def doubled_notes(named: Iterable[Lettering]) -> list[str]:
    """Names that stand on two garments of one kind."""
    return told_twice((one.row, one.name, one.size) for one in named)


def assigned(names: Sequence[Lettering], ordered: Mapping[str, int]) -> list[Lettering]:
    """Each name with the garment that it goes on.

    Args:
        ordered: how many of each garment the job has.

    Raises:
        BadInputError: sizes are no garments of the job, or there are more names than garments; the
            message tells every such row.
    """
    garments, found = list(ordered), list[Lettering]()
    left, wrong = dict(ordered), list[str]()
    for one in names:
        worn, why = _worn(one, garments)
        if worn:
            left[worn] -= one.quantity
            if left[worn] < 0:
                why = (
                    f"{one.name!r} has no garment left: the list has more names for {worn} than "
                    f"the {ordered[worn]} of the job; order more of them, or shorten the list"
                )
        if why:
            wrong.append(f"row {one.row}: {why}")
        found.append(replace(one, size=worn))
    if wrong:
        raise told_together(wrong).at(field="names")
    return found


def _worn(one: Lettering, garments: Sequence[str]) -> tuple[str, str]:
    """The garment that a name goes on, or why it goes on none."""
    if not one.size:
        if len(garments) == 1:
            return garments[0], ""
        return "", (
            f"{one.name!r} says no size, and the job has {', '.join(garments)}; write one of them "
            "in the column size"
        )
    try:
        return meant("garment", one.size, garments, load_words()["garments"]), ""
    except UnknownNameError:
        near = nearest_names(one.size, garments) or garments
        return "", (
            f"{one.name!r} is for {one.size[:40]!r}, which is no garment of the job; nearest: "
            f"{', '.join(near)}"
        )


def _refuse_unsettable(rows: Sequence[NameRow], font: Font, source: str) -> None:
    wrong = [f"row {row.row}: {why}" for row in rows if (why := _unset_name(row.name, font))]
    if wrong:
        raise told_together(wrong).at(source=source)


def why_not_set(name: str, font: Path | None = None) -> str | None:
    """Why a font, the bundled one without a path, cannot set a name; ``None`` where it can.

    Raises:
        BadInputError: the font cannot be used.

    >>> why_not_set("Ana")
    >>> why_not_set("An\\u200ba")
    "'An\\\\u200ba' holds the invisible character U+200B; delete it"
    """
    return _unset_name(name, read_font(font))


def _unset_name(name: str, font: Font) -> str | None:
    return next(filter(None, (_unsettable(character, name, font) for character in name)), None)


def _unsettable(character: str, name: str, font: Font) -> str | None:
    """Why a name cannot be set because of one of its characters; ``None`` where it can."""
    category = unicodedata.category(character)
    code = f"U+{ord(character):04X}"
    if unicodedata.bidirectional(character) in {"R", "AL", "AN", "RLE", "RLO", "RLI"}:
        return (
            f"{name!r} is written from right to left, which is not supported; draw the name in a "
            "drawing program and convert it to outlines"
        )
    if category.startswith("M"):
        return (
            f"{name!r} has a combining mark ({code}), which is not supported; type the letter "
            "with its accent as one character, or draw the name as outlines"
        )
    if category in {"Cc", "Cf", "Cs", "Co"}:
        return f"{name!r} holds the invisible character {code}; delete it"
    glyph = font.glyph(character)
    if glyph is None:
        return (
            f"the font {font.name} has no {character!r} ({code}) for the name {name!r}; choose a "
            "font that has it"
        )
    if glyph_area(font, glyph).is_empty and not character.isspace():
        return (
            f"the font {font.name} draws nothing for {character!r} ({code}) of the name {name!r}; "
            "choose a font that does"
        )
    return None


def _reach_em(rows: Sequence[NameRow], font: Font) -> tuple[float, float]:
    """How far the letters of a list rise above the base line and hang below it, ems."""
    used = sorted({glyph for row in rows for glyph, _ in font.set_line(row.name)})
    areas = np.array([glyph_area(font, glyph) for glyph in used], dtype=object)
    _, top, _, bottom = shapely.total_bounds(areas)
    return max(0.0, -float(top)), max(0.0, float(bottom))


def _capital_em(rows: Sequence[NameRow], font: Font) -> float:
    """How high the flat capitals of a font are, ems, or its digits where a list has only those.

    A font with neither, of a script without capitals, is measured by the tallest letter of the
    list.
    """
    only_digits = all(character.isdigit() for row in rows for character in row.name)
    glyph = font.glyph("1" if only_digits else "H")
    high = 0.0 if glyph is None else -float(glyph_area(font, glyph).bounds[1])
    return high if high > 0 else _reach_em(rows, font)[0]


@lru_cache(maxsize=4096)
def _glyph_fineness(font: Font, glyph: int, condensed: float) -> Fineness:
    """The finest details of a glyph at 100 mm to the em."""
    size = _MEASURED_EM_MM
    area = affine_transform(glyph_area(font, glyph), (condensed * size, 0, 0, size, 0, 0))
    return fineness(area, up_to_mm=size, tolerance_mm=0.02)


def _fineness_of(name: str, font: Font, condensed: float) -> Fineness:
    """The finest details of a line at 100 mm to the em, from its glyphs and the gaps between."""
    line = font.set_line(name)
    fine = [_glyph_fineness(font, glyph, condensed) for glyph, _ in line]
    letters_of = list(name) if len(name) == len(line) else [""] * len(line)
    narrower = f", set {100 * (1 - condensed):.0f} % narrower" if condensed < NARROW_NAME else ""
    narrow = (condensed, 0, 0, 1)
    letters = [
        affine_transform(glyph_area(font, glyph), (*narrow, condensed * x / font.units_per_em, 0))
        for glyph, x in line
    ]
    drawn = [letter for letter in letters if not letter.is_empty]
    inked = [said for said, letter in zip(letters_of, letters, strict=True) if not letter.is_empty]
    strokes = [
        (one.least_stroke_mm, f"in the {said!r} of {name!r}{narrower}")
        for said, one in zip(letters_of, fine, strict=True)
        if one.least_stroke_mm is not None
    ]
    gaps = [
        (one.least_gap_mm, f"in the {said!r} of {name!r}{narrower}")
        for said, one in zip(letters_of, fine, strict=True)
        if one.least_gap_mm is not None
    ]
    gaps += [
        (apart, f"between the {said[0]!r} and the {said[1]!r} of {name!r}{narrower}")
        for said, pair in zip(pairwise(inked), pairwise(drawn), strict=True)
        if (apart := _MEASURED_EM_MM * shapely.distance(*pair)) > 0
    ]
    stroke_mm, stroke_in = min(strokes, default=(None, ""))
    gap_mm, gap_in = min(gaps, default=(None, ""))
    return Fineness(
        least_stroke_mm=stroke_mm,
        least_gap_mm=gap_mm,
        island_areas_mm2=tuple(sorted(area for one in fine for area in one.island_areas_mm2)),
        hole_areas_mm2=tuple(sorted(area for one in fine for area in one.hole_areas_mm2)),
        stroke_in=stroke_in,
        gap_in=gap_in,
    )


def _least(measures: Iterable[float | None]) -> float | None:
    return min((measure for measure in measures if measure is not None), default=None)


def names_fineness(lettered: Sequence[Lettering]) -> Fineness:
    """The finest details over all names, mm: the worst that planning has to reckon with.

    >>> names_fineness([])
    Fineness(least_stroke_mm=None, least_gap_mm=None, island_areas_mm2=(), hole_areas_mm2=())
    """
    fine = [one.fineness for one in lettered]
    return Fineness(
        least_stroke_mm=_least(one.least_stroke_mm for one in fine),
        least_gap_mm=_least(one.least_gap_mm for one in fine),
        island_areas_mm2=min(
            (one.island_areas_mm2 for one in fine), key=lambda areas: areas[0], default=()
        ),
        hole_areas_mm2=(),
        stroke_in=_whose(fine, "least_stroke_mm", "stroke_in"),
        gap_in=_whose(fine, "least_gap_mm", "gap_in"),
        capital_mm=next((one.capital_mm for one in fine), None),
    )


def _whose(fine: Sequence[Fineness], measure: str, told: str) -> str:
    """In which letter the least of a measure is, over all names."""
    measured = [one for one in fine if getattr(one, measure) is not None]
    finest = min(measured, key=lambda one: float(getattr(one, measure)), default=None)
    return "" if finest is None else str(getattr(finest, told))


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
        for one in lettered
    }
    finest_first = sorted(
        lettered,
        key=lambda one: (one.fineness.least_stroke_mm or math.inf, -len(reached[one.row]), one.row),
    )
    chosen: list[MultiPolygon] = []
    seen: frozenset[int] = frozenset()
    for one in finest_first:
        if not chosen or reached[one.row] - seen:
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
