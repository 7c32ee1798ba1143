"""How far a bond line's heat may lie from what is computed, for what nobody knows exactly.

A press of unknown contact, a platen that is not flat, layers a little thicker than their sheet
says: a few hundred samples of these are worked out together, and the unlucky twentieth of them
says what can be relied on. The samples are stratified with a fixed seed, so the same question
has the same answer. Each press starts from the computed field of the stack at that moment: what
is left of earlier presses by then is a small part of what a full press brings, and so is its
spread. What the garment's last water takes is taken from every sample alike.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np

from advisor.heat.conduction import METAL, configure
from advisor.heat.curve import Curve, Stretches, above, curve_through
from advisor.heat.layers import Boundary, FloatArray, Layer
from advisor.heat.places import bond_curves, cells_of
from advisor.heat.press_layers import bond_lines_in, is_film
from advisor.heat.walk import Leg, horizon_s
from rules.facts.film import Film
from rules.facts.press import Press

__all__ = [
    "CLOSE_CALL_S", "SAMPLES", "Spread", "close_call_s", "low_seconds", "sampled_seconds",
    "spread_of", "sure_seconds",
]  # fmt: skip

SAMPLES = 256
CLOSE_CALL_S = 5.0
"""A bond line with at least so many seconds to spare bonds on an unlucky press too: contact,
thickness and conductivity as uncertain as they are cost a press 3 to 4 s of bonding."""

UNLUCKY_PCT = 5.0
"""The share of samples, percent, that may do worse than what is relied on."""

UNKNOWN_CONTACT = 0.25
"""Spread of a press's contact as the catalogue gives it. Generic."""
CALIBRATED_CONTACT = 0.10
"""Spread of a contact that was fitted to a shop's own readings. Generic."""
PROPOSED_CONTACT = 0.40
"""Spread of a contact that was only proposed, for a press of which less is known. Generic."""

_PROPOSED_BONDS_C = 5.0
"""Spread of the temperature at which a film bonds where its data sheet does not say it, ± °C once
in three: films of one family and setpoint lie about so far apart. Generic."""

_LOOKED_AT_S = np.concatenate([[0.0], np.arange(5, 40) / 10, np.arange(16, 120) / 4])
"""Times of a press that samples are looked at, s: what they spread is far more than the knots left
out would tell (.02 K)."""

_SEED = 1707
_NEAR_K = 15.0
"""A press whose bond line stays further below bonding adds next to nothing in any sample."""


@dataclass(frozen=True, slots=True)
class Spread:
    """How uncertain the inputs are; generic, except where a press has been calibrated.

    Attributes:
        flat_c: the platen's heat anywhere under it, ± °C around the dial (all alike likely).
        contact: standard deviation of the logarithm of the platen's contact conductance: .25 is
            a factor of 1.6 either way in nineteen cases of twenty. Generic.
        film_um: the same of films', carriers' and covers' thickness. Generic.
        film_conductivity: the same of their conductivity. Generic.
        fabric_um: the same of the fabric's thickness under pressure. Generic.
        fabric_conductivity: the same of fabric, pad and bed. Generic.
    """

    flat_c: float
    contact: float = UNKNOWN_CONTACT
    film_um: float = 0.05
    film_conductivity: float = 0.10
    fabric_um: float = 0.10
    fabric_conductivity: float = 0.20


def spread_of(press: Press) -> Spread:
    """The spread on a press: narrower where its contact was fitted to readings.

    >>> from rules.catalogue import load_catalogue
    >>> spread_of(load_catalogue().press("clamshell-38x38")).contact
    0.25
    """
    contacts = {"physics": CALIBRATED_CONTACT, "proposed": PROPOSED_CONTACT}
    return Spread(press.flat_c, contacts.get(press.basis_of("contact_w_m2k"), UNKNOWN_CONTACT))


def close_call_s(film: Film) -> float:
    """With so many seconds to spare a film bonds on an unlucky press too, s.

    >>> from rules.catalogue import load_catalogue
    >>> close_call_s(load_catalogue().film("matte-smooth"))
    5.0
    """
    # Where it is not known when a film bonds, no seconds to spare say that it does.
    return math.inf if _bonds_within_c(film) else CLOSE_CALL_S


def low_seconds(presses: Sequence[Leg], number: int, film: Film, spread: Spread) -> float:
    """Seconds that a bond line gets over the presses of its stack where it is unlucky.

    ``number`` is that of its film, from the bottom of its column.
    """
    return float(np.percentile(sampled_seconds(presses, number, film, spread), UNLUCKY_PCT))


