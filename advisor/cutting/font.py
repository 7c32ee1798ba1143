"""Font: a TrueType or OpenType font as HarfBuzz reads it, its letters set in lines and as areas.

Letters are set one after another from left to right with their kerning. Ligatures, marks that
attach to letters, and scripts that join or reorder letters are not set: `lettering` says what is
refused.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import shapely
import uharfbuzz
from shapely import MultiPolygon, Polygon
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry
from svgelements import Path as Outline

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.area import fill_area
from advisor.artwork.svg.outline import Affine, flatten
from rules.catalogue.documents import file_bytes, file_of
from rules.errors import BadInputError

__all__ = ["BUNDLED_FONT", "Font", "glyph_area", "line_area", "outline_text", "read_font"]

BUNDLED_FONT = Path(__file__).parent / "fonts" / "Manrope-ExtraBold.ttf"
"""The font that ships, under the SIL Open Font License 1.1 (``fonts/OFL.txt``)."""

LARGEST_FONT_BYTES = 40_000_000
FLATTEN_EM = 1e-4
"""How far a curve may lie from its chords, in ems: 0.03 mm on letters 200 mm high."""

_KERNING_ALONE = dict.fromkeys(
    ("calt", "ccmp", "clig", "curs", "liga", "locl", "mark", "mkmk", "rclt", "rlig", "rvrn"), False
)
"""What a shaper does by itself, switched off: a name keeps the letters that were written."""


@dataclass(frozen=True, slots=True, eq=False)
class Font:
    """A font that is open for setting names; ``name`` is what it calls itself."""

    name: str
    units_per_em: int
    shaper: uharfbuzz.Font

    def glyph(self, character: str) -> int | None:
        """The number of a character's glyph; ``None`` where the font has none.

        >>> read_font().glyph("漢") is None, read_font().glyph("Ł") is None
        (True, False)
        """
        number: int | None = self.shaper.get_nominal_glyph(ord(character))
        return number

    def set_line(self, text: str) -> list[tuple[int, int]]:
        """The glyphs of a line, kerned, each with where it starts, in font units.

        >>> font = read_font()
        >>> [(_, a), (_, v)] = font.set_line("AV")
        >>> [(_, h), (_, i)] = font.set_line("HI")
        >>> a == h == 0, 0 < v < i
        (True, True)
        """
        line = uharfbuzz.Buffer()
        line.add_str(text)
        line.guess_segment_properties()
        line.direction = "ltr"
        uharfbuzz.shape(self.shaper, line, _KERNING_ALONE)
        placed, x = [], 0
        for glyph, at in zip(line.glyph_infos or (), line.glyph_positions or (), strict=True):
            placed.append((int(glyph.codepoint), x + at.x_offset))
            x += at.x_advance
        return placed


def read_font(path: Path | None = None) -> Font:
    """Open a font file; the bundled one without a path.

    Raises:
        BadInputError: the file is missing, too large or no font with outlines.

    >>> read_font().name
    'Manrope ExtraBold'
    """
    path = BUNDLED_FONT if path is None else path
    stat = file_of(path, most_bytes=LARGEST_FONT_BYTES, kind="a font")
    return _read(path.resolve(), (stat.st_mtime_ns, stat.st_size))


@lru_cache(maxsize=16)
def _read(path: Path, stamp: tuple[int, int]) -> Font:
    face = uharfbuzz.Face(file_bytes(path, most_bytes=LARGEST_FONT_BYTES, kind="a font"))
    if not face.glyph_count:
        raise BadInputError("is not a TrueType or OpenType font that can be read", source=str(path))
    if not len(face.unicodes):
        raise BadInputError("has no characters to set names with", source=str(path))
    name = face.get_name(uharfbuzz.OTNameIdPredefined.FULL_NAME) or path.stem
    return Font(name, face.upem, uharfbuzz.Font(face))


@lru_cache(maxsize=4096)
def glyph_area(font: Font, glyph: int) -> MultiPolygon:
    """The area that a glyph fills, in ems, y down, its origin on the base line.

    Overlapping contours are united (the non-zero rule).

    Raises:
        BadInputError: the glyph's outline cannot be used.

    >>> font = read_font()
    >>> area = glyph_area(font, font.glyph("H"))
    >>> 0.5 < -area.bounds[1] < 0.9, abs(area.bounds[3]) < 0.01
    (True, True)
    """
    drawn: list[str] = []
    font.shaper.draw_glyph(glyph, _PEN, drawn)
    em = 1 / font.units_per_em
    try:
        runs = flatten(Outline("".join(drawn)), onto=Affine(a=em, d=-em), tolerance=FLATTEN_EM)
        return _polygons(fill_area(runs))
    except (ArtworkError, ValueError, shapely.errors.ShapelyError) as error:
        name = font.shaper.get_glyph_name(glyph)
        raise BadInputError(
            f"the font {font.name}: its outline of {name} cannot be used ({str(error)[:80]})"
        ) from None


def _pen() -> uharfbuzz.DrawFuncs:
    """Writes a glyph's outline as path data into the list that drawing is handed."""
    pen = uharfbuzz.DrawFuncs()
    pen.set_move_to_func(lambda x, y, drawn: drawn.append(f"M{x},{y}"))
    pen.set_line_to_func(lambda x, y, drawn: drawn.append(f"L{x},{y}"))
    pen.set_quadratic_to_func(lambda u, v, x, y, drawn: drawn.append(f"Q{u},{v} {x},{y}"))
    pen.set_cubic_to_func(lambda s, t, u, v, x, y, drawn: drawn.append(f"C{s},{t} {u},{v} {x},{y}"))
    pen.set_close_path_func(lambda drawn: drawn.append("Z"))
    return pen


_PEN = _pen()


def line_area(text: str, font: Font) -> MultiPolygon:
    """The area of a line in ems; it starts at the origin on the base line."""
    em = 1 / font.units_per_em
    areas = [
        affine_transform(glyph_area(font, glyph), (1, 0, 0, 1, x * em, 0))
        for glyph, x in font.set_line(text)
    ]
    return _polygons(shapely.union_all(areas))


@lru_cache(maxsize=512)
def outline_text(text: str, *, em_mm: float) -> MultiPolygon:
    """A line of text as areas, mm, y down, its origin on the base line: for labels and pictures.

    A character that the font lacks is shown as a question mark, or left out if that is missing too.

    >>> outline_text("24 mm", em_mm=5).bounds[2] > outline_text("24", em_mm=5).bounds[2]
    True
    >>> outline_text("", em_mm=5).is_empty
    True
    """
    font = read_font()
    known = (sign if font.glyph(sign) is not None else "?" for sign in text)
    shown = "".join(sign for sign in known if font.glyph(sign) is not None)
    unit_mm = em_mm / font.units_per_em
    parts: list[Polygon] = []
    for glyph, x in font.set_line(shown):
        area = _plain_glyph(font, glyph)
        parts += affine_transform(area, (em_mm, 0, 0, em_mm, x * unit_mm, 0)).geoms
    return MultiPolygon(parts)


@lru_cache(maxsize=1024)
def _plain_glyph(font: Font, glyph: int) -> MultiPolygon:
    """A glyph with as few points as small print needs."""
    return _polygons(shapely.simplify(glyph_area(font, glyph), 0.004))


def _polygons(area: BaseGeometry) -> MultiPolygon:
    # Areas in ems are smaller than what counts as dust in mm, so only the kind is asked here.
    parts = shapely.get_parts(shapely.get_parts(area))
    return MultiPolygon(parts[shapely.get_type_id(parts) == 3].tolist())
