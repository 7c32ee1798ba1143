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
than the stack is thick), melting and curing heat, adhesive that flows and thins under pressure,
properties that change with temperature, and the time that a platen takes to recover after it has
closed on cold cloth. What leaving moisture takes is followed beside it
(:mod:`advisor.heat.drying`).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate

import numpy as np
from numpy.typing import ArrayLike, NDArray
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
from advisor.heat.samples import Terms, dying_away
from rules.errors import BadInputError, UnknownNameError

__all__ = ["AIR_W_M2K", "METAL", "ROOM_C", "Configuration", "configure"]

ROOM_C = 20.0
"""The standard atmosphere for textiles, ISO 139 (from memory): 20 °C."""

AIR_W_M2K = 13.0
"""From an open press's garment to the room, W/(m²·K): natural convection over a hot plate that
faces up, Nu = .54·Ra^¼ for 10⁴ ≤ Ra ≤ 10⁷ over its area by its edge (Incropera, *Fundamentals of
Heat and Mass Transfer*, eq. 9.30; from memory), on a platen of 38 × 38 cm, and radiation 4·ε·σ·T³
with ε = .9: at 70 °C, between 11 at 40 °C and 16 at 120 °C."""

METAL = Boundary(ROOM_C, None)
"""Under the bed of a press: metal that keeps the temperature of the room."""

_STIFF = 1e8
"""Fastest rate times longest time beyond which its round-off, 10⁻¹⁶ of it, begins to matter."""


_ROWS = 16
"""Rows of a product taken at a time: larger ones start threads, which cost more than they do."""


@dataclass(frozen=True, slots=True, eq=False)
class Modes:
    """How a stack settles, told apart by identity.

    Args:
        rates_per_s: how fast each mode decays, shape (cells,), ascending.
        fields: a column per mode, shape (cells, cells); ``fieldsᵀ · heat · fields = 1``.
    """

    rates_per_s: FloatArray
    fields: FloatArray