def sampled_seconds(presses: Sequence[Leg], number: int, film: Film, spread: Spread) -> FloatArray:
    """Seconds that a bond line gets in every sample, over the presses in which it nearly bonds."""
    got_s = np.zeros(SAMPLES)
    for press in presses:
        curve = bond_curves(press, press.seconds).get(number)
        if curve is not None and curve.hottest_c >= film.bonds_c - _NEAR_K:
            hot = _hot(press, number, film, spread)
            got_s = got_s + hot.seconds_by(press.lasts_s[1])
    return got_s


def sure_seconds(press: Leg, wanted: Mapping[int, tuple[Film, float]], spread: Spread) -> float:
    """Seconds of a press after which bond lines are bonded on all but an unlucky press.

    Args:
        press: as long as it may last; where that would not do, the answer is ``inf``.
        wanted: by the film's number, the film and the seconds that it still wants.
    """
    sure_s = 0.0
    kept = math.ceil(SAMPLES * (1 - UNLUCKY_PCT / 100)) - 1
    for number, (film, missing_s) in wanted.items():
        bonded_s = _hot(press, number, film, spread).first_s - press.begins_s + missing_s
        # The samples in order; but for the unlucky ones, all are bonded by then.
        sure_s = max(sure_s, float(np.sort(bonded_s)[kept]))
    return sure_s if sure_s <= press.seconds else math.inf


def _hot(press: Leg, number: int, film: Film, spread: Spread) -> Stretches:
    """When a bond line is hot enough in every sample, whatever the press lasts."""
    lasting = press.lasting(horizon_s(press.seconds))
    return _stretches(lasting, number, film.bonds_c, _bonds_within_c(film), spread)


@lru_cache(maxsize=64)
def _stretches(
    press: Leg, number: int, bonds_c: float, within_c: float, spread: Spread
) -> Stretches:
    wanted_c = bonds_c + within_c * _deviates("bonds") if within_c else bonds_c
    return above(_sampled(press, spread)[number], wanted_c)


def _bonds_within_c(film: Film) -> float:
    return _PROPOSED_BONDS_C if film.basis_of("bonds_c") == "proposed" else 0.0


# Few are kept, as each holds some megabytes: enough for the presses of one stack.
@lru_cache(maxsize=8)
def _sampled(press: Leg, spread: Spread) -> Mapping[int, Curve]:
    """The curve of every bond line over one press, for every sample at once."""
    front, layers = press.stack.front, press.stack.layers
    platen = Boundary(
        front.temperature_c + spread.flat_c * (2 * _strata("platen") - 1),
        (front.conductance_w_m2k or 0.0) * _factor("contact", spread.contact),
    )
    varied = configure(
        [_varied(layer, spread) for layer in layers],
        front=platen,
        back=METAL,
        shares=cells_of(layers),
    )
    initial = np.broadcast_to(press.initial_c, varied.heat_j_m2k.shape)
    places = bond_lines_in(layers)
    times = np.concatenate([_LOOKED_AT_S, np.arange(30, press.seconds + 1)])
    # A bond line is read off its adhesive's last cell and the next one.
    deepest = [layer.name for layer in layers].index(places[min(places)].layer)
    terms = varied.terms(initial, times, cells=varied.starts[deepest + 1] + 1)
    celsius, settles = varied.course_of(list(places.values()), terms, times)
    celsius += press.taken_k(list(places.values()), times)
    return {
        number: curve_through(press.begins_s, times, celsius[..., n], settles[..., n])
        for n, number in enumerate(places)
    }


def _varied(layer: Layer, spread: Spread) -> Layer:
    name, film = layer.name, is_film(layer.name)
    um = spread.film_um if film else (spread.fabric_um if name == "fabric" else 0.0)
    conductivity = spread.film_conductivity if film else spread.fabric_conductivity
    return Layer(
        name,
        layer.thickness_um * _factor(f"{name} thickness", um),
        layer.conductivity_w_mk * _factor(f"{name} conductivity", conductivity),
        layer.density_kg_m3,
        layer.heat_capacity_j_kgk,
    )


@lru_cache(maxsize=256)
def _factor(what: str, deviation: float) -> FloatArray:
    """What a quantity may be off by, as factors of the usual distribution on its logarithm."""
    return np.asarray(np.exp(deviation * _deviates(what)))


@lru_cache(maxsize=256)
def _deviates(what: str) -> FloatArray:
    """What a quantity may be off by, in parts of its spread, in every sample."""
    usual = NormalDist()
    return np.array([usual.inv_cdf(part) for part in _strata(what).tolist()])


@lru_cache(maxsize=256)
def _strata(what: str) -> FloatArray:
    """One number from each of as many equal parts of 0 to 1, shuffled by what it is for."""
    shuffle = np.random.default_rng([_SEED, zlib.crc32(what.encode())])
    return np.asarray((shuffle.permutation(SAMPLES) + 0.5) / SAMPLES)
