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

import numpy as np

from advisor.heat.conduction import ROOM_C, Configuration, configure
from advisor.heat.curve import Curve, curve_through, grid, joined
from advisor.heat.layers import (
    RESOLVE_S,
    Boundary,
    FloatArray,
    Layer,
    LayerSide,
    cell_shares,
)
from advisor.heat.samples import Terms
from rules.errors import BadInputError, UnknownNameError

__all__ = ["Course", "Leg", "Phase", "chain", "lay_cells"]

_STILL_K = 10.0
"""A bed within this of the pad on it sends no sudden heat into the pad's back."""


@dataclass(frozen=True, slots=True, eq=False)
class Phase:
    """A stretch of a schedule in which nothing changes: one stack between two boundaries.

    Args:
        layers: platen side first; a layer that was in the phase before, by name, keeps its
            temperatures.
        front: the platen, or the air while the press is open.
        back: what the stack lies on.
        seconds: how long the phase lasts, 0 or more.
        new_layers_c: °C of the layers that were not there before, one number or one by name;
            a layer it does not name is at the room's.

    Raises:
        BadInputError: the phase lasts less than 0 s, or for ever.
    """

    layers: tuple[Layer, ...]
    front: Boundary
    back: Boundary
    seconds: float
    new_layers_c: float | Mapping[str, float] = ROOM_C

    def __post_init__(self) -> None:
        if not 0 <= self.seconds < math.inf:
            raise BadInputError(f"is {self.seconds:g}; it must be 0 s or more", field="seconds")

    def starts_at(self, name: str) -> float:
        """°C of a layer when it is laid into this phase."""
        new = self.new_layers_c
        return new.get(name, ROOM_C) if isinstance(new, Mapping) else new


@dataclass(frozen=True, eq=False)
class Leg:
    """One phase as it is walked through.

    Args:
        stack: its layers, solved.
        initial_c: the field at its beginning, shape (…, cells).
        begins_s: when it begins, on the course's clock.
        seconds: how long it lasts.
        closed: whether a platen is closed on it.
        begun: the same leg before it had a length, if it has one.
    """

    stack: Configuration
    initial_c: FloatArray
    begins_s: float
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

    @cached_property
    def _terms(self) -> tuple[Terms, ...]:
        return self.stack.terms(self.initial_c, self._times_s)

    @property
    def _times_s(self) -> FloatArray:
        # What samples spread is far more than what the first knots between tenths would tell.
        return grid(self.seconds, early=self.initial_c.ndim == 1)


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

    def enter(self, stack: Configuration, phase: Phase | None = None) -> Leg:
        """The leg that comes next: ``stack`` as it stands when the legs so far are over.

        Args:
            stack: the layers that lie there now, solved.
            phase: says how warm new layers are; by default as the room.
        """
        held = self.legs[-1].stack.by_layer(self.legs[-1].ended_c) if self.legs else {}
        before = (part.shape[:-1] for part in held.values())
        samples = np.broadcast_shapes(stack.heat_j_m2k.shape[:-1], *before)
        initial = np.empty((*samples, stack.starts[-1]))
        for name, part in stack.by_layer(initial).items():
            part[...] = held[name] if name in held else phase.starts_at(name) if phase else ROOM_C
        return Leg(stack, initial, self.ends_s)

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


def chain(
    phases: Sequence[Phase],
    *,
    resolve_s: float = RESOLVE_S,
    cells: Mapping[str, FloatArray] | None = None,
) -> Course:
    """Follow a stack through a whole schedule.

    Args:
        phases: in order. Phases that share layers and conductances are solved once.
        resolve_s: the shortest time after a change that the cells are to resolve, seconds. Where
            many samples are followed, 2 s costs half and errs far less than the samples spread.
        cells: the cells of layers by name, as shares of their thickness; those it does not name
            get those of :func:`lay_cells`. The same cells while a number is varied keep
            the answer smooth in that number.

    Raises:
        BadInputError: there is no phase, or a phase cannot be.

    A film pressed on cloth, then left to cool:

    >>> film = Layer("film", 80.0, 0.25, 1200.0, 1800.0)
    >>> cloth = Layer("cloth", 400.0, 0.07, 400.0, 1300.0)
    >>> air, bed = Boundary(20.0, 10.0), Boundary(20.0, 50.0)
    >>> course = chain([
    ...     Phase((film, cloth), Boundary(160.0, 1000.0), bed, 10.0),
    ...     Phase((film, cloth), air, bed, 30.0),
    ... ])
    >>> course.curve(LayerSide("film", "back")).at([0.0, 10.0, 40.0]).round(1)
    array([ 20. , 153.2,  21.9])
    """
    if not phases:
        raise BadInputError("is empty; a schedule needs at least one", field="phases")
    chosen = {**lay_cells(phases, resolve_s=resolve_s), **(cells or {})}
    solved: dict[tuple[object, ...], Configuration] = {}
    course = Course()
    for phase in phases:
        leg = course.enter(_solve(phase, chosen, solved), phase)
        course = course.then(leg.lasting(phase.seconds))
    return course


def lay_cells(phases: Sequence[Phase], *, resolve_s: float = RESOLVE_S) -> dict[str, FloatArray]:
    """The cells of every layer of a schedule by name, cut to the layer as it is first laid.

    >>> cloth = Layer("cloth", 400.0, 0.07, 400.0, 1300.0)
    >>> phase = Phase((cloth,), Boundary(160.0, 1000.0), Boundary(20.0, 50.0), 10.0)
    >>> lay_cells([phase])["cloth"].round(2)
    array([0.09, 0.11, 0.13, 0.16, 0.16, 0.13, 0.11, 0.09])
    """
    cells: dict[str, FloatArray] = {}
    for phase in phases:
        for layer in phase.layers:
            if layer.name not in cells:
                fine_back = not _rests(layer.name, phases)
                cells[layer.name] = cell_shares(layer, resolve_s=resolve_s, fine_back=fine_back)
    return cells


def _rests(name: str, phases: Sequence[Phase]) -> bool:
    """Whether a layer always lies lowest, on something about as warm as it was itself."""
    first_c: float | None = None
    for phase in phases:
        if name in (layer.name for layer in phase.layers[:-1]):
            return False
        if phase.layers and phase.layers[-1].name == name:
            first_c = phase.starts_at(name) if first_c is None else first_c
            if np.any(np.abs(phase.back.temperature_c - first_c) > _STILL_K):
                return False
    return True


def _solve(
    phase: Phase, cells: Mapping[str, FloatArray], solved: dict[tuple[object, ...], Configuration]
) -> Configuration:
    """The phase's stack; its modes are those of an earlier phase where these are equal."""
    conductances = [
        id(end.conductance_w_m2k)
        if isinstance(end.conductance_w_m2k, np.ndarray)
        else end.conductance_w_m2k
        for end in (phase.front, phase.back)
    ]
    key = (*(id(layer) for layer in phase.layers), *conductances)
    if key not in solved:
        shares = [cells[layer.name] for layer in phase.layers]
        solved[key] = configure(phase.layers, front=phase.front, back=phase.back, shares=shares)
        return solved[key]
    return solved[key].between(phase.front, phase.back)
