"""Film order: every carrier of a whole order nested on the rolls that it is cut from."""

from __future__ import annotations

import csv
import io
import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon

from advisor.cutting.layout import Carrier, SizedCut
from advisor.cutting.records import RollNeed
from advisor.cutting.roll.films import FilmNeed, film_needs, whole_cm
from advisor.cutting.roll.nesting import Part, PartTooWideError, Progress
from advisor.cutting.roll.picture import layout_svg
from advisor.cutting.roll.shapes import EXACT_MM, outline, rotations_for, turned_size
from rules.facts.film import Film

__all__ = [
    "NestedRoll",
    "Watch",
    "nest_order",
    "order_parts",
    "roll_csv",
    "roll_need",
    "roll_picture",
    "rolls_note",
]

Watch = Callable[[str, str, Progress], None]
"""Is told film, colour and how far the nesting is; what it raises ends it."""

LONGEST_ROW_MM = 1500.0
"""Up to here a roll is drawn in one piece; a longer one is drawn in rows under each other."""
ROW_STEP_MM = 500.0
_WIDE_TO_HIGH = 1.5


@dataclass(frozen=True, slots=True)
class NestedRoll:
    """One film and colour of an order: what is cut from it, and how that lies on the roll."""

    film: Film
    parts: tuple[Part, ...]
    need: FilmNeed


def order_parts(sizes: Sequence[SizedCut]) -> dict[tuple[str, str], tuple[Part, ...]]:
    """What a whole order takes of each film and colour: one part for each carrier, mirrored.

    The pieces of a carrier stay together, so that they lie in register when they are laid on the
    garment. Names on one sheet, which are cut apart anyway, are a part each.

    Returns:
        (film id, colour) to its parts with their quantities, in the order of the sizes.

    >>> order_parts([])
    {}
    """
    found: dict[tuple[str, str], list[Part]] = {}
    for size in sizes:
        for carrier in size.carriers:
            turns = rotations_for(carrier.film)
            cut = found.setdefault((carrier.film.id, carrier.colour), [])
            cut += [
                Part(called, shape, carrier.count, turns)
                for called, shape in _shapes(size, carrier)
            ]
    return {key: _named_apart(cut) for key, cut in found.items()}


def _shapes(size: SizedCut, carrier: Carrier) -> list[tuple[str, MultiPolygon]]:
    called = f"{size.width_mm:g} mm"
    pieces = carrier.sheet.pieces
    if carrier.presses > 1:
        called += f", press {carrier.press}"
    if carrier.names and not carrier.row:
        each = [one.name for one in size.named for _ in range(one.quantity)]
        return [
            (f"{called}, {name}", piece.shape) for name, piece in zip(each, pieces, strict=True)
        ]
    if carrier.row:
        called += f", {carrier.names[0]}"
    return [(called, _together([piece.shape for piece in pieces]))]


def _together(shapes: Sequence[MultiPolygon]) -> MultiPolygon:
    if len(shapes) == 1:
        return shapes[0]
    # Pieces that share an edge or a point make no valid area side by side; their union does.
    joined = shapely.union_all(np.array(shapes, dtype=object))
    return MultiPolygon(shapely.get_parts(joined).tolist())


