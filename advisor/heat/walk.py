"""A walk through a schedule: presses, peels and waits, one stack of layers after the other.

Within a phase nothing changes and the temperature is exact (:mod:`advisor.heat.conduction`). From
one phase to the next a layer that stays keeps its temperatures, a layer that is new begins at its
own, and a layer that is taken away takes its heat along. A walk can be led step by step, so that
the seconds of a phase are chosen by what is seen in it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from types import MappingProxyType

import numpy as np

from advisor.heat.conduction import ROOM_C, Configuration
from advisor.heat.curve import Curve, curve_through, grid, joined
from advisor.heat.drying import Drying, damp_cells, drying, wet_share
from advisor.heat.layers import FloatArray, LayerSide
from advisor.heat.samples import Terms
from rules.errors import UnknownNameError
from rules.facts.moisture import DRIES_FROM_C

__all__ = ["Course", "Leg", "horizon_s"]

NONE_WARM: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, eq=False)
class Leg:
    """One phase as it is walked through.

    Args:
        stack: its layers, solved.
        initial_c: the field at its beginning, shape (…, cells).
        begins_s: when it begins, on the course's clock.
        seconds: how long it lasts.
        dried_c: how hot each cell that held water has been before, °C, shape (damp cells,).
        closed: whether a platen is closed on it.
        begun: the same leg before it had a length, if it has one.
    """

    stack: Configuration
    initial_c: FloatArray
    begins_s: float
    dried_c: FloatArray
    seconds: float = 0.0
    closed: bool = False
    begun: Leg | None = None

    @property
    def lasts_s(self) -> tuple[float, float]:
        """When it begins and when it ends, on the course's clock."""
        return self.begins_s, self.begins_s + self.seconds

    def lasting(self, seconds: float) -> Leg:
        """The same leg, lasting for so many seconds; the same object whenever it is asked for."""
        return _lasting(self.begun or self, seconds)

    def curves(self, places: Sequence[LayerSide]) -> list[Curve]:
        """The curve of each place within this leg, which must hold them all."""
        if not places:
            return []
        celsius, settles = self.stack.course_of(places, self._terms, self._times_s)
        return [
            curve_through(self.begins_s, self._times_s, celsius[..., n], settles[..., n])
            for n in range(len(places))
        ]

    @cached_property
    def ended_c(self) -> FloatArray:
        """The field at its end, shape (…, cells)."""
        [(decay, weights, fields)] = [term[1:] for term in self._terms if term[0][-1]]
        left = ((weights * decay[-1]) @ fields).real
        return np.asarray(left + self.stack.steady_c)

    @property
    def dried_to_c(self) -> FloatArray:
        """How hot each cell that held water has been by its end, °C, shape (damp cells,)."""
        found = self._drying
        return self.dried_c if found is None else found.dried_at(self.seconds)

    @property
    def wet_share(self) -> float:
        """The share of the fabric's water that is in it at the end, 0 to 1."""
        return wet_share(self.stack, self.dried_to_c)

    def taken_k(self, places: Sequence[LayerSide], times_s: FloatArray) -> FloatArray:
        """What leaving water takes from places at some times, K, shape (times, places)."""
        if self._drying is None:
            return np.zeros((times_s.size, len(places)))
        return self.stack.change_of(places, self._drying.swings_at(times_s))

    @cached_property
    def _terms(self) -> tuple[Terms, ...]:
        terms = self.stack.terms(self.initial_c, self._times_s)
        if self._drying is None:
            return terms
        [(at, decay, swings, fields)] = terms
        taken = self._drying.swings_at(self._times_s)
        return ((at, decay * swings + taken, np.ones(swings.shape), fields),)

    @property
    def _drying(self) -> Drying | None:
        return _drying(self.begun or self, horizon_s(self.seconds)) if self.dried_c.size else None

    @property
    def _times_s(self) -> FloatArray:
        # What samples spread is far more than what the first knots between tenths would tell.
        return grid(self.seconds, early=self.initial_c.ndim == 1)


def horizon_s(seconds: float) -> float:
    """How far curves are worked out for a phase of so many seconds: whatever it lasts reads them.

    >>> [horizon_s(seconds) for seconds in (0.0, 15.0, 31.0)]
    [30.0, 30.0, 60.0]
    """
    return 30.0 * max(1, math.ceil(seconds / 30))


@lru_cache(maxsize=1024)
def _drying(begun: Leg, lasts_s: float) -> Drying | None:
    return drying(begun.stack, begun.initial_c, begun.dried_c, lasts_s)


# What is read off a leg is kept with it, so that timing and judging it share the work.
@lru_cache(maxsize=2048)
def _lasting(begun: Leg, seconds: float) -> Leg:
    return replace(begun, seconds=seconds, begun=begun)


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """What a stack has passed through, leg by leg."""

    legs: tuple[Leg, ...] = ()

    @property
    def ends_s(self) -> float:
        """When the last leg ends, seconds from the beginning."""
        return self.legs[-1].lasts_s[1] if self.legs else 0.0

    def enter(self, stack: Configuration, new_c: Mapping[str, float] = NONE_WARM) -> Leg:
        """The leg that comes next: ``stack`` as it stands when the legs so far are over.

        Args:
            stack: the layers that lie there now, solved.
            new_c: °C of new layers, by name, that are not as warm as the room.
        """
        held = self.legs[-1].stack.by_layer(self.legs[-1].ended_c) if self.legs else {}
        before = (part.shape[:-1] for part in held.values())
        samples = np.broadcast_shapes(stack.heat_j_m2k.shape[:-1], *before)
        initial = np.empty((*samples, stack.starts[-1]))
        for name, part in stack.by_layer(initial).items():
            part[...] = held[name] if name in held else new_c.get(name, ROOM_C)
        return Leg(stack, initial, self.ends_s, self._dried(stack))

    def _dried(self, stack: Configuration) -> FloatArray:
        """How hot each damp cell of the stack has been, °C: the fabric lies there throughout."""
        last = self.legs[-1].dried_to_c if self.legs else np.empty(0)
        damp = damp_cells(stack)
        return last if last.size else np.full(damp.stop - damp.start, DRIES_FROM_C)

    def then(self, leg: Leg) -> Course:
        """The course with one more leg behind it."""
        return Course((*self.legs, leg))

    def curves(self, places: Sequence[LayerSide]) -> list[Curve]:
        """The curve of each place. Asking for all at once shares most of the work.

        Raises:
            UnknownNameError: a place names a layer that no leg holds.
        """
        collected: list[list[Curve]] = [[] for _ in places]
        held = {layer.name for leg in self.legs for layer in leg.stack.layers}
        for place in places:
            if place.layer not in held:
                raise UnknownNameError("layer", place.layer, held)
        for leg in self.legs:
            names = {layer.name for layer in leg.stack.layers}
            here = [n for n, place in enumerate(places) if place.layer in names]
            for n, curve in zip(here, leg.curves([places[n] for n in here]), strict=True):
                collected[n].append(curve)
        return [joined(parts) for parts in collected]

    def curve(self, place: LayerSide) -> Curve:
        """The temperature of one place against time, over all legs that hold it."""
        return self.curves([place])[0]
