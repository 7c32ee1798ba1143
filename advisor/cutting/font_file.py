"""Font file: outlines, advances and kerning of a TrueType or OpenType font, as areas to cut.

Letters are set one after another from left to right with their kerning. Ligatures, marks that
attach to letters, and scripts that join or reorder letters are not set: `lettering` says what is
refused.
"""

from __future__ import annotations

import struct
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from pathlib import Path
from typing import Any

import shapely
from fontTools.pens.svgPathPen import SVGPathPen
from fontTools.ttLib import TTFont, TTLibError
from shapely.geometry.base import BaseGeometry
from svgelements import Path as OutlinePath

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.fill import fill_area
from advisor.artwork.svg.outline import Affine, flatten
from rules.errors import BadInputError

__all__ = ["BUNDLED_FONT", "Font", "Glyph", "Setting", "glyph_area", "read_font", "set_line"]

BUNDLED_FONT = Path(__file__).parent / "fonts" / "Manrope-ExtraBold.ttf"
"""The font that ships, under the SIL Open Font License 1.1 (``fonts/OFL.txt``)."""

LARGEST_FONT_BYTES = 40_000_000
FLATTEN_EM = 1e-4
"""How far a curve may lie from its chords, in ems: 0.03 mm on letters 200 mm high."""


_Pairs = Callable[[str, str], int | None]
"""A subtable of pair adjustments: font units for two glyphs; None where it does not speak."""


@dataclass(frozen=True, slots=True, eq=False)
class Font:
    """A font that is open for setting names.

    Attributes:
        name: as the font calls itself.
        units_per_em: font units in one em.
        glyph_of: the glyph of each character, by code point.
    """

    name: str
    units_per_em: int
    glyph_of: Mapping[int, str]
    _glyphs: Any
    _advances: Mapping[str, int]
    _lookups: tuple[tuple[_Pairs, ...], ...]

    def has(self, character: str) -> bool:
        """Whether the font has a glyph for a character.

        >>> read_font().has("Ł"), read_font().has("漢")
        (True, False)
        """
        return ord(character) in self.glyph_of

    def advance(self, glyph: str) -> int:
        """How far the pen moves on after a glyph, font units."""
        return self._advances[glyph]

    def kern(self, left: str, right: str) -> int:
        """How much nearer (below 0) or farther two neighbouring glyphs are set, font units.

        Each lookup adds what its first matching subtable says (OpenType 1.9, GPOS lookup type 2).

        >>> font = read_font()
        >>> font.kern("A", "V") < 0, font.kern("H", "H")
        (True, 0)
        """
        total = 0
        for subtables in self._lookups:
            for subtable in subtables:
                found = subtable(left, right)
                if found is not None:
                    total += found
                    break
        return total


@dataclass(frozen=True, slots=True)
class Glyph:
    """One glyph of a line; ``x`` is where it starts, in font units."""

    name: str
    x: int


@dataclass(frozen=True, slots=True)
class Setting:
    """A line of text as glyphs with their places; ``advance`` is the whole line's, font units."""

    glyphs: tuple[Glyph, ...]
    advance: int


@lru_cache(maxsize=16)
def _read(path: Path, stamp: tuple[int, int]) -> Font:
    try:
        source = TTFont(path, lazy=False, fontNumber=0)
        glyph_of = dict(source.getBestCmap() or {})
        glyphs = source.getGlyphSet()
        advances = {name: int(glyphs[name].width) for name in source.getGlyphOrder()}
        units = int(source["head"].unitsPerEm)
        lookups = _kern_lookups(source)
        name = str(source["name"].getBestFullName() or path.stem) if "name" in source else path.stem
    except (TTLibError, struct.error, KeyError, IndexError, ValueError, AttributeError) as error:
        raise BadInputError(
            f"is not a TrueType or OpenType font that can be read ({str(error)[:80]})",
            source=str(path),
        ) from None
    if not glyph_of or not 16 <= units <= 16_384:
        raise BadInputError("has no characters to set names with", source=str(path))
    return Font(name, units, glyph_of, glyphs, advances, lookups)


def read_font(path: Path | None = None) -> Font:
    """Open a font file; the bundled one without a path.

    Raises:
        BadInputError: the file is missing, too large or no font with outlines.

    >>> read_font().name
    'Manrope ExtraBold'
    """
    path = BUNDLED_FONT if path is None else path
    try:
        stat = path.stat()
        with path.open("rb") as file:
            file.read(4)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise BadInputError(f"the font cannot be read: {reason}", source=str(path)) from None
    if stat.st_size > LARGEST_FONT_BYTES:
        raise BadInputError(
            f"is {stat.st_size / 1e6:.0f} MB; a font has at most {LARGEST_FONT_BYTES / 1e6:.0f} MB",
            source=str(path),
        )
    return _read(path.resolve(), (stat.st_mtime_ns, stat.st_size))


