"""The layers that a press closes on: cover sheet, films with their carriers, fabric, pad and bed.

Platen side first: cover | carrier | face | adhesive | … | fabric | pad | bed. A film's layers bear
its number from the bottom in a column of pieces.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from advisor.heat.layers import Layer, LayerSide
from advisor.heat.records import Column
from rules.errors import UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.material import Material
from rules.facts.moisture import DRYING_J_KG
from rules.facts.press import Press
from rules.facts.sheet import Sheet

__all__ = [
    "BED", "BED_MATERIAL", "Materials", "bond_line_at", "bond_lines_in", "face_at", "film_layers",
    "ground_layers", "is_film", "sheet_layers",
]  # fmt: skip

Materials = Mapping[str, Material]

BED_MATERIAL = "silicone-sponge"
BED_UM = 10_000.0
"""The lower bed of a press: 10 mm of silicone sponge on cold metal. Generic."""

BED = "bed"


def bond_line_at(column: Sequence[str], piece: str) -> LayerSide:
    """The bond line of a piece in a column: the back of its adhesive.

    >>> bond_line_at(("base", "top"), "top")
    LayerSide(layer='1 adhesive', side='back')
    """
    return LayerSide(f"{column.index(piece)} adhesive", "back")


def bond_lines_in(layers: Sequence[Layer]) -> dict[int, LayerSide]:
    """Every bond line in a stack, by its film's number from the bottom of the column."""
    return {
        int(layer.name.split()[0]): LayerSide(layer.name, "back")
        for layer in layers
        if layer.name.endswith(" adhesive")
    }


def face_at(column: Column, piece: str) -> LayerSide:
    """The visible face of a piece in a column."""
    return LayerSide(f"{column.index(piece)} face", "front")


def film_layers(film: Film, number: int, carrier: bool, materials: Materials) -> tuple[Layer, ...]:
    """A film's layers, platen side first, named by its ``number`` from the bottom.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> layers = film_layers(known.film("matte-smooth"), 0, True, known.materials)
    >>> [layer.name for layer in layers]
    ['0 carrier', '0 face', '0 adhesive']
    """
    parts = [
        ("carrier", film.carrier_um if carrier else 0.0, film.carrier_material),
        ("face", film.face_um, film.face_material),
        ("adhesive", film.adhesive_um, film.adhesive_material),
    ]
    return tuple(
        _layer(f"{number} {name}", um, material, film.id, materials)
        for name, um, material in parts
        if um > 0
    )


def ground_layers(
    fabric: Fabric, press: Press, materials: Materials, *, pad: Sheet | None = None
) -> tuple[Layer, ...]:
    """What films lie on: the fabric, a pad if there is one, and the press's lower bed.

    A fabric's density is its own weight over its own thickness, whatever it is made of; its water
    is in it.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> cloth, press = known.fabric("cotton-jersey-tee"), known.press("clamshell-38x38")
    >>> thin = known.sheet("foam-pad-thin")
    >>> [layer.name for layer in ground_layers(cloth, press, known.materials, pad=thin)]
    ['fabric', 'pad', 'bed']
    """
    made_of = _material(fabric.thermal_material, fabric.id, materials)
    cloth = _one_layer(
        "fabric",
        fabric.thickness_um,
        made_of.conductivity_w_mk,
        1000 * fabric.weight_gsm / fabric.thickness_um,
        made_of.heat_capacity_j_kgk,
        fabric.water_gsm / 1000 * DRYING_J_KG,
    )
    bed = _layer(BED, BED_UM, BED_MATERIAL, press.id, materials)
    return (cloth, *sheet_layers(pad, "pad", materials), bed)


def sheet_layers(sheet: Sheet | None, name: str, materials: Materials) -> tuple[Layer, ...]:
    """A cover sheet or a pad as a layer of that name, or nothing.

    >>> sheet_layers(None, "cover", {})
    ()
    """
    if sheet is None:
        return ()
    return (_layer(name, sheet.thickness_um, sheet.thermal_material, sheet.id, materials),)


def is_film(name: str) -> bool:
    """Whether a layer of that name is a film's, a carrier or a cover sheet.

    >>> [is_film(name) for name in ("cover", "0 carrier", "fabric")]
    [True, True, False]
    """
    return name.startswith("cover") or name[0].isdigit()


def _layer(name: str, um: float, material: str, holder: str, materials: Materials) -> Layer:
    of = _material(material, holder, materials)
    return _one_layer(name, um, of.conductivity_w_mk, of.density_kg_m3, of.heat_capacity_j_kgk)


def _material(name: str, holder: str, materials: Materials) -> Material:
    if name not in materials:
        raise UnknownNameError("material", name, materials, source=holder)
    return materials[name]


# One object per content: layers are compared by identity, and solved stacks are kept by them.
@lru_cache(maxsize=4096)
def _one_layer(
    name: str, um: float, k: float, rho: float, heat: float, drying_j_m2: float = 0.0
) -> Layer:
    return Layer(name, float(um), float(k), float(rho), float(heat), drying_j_m2=float(drying_j_m2))
