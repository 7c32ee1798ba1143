"""Rule fabric-heat-limit: the heat that is pressed must suit the fabric's fibres."""

from rules.book.film_on_fabric.instead import take_instead
from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric
from rules.facts.units import show_c, show_degrees

__all__ = ["RULE"]

COOLER = "a film that bonds at a lower temperature"
ANOTHER = "take another fabric"


def _finds(pair: FilmOnFabric) -> Found | None:
    film, fabric, pressed = pair.film, pair.fabric, pair.pressed
    harmed, ironed = fabric.harmed_fibre, fabric.iron_fibre
    bears = f"the {harmed.name} in {fabric.id} bears {show_c(harmed.harmed_c)} ({harmed.harm})"
    spread_c = pressed.spread_c if pressed else 0.0
    may = f", and this press may run {show_degrees(spread_c)} hotter" if spread_c else ""
    coolest_c = film.setpoint_c.low
    dialled_c = pressed.setpoint_c if pressed else coolest_c
    if coolest_c + spread_c > harmed.harmed_c:
        return Found(
            f"{film.id} needs at least {show_c(coolest_c)}{may}, but {bears}",
            instead=lambda: take_instead(pair, COOLER, ANOTHER, lambda _: True),
        )
    if dialled_c + spread_c > harmed.harmed_c:
        return Found(
            f"{show_c(dialled_c)} is pressed{may}, but {bears}",
            fabric.id,
            instead=f"stay at or below {show_c(harmed.harmed_c - spread_c)}",
            basis=harmed.basis_of("harmed_c"),
        )
    if harmed.touchy:
        # Said alike of every film, since it is the fabric's: one cause is one sample.
        return Found(
            f"{harmed.name} {harmed.harm}; it bears {show_c(harmed.harmed_c)} at most, and a press "
            "below that may mark it all the same",
            fabric.id,
            severity="sample",
            instead="press a sample on the same fabric, with light pressure, and look at it cold",
            basis="practice",
        )
    if dialled_c > ironed.iron_c:
        return Found(
            f"{show_c(dialled_c)} is above the {show_c(ironed.iron_c)} of the ironing symbol for "
            f"{ironed.name}, which {fabric.id} bears for the seconds of a press",
            fabric.id,
            severity="note",
            instead="cover what the film does not, and tell the customer to iron by the care label",
            basis=ironed.basis_of("iron_c"),
        )
    return None


RULE = Rule(
    id="fabric-heat-limit",
    judges="film_on_fabric",
    severity="stop",
    summary="What is pressed, with what the press may run hotter, stays within what the fabric's "
    "fibres bear.",
    why="Past its limit a fibre glazes, yellows, shrinks or melts, and no wash brings it back. The "
    "ironing symbol is a limit for a customer's iron, which rests longer.",
    instead=f"take {COOLER}, or {ANOTHER}",
    basis="memory",
    source="softening temperatures as each fibre states; ironing symbols of ISO 3758:2012",
    good={"film": "matte-smooth", "fabric": "cotton-jersey-tee"},
    bad={"film": "matte-smooth", "fabric": "polypropylene-non-woven"},
    finds=_finds,
)
