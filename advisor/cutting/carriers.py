"""Carriers: which pieces of a film share one, where the film between them costs more than time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import MultiPolygon

from advisor.artwork.records import Artwork
from advisor.job.records.job import Rates
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from rules.catalogue import Catalogue
from rules.facts.film import Film
from rules.facts.practice import LAY_S, PEEL_S
from rules.facts.text import Text
from rules.facts.units import show_mm, show_s

__all__ = ["BORDER_MM", "Division", "carriers_notes", "divided", "price_mm2"]

BORDER_MM = 3.0
"""How far the weeding border lies outside the pieces. Common practice, no source."""

MOST_PARTS = 120
"""A film with more separate parts than these in one print is cut on one carrier."""

WORTH_A_WORD = 0.002
"""Film that saves less than this share of an hour's rate on a garment is not worth a word."""

Boxes = NDArray[np.float64]

_BORDER = np.array([-1, -1, 1, 1]) * BORDER_MM


@dataclass(frozen=True, slots=True)
class Division:
    """How what a film cuts for one garment is divided among carriers.

    Attributes:
        boxes: left, top, right and bottom of what lies on each carrier, mm.
        film_saved: what the film between them would cost a garment, in the shop's currency.
        more_s: seconds longer that it takes to lay and peel them one by one, s.
        otherwise: the best other division: one carrier for all, or the cheapest of several.
    """

    boxes: tuple[tuple[float, float, float, float], ...]
    film_saved: float
    more_s: float
    otherwise: Division | None = None


def divided(shapes: Sequence[MultiPolygon], film: Film, rates: Rates) -> Division:
    """The cheapest carriers for the pieces that a film cuts, their time counted in.

    Parts whose borders overlap lie on one. Then two at a time are put together, always those that
    waste the least film between them; of all divisions on the way the cheapest is taken.

    >>> from rules.catalogue import load_catalogue
    >>> far = MultiPolygon([shapely.box(0, 0, 20, 20), shapely.box(900, 700, 920, 720)])
    >>> near = MultiPolygon([shapely.box(0, 0, 20, 20), shapely.box(30, 0, 50, 20)])
    >>> film = load_catalogue().film("matte-smooth")
    >>> len(divided([far], film, Rates()).boxes), len(divided([near], film, Rates()).boxes)
    (2, 1)
    """
    per_mm2 = price_mm2(film, rates)
    per_carrier = (LAY_S + PEEL_S) / 3600 * rates.rate_per_hour
    boxes = shapely.bounds(shapely.get_parts(np.array(shapes, dtype=object)))
    if len(boxes) > MOST_PARTS:
        boxes = np.array([[*boxes[:, :2].min(axis=0), *boxes[:, 2:].max(axis=0)]])
    boxes = _clear_of_one_another(boxes)
    steps = [boxes]
    while len(boxes) > 1:
        boxes = _joined(boxes)
        steps.append(boxes)
    whole_mm2 = float(_areas(boxes).sum())

    def division(boxes: Boxes) -> Division:
        saved = per_mm2 * (whole_mm2 - float(_areas(boxes).sum()))
        more_s = (len(boxes) - 1) * (LAY_S + PEEL_S)
        return Division(tuple(map(tuple, boxes.tolist())), saved, more_s)

    ways = [division(step) for step in reversed(steps)]
    ways.sort(key=lambda way: (len(way.boxes) - 1) * per_carrier - way.film_saved)
    best = ways[0]
    others = [way for way in ways if (len(way.boxes) == 1) != (len(best.boxes) == 1)]
    return Division(best.boxes, best.film_saved, best.more_s, others[0] if others else None)


def carriers_notes(plan: Plan, artwork: Artwork, rates: Rates, catalogue: Catalogue) -> list[Text]:
    """Where a film's pieces lie so far apart that several carriers are worth weighing, and which.

    Args:
        artwork: at the width of the largest garment.
    """
    shapes = {piece.id: piece.shape for piece in artwork.pieces}
    groups: dict[tuple[int, str, str], list[MultiPolygon]] = {}
    for piece in plan.pieces:
        if piece.id in shapes and piece.id != NAMES_PIECE:
            key = (piece.rank, piece.film, piece.colour)
            groups.setdefault(key, []).append(shapes[piece.id])
    notes = []
    for (_, film, colour), cut in groups.items():
        best = divided(cut, catalogue.film(film), rates)
        apart = best if len(best.boxes) > 1 else best.otherwise
        if apart is None or apart.film_saved < WORTH_A_WORD * rates.rate_per_hour:
            continue
        time = rates.money(apart.more_s / 3600 * rates.rate_per_hour)
        weighed = (
            f"{colour} {film} for {show_mm(artwork.width_mm):.0f}: {len(apart.boxes)} carriers "
            f"save {rates.money(apart.film_saved)} of film a garment and take "
            f"{show_s(apart.more_s)} more to lay, {time}"
        )
        kept = "it is cut so" if apart is best else "it stays on one carrier"
        notes.append(Text(f"{weighed}: {kept}"))
    return notes


def price_mm2(film: Film, rates: Rates) -> float:
    """What a square millimetre of a film costs with what is wasted of it, in the shop's currency.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> round(price_mm2(film, Rates(film_waste_pct=0)) * film.roll_width_mm * 1000, 2)
    7.4
    """
    waste = 1 + rates.film_waste_pct / 100
    return film.price_per_m / 1000 / film.roll_width_mm * waste


def _clear_of_one_another(boxes: Boxes) -> Boxes:
    """The boxes with those joined whose borders overlap: one could not be laid beside the other."""
    while True:
        bordered = shapely.union_all(shapely.box(*(boxes + _BORDER).T))
        joined: Boxes = shapely.bounds(shapely.get_parts(bordered)) - _BORDER
        if len(joined) == len(boxes):
            return joined
        boxes = joined


def _joined(boxes: Boxes) -> Boxes:
    """The boxes with the two joined that waste the least between them."""
    one, other = np.array([*combinations(range(len(boxes)), 2)]).T
    around = np.hstack(
        [np.minimum(boxes[one, :2], boxes[other, :2]), np.maximum(boxes[one, 2:], boxes[other, 2:])]
    )
    areas = _areas(boxes)
    at = int(np.argmin(_areas(around) - areas[one] - areas[other]))
    rest = np.delete(boxes, [one[at], other[at]], axis=0)
    return np.vstack([rest, around[at]])


def _areas(boxes: Boxes) -> NDArray[np.float64]:
    """The film that each takes with its border, mm²."""
    sides = boxes[:, 2:] - boxes[:, :2] + 2 * BORDER_MM
    areas: NDArray[np.float64] = sides.prod(axis=1)
    return areas
