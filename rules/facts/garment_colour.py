"""Garment colour: a name or a hex value becomes the colour of a fabric, and the dye in it."""

from __future__ import annotations

from rules.facts.fabric import DyeClass, Fabric
from rules.facts.fact import Colour, Fact, Hex, Slug

__all__ = ["NamedColour", "hex_colour", "in_colour"]

WHITE_FROM, WHITE_WITHIN = 0xF0, 0x10
"""Red, green and blue from which a colour is white cloth, and how far apart they are then at most:
paler than any dyed shade. Common practice, no source."""

STAINING_PCT = 5.0
"""The least share of a fibre whose dye wanders, percent, that is dyed with the rest. Generic."""


class NamedColour(Fact):
    """A colour in which garments come.

    Attributes:
        undyed: cloth of that name is bleached or as it grew; no dye is in it.
    """

    id: Slug
    srgb: Hex
    undyed: bool = False


def hex_colour(srgb: str) -> NamedColour:
    """The garment colour of an sRGB value ``#rrggbb``, which is its own name.

    >>> [hex_colour(srgb).undyed for srgb in ("#f8f8f5", "#e9dfc9", "#1b2a49")]
    [True, False, False]
    """
    light = [int(srgb[at : at + 2], 16) for at in (1, 3, 5)]
    white = min(light) >= WHITE_FROM and max(light) - min(light) <= WHITE_WITHIN
    return NamedColour.model_construct(id=srgb, srgb=srgb, undyed=white)


def in_colour(fabric: Fabric, colour: NamedColour) -> Fabric:
    """The fabric as it comes in that colour: its id says so, and its dye follows.

    The usual colour of a fabric is that of its own cloth. White and natural cloth holds no dye. A
    fabric whose usual colour is dyed keeps that dye class in another colour; one that is usually
    undyed takes the dye of its fibres. Common practice, no source.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> dyed = [known.fabric(name) for name in ("polyester-jersey:white", "cotton-pique:navy")]
    >>> [(fabric.id, fabric.dye_class) for fabric in dyed]
    [('polyester-jersey:white', 'none'), ('cotton-pique:navy', 'reactive')]
    """
    named = {"id": f"{fabric.make}:{colour.id}"}
    if colour.id in (fabric.colour.name, fabric.colour.srgb):
        return fabric.model_copy(update=named)
    return fabric.model_copy(
        update={
            **named,
            "colour": Colour.model_construct(name=colour.id, srgb=colour.srgb),
            "dye_class": "none" if colour.undyed else _dye(fabric),
        }
    )


def _dye(fabric: Fabric) -> DyeClass:
    if fabric.dye_class != "none":
        return fabric.dye_class
    wandering = (
        share.fibre.dye
        for share in fabric.fibres
        if share.fibre.dye.startswith("disperse") and share.pct >= STAINING_PCT
    )
    return next(wandering, fabric.main_fibre.dye)
