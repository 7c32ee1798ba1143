"""Apart: an artwork seen flat in its films, and its layers pulled apart in pressing order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from advisor.artwork.records import Artwork
from advisor.job.records.plan import Plan
from rules.facts.fabric import Fabric
from ui.drawing import ink
from ui.drawing.labels import Label, label_marks
from ui.drawing.section import Coloured
from ui.drawing.texture import fabric_texture, film_texture

__all__ = ["artwork_flat", "layers_apart"]

_WIDTH = 520.0
_BODY = 270.0
_LEAN, _SQUASH = 0.3, 0.5


def artwork_flat(
    artwork: Artwork, looks: Mapping[str, Coloured] | None = None, *, chosen: str | None = None
) -> str:
    """The artwork as it will look, each piece in its film.

    Args:
        looks: the film and colour of each piece by id; a piece without one keeps its own fill.
        chosen: a piece to point out: the others are shown pale.

    >>> from advisor.artwork.reader import read_artwork
    >>> square = read_artwork('<svg xmlns="http://www.w3.org/2000/svg" width="20mm" '
    ...     'height="10mm"><rect width="100%" height="100%" fill="#123456"/></svg>')
    >>> "#123456" in artwork_flat(square)
    True
    """
    films = looks or {}
    scale = 400 / max(artwork.width_mm, artwork.height_mm)
    marks, defs = [], set()
    for piece in artwork.pieces:
        d = _outline(piece.visible, scale, lean=0, squash=1, x=8, y=8)
        look = films.get(piece.id)
        pale = 0.22 if chosen not in {None, piece.id} else piece.opacity
        marks.append(ink.path(d, fill=look.srgb if look else piece.fill, opacity=pale))
        if look and pale == piece.opacity and film_texture(look.film).fill:
            texture = film_texture(look.film, view="above")
            defs.add(texture.defs)
            marks.append(ink.path(d, fill=texture.fill))
        if chosen == piece.id:
            marks.append(ink.path(d, fill="none", stroke=2.5))
    return ink.sheet_of_paper(
        marks,
        width=artwork.width_mm * scale + 16,
        height=artwork.height_mm * scale + 16,
        title=artwork.name,
        told=f"{artwork.name}, {len(artwork.pieces)} pieces",
        defs="".join(sorted(defs)),
    )


def layers_apart(
    artwork: Artwork,
    plan: Plan,
    looks: Mapping[str, Coloured],
    *,
    fabric: Fabric,
    shapes: Mapping[str, BaseGeometry] | None = None,
    ranks: Sequence[int] | None = None,
) -> str:
    """The layers of a plan floating over the fabric, the first that goes down lowest.

    Args:
        looks: the film and colour of each piece by id.
        shapes: what is cut for each piece, in the artwork's millimetres, where it differs from
            the piece's own shape (windows of insets, for instance).
        ranks: only the presses of these ranks; all where none is given.
    """
    order = sorted(
        (piece for piece in plan.pieces if ranks is None or piece.rank in ranks),
        key=lambda piece: piece.rank,
    )
    by_id = {piece.id: piece for piece in artwork.pieces}
    groups = list(dict.fromkeys(piece.rank for piece in order))
    scale = _BODY / (artwork.width_mm + _LEAN * artwork.height_mm)
    tall = artwork.height_mm * scale * _SQUASH
    lift = min(104.0, max(46.0, tall * 0.8))
    base = 16 + lift * len(groups)
    marks, labels = _ground(artwork, fabric, scale, base)
    defs = {fabric_texture(fabric).defs}
    for level, rank in enumerate(groups, start=1):
        y = base - lift * level
        for piece in (each for each in order if each.rank == rank):
            look = looks[piece.id]
            shape = (shapes or {}).get(piece.id) or by_id[piece.id].shape
            d = _outline(shape, scale, lean=_LEAN, squash=_SQUASH, x=12, y=y,
                         depth=artwork.height_mm)  # fmt: skip
            marks.append(ink.path(d, fill=look.srgb, stroke=0.9))
            texture = film_texture(look.film, view="above")
            if texture.fill:
                defs.add(texture.defs)
                marks.append(ink.path(d, fill=texture.fill))
            at = _right_end(shape, scale, artwork.height_mm, y)
            labels.append(Label(at, look.words, f"piece {piece.id}", number=rank))
    labels.sort(key=lambda label: label.at[1])
    words, reach = label_marks(labels, left=_BODY + 52, bend=_BODY + 24, top=10)
    return ink.sheet_of_paper(
        [*marks, *words],
        width=_WIDTH,
        height=max(base + tall + 18, reach + 10),
        title="Layers pulled apart",
        told="From the first that goes down: "
        + "; ".join(f"{looks[piece.id].words} for {piece.id}" for piece in order),
        defs="".join(sorted(defs)),
    )


def _ground(
    artwork: Artwork, fabric: Fabric, scale: float, y: float
) -> tuple[list[str], list[Label]]:
    plate = shapely.box(0, 0, artwork.width_mm, artwork.height_mm)
    d = _outline(plate, scale, lean=_LEAN, squash=_SQUASH, x=12, y=y, depth=artwork.height_mm)
    at = _right_end(plate, scale, artwork.height_mm, y)
    marks = [
        ink.path(d, fill=fabric.colour.srgb, stroke=1),
        ink.path(d, fill=fabric_texture(fabric).fill, opacity=0.5),
    ]
    return marks, [Label(at, fabric.id, fabric.colour.name)]


def _polygons(shape: BaseGeometry) -> list[Polygon]:
    if isinstance(shape, Polygon):
        return [shape]
    if isinstance(shape, MultiPolygon):
        return list(shape.geoms)
    return [part for part in getattr(shape, "geoms", ()) if isinstance(part, Polygon)]


def _outline(
    shape: BaseGeometry,
    scale: float,
    *,
    lean: float,
    squash: float,
    x: float,
    y: float,
    depth: float = 0,
) -> str:
    """Path data, seen from above or leaning back; finer than the eye sees is left out."""
    parts = []
    for polygon in _polygons(shapely.simplify(shape, 0.3 / scale)):
        for ring in (polygon.exterior, *polygon.interiors):
            at = [
                f"{x + (px + lean * (depth - py)) * scale:.1f} {y + py * scale * squash:.1f}"
                for px, py in ring.coords[:-1]
            ]
            parts.append("M" + "L".join(at) + "z")
    return "".join(parts)


def _right_end(shape: BaseGeometry, scale: float, depth: float, y: float) -> ink.Point:
    """The point of the shape furthest to the right as drawn."""
    points = [point for polygon in _polygons(shape) for point in polygon.exterior.coords]
    px, py = max(points, key=lambda at: at[0] + _LEAN * (depth - at[1]))
    return (12 + (px + _LEAN * (depth - py)) * scale - 2, y + py * scale * _SQUASH)
