"""What heat flows through: layers of material, what lies at their two ends, and places in them.

A stack is a sequence of :class:`Layer` with the heated side (the platen) first. Any number in it
may also be an array with one value per sample: the same stack is then worked out for every sample
at once (:mod:`advisor.heat.conduction`).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from rules.errors import BadInputError

__all__ = [
    "RESOLVE_S", "Boundary", "FloatArray", "Layer", "LayerSide", "Quantity", "Side", "cell_shares",
    "names_of",
]  # fmt: skip

FloatArray = NDArray[np.float64]
Quantity = float | FloatArray
"""One number, or one number per sample."""

Side = Literal["front", "middle", "back"]

RESOLVE_S = 0.5
"""The shortest time after a change that the cells are fine enough for, unless asked otherwise."""

_FIRST_CELL = 0.15
_GROWTH = 1.2
_LONG_TO_CROSS = 8.0
"""Diffusion lengths; heat needs some thirty times ``resolve_s`` to show behind that much."""

# Wide enough for any textbook problem; a material of a real press is held to closer limits where
# it is entered.
_THICKEST_UM = 1e9
_MOST_CONDUCTIVE_W_MK = 1e6
_DENSEST_KG_M3 = 1e6
_MOST_HEAT_J_KGK = 1e9
_COLDEST_C = -273.15
_HOTTEST_C = 5000.0


@dataclass(frozen=True, slots=True, eq=False)
class Layer:
    """A layer of one material; two layers are the same layer when they bear the same name.

    Args:
        name: what it is called; a name occurs once in a stack.
        thickness_um: micrometres, above 0.
        conductivity_w_mk: W/(m·K) across the layer, above 0.
        density_kg_m3: kg/m³, above 0.
        heat_capacity_j_kgk: J/(kg·K), above 0.
        contact_w_m2k: conductance in W/(m²·K) between this layer and the one before it (on the
            platen's side); ``None`` where they touch perfectly. The first layer has no layer
            before it: its contact with the platen belongs to the front :class:`Boundary`.
        drying_j_m2: heat that the water in it takes to leave, J/m²; 0 where it is dry. At most one
            layer of a stack is damp.

    Raises:
        BadInputError: a value is not a number, not above 0, or beyond any known material.

    >>> Layer("foil", 20.0, 160.0, 2800.0, 880.0).thickness_um
    20.0
    >>> Layer("foil", 0.0, 160.0, 2800.0, 880.0)
    Traceback (most recent call last):
    rules.errors.BadInputError: foil.thickness_um: is 0; it must be above 0 and at most 1e+09 µm
    """

    name: str
    thickness_um: Quantity
    conductivity_w_mk: Quantity
    density_kg_m3: Quantity
    heat_capacity_j_kgk: Quantity
    contact_w_m2k: Quantity | None = None
    drying_j_m2: float = 0.0

    def __post_init__(self) -> None:
        name = self.name
        _within(name, "thickness_um", self.thickness_um, _THICKEST_UM, "µm")
        _within(name, "conductivity_w_mk", self.conductivity_w_mk, _MOST_CONDUCTIVE_W_MK, "W/mK")
        _within(name, "density_kg_m3", self.density_kg_m3, _DENSEST_KG_M3, "kg/m³")
        _within(name, "heat_capacity_j_kgk", self.heat_capacity_j_kgk, _MOST_HEAT_J_KGK, "J/kgK")
        if self.contact_w_m2k is not None:
            _within(name, "contact_w_m2k", self.contact_w_m2k, math.inf, "W/m²K")

    @property
    def diffusivity_m2_s(self) -> Quantity:
        """Thermal diffusivity k/(ρ·c) in m²/s.

        >>> f"{Layer('soil', 1e6, 0.52, 2050.0, 1840.0).diffusivity_m2_s:.4e}"
        '1.3786e-07'
        """
        return self.conductivity_w_mk / (self.density_kg_m3 * self.heat_capacity_j_kgk)


@dataclass(frozen=True, slots=True, eq=False)
class Boundary:
    """What lies at one end of a stack: a platen, a bed, a steady stream of air, or nothing.

    Args:
        temperature_c: °C of the platen, bed or air.
        conductance_w_m2k: W/(m²·K) between it and the end of the stack: a contact conductance
            or a heat transfer coefficient. ``None``: the end is held at exactly that
            temperature. 0: no heat passes (insulated).

    Raises:
        BadInputError: the temperature is not one, or the conductance is below 0.

    >>> Boundary(160.0, 1000.0).conductance_w_m2k
    1000.0
    >>> Boundary(160.0, -1.0)
    Traceback (most recent call last):
    rules.errors.BadInputError: conductance_w_m2k: is -1; it must be 0 W/m²K (insulated) or more
    """

    temperature_c: Quantity
    conductance_w_m2k: Quantity | None = None

    def __post_init__(self) -> None:
        temperature, conductance = self.temperature_c, self.conductance_w_m2k
        sound = np.less_equal(_COLDEST_C, temperature) & np.less(temperature, _HOTTEST_C)
        must = f"from {_COLDEST_C:g} to {_HOTTEST_C:g} °C"
        _refuse_unless(sound, temperature, must, "temperature_c")
        if conductance is not None:
            sound = np.greater_equal(conductance, 0) & np.less(conductance, math.inf)
            must = "0 W/m²K (insulated) or more"
            _refuse_unless(sound, conductance, must, "conductance_w_m2k")


@dataclass(frozen=True, slots=True)
class LayerSide:
    """A place in a stack: a layer's front face (towards the platen), middle or back face.

    A bond line is the back of its adhesive. Where two layers touch perfectly, the back of the one
    is the front of the next; where a contact conductance lies between, they differ.

    Raises:
        BadInputError: the side is none of the three.

    >>> LayerSide("adhesive", "back")
    LayerSide(layer='adhesive', side='back')
    >>> LayerSide("adhesive", "under")
    Traceback (most recent call last):
    rules.errors.BadInputError: side: is 'under'; it must be front, middle or back
    """

    layer: str
    side: Side = "back"

    def __post_init__(self) -> None:
        if self.side not in get_args(Side):
            raise BadInputError(f"is {self.side!r}; it must be front, middle or back", field="side")


def cell_shares(
    layer: Layer,
    *,
    resolve_s: float = RESOLVE_S,
    first_cell: float = _FIRST_CELL,
    growth: float = _GROWTH,
    fine_back: bool = True,
) -> FloatArray:
    """How a layer is cut into cells: their shares of its thickness, fine at its two faces.

    Heat travels about √(α·t) in a time t. A layer thinner than that is near its straight-line
    profile and one or two cells carry it; a thick one needs fine cells only where heat enters.
    So the cell at each face is ``first_cell`` of √(α·``resolve_s``) and cells grow towards
    the middle by ``growth``. The shares depend on the layer alone, which lets a temperature
    field move from one stack to the next cell by cell.

    Args:
        layer: for an array of samples the cells suit the sample that needs most.
        resolve_s: the shortest time after a change that matters, seconds.
        first_cell: size of the cells at the faces, in diffusion lengths.
        growth: ratio of a cell to its neighbour nearer the face, 1 or more.
        fine_back: whether anything sudden can happen at the back face too. If not, the cells of
            a layer that heat takes long to cross grow from the front all the way.

    Returns:
        Shares summing to 1, shape (cells,), front first.

    >>> film = Layer("film", 50.0, 0.25, 1200.0, 1800.0)
    >>> cell_shares(film)
    array([0.5, 0.5])
    >>> len(cell_shares(Layer("pad", 8000.0, 0.05, 70.0, 1500.0)))
    28
    """
    thickness_m = np.asarray(layer.thickness_um) * 1e-6
    lengths = float(np.max(thickness_m / np.sqrt(layer.diffusivity_m2_s * resolve_s)))
    target = max(lengths / first_cell, 1.0)
    # From one face, n cells span 1 + r + … + r^(n − 1) first cells.
    sides = 2 if fine_back or lengths < _LONG_TO_CROSS else 1
    stretch = math.log(growth)
    count = math.log1p(target / sides * (growth - 1)) / stretch if growth > 1 else target / sides
    cells = max(1, math.ceil(sides * count - 1e-9))
    return _graded(cells, growth, sides)


@lru_cache(maxsize=256)
def _graded(cells: int, growth: float, sides: int) -> FloatArray:
    steps = np.arange(cells)
    if sides == 2:
        steps = np.minimum(steps, steps[::-1])
    sizes = np.power(growth, steps.astype(np.float64))
    shares = np.asarray(sizes / sizes.sum(), dtype=np.float64)
    shares.setflags(write=False)
    return shares


def names_of(layers: Sequence[Layer]) -> list[str]:
    """The names of a stack's layers, platen side first.

    Raises:
        BadInputError: there is no layer, or two bear one name.

    >>> names_of([Layer("foil", 20.0, 160.0, 2800.0, 880.0)])
    ['foil']
    >>> names_of([])
    Traceback (most recent call last):
    rules.errors.BadInputError: layers: is empty; a stack needs at least one layer
    """
    names = [layer.name for layer in layers]
    if not names:
        raise BadInputError("is empty; a stack needs at least one layer", field="layers")
    if len(set(names)) < len(names):
        twice = next(name for name in names if names.count(name) > 1)
        raise BadInputError(
            f"names {twice!r} twice; every layer needs its own name", field="layers"
        )
    return names


def _within(layer: str, field: str, value: Quantity, limit: float, unit: str) -> None:
    # Most layers hold plain numbers, and a batch builds thousands of them.
    if isinstance(value, float) and 0 < value <= limit and value < math.inf:
        return
    sound = np.greater(value, 0) & np.less_equal(value, limit) & np.isfinite(value)
    must = f"above 0 and at most {limit:g} {unit}" if math.isfinite(limit) else f"above 0 {unit}"
    _refuse_unless(sound, value, must, f"{layer}.{field}")


def _refuse_unless(
    sound: NDArray[np.bool_] | np.bool_, value: Quantity, must: str, field: str
) -> None:
    """Refuse the first of some values that is not sound."""
    if not np.all(sound):
        wrong = np.atleast_1d(value)[~np.atleast_1d(sound)][0]
        raise BadInputError(f"is {wrong:g}; it must be {must}", field=field)
