"""Heat through a stack of layers against time: exact in time, with no time step.

One-dimensional transient conduction, ρ·c·∂T/∂t = ∂/∂x(k·∂T/∂x), through plane layers, with contact
conductances between them and at both ends. Every layer is cut into cells (finite volumes) joined
by the conductances of their half cells in series (the harmonic mean: Patankar, *Numerical Heat
Transfer and Fluid Flow*, section 4.2-3), which gives C·dT/dt = −K·T + b. Scaled by C^½ the matrix
is symmetric and tridiagonal. Its eigendecomposition, taken once, makes the temperature a sum of
decaying exponentials that holds at any time. :mod:`advisor.heat.walk` leads from stack to stack
through a schedule of presses, peels and waits.

**How far to trust it.** At the faces of films and cloth the error of the cells is about 0.1 K from
``resolve_s`` after a change on, inside a thick cloth or at the back of a pad about 0.3 K (tested
against finer cells and another integrator). The inputs are far worse than that: contact
conductances of a press and conductivities of squeezed fabric are known to a factor of two or so
until the shop calibrates them (:mod:`advisor.heat.calibrate`).

**What is left out.** Heat flow along the layers (so the rim of the platen, and anything narrower
than the stack is thick), moisture and its evaporation, melting and curing heat, adhesive that
flows and thins under pressure, properties that change with temperature, and the time that a platen
takes to recover after it has closed on cold cloth.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import accumulate

import numpy as np
from numpy.typing import ArrayLike
from scipy.linalg import lapack

from advisor.heat.layers import (
    RESOLVE_S,
    Boundary,
    FloatArray,
    Layer,
    LayerSide,
    Quantity,
    cell_shares,
    names_of,
)
from rules.errors import BadInputError, UnknownNameError

__all__ = ["AIR_W_M2K", "METAL", "ROOM_C", "Configuration", "configure"]

ROOM_C = 20.0
"""The standard atmosphere for textiles, ISO 139 (from memory): 20 °C."""

AIR_W_M2K = 13.0
"""From an open press's garment to the room, W/(m²·K): natural convection over a hot plate that
faces up, Nu = .15·Ra^⅓ (Incropera, *Fundamentals of Heat and Mass Transfer*, eq. 9.31; from
memory), 6 to 7 between 50 and 120 °C, and radiation 4·ε·σ·T³ with ε = .9, 6 to 9."""

METAL = Boundary(ROOM_C, None)
"""Under the bed of a press: metal that keeps the temperature of the room."""

_STIFF = 1e8
"""Fastest rate times longest time beyond which its round-off, 10⁻¹⁶ of it, begins to matter."""


@dataclass(frozen=True, slots=True, eq=False)
class Configuration:
    """A stack between two boundaries, cut into cells and solved; made by :func:`configure`.

    Arrays bear leading axes for samples, if any; ``cells`` counts all cells, platen side first.

    Args:
        layers: platen side first.
        front: what lies on the first layer: the platen, or air.
        back: what lies under the last layer.
        starts: where each layer's cells begin, with the end as last entry.
        heat_j_m2k: heat capacity of each cell, J/(m²·K), shape (…, cells).
        half_m2k_w: resistance from a cell's centre to its face, m²K/W, shape (…, cells).
        link_w_m2k: conductance between neighbours, the two boundaries included, W/(m²·K), shape
            (…, cells + 1).
        rates_per_s: how fast each mode decays, shape (…, cells), ascending.
        modes: a column per mode, shape (…, cells, cells); ``modesᵀ · heat · modes = 1``.
        steady_c: the field that the stack settles at, shape (…, cells); 0 where both ends are
            insulated, since the mode that never decays carries the mean then.
    """

    layers: tuple[Layer, ...]
    front: Boundary
    back: Boundary
    starts: tuple[int, ...]
    heat_j_m2k: FloatArray
    half_m2k_w: FloatArray
    link_w_m2k: FloatArray
    rates_per_s: FloatArray
    modes: FloatArray
    steady_c: FloatArray

    def between(self, front: Boundary, back: Boundary) -> Configuration:
        """The same stack at other temperatures of its two ends, whose conductances are equal."""
        steady = _steady_field(1 / self.link_w_m2k, front, back)
        return replace(self, front=front, back=back, steady_c=steady)

    def by_layer(self, field_c: FloatArray) -> dict[str, FloatArray]:
        """The parts of a field of shape (…, cells) that belong to each layer, as views."""
        edges = zip(self.layers, self.starts[:-1], self.starts[1:], strict=True)
        return {layer.name: field_c[..., first:end] for layer, first, end in edges}

    def swings(self, initial_c: FloatArray) -> FloatArray:
        """How much of each mode a field holds, shape (…, cells)."""
        heat = self.heat_j_m2k * (initial_c - self.steady_c)
        return np.asarray((heat[..., None, :] @ self.modes)[..., 0, :])

    def field_at(self, initial_c: ArrayLike, seconds: ArrayLike) -> FloatArray:
        """The temperature of every cell at each time, °C, shape (…, times, cells).

        Args:
            initial_c: one temperature, or one per cell, at time 0.
            seconds: times, 0 or more.
        """
        times = np.atleast_1d(np.asarray(seconds, dtype=np.float64))
        swings = self.swings(np.asarray(initial_c, dtype=np.float64))
        decay = np.exp(-self.rates_per_s[..., None, :] * times[:, None])
        field = (decay * swings[..., None, :]) @ np.swapaxes(self.modes, -1, -2)
        return np.asarray(field + self.steady_c[..., None, :])

    def weights(self, place: LayerSide) -> tuple[FloatArray, FloatArray]:
        """What a place's temperature is made of: shares of the cells, and a constant in °C.

        A face's temperature follows from the heat that flows through the half cell to it, which
        keeps it as accurate as the cells (second order).

        Raises:
            UnknownNameError: no layer of this stack bears the place's name.
        """
        names = [layer.name for layer in self.layers]
        if place.layer not in names:
            raise UnknownNameError("layer", place.layer, names)
        index = names.index(place.layer)
        first, last = self.starts[index], self.starts[index + 1] - 1
        cells = self.heat_j_m2k.shape[-1]
        shares = np.zeros(self.heat_j_m2k.shape)
        constant = np.zeros(self.heat_j_m2k.shape[:-1])
        if place.side == "middle":
            # Cells are laid symmetrically: the middle is a centre or halfway between two.
            shares[..., (first + last) // 2] += 0.5
            shares[..., (first + last + 1) // 2] += 0.5
            return shares, constant
        cell, beyond, link = (
            (first, first - 1, first) if place.side == "front" else (last, last + 1, last + 1)
        )
        outer = self.link_w_m2k[..., link] * self.half_m2k_w[..., cell]
        shares[..., cell] = 1.0 - outer
        if 0 <= beyond < cells:
            shares[..., beyond] = outer
        else:
            constant += outer * (self.front if beyond < 0 else self.back).temperature_c
        return shares, constant

    def read(self, field_c: FloatArray, place: LayerSide) -> FloatArray:
        """The temperature of a place in a field of shape (…, times, cells): shape (…, times)."""
        shares, constant = self.weights(place)
        return np.asarray((field_c @ shares[..., None])[..., 0] + constant[..., None])


def configure(
    layers: Sequence[Layer],
    *,
    front: Boundary,
    back: Boundary,
    shares: Sequence[FloatArray] | None = None,
    resolve_s: float = RESOLVE_S,
    horizon_s: float = 0.0,
) -> Configuration:
    """Cut a stack into cells and solve it once for all times.

    Args:
        layers: platen side first.
        front: what lies on the first layer.
        back: what lies under the last layer.
        shares: the cells of each layer as shares of its thickness; by default
            :func:`advisor.heat.layers.cell_shares`.
        resolve_s: the shortest time after a change that the default cells are to resolve.
        horizon_s: times up to which slow modes must hold although the fastest mode is 10¹⁰ times
            faster (a foil on deep ground, over months). Only where that is so is a slower, more
            careful decomposition used.

    Raises:
        BadInputError: no layer, two of one name, or sample arrays of unlike length.

    A wall .04 m thick, one side insulated (Incropera, Example 5.4), after 480 s:

    >>> wall = Layer("wall", 0.04e6, 63.9, 7832.0, 434.0)
    >>> stack = configure([wall], front=Boundary(60.0, 500.0), back=Boundary(60.0, 0.0))
    >>> field = stack.field_at(-20.0, 480.0)
    >>> sides = LayerSide("wall", "front"), LayerSide("wall", "back")
    >>> [round(float(stack.read(field, side)[0]), 1) for side in sides]
    [45.4, 43.0]
    """
    names_of(layers)
    if shares is None:
        shares = [cell_shares(layer, resolve_s=resolve_s) for layer in layers]
    shape = _sample_shape(layers, front, back)
    counts = [share.size for share in shares]
    starts = tuple(accumulate(counts, initial=0))
    um, conductivity, density, capacity = _by_cell(layers, counts, shape)
    thickness = um * 1e-6 * np.concatenate(shares)
    heat = thickness * density * capacity
    half = thickness / (2 * conductivity)
    resistance = np.zeros((*shape, starts[-1] + 1))
    resistance[..., :-1] += half
    resistance[..., 1:] += half
    for layer, first in zip(layers[1:], starts[1:-1], strict=True):
        if layer.contact_w_m2k is not None:
            resistance[..., first] += 1 / layer.contact_w_m2k
    for boundary, end in ((front, 0), (back, -1)):
        if boundary.conductance_w_m2k is not None:
            with np.errstate(divide="ignore"):
                resistance[..., end] += 1 / np.asarray(boundary.conductance_w_m2k, dtype=float)
    link = 1 / resistance
    rates, modes = _modes(heat, link, horizon_s=horizon_s)
    steady = _steady_field(resistance, front, back)
    return Configuration(tuple(layers), front, back, starts, heat, half, link, rates, modes, steady)


def _by_cell(layers: Sequence[Layer], counts: Sequence[int], shape: tuple[int, ...]) -> FloatArray:
    """The four numbers of each layer, for every sample, repeated for each of its cells."""
    rows: list[list[Quantity]] = [
        [layer.thickness_um for layer in layers],
        [layer.conductivity_w_mk for layer in layers],
        [layer.density_kg_m3 for layer in layers],
        [layer.heat_capacity_j_kgk for layer in layers],
    ]
    if not shape:
        return np.repeat(np.array(rows, dtype=np.float64), counts, axis=-1)
    wide = [np.stack([np.broadcast_to(v, shape) for v in row], axis=-1) for row in rows]
    return np.repeat(np.array(wide, dtype=np.float64), counts, axis=-1)


def _sample_shape(layers: Sequence[Layer], front: Boundary, back: Boundary) -> tuple[int, ...]:
    """The leading axes of a stack's arrays: ``()`` for plain numbers, ``(samples,)`` for arrays.

    Raises:
        BadInputError: the arrays are not all of one length.
    """
    numbers: list[Quantity | None] = [front.temperature_c, front.conductance_w_m2k]
    numbers += [back.temperature_c, back.conductance_w_m2k]
    for layer in layers:
        numbers += [layer.thickness_um, layer.conductivity_w_mk, layer.density_kg_m3]
        numbers += [layer.heat_capacity_j_kgk, layer.contact_w_m2k]
    shapes = {np.shape(number) for number in numbers if isinstance(number, np.ndarray)}
    if len(shapes) > 1 or any(len(shape) != 1 for shape in shapes):
        raise BadInputError(
            f"hold arrays of shapes {sorted(shapes)}; samples need arrays of one length",
            field="layers",
        )
    return shapes.pop() if shapes else ()


def _steady_field(resistance: FloatArray, front: Boundary, back: Boundary) -> FloatArray:
    """The field of a steady flow: temperature falls in proportion to the resistance passed."""
    before = np.cumsum(resistance, axis=-1)[..., :-1]
    after = np.cumsum(resistance[..., ::-1], axis=-1)[..., ::-1][..., 1:]
    hot = np.asarray(front.temperature_c)[..., None]
    cold = np.asarray(back.temperature_c)[..., None]
    with np.errstate(invalid="ignore"):
        share = before / (before + after)
    share = np.where(np.isinf(before), 1.0, np.where(np.isinf(after), 0.0, share))
    field = hot + (cold - hot) * share
    return np.asarray(np.where(np.isinf(before) & np.isinf(after), 0.0, field))


def _modes(
    heat: FloatArray, link: FloatArray, *, horizon_s: float
) -> tuple[FloatArray, FloatArray]:
    """Decay rates and modes of C·dT/dt = −K·T, from the symmetric C^−½·K·C^−½."""
    root = np.sqrt(heat)
    diagonal = (link[..., :-1] + link[..., 1:]) / heat
    beside = -link[..., 1:-1] / (root[..., :-1] * root[..., 1:])
    closed = (link[..., 0] == 0) & (link[..., -1] == 0)
    cells = heat.shape[-1]
    if cells == 1:
        return np.where(closed[..., None], 0.0, diagonal), 1 / root[..., None]
    # Round-off in a rate is a share of the fastest rate; only a definite matrix can be factored
    # so that it is a share of the rate itself.
    careful = (diagonal.max(axis=-1) * horizon_s > _STIFF) & ~closed
    rates, vectors = (
        np.empty((heat.size // cells, cells)),
        np.empty((heat.size // cells, cells, cells)),
    )
    of_each = zip(
        diagonal.reshape(-1, cells), beside.reshape(-1, cells - 1), careful.flat, strict=True
    )
    for n, (middle, off, carefully) in enumerate(of_each):
        # What stands behind scipy.linalg.eigh_tridiagonal, whose checks take as long again.
        rates[n], vectors[n], failed = lapack.dstevd(middle, off)
        if carefully:
            falling, _, columns, failed = lapack.dpteqr(middle, off, np.eye(cells), compute_z=2)
            rates[n], vectors[n] = falling[::-1], columns[:, ::-1]
        if failed:
            raise ArithmeticError("the modes of a stack do not converge")
    rates, vectors = rates.reshape(heat.shape), vectors.reshape(*heat.shape, cells)
    # A closed stack keeps its mean for ever, round-off or not.
    rates[..., 0] = np.where(closed, 0.0, rates[..., 0])
    return np.maximum(rates, 0.0), vectors / root[..., None]
