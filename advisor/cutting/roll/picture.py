"""The picture of a layout: the roll and its parts to scale, with names and a ruler, as SVG."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import shapely
from shapely import Point, Polygon

from advisor.artwork.svg.writing import document, element, number, path_data
from advisor.cutting.records.rolls import whole_cm
from advisor.cutting.roll.layout import Layout, Placement, place
from advisor.cutting.roll.order import NestedRoll
from advisor.cutting.roll.shapes import NestError, Part

__all__ = ["layout_svg", "roll_picture"]

LONGEST_ROW_MM = 1500.0
"""Up to here a roll is drawn in one piece; a longer one is drawn in rows under each other."""
ROW_STEP_MM = 500.0
_WIDE_TO_HIGH = 1.5

_MARGIN_MM = 12.0
_RULER_MM = 16.0
_LEAST_TEXT_MM, _MOST_TEXT_MM = 2.0, 9.0
_TITLE_MM, _ROW_TITLE_MM = 6.0, 10.0
_TICK_TEXT_MM, _ROW_TICK_TEXT_MM = 5.0, 7.0
_LEAST_ROW_MM = 100.0
_ROW_TOP_MM = 1.0
# Pale enough for dark names on them, apart in lightness so that they also differ in grey.
_TINTS = ("#cfe3f1", "#f3dcb6", "#d5e8cd", "#ecd0dc", "#b9c9de", "#e8e2a8", "#c7dcd8", "#dccbb5")
# Bold letters of a sans-serif are about this much of their size wide, from memory.
_LETTER_WIDTH = 0.64


def roll_picture(roll: NestedRoll) -> str:
    """The roll with all that is cut from it, to scale, as SVG; a long one in rows."""
    layout = roll.layout
    row_mm = None
    if layout.length_mm > LONGEST_ROW_MM:
        # A row's length that gives a picture half as wide again as high.
        fair_mm = math.sqrt(_WIDE_TO_HIGH * layout.length_mm * layout.roll_width_mm)
        row_mm = max(LONGEST_ROW_MM, math.ceil(fair_mm / ROW_STEP_MM) * ROW_STEP_MM)
    headline = (
        f"{roll.film.id} {roll.colour}: {whole_cm(roll.length_m):.2f} m of a roll "
        f"{roll.film.roll_width_mm:g} mm wide, {roll.waste_pct:.0f} % waste"
    )
    return layout_svg(layout, roll.parts, headline=headline, row_mm=row_mm)


def layout_svg(
    layout: Layout, parts: Sequence[Part], *, headline: str, row_mm: float | None = None
) -> str:
    """Draw a layout at true size; the same layout gives the same text, to the byte.

    Each part is drawn with its holes, in the colour of its name, inside the dashed outline of the
    carrier that it keeps free; below it stand the metres and a ruler. Names that would be too
    small to read are left out of the drawing and stay as tooltips.

    Args:
        parts: those that the layout was asked for.
        headline: the line above the roll.
        row_mm: draw the roll in rows of this length under each other, at least 100 mm. What
            crosses the end of a row goes on in the next. Without it the roll is in one piece.

    Raises:
        NestError: the layout holds a part that is not among ``parts``, or the row is too short.

    >>> import shapely
    >>> from advisor.cutting.roll.nesting import nest
    >>> tag = Part("tag", shapely.box(0, 0, 40, 20), 2)
    >>> svg = layout_svg(nest([tag], roll_width_mm=50), [tag], headline="matte-smooth black")
    >>> 'width="64mm"' in svg.splitlines()[0]
    True
    >>> layout_svg(nest([tag], roll_width_mm=50), [], headline="matte-smooth black")
    Traceback (most recent call last):
    ...
    advisor.cutting.roll.shapes.NestError: tag: lies on the roll but is not among the parts given
    """
    known = {part.id: part for part in parts}
    for spot in layout.placements:
        if spot.part not in known:
            raise NestError("lies on the roll but is not among the parts given", field=spot.part)
    if row_mm is not None and not row_mm >= _LEAST_ROW_MM:
        raise NestError(f"is {row_mm:g} mm; give at least {_LEAST_ROW_MM:g}", field="row_mm")
    length_mm, across_mm = max(layout.length_mm, 1.0), layout.roll_width_mm
    in_rows = row_mm is not None and row_mm < length_mm
    across_page_mm = row_mm if row_mm is not None and in_rows else length_mm
    rows = math.ceil(length_mm / across_page_mm)
    pitch_mm = across_mm + _MARGIN_MM + _RULER_MM
    width_mm = across_page_mm + 2 * _MARGIN_MM
    height_mm = rows * pitch_mm + _MARGIN_MM
    numbers = {part.id: index for index, part in enumerate(parts)}
    tick_text_mm = _ROW_TICK_TEXT_MM if in_rows else _TICK_TEXT_MM
    roll = _roll(layout, known, numbers, length_mm, across_page_mm, tick_text_mm)
    symbols = [_symbol(index, part) for index, part in enumerate(parts)]
    if in_rows:
        symbols.append(element("g", roll, id="roll"))
        roll = [_row(nth, across_page_mm, pitch_mm) for nth in range(rows)]
    size_mm = min(
        _ROW_TITLE_MM if in_rows else _TITLE_MM, across_page_mm / (_LETTER_WIDTH * len(headline))
    )
    corner = {"x": -_MARGIN_MM, "y": -_MARGIN_MM}
    return document(
        [
            element("rect", **corner, width=width_mm, height=height_mm, fill="#ffffff"),
            element("defs", symbols),
            *roll,
            _line(headline, 0.0, -3.5, size_mm),
        ],
        left=-_MARGIN_MM,
        top=-_MARGIN_MM,
        width=width_mm,
        height=height_mm,
        unit="mm",
        title=headline,
        description=layout.note,
        font_family="sans-serif",
        role="img",
    )


def _roll(
    layout: Layout,
    known: Mapping[str, Part],
    numbers: Mapping[str, int],
    length_mm: float,
    row_mm: float,
    tick_text_mm: float,
) -> list[str]:
    """The roll in one piece with its parts, their names and the ruler."""
    middles = {name: Point(_middle(part.outline)) for name, part in known.items()}
    across_mm = layout.roll_width_mm
    size = {"width": length_mm, "height": across_mm, "stroke_width": 0.5}
    lines = [element("rect", **size, fill="#f4f4f2", stroke="#555555")]
    names: list[str] = []
    for spot in layout.placements:
        name = f"{spot.part} {spot.copy}" if known[spot.part].quantity > 1 else spot.part
        lines.append(_drawn(spot, name, numbers[spot.part]))
        names.extend(_named(spot, name, known[spot.part].outline, middles[spot.part]))
    return [*lines, *names, *_ruler(length_mm, across_mm, row_mm, tick_text_mm)]


def _row(nth: int, row_mm: float, pitch_mm: float) -> str:
    """A window on the roll: what lies before and behind it is cut off."""
    high_mm = pitch_mm - _MARGIN_MM + _ROW_TOP_MM
    view = (nth * row_mm, -_ROW_TOP_MM, row_mm, high_mm)
    return element(
        "svg",
        [element("use", href="#roll")],
        x=0,
        y=nth * pitch_mm - _ROW_TOP_MM,
        width=row_mm,
        height=high_mm,
        viewBox=" ".join(number(side) for side in view),
    )


def _symbol(index: int, part: Part) -> str:
    carrier = element(
        "path", d=path_data(part.outline), fill="none", stroke="#888888",
        stroke_width=0.25, stroke_dasharray="1.5 1",
    )  # fmt: skip
    film = element(
        "path", d=path_data(part.shape), fill=_TINTS[index % len(_TINTS)], fill_rule="evenodd",
        stroke="#333333", stroke_width=0.3,
    )  # fmt: skip
    marks = [element("path", d=path_data(mark), fill="#333333") for mark in part.marks]
    return element("g", [carrier, film, *marks], id=f"part-{index}")


def _middle(patch: Polygon) -> tuple[float, float]:
    x_mm, y_mm = shapely.maximum_inscribed_circle(patch, 0.5).coords[0]
    return x_mm, y_mm


def _drawn(spot: Placement, name: str, nth: int) -> str:
    # One matrix says it exactly; the separate turn and shift of SVG would be rounded twice.
    angle = math.radians(spot.rotation_deg)
    cos, sin = math.cos(angle), math.sin(angle)
    turn = " ".join(number(share, 6) for share in (cos, sin, -sin, cos))
    where = f"matrix({turn} {number(spot.x_mm)} {number(spot.y_mm)})"
    return element("use", [element("title", name)], href=f"#part-{nth}", transform=where)


def _named(spot: Placement, name: str, patch: Polygon, middle: Point) -> list[str]:
    """The name in the widest place of the part, no larger than fits there."""
    at = place(middle, spot)
    reach_mm = patch.boundary.distance(middle)
    size_mm = min(_MOST_TEXT_MM, 1.8 * reach_mm / (_LETTER_WIDTH * len(name)))
    if size_mm < _LEAST_TEXT_MM:
        return []
    return [
        element(
            "text", name, x=at.x, y=at.y, font_size=size_mm, fill="#1a1a1a", text_anchor="middle",
            dominant_baseline="central",
        )
    ]  # fmt: skip


def _ruler(length_mm: float, across_mm: float, row_mm: float, text_mm: float) -> list[str]:
    """A ruler along the roll in steps of 10, 100 or 1000 mm, whichever stays readable."""
    step_mm = next((step for step in (10, 100, 1000) if row_mm / step <= 30), 10_000)
    y_mm = across_mm + 5.0
    ink: dict[str, str | float] = {"stroke": "#333333", "stroke_width": 0.4}
    lines = [element("path", d=f"M0 {number(y_mm)}H{number(length_mm)}", **ink)]
    every = 5 if step_mm == 10 else 1
    for tick in range(math.floor(length_mm / step_mm + 1e-9) + 1):
        x_mm = tick * step_mm
        long = tick % every == 0
        lines.append(element("path", d=f"M{x_mm} {number(y_mm)}v{3 if long else 1.5}", **ink))
        if long:
            said = f"{x_mm}" if tick else f"{x_mm} mm"
            lines.append(_line(said, x_mm, y_mm + 3.5 + text_mm, text_mm))
    return lines


def _line(said: str, x_mm: float, y_mm: float, size_mm: float) -> str:
    return element("text", said, x=x_mm, y=y_mm, font_size=size_mm, fill="#1a1a1a")
