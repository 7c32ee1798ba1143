"""Phases: a list of stacks under platens and in air, followed one after the other, for tests."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from advisor.heat.conduction import ROOM_C, Configuration, configure
from advisor.heat.layers import RESOLVE_S, Boundary, FloatArray, Layer, LayerSide, cell_shares
from advisor.heat.walk import Course
from rules.errors import BadInputError

__all__ = ["LayerSide", "Phase", "chain", "lay_cells"]

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
        warm = {layer.name: phase.starts_at(layer.name) for layer in phase.layers}
        leg = course.enter(_solve(phase, chosen, solved), warm)
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
