"""Material: what decides how fast heat passes: conductivity, density and heat capacity."""

from __future__ import annotations

from pydantic import Field

from rules.facts.fact import Fact, Slug

__all__ = ["Material"]


class Material(Fact):
    """The thermal properties of one material, at about room temperature.

    Limits run from still air (0.02 W/mK, 1 kg/m³) to copper (400 W/mK, 9000 kg/m³), with room.

    Attributes:
        conductivity_w_mk: across the layer, W/(m·K).
        density_kg_m3: of the layer as it lies, pores included, kg/m³.
        heat_capacity_j_kgk: J/(kg·K).
        source: where the values come from, with table; or how they were derived.

    >>> pet = Material(
    ...     id="pet", name="polyester film", conductivity_w_mk=0.20, density_kg_m3=1360,
    ...     heat_capacity_j_kgk=1000, source="Crawford, Plastics Engineering, Table 1.8",
    ... )
    >>> f"{pet.diffusivity_m2_s:.3g}"
    '1.47e-07'
    """

    id: Slug
    name: str = Field(min_length=3, max_length=80)
    conductivity_w_mk: float = Field(gt=0.005, le=500)
    density_kg_m3: float = Field(gt=0.5, le=10_000)
    heat_capacity_j_kgk: float = Field(ge=100, le=5_000)
    source: str = Field(min_length=5)

    @property
    def diffusivity_m2_s(self) -> float:
        """Thermal diffusivity k/(ρ·c), m²/s."""
        return self.conductivity_w_mk / (self.density_kg_m3 * self.heat_capacity_j_kgk)
