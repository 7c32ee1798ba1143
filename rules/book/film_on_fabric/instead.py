"""Instead: films that would do on a fabric where one does not."""

from collections.abc import Callable
from dataclasses import replace
from math import inf

from rules.facts.film import Film
from rules.facts.subjects import FilmOnFabric
from rules.facts.text import and_list

__all__ = ["SAFE_SHARE_PCT", "films_instead", "take_instead"]

SAFE_SHARE_PCT = 80.0
"""Share of the fabric's fibres from which a film that names them holds. Common practice, no
source."""

COVERS_AS_WELL = 0.9
"""Share of a film's opacity from which another covers as well. Generic."""

MOST_NAMED = 3


Harm = Callable[[Film], float]
"""How far a rule objects to a film; infinite where it is no better than the one that is judged."""


def take_instead(
    pair: FilmOnFabric, kind: str, otherwise: str, suits: Callable[[Film], bool]
) -> str:
    """Advice to take another film: by name where the shelf is known, else the kind of film."""
    films = films_instead(pair, lambda one: 0.0 if suits(one) else inf) if pair.shelf else kind
    return f"take {films}, or {otherwise}" if films else otherwise


def films_instead(pair: FilmOnFabric, harm: Harm) -> str:
    """The few films to take instead, in a row; empty where none is known.

    They show the same finish, cover as well, and name the fabric's fibres and coating where this
    one does; the dial of the press has a step within what each takes and the fabric bears. Those
    on the shelf come first, of these the least harm, then the cheapest. That all must be bought is
    told.
    """
    film, fabric = pair.film, pair.fabric
    uncoated = fabric.coating not in film.bonds_to_coatings
    named_pct = min(SAFE_SHARE_PCT, fabric.face_share_pct(film.bonds_to))
    better = sorted(
        (
            other.on_shelf_m == 0,
            -len({*film.finishes} & {*other.finishes}),
            harms,
            other.price_per_m,
            other.id,
        )
        for other in pair.shelf
        if other.id != film.id
        and film.finishes[0] in other.finishes
        and other.opacity >= COVERS_AS_WELL * film.opacity
        and (fabric.coating in other.bonds_to_coatings or uncoated)
        and fabric.face_share_pct(other.bonds_to) >= named_pct
        and _is_dialled_within(pair, other)
        and (harms := harm(other)) < inf
        and not _is_refused(pair, other)
    )
    if not better:
        return ""
    to_buy = better[0][0]
    named = [name for buy, *_, name in better if buy == to_buy][:MOST_NAMED]
    return and_list(named, last="or") + (", to be bought" if to_buy else "")


def _is_dialled_within(pair: FilmOnFabric, other: Film) -> bool:
    """Whether the press has a setting that a film takes and the fabric bears, run hotter too."""
    pressed, window, bears_c = pair.pressed, other.setpoint_c, pair.fabric.harmed_fibre.harmed_c
    if pressed is None or pressed.press is None:
        return window.low + (pressed.spread_c if pressed else 0.0) <= bears_c
    press = pressed.press
    coolest_c = press.dial_c(press.dial_step(max(window.low, press.setpoint_low_c), up=True))
    return coolest_c <= min(window.high, press.setpoint_high_c, bears_c - pressed.spread_c)


def _is_refused(pair: FilmOnFabric, other: Film) -> bool:
    """Whether another rule than the one that names a film is against it there."""
    # Only here, since each of them advises by this file.
    from rules.book.film_on_fabric import (
        coated_fabric,
        dye_bleed,
        fabric_heat_limit,
        fibre_bond,
        stretch_match,
    )

    instead = replace(pair, film=other, colour=None, pressed=None, shelf=())
    rules = (coated_fabric, dye_bleed, fabric_heat_limit, fibre_bond, stretch_match)
    stopped = any(module.RULE.severity_on(instead) == "stop" for module in rules)
    return stopped or dye_bleed.would_stain_more(pair, other)
