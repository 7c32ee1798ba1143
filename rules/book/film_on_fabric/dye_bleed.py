"""Rule dye-bleed: a disperse dye turns to vapour in the press and stains the film above it."""

from rules.book.lightness import DARK_BELOW, lightness, palest
from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric
from rules.facts.units import show_c, show_degrees

__all__ = ["DYE_MOVES_FROM_C", "FAR_ABOVE_K", "NEARLY_K", "RULE"]

DYE_MOVES_FROM_C = {"disperse-low": 150.0, "disperse-medium": 180.0, "disperse-high": 210.0}
"""Where each class starts to move, °C: inferred from the three steps of ISO 105-P01 (memory)."""

FAR_ABOVE_K = 15.0
"""This far above it, a low-energy dye stains surely. Common practice, no source."""

NEARLY_K = 20.0
"""This close below it, slow staining is worth a word. Common practice, no source."""


def _finds(pair: FilmOnFabric) -> Found | None:
    if not pair.touches:
        return None
    film, fabric = pair.film, pair.fabric
    moves_from_c = DYE_MOVES_FROM_C.get(fabric.dye_class)
    pale = pair.colour or palest(film.colours)
    if moves_from_c is None or film.blocks_dye or lightness(pale.srgb) < DARK_BELOW:
        return None
    coolest_c = film.setpoint_c.low
    if coolest_c < moves_from_c - NEARLY_K:
        return None
    if coolest_c < moves_from_c:
        return Found(
            f"{film.id} needs at least {show_c(coolest_c)}, within {show_degrees(NEARLY_K)} of the "
            f"{show_c(moves_from_c)} at which the {fabric.dye_class} dye of {fabric.id} moves",
            severity="note",
            instead="keep to the coolest setpoint and the shortest dwell that bond, and do not "
            "stack the garments while they are hot",
        )
    surely = fabric.dye_class == "disperse-low" and coolest_c >= moves_from_c + FAR_ABOVE_K
    return Found(
        f"{film.id} needs at least {show_c(coolest_c)}; the {fabric.dye_class} dye of {fabric.id} "
        f"moves from about {show_c(moves_from_c)} and would stain {pale.name}",
        severity="stop" if surely else "sample",
        instead=f"take a dye-blocking film, one that bonds below {show_c(moves_from_c)}, or a "
        "colour darker than the fabric",
    )


RULE = Rule(
    id="dye-bleed",
    judges="film_on_fabric",
    severity="stop",
    summary="On polyester with disperse dye, the film bonds below the heat at which the dye moves.",
    why="A disperse dye that was steamed into polyester by heat leaves it by heat: it wanders "
    "into a pale film, in the press or over the following days.",
    instead="take a dye-blocking film, one that bonds cooler, or a colour darker than the fabric",
    basis="memory",
    source="onsets inferred from the steps "
    f"{show_c(*DYE_MOVES_FROM_C.values(), between=' and ')} of ISO 105-P01, from memory",
    good={
        "film": {"like": "matte-smooth", "blocks_dye": True},
        "fabric": {"like": "polyester-jersey", "dye_class": "disperse-low"},
    },
    bad={
        "film": "matte-smooth",
        "fabric": {"like": "polyester-jersey", "dye_class": "disperse-low"},
    },
    finds=_finds,
)
