"""What is proposed for a fabric of other fibres or another construction than the one it is like."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, NamedTuple

from rules.facts.fabric import Fabric

__all__ = ["proposed_of_make"]


class _Make(NamedTuple):
    """How cloth of one construction stretches, lies and packs."""

    stretch_pct: float
    per_elastane: float
    surface: str
    density_kg_m3: float


_MAKES: Mapping[str, _Make] = {
    "knit": _Make(25.0, 5.0, "smooth", 420.0),
    "woven": _Make(4.0, 4.0, "smooth", 550.0),
    "non-woven": _Make(3.0, 3.0, "smooth", 270.0),
    "felt": _Make(4.0, 3.0, "napped", 400.0),
    "coated-sheet": _Make(5.0, 4.0, "smooth", 850.0),
    "foam-laminate": _Make(50.0, 5.0, "smooth", 260.0),
}
"""Loops give where threads do not, and each percent of elastane adds to either. Generic."""
MOST_STRETCH_PCT = 130.0
"""Cloth for leggings and swimwear stretches this much, and more elastane mostly makes it firmer.
Common practice, no source."""


def proposed_of_make(base: Fabric, given: Mapping[str, Any]) -> dict[str, Any]:
    """How a fabric stretches, lies and packs that is like another but made otherwise.

    Nothing of one that is constructed as the other, with as much elastane. Values that are no
    fibres or no construction are left for the model to refuse.

    >>> from rules.catalogue import load_catalogue
    >>> nylon = load_catalogue().fabric("nylon-woven")
    >>> proposed_of_make(nylon, {"fibres": {"nylon": 80, "elastane": 20}, "construction": "knit"})
    {'stretch_pct': 125.0, 'surface': 'smooth', 'thickness_um': 214.3}
    >>> proposed_of_make(nylon, {"weight_gsm": 120})
    {}
    """
    construction = given.get("construction", base.construction)
    if construction not in _MAKES:
        return {}
    make, was_pct = _MAKES[construction], base.share_pct(("elastane",))
    elastane_pct = _elastane_pct(given.get("fibres"), was_pct)
    proposed: dict[str, Any] = {}
    if construction != base.construction or elastane_pct != was_pct:
        stretch_pct = make.stretch_pct + make.per_elastane * elastane_pct
        proposed["stretch_pct"] = min(stretch_pct, MOST_STRETCH_PCT)
    if construction != base.construction:
        proposed["surface"] = make.surface
        weight_gsm = given.get("weight_gsm", base.weight_gsm)
        if isinstance(weight_gsm, int | float):
            proposed["thickness_um"] = round(1000 * weight_gsm / make.density_kg_m3, 1)
    return proposed


def _elastane_pct(fibres: Any, otherwise: float) -> float:
    pct = fibres.get("elastane", 0.0) if isinstance(fibres, Mapping) else otherwise
    return float(pct) if isinstance(pct, int | float) else otherwise