def set_line(text: str, font: Font) -> Setting:
    """Set a line of text with the font's kerning.

    Raises:
        KeyError: the font lacks a character; ask ``Font.has`` first.

    >>> set_line("AV", read_font()).advance < set_line("A", read_font()).advance * 2
    True
    >>> set_line("", read_font())
    Setting(glyphs=(), advance=0)
    """
    names = [font.glyph_of[ord(character)] for character in text]
    kerns = [font.kern(left, right) for left, right in pairwise(names)]
    placed, x = [], 0
    for name, kern in zip(names, [*kerns, 0], strict=False):
        placed.append(Glyph(name, x))
        x += font.advance(name) + kern
    return Setting(tuple(placed), x)


@lru_cache(maxsize=4096)
def glyph_area(font: Font, glyph: str) -> BaseGeometry:
    """The area that a glyph fills, in ems, y down, its origin on the base line.

    Overlapping contours are united (the non-zero rule).

    Raises:
        BadInputError: the glyph's outline cannot be used.

    >>> area = glyph_area(read_font(), "H")
    >>> 0.5 < -area.bounds[1] < 0.9, abs(area.bounds[3]) < 0.01
    (True, True)
    """
    pen = SVGPathPen(font._glyphs)
    try:
        font._glyphs[glyph].draw(pen)
        outline = OutlinePath(pen.getCommands())
        em = 1 / font.units_per_em
        runs = flatten(outline, onto=Affine(a=em, d=-em), tolerance=FLATTEN_EM)
        return fill_area(runs)
    except (ArtworkError, TTLibError, ValueError, KeyError, shapely.errors.ShapelyError) as error:
        raise BadInputError(
            f"the font {font.name}: its outline of {glyph} cannot be used ({str(error)[:80]})"
        ) from None


def _kern_lookups(source: TTFont) -> tuple[tuple[_Pairs, ...], ...]:
    """The pair lookups of GPOS's kern feature; those of the older kern table without one."""
    lookups: list[tuple[_Pairs, ...]] = []
    if "GPOS" in source:
        table = source["GPOS"].table
        features = table.FeatureList.FeatureRecord if table.FeatureList else []
        numbers = {
            number
            for at in _default_features(table)
            if features[at].FeatureTag == "kern"
            for number in features[at].Feature.LookupListIndex
        }
        for number in sorted(numbers):
            subtables = [
                subtable.ExtSubTable if subtable.LookupType == 9 else subtable
                for subtable in table.LookupList.Lookup[number].SubTable
            ]
            readable = tuple(_pairs(subtable) for subtable in subtables if subtable.LookupType == 2)
            if readable:
                lookups.append(readable)
    if not lookups and "kern" in source:
        lookups.extend(
            (_listed_pairs(dict(subtable.kernTable)),)
            for subtable in source["kern"].kernTables
            if getattr(subtable, "coverage", 1) & 1 and hasattr(subtable, "kernTable")
        )
    return tuple(lookups)


def _default_features(table: Any) -> list[int]:
    """The features of the Latin script's default language; else those of the default script."""
    scripts = {record.ScriptTag: record.Script for record in table.ScriptList.ScriptRecord}
    for tag in ("latn", "DFLT", *sorted(scripts)):
        if tag in scripts and scripts[tag].DefaultLangSys is not None:
            return list(scripts[tag].DefaultLangSys.FeatureIndex)
    return []


def _pairs(subtable: Any) -> _Pairs:
    return _pair_sets(subtable) if subtable.Format == 1 else _pair_classes(subtable)


def _pair_sets(subtable: Any) -> _Pairs:
    pairs = {
        (left, record.SecondGlyph): int(getattr(record.Value1, "XAdvance", 0) or 0)
        for left, pair_set in zip(subtable.Coverage.glyphs, subtable.PairSet, strict=True)
        for record in pair_set.PairValueRecord
    }
    return _listed_pairs(pairs)


def _listed_pairs(pairs: Mapping[tuple[str, str], int]) -> _Pairs:
    def found(left: str, right: str) -> int | None:
        return pairs.get((left, right))

    return found


def _pair_classes(subtable: Any) -> _Pairs:
    covered = frozenset(subtable.Coverage.glyphs)
    first: dict[str, int] = subtable.ClassDef1.classDefs
    second: dict[str, int] = subtable.ClassDef2.classDefs
    values: list[list[int]] = [
        [int(getattr(cell.Value1, "XAdvance", 0) or 0) for cell in row.Class2Record]
        for row in subtable.Class1Record
    ]

    def found(left: str, right: str) -> int | None:
        if left not in covered:
            return None
        return values[first.get(left, 0)][second.get(right, 0)]

    return found
