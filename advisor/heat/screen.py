"""A quick look at whether heat can bond a stack at all, for judging many candidates.

A cold start of a press bonds no more than a warm one, so a stack that bonds from cold passes at
once; one whose bond line would settle below what it wants can never pass. What lies between is
followed press by press, or, where one refusal is to stand for many, tack by tack to a single press
under a cover.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from functools import lru_cache

from advisor.heat.curve import seconds_above
from advisor.heat.dwell import LONGEST_SEARCH_S, whole
from advisor.heat.layers import Layer
from advisor.heat.refusal import HeatRefusal
from advisor.heat.stack import (
    Materials,
    Moment,
    bond_line_at,
    cover_layers,
    film_layers,
    ground_layers,
)
from advisor.heat.walk import Entered, Track, curves_of, enter, held_at, step_through
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
    laid = tuple(film_layers(film, n, True, materials) for n, film in enumerate(films))
    lids = (laid, cover_layers(cover, materials))
    wants = tuple((film.bonds_c, film.bonds_s) for film in films)
    found = _found(
        lids, ground, wants, preheat_s(fabric.holds_water_pct), press.contact_w_m2k,
        float(setpoint_c), float(longest_s),
    )  # fmt: skip
    if found is None:
        return None
    number, peak_c, seconds, needed_s, settles_c = found
    names = tuple(str(n) for n in range(len(films)))
    return HeatRefusal(
        stage=0,
        purpose="full",
        piece=names[number],
        film=films[number],
        below=films[number - 1].id if number else fabric.id,
        column=names,
        setpoint_c=setpoint_c,
        peak_c=peak_c,
        seconds=seconds,
        needed_s=needed_s,
        longest_s=longest_s,
        settles_c=settles_c,
    )


_Lids = tuple[tuple[tuple[Layer, ...], ...], tuple[Layer, ...]]
"""Each film's layers with its carrier, bottom first; and the cover."""
_Short = tuple[int, float, float, float | None, float]
"""Number of the film, peak °C, seconds, seconds needed and where it settles, °C."""


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
    return _bonds_cold(stack, wants, press.contact_w_m2k, float(setpoint_c), float(longest_s))


@lru_cache(maxsize=8192)
def _bonds_cold(
    stack: tuple[Layer, ...],
    wants: tuple[tuple[float, float], ...],
    contact_w_m2k: float,
    setpoint_c: float,
    longest_s: float,
) -> bool:
    full = Moment(0, "full press", stack, setpoint_c, longest_s)
    cold = enter(Track({}), full, contact_w_m2k=contact_w_m2k)
    return _short(cold, wants, longest_s) is None


@lru_cache(maxsize=8192)
def _found(
    lids: _Lids,
    ground: tuple[Layer, ...],
    wants: tuple[tuple[float, float], ...],
    preheat: float,
    contact_w_m2k: float,
    setpoint_c: float,
    longest_s: float,
) -> _Short | None:
    laid, cover = lids
    bare = ground
    for layers in laid:
        bare = layers[-2:] + bare
    full = Moment(0, "full press", cover + bare, setpoint_c, longest_s)
    cold = enter(Track({}), full, contact_w_m2k=contact_w_m2k)
    short = _short(cold, wants, longest_s)
    if short is None or short[-1] < wants[short[0]][0]:
        return short
    track = _tacked(laid, ground, preheat, contact_w_m2k, setpoint_c)
    # The cover is laid with the press open before it closes for the last time.
    rest = Moment(0, "lay", bare, None, CLOSE_S + COVER_S / 2 + PEEL_S)
    track = step_through(track, [rest], contact_w_m2k=contact_w_m2k)
    return _short(enter(track, full, contact_w_m2k=contact_w_m2k), wants, longest_s)


def _tacked(
    laid: tuple[tuple[Layer, ...], ...],
    ground: tuple[Layer, ...],
    preheat: float,
    contact_w_m2k: float,
    setpoint_c: float,
) -> Track:
    moments = [Moment(0, "preheat", ground, setpoint_c, preheat)]
    lying = ground
    for n, layers in enumerate(laid):
        gap_s = LAY_S + CLOSE_S + (PEEL_S if n else 0.0)
        moments.append(Moment(0, "lay", lying, None, gap_s))
        moments.append(Moment(0, "tack", layers + lying, setpoint_c, TACK_S))
        lying = layers[-2:] + lying
    return step_through(Track({}), moments, contact_w_m2k=contact_w_m2k)


def _short(
    entered: Entered, wants: tuple[tuple[float, float], ...], longest_s: float
) -> _Short | None:
    """The first bond line that falls short, the one that never gets there before all others."""
    column = tuple(str(n) for n in range(len(wants)))
    places = [bond_line_at(column, name) for name in column]
    first: _Short | None = None
    for n, curve in enumerate(curves_of(entered, places, longest_s)):
        bonds_c, bonds_s = wants[n]
        got_s = float(seconds_above(curve, bonds_c))
        if got_s >= bonds_s:
            continue
        settles_c = float(curve.settles_c)
        [longer] = curves_of(entered, [places[n]], LONGEST_SEARCH_S)
        needed_s = held_at(longer, bonds_c, bonds_s) - entered.begins_s
        found = (
            n,
            float(curve.hottest_c),
            got_s,
            whole(needed_s) if math.isfinite(needed_s) else None,
            settles_c,
        )
        if settles_c < bonds_c:
            return found
        first = first or found
    return first
