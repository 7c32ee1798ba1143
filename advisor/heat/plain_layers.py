"""Plain layers heated from one side: the question in numbers alone, without films or steps.

A stack of any layers lies under a platen that is at its temperature from time 0 on. The answer is
the temperature of every interface, and of both ends, at the times asked. It is meant to be
compared with textbooks, so it spends cells freely: every decade of time gets its own mesh, and
two meshes, one with every cell halved, are extrapolated to cells of no size (Richardson; Roache,
*Verification and Validation in Computational Science and Engineering*, chapter 5).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Annotated, Any

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, ValidationError

from advisor.heat.conduction import configure
from advisor.heat.layers import Boundary, FloatArray, Layer, LayerSide, cell_shares
from rules.catalogue.complaints import first_problem
from rules.errors import BadInputError

__all__ = ["PlainLayer", "PlainStack", "plain_layers"]

_FIRST_CELL = 0.1
_GROWTH = 1.2
_LONGEST_RUN = 10.0
"""Times within this ratio share a mesh."""
_MOST_CELLS = 400

Celsius = Annotated[float, Field(ge=-273.15, le=4000)]


class _Plain(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", strict=True, allow_inf_nan=False)


class PlainLayer(_Plain):
    """One layer; limits are those of :class:`advisor.heat.layers.Layer`."""

    name: str = Field(min_length=1)
    thickness_um: float = Field(gt=0, le=1e9)
    conductivity_w_mk: float = Field(gt=0, le=1e6)
    density_kg_m3: float = Field(gt=0, le=1e6)
    heat_capacity_j_kgk: float = Field(gt=0, le=1e9)


class PlainStack(_Plain):
    """Layers, platen side first, what lies at both ends, and the times to answer for.

    Attributes:
        platen_c: °C of the platen.
        contact_w_m2k: conductance between platen and first layer; ``None`` for perfect contact.
        initial_c: °C of every layer at time 0.
        back_w_m2k: heat transfer coefficient behind the last layer; 0 for insulated.
        ambient_c: °C behind the last layer; where it is left out, ``initial_c``.
        seconds: times, in any order, 0 included.
    """

    layers: list[PlainLayer] = Field(min_length=1, max_length=100)
    platen_c: Celsius
    contact_w_m2k: float | None = Field(default=None, gt=0, le=1e12)
    initial_c: Celsius
    back_w_m2k: float = Field(default=0.0, ge=0, le=1e12)
    ambient_c: Celsius | None = None
    seconds: list[Annotated[float, Field(ge=0, le=1e12)]] = Field(max_length=10_000)


def plain_layers(document: Mapping[str, Any]) -> dict[str, Any]:
    """The temperatures of a plain stack of layers at the times asked.

    Args:
        document: the fields of :class:`PlainStack`.

    Returns:
        ``{"interfaces": [{"between": [name, name], "celsius": [...]}, ...], "front_c": [...],
        "back_c": [...]}``, each list with one temperature per asked time, in the order asked. The
        front is the first layer's own surface: with perfect contact it is at ``platen_c``.

    Raises:
        BadInputError: a field is missing, unknown or out of its limits.

    Ground at 20 °C whose surface is suddenly held at −15 °C freezes to .68 m in 60 days (Incropera,
    Example 5.6):

    >>> soil = {"conductivity_w_mk": 0.52, "density_kg_m3": 2050, "heat_capacity_j_kgk": 1840}
    >>> answer = plain_layers({
    ...     "layers": [{"name": "frozen", "thickness_um": 0.6766e6, **soil},
    ...                {"name": "deep", "thickness_um": 20e6, **soil}],
    ...     "platen_c": -15, "contact_w_m2k": None, "initial_c": 20, "back_w_m2k": 0,
    ...     "ambient_c": 20, "seconds": [5_184_000],
    ... })
    >>> abs(answer["interfaces"][0]["celsius"][0]) < 0.01
    True
    >>> plain_layers({"layers": [], "platen_c": 160, "initial_c": 20, "seconds": []})
    Traceback (most recent call last):
    rules.errors.BadInputError: layers: it takes at least 1 entry
    """
    if not isinstance(document, Mapping):
        raise BadInputError("a plain stack is a mapping of fields such as layers and platen_c")
    try:
        stack = PlainStack.model_validate(dict(document))
    except ValidationError as error:
        raise first_problem(error, source="") from None
    # Names may recur in a plain stack; places need one each.
    layers = [
        Layer(str(number), **layer.model_dump(exclude={"name"}))
        for number, layer in enumerate(stack.layers)
    ]
    ambient_c = stack.initial_c if stack.ambient_c is None else stack.ambient_c
    front = Boundary(stack.platen_c, stack.contact_w_m2k)
    back = Boundary(ambient_c, stack.back_w_m2k)
    places = [LayerSide("0", "front"), *(LayerSide(layer.name, "back") for layer in layers)]

    asked = np.array(stack.seconds, dtype=np.float64)
    celsius = np.full((len(places), asked.size), float(stack.initial_c))
    if stack.contact_w_m2k is None:
        celsius[0] = stack.platen_c
    for run in _runs(np.unique(asked[asked > 0])):
        shares, read = _mesh(layers, float(run[0])), []
        for cells in (shares, [np.repeat(share / 2, 2) for share in shares]):
            solved = configure(
                layers, front=front, back=back, shares=cells, horizon_s=float(run[-1])
            )
            field = solved.field_at(stack.initial_c, run)
            read.append(np.stack([solved.read(field, place) for place in places]))
        coarse, fine = read
        extrapolated = fine + (fine - coarse) / 3
        at = np.searchsorted(run, asked).clip(max=run.size - 1)
        chosen = run[at] == asked
        celsius[:, chosen] = extrapolated[:, at[chosen]]

    names = [layer.name for layer in stack.layers]
    return {
        "interfaces": [
            {"between": [before, after], "celsius": row.tolist()}
            for before, after, row in zip(names, names[1:], celsius[1:], strict=False)
        ],
        "front_c": celsius[0].tolist(),
        "back_c": celsius[-1].tolist(),
    }


def _runs(times: FloatArray) -> list[FloatArray]:
    """Ascending times, cut where they outgrow the mesh of the first of them."""
    runs: list[FloatArray] = []
    while times.size:
        end = int(np.searchsorted(times, times[0] * _LONGEST_RUN, side="right"))
        runs.append(times[:end])
        times = times[end:]
    return runs


def _mesh(layers: Sequence[Layer], seconds: float) -> list[FloatArray]:
    """Cells of every layer for one time; coarser, evenly, where there would be too many."""
    first, growth = _FIRST_CELL, _GROWTH
    while True:
        shares = [
            cell_shares(layer, resolve_s=seconds, first_cell=first, growth=growth)
            for layer in layers
        ]
        if sum(share.size for share in shares) <= max(_MOST_CELLS, len(layers)):
            return shares
        first, growth = first * 1.3, 1 + (growth - 1) * 1.3
