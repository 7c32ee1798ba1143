"""Apart: an artwork seen flat in its films, and its layers pulled apart in pressing order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from advisor.artwork.records import Artwork
from advisor.artwork.svg.writing import path_data
from advisor.job.records.plan import Plan
from rules.facts.fabric import Fabric
from ui.drawing import ink
from ui.drawing.labels import Label, labelled
from ui.drawing.texture import Coloured, fabric_texture, film_texture

__all__ = ["artwork_flat", "layers_apart"]

_WIDTH = 590.0
_BODY = 270.0
_LEAN, _SQUASH = 0.3, 0.5


def artwork_flat(
    artwork: Artwork,
    looks: Mapping[str, Coloured] | None = None,
    *,
    ground: str | None = None,
) -> str:
    """The artwork as it will look, each piece in its film; each of its marks names its piece.

    Args:
        looks: the film and colour of each piece by id; a piece without one keeps its own fill.
        ground: sRGB of the garment that it is worn on; bare paper by default.

    >>> from advisor.artwork.reader import read_artwork
    >>> square = read_artwork('<svg xmlns="http://www.w3.org/2000/svg" width="20mm" '
    ...     'height="10mm"><rect width="100%" height="100%" fill="#123456"/></svg>')
    >>> "#123456" in artwork_flat(square)
    True
    """
    films = looks or {}
    scale = 400 / max(artwork.width_mm, artwork.height_mm)
    width, height = artwork.width_mm * scale + 16, artwork.height_mm * scale + 16
    marks, defs = [] if ground is None else [ink.rect(0, 0, width, height, fill=ground)], set()
    for piece in artwork.pieces:
        seen = shapely.simplify(piece.visible, 0.3 / scale)
        d = path_data(affine_transform(seen, [scale, 0, 0, scale, 8, 8]), 1)
        look = films.get(piece.id)
        colour, name = look.srgb if look else piece.fill, {"data_piece": piece.id}
        marks.append(ink.path(d, fill=colour, opacity=piece.opacity, **name))
        texture = film_texture(look.film, view="above") if look else None
        if texture and texture.fill:
            defs.add(texture.defs)
            marks.append(ink.path(d, fill=texture.fill, **name))
    return ink.sheet_of_paper(
        marks,
        width=width,
        height=height,
        title=artwork.name,
        alt=f"{artwork.name}, {len(artwork.pieces)} pieces",
        defs=defs,
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
    levels = list(dict.fromkeys(piece.rank for piece in order))
    scale = _BODY / (artwork.width_mm + _LEAN * artwork.height_mm)
    tall = artwork.height_mm * scale * _SQUASH
    lift = min(104.0, max(46.0, tall * 0.8))
    base = 16 + lift * len(levels)
    ground = _leaning(shapely.box(0, 0, artwork.width_mm, artwork.height_mm), artwork, scale, base)
    d, texture = path_data(ground, 1), fabric_texture(fabric)
    marks = [
        ink.path(d, fill=fabric.colour.srgb, stroke=1),
        ink.path(d, fill=texture.fill, opacity=0.5),
    ]
    labels, defs = [Label(_right_end(ground), fabric.id, fabric.colour.name)], {texture.defs}
    for piece in order:
        look, y = looks[piece.id], base - lift * (levels.index(piece.rank) + 1)
        shape = (shapes or {}).get(piece.id) or by_id[piece.id].shape
        drawn = _leaning(shape, artwork, scale, y)
        d, texture = path_data(drawn, 1), film_texture(look.film, view="above")
        marks.append(ink.path(d, fill=look.srgb, stroke=0.9))
        if texture.fill:
            defs.add(texture.defs)
            marks.append(ink.path(d, fill=texture.fill))
        labels.append(Label(_right_end(drawn), look.words, piece.called, number=piece.rank))
    return labelled(
        marks,
        labels,
        left=_BODY + 52,
        bend=_BODY + 24,
        width=_WIDTH,
        bottom=base + tall + 18,
        title="Layers pulled apart",
        alt="From the first that goes down: " + "; ".join(looks[piece.id].words for piece in order),
        defs=defs,
    )


def _leaning(shape: BaseGeometry, artwork: Artwork, scale: float, y: float) -> BaseGeometry:
    """A shape of the artwork leaning back, its upper edge at ``y``; too fine to see is left out."""
    across = [scale, -_LEAN * scale, 0, scale * _SQUASH]
    to = [12 + _LEAN * artwork.height_mm * scale, y]
    return affine_transform(shapely.simplify(shape, 0.3 / scale), [*across, *to])


def _right_end(drawn: BaseGeometry) -> ink.Point:
    """The point of a drawn shape furthest to the right, a little inside."""
    x, y = max(map(tuple, shapely.get_coordinates(drawn).tolist()))
    return (x - 2, y)
