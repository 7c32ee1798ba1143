"""Face down: what a film feels that lies under a garment while the garment's other side is pressed.

It lies on the far side of two panels of cloth and of the sheet under it, on the cold lower bed:
cover | upper panel | lower panel | adhesive | face | sheet | pad | bed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from typing import NamedTuple

from advisor.heat.conduction import AIR_W_M2K, METAL, ROOM_C, configure
from advisor.heat.curve import above
from advisor.heat.layers import Boundary, Layer, LayerSide
from advisor.heat.moments import moments_of
from advisor.heat.places import cells_of
from advisor.heat.press_layers import Materials, film_layers, sheet_layers
from advisor.heat.records import Moment
from advisor.heat.walk import Course, Leg
from rules.facts.film import Film
from rules.facts.practice import TURN_S
from rules.facts.schedule import Schedule
from rules.facts.sheet import Sheet

__all__ = ["Felt", "felt_face_down"]

FABRIC = "fabric"
UPPER_PANEL = "upper fabric"
ADHESIVE = LayerSide("0 adhesive", "front")


class Felt(NamedTuple):
    """A press as a film feels it that lies face down under it.

    Attributes:
        seconds: how long its adhesive is as hot as where it bonds, rounded up: in a press of its
            own it is nearly throughout, and that is what a film's pressed seconds are. Less leaves
            a film that is down as it is. ``peak_c``: how hot it gets.
    """

    seconds: float
    peak_c: float


def felt_face_down(
    film: Film,
    pressed: Schedule,
    *,
    sheet: Sheet | None,
    straight_after: tuple[str, Schedule] | None,
    materials: Materials,
) -> tuple[Felt | None, ...]:
    """What each step of the other side's print does to a film; nothing where the press stays open.

    The hot end of the platen, dry cloth, no film between, and a film straight on its cloth: each
    is the hotter side of what may be.

    Args:
        film: it lies straight on the lower panel.
        pressed: the steps above it.
        sheet: what it lies on.
        straight_after: its piece and the steps that pressed it, where the garment was turned while
            it was hot; a film of a garment that had time to cool begins as warm as the room.
        materials: thermal materials by id.
    """
    hotter_k = pressed.press.flat_c
    course = Course()
    if straight_after is not None:
        piece, own = straight_after
        for at in own.scheduled:
            for moment in moments_of(at, (piece,), materials):
                course = course.then(_leg(course, moment, moment.layers, hotter_k, own))
    felt: list[Felt | None] = []
    turned = straight_after is None
    for at in pressed.scheduled:
        felt.append(None)
        for moment in _all_of(tuple(moments_of(at, (), materials)), turned):
            turned = True
            layers = tuple(_turned(moment.layers, film, sheet, materials))
            leg = _leg(course, moment, layers, hotter_k, pressed)
            course = course.then(leg)
            if moment.closed:
                [curve] = leg.curves([ADHESIVE])
                hot_s = math.ceil(round(float(above(curve, film.bonds_c).seconds), 2))
                felt[-1] = Felt(float(hot_s), float(curve.hottest_c))
    return tuple(felt)


def _all_of(moments: tuple[Moment, ...], turned: bool) -> Iterator[Moment]:
    """What happens in a step; the first of all begins with turning a garment that is hot."""
    if moments and not turned:
        yield moments[0]._replace(platen_c=None, seconds=TURN_S)
    yield from moments


def _turned(
    layers: tuple[Layer, ...], film: Film, sheet: Sheet | None, materials: Materials
) -> Iterator[Layer]:
    """The layers of a bare garment with a second panel, the film and its sheet under it."""
    for layer in layers:
        if layer.name != FABRIC:
            yield layer
            continue
        dry = replace(layer, drying_j_m2=0.0)
        yield replace(dry, name=UPPER_PANEL)
        yield dry
        yield from reversed(film_layers(film, 0, False, materials))
        yield from sheet_layers(sheet, "sheet", materials)


def _leg(
    course: Course, moment: Moment, layers: tuple[Layer, ...], hotter_k: float, schedule: Schedule
) -> Leg:
    """A moment after a course. A panel that is turned keeps its heat, not which side is hotter."""
    if moment.platen_c is None:
        front = Boundary(ROOM_C, AIR_W_M2K)
    else:
        front = Boundary(moment.platen_c + hotter_k, schedule.press.contact_w_m2k)
    dry = tuple(replace(layer, drying_j_m2=0.0) for layer in layers)
    stack = configure(dry, front=front, back=METAL, shares=cells_of(dry))
    leg = course.enter(stack).lasting(moment.seconds)
    return replace(leg, closed=moment.closed)
