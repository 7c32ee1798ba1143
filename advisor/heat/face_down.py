"""Face down: what a film feels that lies under a garment while the garment's other side is pressed.

It lies on the far side of two panels of cloth and of the sheet under it, on the cold lower bed:
cover | upper panel | lower panel | adhesive | face | sheet | pad | bed.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from advisor.heat.curve import above
from advisor.heat.layers import Layer, LayerSide
from advisor.heat.moments import moments_of
from advisor.heat.places import COLD, ended, entered
from advisor.heat.press_layers import Materials, film_layers, sheet_layers
from advisor.heat.records import Moment
from advisor.heat.walk import Course, Leg
from rules.facts.film import Film
from rules.facts.practice import TURN_S
from rules.facts.press import Press
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
    """
    course, turned = COLD, straight_after is None
    if straight_after is not None:
        piece, own = straight_after
        for at in own.scheduled:
            for moment in moments_of(at, (piece,), materials):
                course = _then(course, moment, tuple(map(_dry, moment.layers)), own.press)
    felt: list[Felt | None] = []
    for at in pressed.scheduled:
        felt.append(None)
        for moment in _all_of(moments_of(at, (), materials), turned):
            turned = True
            layers = tuple(_turned(moment.layers, film, sheet, materials))
            course = _then(course, moment, layers, pressed.press)
            if moment.closed:
                felt[-1] = _felt(course.legs[-1], film.bonds_c)
    return tuple(felt)


@lru_cache(maxsize=512)
def _felt(leg: Leg, bonds_c: float) -> Felt:
    [curve] = leg.curves([ADHESIVE])
    hot_s = math.ceil(round(float(above(curve, bonds_c).seconds), 2))
    return Felt(float(hot_s), float(curve.hottest_c))


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
        yield _dry(layer, UPPER_PANEL)
        yield _dry(layer)
        yield from reversed(film_layers(film, 0, False, materials))
        yield from sheet_layers(sheet, "sheet", materials)


# One object per layer: what was followed is kept by them.
@lru_cache(maxsize=512)
def _dry(layer: Layer, name: str = "") -> Layer:
    return replace(layer, name=name or layer.name, drying_j_m2=0.0)


def _then(course: Course, moment: Moment, layers: tuple[Layer, ...], press: Press) -> Course:
    """A course and a moment more. A panel that is turned keeps its heat, not its hotter side."""
    platen_c = None if moment.platen_c is None else moment.platen_c + press.flat_c
    leg = entered(course, layers, platen_c, press.contact_w_m2k)
    return ended(course, leg, moment.seconds)