def _named_apart(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Parts that are called alike, such as two people of one name, are numbered."""
    often = Counter(part.id for part in parts)
    nth: Counter[str] = Counter()
    apart = []
    for part in parts:
        nth[part.id] += 1
        called = f"{part.id} ({nth[part.id]})" if often[part.id] > 1 else part.id
        apart.append(Part(called, part.shape, part.quantity, part.rotations))
    return tuple(apart)


def nest_order(
    sizes: Sequence[SizedCut], *, seconds: float, on_progress: Watch | None = None
) -> tuple[NestedRoll, ...]:
    """Nest all that an order cuts from each film and colour on that film's roll.

    A film whose look has a direction is turned by 0° or 180° only, any other by quarter turns.
    Weeding borders and registration marks are left out; carriers lie at least 3 mm apart.

    Args:
        sizes: what is cut at each size (`advisor.cutting.layout.lay_out`).
        seconds: for all films together, 0 to 3600; 0 lays bounding rectangles.

    Returns:
        The rolls in the order of the sizes' carriers. After Ctrl-C the best so far, each layout
        saying so.

    Raises:
        PartTooWideError: a carrier is wider than its roll however it may be turned.
        NestError: the seconds make no sense, or a film lacks its colour.

    >>> nest_order([], seconds=0)
    ()
    """
    parts = order_parts(sizes)
    films = {carrier.film.id: carrier.film for size in sizes for carrier in size.carriers}
    for (film_id, colour), cut in parts.items():
        for part in cut:
            _refuse_too_wide(films[film_id], colour, part)
    needs = film_needs(parts, films=films, seconds=seconds, on_progress=on_progress)
    return tuple(
        NestedRoll(films[need.film], parts[need.film, need.colour], need) for need in needs
    )


def _refuse_too_wide(film: Film, colour: str, part: Part) -> None:
    patch = outline(part.shape)
    across_mm = min(turned_size(patch, turn)[1] for turn in rotations_for(film))
    if across_mm <= film.roll_width_mm + EXACT_MM:
        return
    share = math.floor(100 * film.roll_width_mm / across_mm)
    turned = f" ({film.id} has a direction and cannot be turned across)" if film.one_way else ""
    # What is too wide for the roll must not be told to a tenth that would round it back onto it.
    raise PartTooWideError(
        f"is {math.ceil(10 * across_mm) / 10:g} mm across and the roll {film.roll_width_mm:g} mm"
        f"{turned}; make the artwork at most {share} % of its width, choose a film with a wider "
        "roll, or leave nesting out and cut it in parts",
        source=f"{film.id} {colour}",
        field=part.id,
    )


def roll_need(roll: NestedRoll, *, stem: str) -> RollNeed:
    """What the cut report says of a roll.

    Args:
        stem: what its files are called, before ``.svg`` and the like.
    """
    need = roll.need
    return RollNeed(
        film=need.film,
        colour=need.colour,
        parts=len(need.layout.placements),
        roll_width_mm=roll.film.roll_width_mm,
        length_m=round(need.length_m, 4),
        used_m2=round(need.used_m2, 6),
        waste_pct=round(need.waste_pct, 1),
        cost=round(need.cost, 2),
        on_shelf_m=round(need.on_shelf_m, 4),
        short_m=round(need.short_m, 4),
        method=need.layout.method,
        note=need.layout.note,
        interrupted=need.layout.interrupted,
        sentence=need.sentence,
        svg=f"{stem}.svg",
        png=f"{stem}.png",
        cut_svg=f"{stem}_cut.svg",
        cut_dxf=f"{stem}_cut.dxf",
    )


def rolls_note(rolls: Sequence[RollNeed]) -> tuple[str, ...]:
    """What to know about the metres of all rolls together.

    >>> rolls_note([])
    ()
    """
    if not rolls:
        return ()
    notes = [
        "metres of roll are for carriers 3 mm apart as in the rolls' own cut files, which have no "
        "registration marks; cutting the files one by one takes more"
    ]
    films = Counter(roll.film for roll in rolls)
    notes += [
        f"{film}: the shelf counts its colours together; each is offered what those before it leave"
        for film, colours in sorted(films.items())
        if colours > 1
    ]
    if any(roll.interrupted for roll in rolls):
        notes.append("nesting was stopped early: the metres are the best found so far")
    return tuple(notes)


def roll_picture(roll: NestedRoll) -> str:
    """The roll with all that is cut from it, to scale, as SVG; a long one in rows."""
    need = roll.need
    return layout_svg(
        need.layout,
        roll.parts,
        headline=f"{need.film} {need.colour}: {whole_cm(need.length_m):.2f} m of a roll "
        f"{roll.film.roll_width_mm:g} mm wide, {need.waste_pct:.0f} % waste",
        row_mm=_row_mm(need.layout.length_mm, need.layout.roll_width_mm),
    )


def _row_mm(length_mm: float, across_mm: float) -> float | None:
    """The length of a row that gives a picture half as wide again as high."""
    if length_mm <= LONGEST_ROW_MM:
        return None
    fair_mm = math.sqrt(_WIDE_TO_HIGH * length_mm * across_mm)
    return max(LONGEST_ROW_MM, math.ceil(fair_mm / ROW_STEP_MM) * ROW_STEP_MM)


def roll_csv(rolls: Sequence[RollNeed]) -> str:
    """A row for every film and colour, as a spreadsheet reads it.

    >>> roll_csv([]).split(",")[:3]
    ['film', 'colour', 'parts']
    """
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    columns = (
        "film", "colour", "parts", "roll_width_mm", "length_m", "waste_pct", "cost", "on_shelf_m",
        "short_m", "method", "note", "svg", "png", "cut_svg", "cut_dxf",
    )  # fmt: skip
    table.writerow(columns)
    for roll in rolls:
        told: Mapping[str, object] = roll.model_dump(include=set(columns))
        table.writerow([told[column] for column in columns])
    return text.getvalue()
