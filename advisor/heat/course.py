"""A schedule's course: presses, peels and waits, one configuration of the stack after the other.

Within a phase nothing changes and the temperature is exact (:mod:`advisor.heat.conduction`).
From one phase to the next the field is carried over layer by layer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from advisor.heat.conduction import Configuration, configure, sample_shape, steady_field
from advisor.heat.curve import Curve, Span, spans
from advisor.heat.layers import (
    RESOLVE_S,
    Boundary,
    FloatArray,
    Layer,
    Place,
    Quantity,
    cell_shares,
)
from rules.errors import BadInputError, UnknownNameError

__all__ = ["ROOM_C", "Course", "Phase", "chain", "lay_cells"]

ROOM_C = 20.0
"""The standard atmosphere for textiles, ISO 139 (from memory): 20 °C."""

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
            a layer it does not name is at :data:`ROOM_C`.

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


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """What a schedule does to a stack; made by :func:`chain`.

    Args:
        configurations: one per phase, solved.
        begins_s: when each phase begins.
        seconds: how long each lasts.
        initial_c: the field at each phase's beginning, shape (…, cells).
    """

    configurations: tuple[Configuration, ...]
    begins_s: tuple[float, ...]
    seconds: tuple[float, ...]
    initial_c: tuple[FloatArray, ...]

    @property
    def ends_s(self) -> float:
        """When the last phase ends, seconds from the beginning."""
        return self.begins_s[-1] + self.seconds[-1]

    def curves(self, places: Sequence[Place]) -> list[Curve]:
        """The curve of each place. Asking for all at once shares most of the work.

        Raises:
            UnknownNameError: a place names a layer that no phase holds.
        """
        collected: list[list[Span]] = [[] for _ in places]
        held = {layer.name for stack in self.configurations for layer in stack.layers}
        for place in places:
            if place.layer not in held:
                raise UnknownNameError("layer", place.layer, held)
        for stack, begins, lasts, initial in zip(
            self.configurations, self.begins_s, self.seconds, self.initial_c, strict=True
        ):
            names = {layer.name for layer in stack.layers}
            here = [n for n, place in enumerate(places) if place.layer in names]
            swings = stack.swings(initial)
            rates = np.broadcast_to(stack.rates_per_s, swings.shape)
            terms: list[tuple[FloatArray, Quantity]] = []
            for n in here:
                shares, constant = stack.weights(places[n])
                parts = (shares[..., None, :] @ stack.modes)[..., 0, :]
                settles = (shares * stack.steady_c).sum(axis=-1) + constant
                terms.append((swings * parts, np.broadcast_to(settles, swings.shape[:-1])))
            for n, span in zip(here, spans(begins, lasts, rates, terms), strict=True):
                collected[n].append(span)
        return [Curve(tuple(parts)) for parts in collected]

    def curve(self, place: Place) -> Curve:
        """The temperature of one place against time, over all phases that hold it."""
        return self.curves([place])[0]


def chain(
    phases: Sequence[Phase],
    *,
    resolve_s: float = RESOLVE_S,
    cells: Mapping[str, FloatArray] | None = None,
) -> Course:
    """Follow a stack through a schedule: presses, peels and waits, one after the other.

    A layer that stays keeps its temperatures, a layer that is new begins at its own, and a layer
    that is taken away takes its heat along.

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
    >>> course.curve(Place("film", "back")).at([0.0, 10.0, 40.0]).round(1)
    array([ 20. , 153.2,  21.9])
    """
    if not phases:
        raise BadInputError("is empty; a schedule needs at least one", field="phases")
    shapes = [sample_shape(phase.layers, phase.front, phase.back) for phase in phases]
    shape = np.broadcast_shapes(*shapes)
    chosen = {**lay_cells(phases, resolve_s=resolve_s), **(cells or {})}
    solved: dict[tuple[object, ...], Configuration] = {}
    stacks: list[Configuration] = []
    fields: list[FloatArray] = []
    for phase in phases:
        stack = _solve(phase, chosen, solved)
        field = np.empty((*shape, stack.starts[-1]))
        before: dict[str, FloatArray] = {}
        if stacks:
            ended = stacks[-1].field_at(fields[-1], phases[len(stacks) - 1].seconds)
            before = _by_layer(stacks[-1], ended[..., 0, :])
        for name, part in _by_layer(stack, field).items():
            part[...] = before[name] if name in before else phase.starts_at(name)
        stacks.append(stack)
        fields.append(field)
    lasts = [phase.seconds for phase in phases]
    begins = tuple(float(start) for start in np.cumsum([0.0, *lasts[:-1]]))
    return Course(tuple(stacks), begins, tuple(lasts), tuple(fields))


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
    """The phase's configuration; its modes are those of an earlier phase where these are equal."""
    ends = (phase.front, phase.back)
    conductances = tuple(
        end.conductance_w_m2k
        if end.conductance_w_m2k is None or isinstance(end.conductance_w_m2k, float | int)
        else id(end.conductance_w_m2k)
        for end in ends
    )
    key = (*(id(layer) for layer in phase.layers), *conductances)
    if key not in solved:
        solved[key] = configure(
            phase.layers,
            front=phase.front,
            back=phase.back,
            shares=[cells[layer.name] for layer in phase.layers],
        )
        return solved[key]
    return replace(
        solved[key],
        front=phase.front,
        back=phase.back,
        steady_c=steady_field(1 / solved[key].link_w_m2k, phase.front, phase.back),
    )


def _by_layer(stack: Configuration, field: FloatArray) -> dict[str, FloatArray]:
    """The parts of a field that belong to each layer, as views."""
    edges = zip(stack.layers, stack.starts[:-1], stack.starts[1:], strict=True)
    return {layer.name: field[..., first:end] for layer, first, end in edges}
