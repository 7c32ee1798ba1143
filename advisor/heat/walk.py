"""Walk a column through its moments, with the stacks that have been solved before kept at hand.

The same as :func:`advisor.heat.course.chain`, one moment at a time, so that a dwell can be chosen
while walking; and solved stacks are shared between columns, plans and candidates.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from advisor.heat.conduction import Configuration, configure, steady_field
from advisor.heat.course import ROOM_C, Course
from advisor.heat.curve import Curve, Span, roots, spans
from advisor.heat.layers import Boundary, FloatArray, Layer, Place, Quantity
from advisor.heat.stack import AIR_W_M2K, Moment

__all__ = [
    "METAL", "Entered", "Track", "course_of", "curves_of", "end", "enter", "follow", "held_at",
    "solved", "step_through",
]  # fmt: skip

METAL = Boundary(ROOM_C, None)
"""Under the bed: metal that keeps the temperature of the room."""


@dataclass(frozen=True, slots=True, eq=False)
class Entered:
    """A column at the beginning of a moment: its solved stack and the field it starts from."""

    moment: Moment
    stack: Configuration
    initial_c: FloatArray
    begins_s: float


@dataclass(frozen=True, slots=True, eq=False)
class Track:
    """A column on its way: the temperatures it holds now, by layer, and what it passed through."""

    fields: Mapping[str, FloatArray]
    clock_s: float = 0.0
    passed: tuple[Entered, ...] = ()


@lru_cache(maxsize=1024)
def solved(layers: tuple[Layer, ...], contact_w_m2k: float | None) -> Configuration:
    """A stack under a closed platen, or under air where no contact is given; kept by content."""
    conductance = AIR_W_M2K if contact_w_m2k is None else contact_w_m2k
    return configure(layers, front=Boundary(ROOM_C, conductance), back=METAL)


@lru_cache(maxsize=2048)
def _set_to(
    layers: tuple[Layer, ...], contact_w_m2k: float | None, front_c: float
) -> Configuration:
    stack = solved(layers, contact_w_m2k)
    front = Boundary(front_c, stack.front.conductance_w_m2k)
    steady = steady_field(1 / stack.link_w_m2k, front, METAL)
    return replace(stack, front=front, steady_c=steady)


def enter(track: Track, moment: Moment, *, contact_w_m2k: float) -> Entered:
    """Begin a moment: layers that stay keep their field, new ones are at room temperature."""
    contact = contact_w_m2k if moment.platen_c is not None else None
    stack = _set_to(moment.layers, contact, ROOM_C if moment.platen_c is None else moment.platen_c)
    parts = [
        track.fields[layer.name] if layer.name in track.fields else np.full(last - first, ROOM_C)
        for layer, first, last in zip(
            stack.layers, stack.starts[:-1], stack.starts[1:], strict=True
        )
    ]
    return Entered(moment, stack, np.concatenate(parts), track.clock_s)


def end(track: Track, entered: Entered, seconds: float) -> Track:
    """The track once a moment has lasted for so many seconds."""
    stack = entered.stack
    field = stack.field_at(entered.initial_c, seconds)[0]
    fields = {
        layer.name: field[first:last]
        for layer, first, last in zip(
            stack.layers, stack.starts[:-1], stack.starts[1:], strict=True
        )
    }
    passed = replace(entered, moment=entered.moment._replace(seconds=seconds))
    return Track(fields, track.clock_s + seconds, (*track.passed, passed))


def step_through(track: Track, moments: Sequence[Moment], *, contact_w_m2k: float) -> Track:
    """The track after several moments, each as long as it says."""
    for moment in moments:
        track = end(track, enter(track, moment, contact_w_m2k=contact_w_m2k), moment.seconds)
    return track


def course_of(track: Track) -> Course:
    """All that a track passed through, as a course whose curves can be read."""
    return Course(
        tuple(entered.stack for entered in track.passed),
        tuple(entered.begins_s for entered in track.passed),
        tuple(entered.moment.seconds for entered in track.passed),
        tuple(entered.initial_c for entered in track.passed),
    )


@lru_cache(maxsize=512)
def follow(moments: tuple[Moment, ...], contact_w_m2k: float) -> Course:
    """The course of a column through all its moments, from room temperature; kept by content."""
    return course_of(step_through(Track({}), moments, contact_w_m2k=contact_w_m2k))


def curves_of(entered: Entered, places: Sequence[Place], seconds: float) -> list[Curve]:
    """The curves of places if the moment lasted for so many seconds, on the track's clock."""
    stack = entered.stack
    swings = stack.swings(entered.initial_c)
    terms: list[tuple[FloatArray, Quantity]] = []
    for place in places:
        shares, constant = stack.weights(place)
        terms.append((swings * (shares @ stack.modes), float(shares @ stack.steady_c + constant)))
    made = spans(entered.begins_s, seconds, stack.rates_per_s, terms)
    return [Curve((span,)) for span in made]


def held_at(curve: Curve, temperature_c: float, seconds: float) -> float:
    """When a place has been at or above a temperature for so many seconds in all, by the clock.

    ``inf`` where it never has. The parts of the curve may be apart: only they count.

    >>> warming = Curve(tuple(spans(0.0, 60.0, np.array([0.1]), [(np.array([-80.0]), 100.0)])))
    >>> round(held_at(warming, 60.0, 5.0), 3)  # 10 · ln 2 until it is there
    11.931
    """
    if seconds <= 0:
        return curve.spans[0].begins_s if curve.spans else math.inf
    for span in curve.spans:
        for since, until in _above(span, temperature_c):
            if until - since >= seconds:
                return span.begins_s + since + seconds
            seconds -= until - since
    return math.inf


def _above(span: Span, temperature_c: float) -> list[tuple[float, float]]:
    """The stretches at or above a temperature, since the span's beginning."""
    stretches: list[tuple[float, float]] = []
    times, celsius = span.knots_s, span.knots_c
    since: float | None = 0.0 if celsius[0] >= temperature_c else None
    for n in np.flatnonzero((celsius[1:] >= temperature_c) != (celsius[:-1] >= temperature_c)):
        moment = _crossing(span, float(times[n]), float(times[n + 1]), temperature_c)
        if since is None:
            since = moment
        else:
            stretches.append((since, moment))
            since = None
    if since is not None:
        stretches.append((since, span.lasts_s))
    return stretches


def _crossing(span: Span, low_s: float, high_s: float, temperature_c: float) -> float:
    """Where a span that only rises or only falls between two times passes a temperature."""
    ends = np.exp(-span.rates_per_s * np.array([[low_s], [high_s]])) @ span.swings_c
    above = ends + span.settles_c - temperature_c
    if above[0] == 0 or above[0] * above[1] > 0:
        return low_s
    short_c = np.asarray(span.settles_c - temperature_c)
    found = roots(span.rates_per_s, span.swings_c, short_c, np.array(low_s), np.array(high_s))
    return float(found[0])
