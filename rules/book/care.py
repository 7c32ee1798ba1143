"""Care: how a decorated garment is washed, dried, ironed: the strictest of films and fabric."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from rules.facts.fabric import Fabric
from rules.facts.film import Film

__all__ = ["FIRST_WASH_H", "TUMBLE_LOW_C", "Care", "care_for"]

FIRST_WASH_H = 24
"""Hours between the press and the first wash. Common practice, no source."""

WASHES_C = (30, 40, 50, 60)
"""What a washtub with one bar or two may say, °C. ISO 3758:2012, from memory."""

TUMBLE_LOW_C = 60
"""The hottest air of a tumble drier at one dot, °C. ISO 3758:2012, from memory."""

TUMBLE_ROOM_C = 20.0
"""How far from there an adhesive must be before it softens, °C: fabric in a drum gets hotter than
the air that leaves it. Common practice, no source."""

IRONS_C = (110, 150)
"""One dot and two of the iron, °C, ISO 3758:2012; three are never said of a print, whose adhesive
melts under them whatever the fabric bears."""

NEVER_TUMBLED = ("wool", "silk", "acetate", "polyurethane", "pvc", "chloroprene", "polypropylene")
"""Fibres that a tumble drier felts, creases or stiffens. Common practice, no source."""

WASHED_SOFTLY = ("wool", "silk", "acetate")
"""Fibres that are washed with two bars. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Care:
    """What a customer's label says. Each limit names the film or the fabric that sets it.

    Attributes:
        wash_c: at most, °C; ``None`` where it is washed by hand.
        bars: under the washtub: 1 for a mild wash, 2 for a very mild one.
        tumbled: whether it may be dried in a tumble drier, at one dot.
        iron_c: at most, °C, from inside; ``None`` where it is not ironed.
    """

    wash_c: int | None
    wash_by: str
    bars: int
    tumbled: bool
    tumble_by: str
    iron_c: int | None
    iron_by: str


def care_for(films: Iterable[Film], fabric: Fabric) -> Care:
    """The care of a fabric that bears these films.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> tee, rain = known.fabric("cotton-jersey-tee"), known.fabric("nylon-coated")
    >>> care = care_for([known.film("matte-smooth"), known.film("holographic-fine")], tee)
    >>> care.wash_c, care.wash_by, care.tumbled, care.iron_c
    (30, 'holographic-fine', True, 150)
    >>> care_for([known.film("matte-nylon")], rain).iron_by
    'nylon-coated'
    """
    films = tuple(films)
    washes = {fabric.id: fabric.wash_c} | {film.id: film.wash_limit_c for film in films}
    # A fabric that the dyer's label allows to be ironed hotter is no reason to iron its print so.
    irons = {fabric.id: fabric.iron_fibre.iron_c} | {film.id: film.bears_c for film in films}
    wash_by, iron_by = min(washes, key=washes.__getitem__), min(irons, key=irons.__getitem__)
    softest = min(films, key=lambda film: film.softens_c, default=None)
    tumbled, tumble_by = True, fabric.id
    if fabric.coating != "none" or fabric.share_pct(NEVER_TUMBLED):
        tumbled = False
    elif softest is not None and softest.softens_c < TUMBLE_LOW_C + TUMBLE_ROOM_C:
        tumbled, tumble_by = False, softest.id
    return Care(
        wash_c=_at_most(WASHES_C, washes[wash_by]),
        wash_by=wash_by,
        bars=2 if fabric.share_pct(WASHED_SOFTLY) else 1,
        tumbled=tumbled,
        tumble_by=tumble_by,
        iron_c=_at_most(IRONS_C, irons[iron_by]),
        iron_by=iron_by,
    )


def _at_most(steps: Iterable[int], limit_c: float) -> int | None:
    return max((step for step in steps if step <= limit_c), default=None)
