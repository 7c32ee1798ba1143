"""Rule fabric-heat-limit: the coolest setpoint of the film must suit the fabric's fibres."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric
from rules.facts.units import show_c

__all__ = ["RULE"]


def _finds(pair: FilmOnFabric) -> Found | None:
    film, fabric = pair.film, pair.fabric
    coolest_c = film.setpoint_c.low
    harmed, ironed = fabric.harmed_fibre, fabric.iron_fibre
    if coolest_c > harmed.harmed_c:
        return Found(
            f"{film.id} needs at least {show_c(coolest_c)}, but the {harmed.name} in {fabric.id} "
            f"bears {show_c(harmed.harmed_c)} ({harmed.harm})",
        )
    if coolest_c > ironed.iron_c:
        return Found(
            f"{film.id} needs at least {show_c(coolest_c)}, above the {show_c(ironed.iron_c)} "
            f"ironing limit of the {ironed.name} in {fabric.id}",
            severity="sample",
        )
    return None


RULE = Rule(
    id="fabric-heat-limit",
    judges="film_on_fabric",
    severity="stop",
    summary="The film's coolest setpoint stays within what the fabric's fibres bear.",
    why="Past its limit a fibre glazes, yellows, shrinks or melts, and no wash brings it back.",
    instead="take a film that bonds at a lower temperature, or another fabric",
    basis="standard",
    source="care-label temperatures of ISO 3758:2012; softening temperatures as each fibre states",
    good={"film": "matte-smooth", "fabric": "cotton-jersey-tee"},
    bad={"film": "matte-smooth", "fabric": "polypropylene-non-woven"},
    finds=_finds,
)
