"""How far a bond line's heat may lie from what is computed, for what nobody knows exactly.

A press of unknown contact, a platen that is not flat, layers a little thicker than their sheet
says: a few hundred samples of these are worked out together, and the unlucky twentieth of them
says what can be relied on. The samples are stratified with a fixed seed, so the same question
has the same answer. Each press starts from the computed field of the stack at that moment: what
is left of earlier presses by then is a small part of what a full press brings, and so is its
spread.

Quicker, and rather cold, is one press where much goes wrong at once: the contact lies two standard
deviations low, the platen is as cold as it is anywhere, and every film, carrier and cover is one
and a half standard deviations thick and slow. What bonds there need not be sampled.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from statistics import NormalDist

import numpy as np

from advisor.heat.conduction import METAL, Configuration, configure
from advisor.heat.curve import Curve, above
from advisor.heat.layers import Boundary, FloatArray, Layer, LayerSide, Quantity, cell_shares
from advisor.heat.moments import follow
from advisor.heat.press_layers import is_film
from advisor.heat.records import Moment
from advisor.heat.walk import Leg
from rules.facts.press import Press

__all__ = [
    "SAMPLES",
    "Spread",
    "Wanted",
    "bonding_seconds",
    "low_seconds",
    "spread_of",
    "sure_seconds",
]

SAMPLES = 256
UNLUCKY_PCT = 5.0
"""The share of samples, percent, that may do worse than what is relied on."""

UNKNOWN_CONTACT = 0.25
"""Spread of a press's contact as the catalogue gives it. Generic."""
CALIBRATED_CONTACT = 0.10
"""Spread of a contact that was fitted to a shop's own readings. Generic."""

_SEED = 1707
_NEAR_K = 15.0
"""A press whose bond line stays further below bonding adds next to nothing in any sample."""
_RESOLVE_S = 2.0
"""Cells for samples: their own error is far below what the samples spread."""


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


@dataclass(frozen=True, slots=True)
class Wanted:
    """A bond line and what it wants: so many seconds at or above a temperature."""

    place: LayerSide
    bonds_c: float
    bonds_s: float


def spread_of(press: Press) -> Spread:
    """The spread on a press: narrower where its contact was fitted to readings.

    >>> from rules.catalogue import load_catalogue
    >>> spread_of(load_catalogue().press("clamshell-38x38")).contact
    0.25
    """
    fitted = press.basis_of("contact_w_m2k") == "physics"
    return Spread(press.flat_c, CALIBRATED_CONTACT if fitted else UNKNOWN_CONTACT)


def low_seconds(
    moments: tuple[Moment, ...], contact_w_m2k: float, wanted: Sequence[Wanted], spread: Spread
) -> list[float]:
    """Seconds that each bond line gets over a schedule on an unlucky press.

    Only what does not bond where much goes wrong at once is sampled.

    Args:
        moments: all that happens at the column; see :func:`advisor.heat.moments.moments_at`.
        contact_w_m2k: the press's contact, W/(m²·K).
        wanted: the bond lines.
        spread: how uncertain the inputs are.
    """
    quick = bonding_seconds(moments, contact_w_m2k, tuple(wanted), spread, None)
    low_s = [float(got_s[0]) for got_s in quick]
    doubtful = [n for n, want in enumerate(wanted) if low_s[n] < want.bonds_s]
    sampled = bonding_seconds(moments, contact_w_m2k, tuple(wanted[n] for n in doubtful), spread)
    for n, got_s in zip(doubtful, sampled, strict=True):
        low_s[n] = float(np.percentile(got_s, UNLUCKY_PCT))
    return low_s


@lru_cache(maxsize=2048)
def bonding_seconds(
    moments: tuple[Moment, ...],
    contact_w_m2k: float,
    wanted: tuple[Wanted, ...],
    spread: Spread,
    samples: int | None = SAMPLES,
) -> tuple[FloatArray, ...]:
    """Seconds that each bond line gets in every sample, over the presses in which it nearly bonds.

    Args:
        samples: how many to take; ``None`` for the one in which much goes wrong.
    """
    if not wanted:
        return ()
    course = follow(moments, contact_w_m2k)
    got_s = tuple(np.zeros(samples or 1) for _ in wanted)
    curves = course.curves([want.place for want in wanted])
    for moment, leg in zip(moments, course.legs, strict=True):
        here = [
            n
            for n, (want, curve) in enumerate(zip(wanted, curves, strict=True))
            if moment.closed
            and moment.holds(want.place)
            and curve.during([leg.lasts_s]).hottest_c >= want.bonds_c - _NEAR_K
        ]
        if here:
            found = _sampled(leg, [wanted[n].place for n in here], spread, samples)
            for n, curve in zip(here, found, strict=True):
                got_s[n][:] += above(curve, wanted[n].bonds_c).seconds
    return got_s


