"""The layers that a press closes on: cover sheet, films with their carriers, fabric, pad and bed.

Platen side first: cover | carrier | face | adhesive | … | fabric | pad | bed. A film's layers bear
its number from the bottom in a column of pieces.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache

from advisor.heat.layers import Layer, LayerSide
from advisor.heat.records import Column
from rules.catalogue import load_catalogue
from rules.errors import UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.material import Material
from rules.facts.press import Press
from rules.facts.sheet import Sheet

__all__ = [
    "BED", "BED_MATERIAL", "Materials", "bond_line_at", "cover_layers", "face_at", "film_layers",
    "ground_layers", "is_film",
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


def face_at(column: Column, piece: str) -> LayerSide:
    """The visible face of a piece in a column."""
    return LayerSide(f"{column.index(piece)} face", "front")


def film_layers(
    film: Film, number: int, carrier: bool, materials: Materials | None = None
) -> tuple[Layer, ...]:
    """A film's layers, platen side first, named by its ``number`` from the bottom.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> [layer.name for layer in film_layers(film, 0, True)]
    ['0 carrier', '0 face', '0 adhesive']
    """
    known = _known(materials)
    face = _layer(f"{number} face", film.face_um, _named(known, film.face_material, film.id))
    adhesive = _layer(
        f"{number} adhesive", film.adhesive_um, _named(known, film.adhesive_material, film.id)
    )
    if not (carrier and film.carrier_um > 0):
        return (face, adhesive)
    clear = _named(known, film.carrier_material, film.id)
    return (_layer(f"{number} carrier", film.carrier_um, clear), face, adhesive)


def ground_layers(
    fabric: Fabric, press: Press, *, pad: Sheet | None = None, materials: Materials | None = None
) -> tuple[Layer, ...]:
    """What films lie on: the fabric, a pad if there is one, and the press's lower bed.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> cloth, press = known.fabric("cotton-jersey-tee"), known.press("clamshell-38x38")
    >>> [layer.name for layer in ground_layers(cloth, press, pad=known.sheet("foam-pad-thin"))]
    ['fabric', 'pad', 'bed']
    """
    known = _known(materials)
    cloth = _layer("fabric", fabric.thickness_um, _named(known, fabric.thermal_material, fabric.id))
    bed = _layer(BED, BED_UM, _named(known, BED_MATERIAL, press.id))
    return (cloth, *_sheet_layers(pad, "pad", known), bed)


def cover_layers(cover: Sheet | None, materials: Materials | None = None) -> tuple[Layer, ...]:
    """A cover sheet as a layer, or nothing.

    >>> cover_layers(None)
    ()
    """
    return _sheet_layers(cover, "cover", _known(materials))


def _sheet_layers(sheet: Sheet | None, name: str, known: Materials) -> tuple[Layer, ...]:
    if sheet is None:
        return ()
    return (_layer(name, sheet.thickness_um, _named(known, sheet.thermal_material, sheet.id)),)


def is_film(name: str) -> bool:
    """Whether a layer of that name is a film's, a carrier or a cover sheet.

    >>> [is_film(name) for name in ("cover", "0 carrier", "fabric")]
    [True, True, False]
    """
    return name.startswith("cover") or name[0].isdigit()


def _known(materials: Materials | None) -> Materials:
    return load_catalogue().materials if materials is None else materials


def _named(materials: Materials, name: str, holder: str) -> Material:
    try:
        return materials[name]
    except KeyError:
        raise UnknownNameError("material", name, materials, source=holder) from None


def _layer(name: str, thickness_um: float, material: Material) -> Layer:
    return _one_layer(
        name,
        float(thickness_um),
        float(material.conductivity_w_mk),
        float(material.density_kg_m3),
        float(material.heat_capacity_j_kgk),
    )


# One object per content: layers are compared by identity, and solved stacks are kept by them.
@lru_cache(maxsize=4096)
def _one_layer(name: str, um: float, k: float, rho: float, heat: float) -> Layer:
    return Layer(name, um, k, rho, heat)