@dataclass(frozen=True, slots=True, eq=False)
class Configuration:
    """A stack between two boundaries, cut into cells and solved; made by :func:`configure`.

    Arrays bear a leading axis for samples, if any; ``cells`` counts all cells, platen side first.

    Args:
        layers: platen side first.
        front: what lies on the first layer: the platen, or air.
        back: what lies under the last layer.
        starts: where each layer's cells begin, with the end as last entry.
        heat_j_m2k: heat capacity of each cell, J/(m²·K), shape (…, cells).
        half_m2k_w: resistance from a cell's centre to its face, m²K/W, shape (…, cells).
        link_w_m2k: conductance between neighbours, the two boundaries included, W/(m²·K), shape
            (…, cells + 1).
        steady_c: the field that the stack settles at, shape (…, cells); 0 where both ends are
            insulated, since the mode that never decays carries the mean then.
        modes: how the stack settles; ``None`` for samples, which are followed without them
            (:mod:`advisor.heat.samples`).
    """

    layers: tuple[Layer, ...]
    front: Boundary
    back: Boundary
    starts: tuple[int, ...]
    heat_j_m2k: FloatArray
    half_m2k_w: FloatArray
    link_w_m2k: FloatArray
    steady_c: FloatArray
    modes: Modes | None

    def between(self, front: Boundary, back: Boundary) -> Configuration:
        """The same stack at other temperatures of its two ends, whose conductances are equal."""
        steady = _steady_field(1 / self.link_w_m2k, front, back)
        return replace(self, front=front, back=back, steady_c=steady)

    def by_layer(self, field_c: FloatArray) -> dict[str, FloatArray]:
        """The parts of a field of shape (…, cells) that belong to each layer, as views."""
        edges = zip(self.layers, self.starts[:-1], self.starts[1:], strict=True)
        return {layer.name: field_c[..., first:end] for layer, first, end in edges}

    def terms(
        self, initial_c: ArrayLike, times: FloatArray, *, cells: int | None = None
    ) -> tuple[Terms, ...]:
        """How a field goes over into the steady one, as decaying exponentials.

        Args:
            initial_c: one temperature, or one per cell, at time 0.
            times: seconds, 0 or more, shape (times,).
            cells: how many cells samples are followed in, from the platen on; all by default.
        """
        excess = np.asarray(initial_c, dtype=np.float64) - self.steady_c
        if self.modes is None:
            return tuple(dying_away(self.heat_j_m2k, self.link_w_m2k, excess, times, cells=cells))
        fields = self.modes.fields
        decay, swings = _decay(self.modes, times.tobytes()), (self.heat_j_m2k * excess) @ fields
        return ((np.ones(times.shape, dtype=bool), decay, swings, fields.T),)

    def field_at(self, initial_c: ArrayLike, seconds: ArrayLike) -> FloatArray:
        """The temperature of every cell at each time, °C, shape (…, times, cells).

        Args:
            initial_c: one temperature, or one per cell, at time 0.
            seconds: times, 0 or more.
        """
        times = np.atleast_1d(np.asarray(seconds, dtype=np.float64))
        field = np.empty((*self.heat_j_m2k.shape[:-1], times.size, self.starts[-1]))
        for at, decay, weights, fields in self.terms(initial_c, times):
            field[..., at, :] = ((weights * decay) @ fields).real
        return np.asarray(field + self.steady_c[..., None, :])

    def course_of(
        self, places: Sequence[LayerSide], terms: Sequence[Terms], times: FloatArray
    ) -> tuple[FloatArray, FloatArray]:
        """The temperature of places at each time, and where they settle.

        Args:
            places: each in a layer of this stack; at least one.
            terms: of the field at time 0; see :meth:`terms`.
            times: the seconds that the terms are for.

        Returns:
            °C of shape (…, times, places) and (…, places).

        Raises:
            UnknownNameError: no layer of this stack bears a place's name.
        """
        # One column more than is asked: a product with a single one starts threads for nothing.
        read = [self._reading(place) for place in (*places, places[-1])]
        samples = self.heat_j_m2k.shape[:-1]
        settles = np.empty((*samples, len(read)))
        celsius = np.empty((len(read), *samples, times.size))
        for n, (cells, shares, constant) in enumerate(read):
            settles[..., n] = constant
            for cell, share in zip(cells, shares, strict=True):
                settles[..., n] += share * self.steady_c[..., cell]
        for at, decay, weights, fields in terms:
            parts = np.stack([_part(fields, cells, shares) for cells, shares, _ in read])
            celsius[..., at] = _real_product(parts * weights, decay.T)
        settled = np.moveaxis(celsius[:-1], 0, -1) + settles[..., None, :-1]
        return settled, settles[..., :-1]

    def change_of(self, places: Sequence[LayerSide], swings: FloatArray) -> FloatArray:
        """The temperature of places in a change of the field, given by its part in each mode.

        Args:
            places: each in a layer of this stack, which is not of samples.
            swings: shape (times, modes).

        Returns:
            K, shape (times, places).
        """
        if self.modes is None:
            raise ValueError("samples are followed without modes")
        read = [self._reading(place) for place in places]
        fields = self.modes.fields.T
        return np.asarray(swings @ np.stack([_part(fields, c, s) for c, s, _ in read], axis=-1))

    def _reading(
        self, place: LayerSide
    ) -> tuple[tuple[int, int], tuple[Quantity, Quantity], Quantity]:
        """What a place's temperature is made of: shares of two cells, and a constant in °C.

        A face's temperature follows from the heat that flows through the half cell to it, which
        keeps it as accurate as the cells (second order).
        """
        names = [layer.name for layer in self.layers]
        if place.layer not in names:
            raise UnknownNameError("layer", place.layer, names)
        index = names.index(place.layer)
        first, last = self.starts[index], self.starts[index + 1] - 1
        if place.side == "middle":
            # Cells are laid symmetrically: the middle is a centre or halfway between two.
            return ((first + last) // 2, (first + last + 1) // 2), (0.5, 0.5), 0.0
        cell, beyond, link = (
            (first, first - 1, first) if place.side == "front" else (last, last + 1, last + 1)
        )
        outer = self.link_w_m2k[..., link] * self.half_m2k_w[..., cell]
        if 0 <= beyond < self.starts[-1]:
            return (cell, beyond), (1.0 - outer, outer), 0.0
        end = self.front if beyond < 0 else self.back
        return (cell, cell), (1.0 - outer, 0.0), outer * end.temperature_c

    def read(self, field_c: FloatArray, place: LayerSide) -> FloatArray:
        """The temperature of a place in a field of shape (…, times, cells): shape (…, times).

        Raises:
            UnknownNameError: no layer of this stack bears the place's name.
        """
        cells, shares, constant = self._reading(place)
        return np.asarray(_part(field_c, cells, shares) + np.asarray(constant)[..., None])


def _real_product(parts: NDArray[np.inexact], decay: NDArray[np.inexact]) -> NDArray[np.inexact]:
    """The real part of a product; of complex matrices, by a real product twice as wide."""
    if not np.iscomplexobj(parts):
        return np.asarray(parts @ decay)
    rows = np.concatenate([parts.real, -parts.imag], axis=-1).reshape(-1, 2 * len(decay))
    wide = np.concatenate([decay.real, decay.imag])
    product = np.empty((len(rows), wide.shape[-1]), dtype=wide.dtype)
    for first in range(0, len(rows), _ROWS):
        np.matmul(rows[first : first + _ROWS], wide, out=product[first : first + _ROWS])
    return product.reshape(*parts.shape[:-1], -1)


def _part(
    fields: NDArray[np.inexact], cells: tuple[int, int], shares: tuple[Quantity, Quantity]
) -> NDArray[np.inexact]:
    one, other = (
        np.asarray(share)[..., None] * fields[..., cell]
        for share, cell in zip(shares, cells, strict=True)
    )
    return np.asarray(one + other)


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
    steady = _steady_field(resistance, front, back)
    modes = None if shape else _modes(heat, link, horizon_s=horizon_s)
    return Configuration(tuple(layers), front, back, starts, heat, half, link, steady, modes)


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


# A stack is asked about at the same times from one dial and beginning after the other.
@lru_cache(maxsize=256)
def _decay(modes: Modes, times: bytes) -> FloatArray:
    return np.asarray(np.exp(np.frombuffer(times)[:, None] * -modes.rates_per_s))


def _modes(heat: FloatArray, link: FloatArray, *, horizon_s: float) -> Modes:
    """Decay rates and modes of C·dT/dt = −K·T, from the symmetric C^−½·K·C^−½."""
    root = np.sqrt(heat)
    diagonal = (link[:-1] + link[1:]) / heat
    beside = -link[1:-1] / (root[:-1] * root[1:])
    closed = link[0] == 0 and link[-1] == 0
    # What stands behind scipy.linalg.eigh_tridiagonal, whose checks take as long again. (A routine
    # for full matrices starts threads for these small ones, which is ruinous on a busy machine.)
    rates, vectors, failed = lapack.dstevd(diagonal, beside if beside.size else np.zeros(1))
    # Round-off in a rate is a share of the fastest rate; only a definite matrix can be factored
    # so that it is a share of the rate itself.
    if diagonal.max() * horizon_s > _STIFF and not closed and beside.size:
        falling, _, columns, failed = lapack.dpteqr(
            diagonal, beside, np.eye(heat.size), compute_z=2
        )
        rates, vectors = falling[::-1], columns[:, ::-1]
    if failed:
        raise ArithmeticError("the modes of a stack do not converge")
    if closed:
        # A closed stack keeps its mean for ever, round-off or not.
        rates[0] = 0.0
    return Modes(np.maximum(rates, 0.0), vectors / root[:, None])