def sure_seconds(
    leg: Leg, wanted: Sequence[Wanted], spread: Spread, enough_s: float = 0.0
) -> float:
    """Seconds of one press after which all bond lines are bonded on all but an unlucky press.

    Args:
        leg: the column as the platen closes, for the longest press that comes into question.
        wanted: the bond lines, each with the seconds that it still wants.
        spread: how uncertain the inputs are.
        enough_s: a press that lasts so long anyway; a rough answer within it will do.

    Returns:
        Seconds; ``inf`` where the longest press would not do.
    """
    places = [want.place for want in wanted]
    sure_s = 0.0
    for samples in (None, SAMPLES):
        curves = _sampled(leg, places, spread, samples)
        bonded_s = [
            np.atleast_1d(above(curve, want.bonds_c).first_s - leg.begins_s + want.bonds_s)
            for want, curve in zip(wanted, curves, strict=True)
        ]
        # The samples in order; but for the unlucky ones, all are bonded by then.
        kept = math.ceil(bonded_s[0].size * (1 - UNLUCKY_PCT / 100)) - 1 if bonded_s else 0
        sure_s = max((float(np.sort(each)[kept]) for each in bonded_s), default=0.0)
        if samples is None and sure_s <= enough_s:
            return sure_s
    return sure_s if sure_s <= leg.seconds else math.inf


def _sampled(
    leg: Leg, places: Sequence[LayerSide], spread: Spread, samples: int | None
) -> list[Curve]:
    """The curves of places over one press for every sample at once, or where much goes wrong."""
    front = leg.stack.front
    platen_c, contact_w_m2k = float(front.temperature_c), float(front.conductance_w_m2k or 0.0)
    varied = _varied_stack(leg.stack.layers, platen_c, contact_w_m2k, spread, samples)
    initial = np.broadcast_to(_recut(leg, varied), varied.heat_j_m2k.shape)
    return Leg(varied, initial, leg.begins_s, leg.seconds).curves(places)


# Few are kept, as each holds some megabytes: enough for the tacks of pieces that lie elsewhere,
# through which a stack stays as it is.
@lru_cache(maxsize=8)
def _varied_stack(
    layers: tuple[Layer, ...],
    platen_c: float,
    contact_w_m2k: float,
    spread: Spread,
    samples: int | None,
) -> Configuration:
    platen = Boundary(
        platen_c + spread.flat_c * _platen(samples),
        contact_w_m2k * _factor("contact", spread.contact, samples),
    )
    shares = [cell_shares(layer, resolve_s=_RESOLVE_S) for layer in layers]
    varied = [_varied(layer, spread, samples) for layer in layers]
    return configure(varied, front=platen, back=METAL, shares=shares)


def _varied(layer: Layer, spread: Spread, samples: int | None) -> Layer:
    name, film = layer.name, is_film(layer.name)
    um = spread.film_um if film else (spread.fabric_um if name == "fabric" else 0.0)
    conductivity = spread.film_conductivity if film else spread.fabric_conductivity
    return Layer(
        name,
        layer.thickness_um * _factor(f"{name} thickness", um, samples),
        layer.conductivity_w_mk * _factor(f"{name} conductivity", conductivity, samples),
        layer.density_kg_m3,
        layer.heat_capacity_j_kgk,
    )


def _recut(leg: Leg, onto: Configuration) -> FloatArray:
    """The field at a leg's beginning on other cells, with the same heat in every layer."""
    stack, parts = leg.stack, []
    for own, wanted in zip(pairwise(stack.starts), pairwise(onto.starts), strict=True):
        heat = stack.heat_j_m2k[slice(*own)]
        held = np.concatenate([[0.0], np.cumsum(heat * leg.initial_c[slice(*own)])]) / heat.sum()
        few = onto.heat_j_m2k[..., slice(*wanted)]
        few = few.reshape(-1, few.shape[-1])[0]
        ends = np.concatenate([[0.0], np.cumsum(few / few.sum())])
        edges = np.concatenate([[0.0], np.cumsum(heat / heat.sum())])
        parts.append(np.diff(np.interp(ends, edges, held)) / np.diff(ends))
    return np.concatenate(parts)


def _platen(samples: int | None) -> Quantity:
    """Where the platen's heat lies in what it may be: −1 coldest, 1 hottest."""
    return -1.0 if samples is None else 2 * _strata("platen", samples) - 1


def _factor(what: str, deviation: float, samples: int | None) -> Quantity:
    if samples is None:
        return math.exp(deviation * _much_wrong(what))
    return np.asarray(np.exp(deviation * _deviates(what, samples)))


def _much_wrong(what: str) -> float:
    """How many standard deviations something is off on the quick unlucky press."""
    if what == "contact":
        return -2.0
    if not is_film(what):
        return 0.0
    return 1.5 if what.endswith("thickness") else -1.5


@lru_cache(maxsize=256)
def _strata(what: str, samples: int) -> FloatArray:
    """One number from each of so many equal parts of 0 to 1, shuffled by what it is for."""
    shuffle = np.random.default_rng([_SEED, zlib.crc32(what.encode())])
    return np.asarray((shuffle.permutation(samples) + 0.5) / samples)


@lru_cache(maxsize=256)
def _deviates(what: str, samples: int) -> FloatArray:
    """The same parts as deviates of the usual distribution, of mean 0 and spread 1."""
    usual = NormalDist()
    return np.array([usual.inv_cdf(part) for part in _strata(what, samples).tolist()])
