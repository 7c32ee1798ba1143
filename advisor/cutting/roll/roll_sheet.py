"""Roll sheet: a whole order of one film and colour as one cut sheet, as it was nested."""

from __future__ import annotations

import re

from shapely import MultiPolygon, Polygon
from shapely.affinity import translate

from advisor.cutting.roll.film_order import NestedRoll
from advisor.cutting.roll.films import whole_cm
from advisor.cutting.roll.layout import place
from advisor.cutting.roll.shapes import outline
from advisor.cutting.sheet import CutSheet, PlacedPiece, blade_outline, page_label

__all__ = ["roll_sheet"]

_ARC = 4
_NOT_A_LAYER = re.compile(r"[^\w.()-]+")
"""What a layer's name in a drawing file may not hold, and spaces."""


def roll_sheet(roll: NestedRoll, *, job: str) -> CutSheet:
    """The roll laid out for the cutter: every copy where it was nested, with its weeding border.

    The borders follow the carriers at half their distance, so that every copy comes off by itself.
    There are no registration marks: a carrier that is turned on the roll lies as it comes.

    Args:
        roll: the film, its parts and how they lie.
        job: what the job is called.

    >>> import shapely
    >>> from advisor.cutting.roll.films import film_needs
    >>> from advisor.cutting.roll.nesting import Part
    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> tags = (Part("tag", MultiPolygon([shapely.box(0, 0, 40, 20)]), 3),)
    >>> (need,) = film_needs({(film.id, "navy"): tags}, films={film.id: film}, seconds=0)
    >>> sheet = roll_sheet(NestedRoll(film, tags, need), job="crew")
    >>> [(piece.id, piece.shape.area) for piece in sheet.pieces], len(sheet.borders)
    ([('1-tag', 2400.0)], 3)
    """
    layout, need = roll.need.layout, roll.need
    half_mm = layout.spacing_mm / 2
    copies: dict[str, list[MultiPolygon]] = {part.id: [] for part in roll.parts}
    borders: list[Polygon] = []
    blade = {part.id: blade_outline(part.shape) for part in roll.parts}
    around = {part.id: outline(part.shape).buffer(half_mm, quad_segs=_ARC) for part in roll.parts}
    for spot in layout.placements:
        copies[spot.part].append(translate(place(blade[spot.part], spot), half_mm, half_mm))
        borders.append(translate(place(around[spot.part], spot), half_mm, half_mm))
    width_mm = layout.length_mm + layout.spacing_mm
    below_mm = layout.roll_width_mm + layout.spacing_mm
    how = "mirrored" if roll.film.cut_mirrored else "not mirrored"
    if any(spot.rotation_deg for spot in layout.placements):
        how += ", some turned"
    lines = (
        f"{job}: {need.film} {need.colour}, {len(layout.placements)} carriers on "
        f"{whole_cm(need.length_m):.2f} m of a roll {roll.film.roll_width_mm:g} mm wide",
        f"{how}; without registration marks: lay them by their edges, or cut the files one by one",
    )
    label, label_mm = page_label(lines, width_mm)
    return CutSheet(
        title=f"{job}, {need.film} {need.colour}, roll",
        width_mm=width_mm,
        height_mm=below_mm + label_mm,
        mirrored=roll.film.cut_mirrored,
        pieces=tuple(
            PlacedPiece(
                f"{nth}-{_NOT_A_LAYER.sub('-', part)}",
                MultiPolygon([one for copy in laid for one in copy.geoms]),
            )
            for nth, (part, laid) in enumerate(copies.items(), 1)
            if laid
        ),
        borders=tuple(borders),
        marks=(),
        label=translate(label, 0, below_mm),
        lines=lines,
    )
