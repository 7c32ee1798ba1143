"""Moisture: the water that a fabric holds, the heat that it takes to leave, and the preheat."""

from __future__ import annotations

import math

from rules.facts.fabric import Fabric
from rules.facts.practice import LONGEST_PREHEAT_S, PREHEAT_S

__all__ = ["DAMP_UNTIL_C", "DRIES_FROM_C", "DRYING_J_KG", "preheat_s"]

LATENT_J_KG = 2.257e6
"""Heat that evaporates water at 100 °C, J/kg: Incropera, *Fundamentals of Heat and Mass Transfer*,
Table A.6, 373.15 K (from memory)."""

SORBED_J_KG = 0.35e6
"""Heat beyond that, to part water from the fibre that holds it, J/kg: from 65 % relative humidity
to dry, cotton some .3 and wool some .5 MJ/kg of water (from memory of Morton & Hearle, *Physical
Properties of Textile Fibres*, chapter 8)."""

DRYING_J_KG = LATENT_J_KG + SORBED_J_KG
"""Heat that a fabric's water takes to leave, J/kg."""

DRIES_FROM_C, DAMP_UNTIL_C = 80.0, 120.0
"""Between these, °C, a fabric's water leaves, in proportion to the degrees: under a closed platen
little of it can go before it nearly boils, and what the fibre binds goes last. Generic."""

# What the preheat's seconds are worked out with: a platen for low setpoints, a usual contact, and
# fibres at half a gram per cubic centimetre (Morton & Hearle, chapter 6: .05 to .071 W/mK).
_PLATEN_C, _CONTACT_W_M2K, _CLOTH_W_MK = 150.0, 900.0, 0.065


def preheat_s(fabric: Fabric) -> float:
    """Whole seconds of preheat that drive the water out of a fabric, s.

    The front that dries it moves in from the platen, and all the heat that it takes comes through
    the contact and the cloth that is dry already: Plank's equation for a slab heated on one side,
    t = q·(d/h + d²/2k)/(T_platen − T_front) with q the heat per volume (ASHRAE, *Refrigeration*
    handbook, on freezing times; from memory). No preheat is shorter than decorators use for
    creases, and none longer than a fabric likes: thick cotton and wool stay damp at the back.

    >>> from rules.catalogue import load_catalogue
    >>> fabric = load_catalogue().fabric
    >>> [preheat_s(fabric(each)) for each in ("cotton-jersey-tee", "cotton-fleece", "wool-felt")]
    [4.0, 7.0, 10.0]
    """
    thickness_m = fabric.thickness_um * 1e-6
    heat_j_m2 = fabric.water_gsm / 1000 * DRYING_J_KG
    resistance_m2k_w = 1 / _CONTACT_W_M2K + thickness_m / (2 * _CLOTH_W_MK)
    over_k = _PLATEN_C - (DRIES_FROM_C + DAMP_UNTIL_C) / 2
    dried_s = heat_j_m2 * resistance_m2k_w / over_k
    return min(max(PREHEAT_S, float(math.ceil(dried_s))), LONGEST_PREHEAT_S)
