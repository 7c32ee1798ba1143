"""Whether heat can bond a stack of films at all, one press for all of them: for a cut or a look.

A cold start of a press bonds no more than a warm one, so a stack that bonds from cold needs no
more looking at; one whose bond line would settle below what it wants can never bond.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from functools import lru_cache
from typing import NamedTuple

from advisor.heat.bond_lines import LONGEST_SEARCH_S, whole
from advisor.heat.curve import above, seconds_above
from advisor.heat.layers import Layer
from advisor.heat.moments import follow
from advisor.heat.press_layers import (
    Materials,
    bond_line_at,
    cover_layers,
    film_layers,
    ground_layers,
)
from advisor.heat.records import HeatRefusal, Moment
from advisor.layering.cost import CLOSE_S, COVER_S, LAY_S, PEEL_S
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.practice import TACK_S, preheat_s
from rules.facts.press import Press
from rules.facts.sheet import Sheet

__all__ = ["bonds_from_cold", "refuses_stack"]


def refuses_stack(
    films: Sequence[Film],
    *,
    fabric: Fabric,
    press: Press,
    cover: Sheet | None,
    setpoint_c: float,
    longest_s: float,
    pad: Sheet | None = None,
    materials: Materials | None = None,
) -> HeatRefusal | None:
    """The first bond line that one press of at most ``longest_s`` does not bond, or ``None``.

    Args:
        films: over one another at one place, bottom first.
        fabric: what they lie on.
        press: the press, for its contact.
        cover: the sheet over the print in the full press.
        setpoint_c: the dial in every press, °C.
        longest_s: longest full press that is allowed, s.
        pad: the pad under the fabric.
        materials: thermal materials by id; by default those of the catalogue.

    Raises:
        UnknownNameError: a material is not known.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> films = [known.film("matte-smooth"), known.film("sparkle-coarse")]
    >>> common = dict(fabric=known.fabric("cotton-jersey-tee"),
    ...               press=known.press("clamshell-38x38"), cover=known.sheet("ptfe-cover"))
    >>> refuses_stack(films, setpoint_c=160, longest_s=18, **common) is None
    True
    >>> print(refuses_stack(films, setpoint_c=160, longest_s=6, **common).message)
    the adhesive of matte-smooth on cotton-jersey-tee wants 6 s at 120 °C; 6 s, the longest that
    is allowed, at 160 °C heats it to 123 °C and gives it 0.735 s; it would take 12 s
    >>> refuses_stack([], setpoint_c=160, longest_s=15, **common) is None
    True
    """
    if not films:
        return None
    ground = ground_layers(fabric, press, pad=pad, materials=materials)
    laid = [film_layers(film, n, True, materials) for n, film in enumerate(films)]
    moments = [Moment(0, "preheat", ground, setpoint_c, preheat_s(fabric.holds_water_pct))]
    lying = ground
    for n, layers in enumerate(laid):
        gap_s = LAY_S + CLOSE_S + (PEEL_S if n else 0.0)
        moments.append(Moment(0, "lay", lying, None, gap_s))
        moments.append(Moment(0, "tack", layers + lying, setpoint_c, TACK_S))
        lying = layers[-2:] + lying
    # The cover is laid with the press open before it closes for the last time.
    moments.append(Moment(0, "lay", lying, None, CLOSE_S + COVER_S / 2 + PEEL_S))
    moments.append(_full(cover_layers(cover, materials) + lying, setpoint_c, longest_s))
    wants = tuple((film.bonds_c, film.bonds_s) for film in films)
    short = _first_short(tuple(moments), wants, press.contact_w_m2k)
    if short is None:
        return None
    column = tuple(str(n) for n in range(len(films)))
    return HeatRefusal(
        stage=0,
        purpose="full",
        piece=column[short.number],
        film=films[short.number],
        below=films[short.number - 1].id if short.number else fabric.id,
        column=column,
        setpoint_c=setpoint_c,
        peak_c=short.peak_c,
        seconds=short.seconds,
        needed_s=short.needed_s,
        longest_s=longest_s,
        settles_c=short.settles_c,
    )


def bonds_from_cold(
    films: Sequence[Film],
    finishing: Collection[int],
    *,
    fabric: Fabric,
    press: Press,
    cover: Sheet | None,
    carrier_on: bool,
    setpoint_c: float,
    longest_s: float,
    materials: Materials | None = None,
) -> bool:
    """Whether one press on a stack at room temperature bonds what it finishes.

    Then so does any press that comes after a preheat and tacks, so that nothing need be followed.

    Args:
        films: what is down by then at one place, bottom first.
        finishing: which of them this press finishes, by number from the bottom.
        cover: the sheet over the print.
        carrier_on: whether the top film's carrier is still on.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> films = [known.film("matte-smooth"), known.film("sparkle-coarse")]
    >>> common = dict(fabric=known.fabric("cotton-jersey-tee"), carrier_on=False,
    ...               press=known.press("clamshell-38x38"), cover=known.sheet("ptfe-cover"))
    >>> [bonds_from_cold(films, {0, 1}, setpoint_c=160, longest_s=s, **common) for s in (9, 25)]
    [False, True]
    """
    ground = ground_layers(fabric, press, materials=materials)
    top = len(films) - 1
    bare: tuple[Layer, ...] = ground
    for number, film in enumerate(films):
        bare = film_layers(film, number, carrier_on and number == top, materials) + bare
    wants = tuple(
        (film.bonds_c, film.bonds_s if number in finishing else 0.0)
        for number, film in enumerate(films)
    )
    stack = cover_layers(cover, materials) + bare
    full = _full(stack, setpoint_c, longest_s)
    return _first_short((full,), wants, press.contact_w_m2k) is None


class _Short(NamedTuple):
    """A bond line that falls short: which film's, and what it gets in the longest press."""

    number: int
    peak_c: float
    seconds: float
    needed_s: float | None
    settles_c: float


def _full(stack: tuple[Layer, ...], setpoint_c: float, seconds: float) -> Moment:
    return Moment(0, "full press", stack, float(setpoint_c), float(seconds))


@lru_cache(maxsize=8192)
def _first_short(
    moments: tuple[Moment, ...], wants: tuple[tuple[float, float], ...], contact_w_m2k: float
) -> _Short | None:
    """The first bond line that the last of the presses leaves short; before all, one for ever.

    Args:
        wants: °C and seconds by film, bottom first.
    """
    leg = follow(moments, contact_w_m2k).legs[-1]
    column = tuple(str(n) for n in range(len(wants)))
    places = [bond_line_at(column, name) for name in column]
    first: _Short | None = None
    ever = leg.lasting(LONGEST_SEARCH_S).curves(places)
    for n, curve in enumerate(leg.curves(places)):
        bonds_c, bonds_s = wants[n]
        got_s = float(seconds_above(curve, bonds_c))
        if got_s >= bonds_s:
            continue
        needed_s = float(above(ever[n], bonds_c).held_at(bonds_s)) - leg.begins_s
        found = _Short(
            number=n,
            peak_c=float(curve.hottest_c),
            seconds=got_s,
            needed_s=whole(needed_s) if math.isfinite(needed_s) else None,
            settles_c=float(curve.settles_c),
        )
        if found.settles_c < bonds_c:
            return found
        first = first or found
    return first
