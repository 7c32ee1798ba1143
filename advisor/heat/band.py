"""How far a bond line's heat may lie from what is computed, for what nobody knows exactly.

A press of unknown contact, a platen that is not flat, layers a little thicker than their sheet
says: a few hundred samples of these are worked out together, and the unlucky twentieth of them
says what can be relied on. The samples are stratified with a fixed seed, so the same question
has the same answer. Each press starts from the computed field of the stack at that moment: what
is left of earlier presses by then is a small part of what a full press brings, and so is its
spread.
"""

from __future__ import annotations

import math
import zlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise
from statistics import NormalDist

import numpy as np

from advisor.heat.conduction import Configuration, configure
from advisor.heat.course import ROOM_C, Course
from advisor.heat.curve import Curve, seconds_above, seconds_until
from advisor.heat.layers import Boundary, FloatArray, Layer, Place, cell_shares
from advisor.heat.stack import Moment
from advisor.heat.walk import METAL, Entered, follow
from rules.facts.press import Press

__all__ = [
    "SAMPLES",
    "UNLUCKY_PCT",
    "Band",
    "Spread",
    "Wanted",
    "bands",
    "sampled",
    "spread_of",
    "unlucky_seconds",
]

SAMPLES = 256
UNLUCKY_PCT = 5.0
"""The share of samples, percent, that may do worse than what is relied on."""

_SEED = 1707
_NEAR_K = 15.0
"""A press whose bond line stays further below bonding adds next to nothing in any sample."""
_RESOLVE_S = 2.0
"""Cells for samples: their own error is far below what the samples spread."""


UNKNOWN_CONTACT = 0.25
"""Spread of a press's contact as the catalogue gives it. Generic."""
CALIBRATED_CONTACT = 0.10
"""Spread of a contact that was fitted to a shop's own readings. Generic."""


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

    place: Place
    bonds_c: float
    bonds_s: float


@dataclass(frozen=True, slots=True)
class Band:
    """Where a bond line lies in nine samples of ten.

    Attributes:
        peak_low_c: its hottest, °C, at the unlucky end; ``peak_high_c`` at the lucky one.
        low_seconds_bonding: seconds bonding at the unlucky end, s; ``high_…`` at the lucky one.
        share_bonded: share of all samples that bond, 0 to 1.
    """

    peak_low_c: float
    peak_high_c: float
    low_seconds_bonding: float
    high_seconds_bonding: float
    share_bonded: float


def spread_of(press: Press) -> Spread:
    """The spread on a press: narrower where its contact was fitted to readings.

    >>> from rules.catalogue import load_catalogue
    >>> spread_of(load_catalogue().press("clamshell-38x38")).contact
    0.25
    """
    fitted = press.basis_of("contact_w_m2k") == "physics"
    return Spread(press.flat_c, CALIBRATED_CONTACT if fitted else UNKNOWN_CONTACT)


@lru_cache(maxsize=1024)
def bands(
    moments: tuple[Moment, ...],
    contact_w_m2k: float,
    wanted: tuple[Wanted, ...],
    spread: Spread,
    samples: int = SAMPLES,
) -> tuple[Band, ...]:
    """The band of each bond line over the presses in which it nearly bonds.

    Args:
        moments: all that happens at the column; see :func:`advisor.heat.bond_lines.moments_at`.
        contact_w_m2k: the press's contact, W/(m²·K).
        wanted: the bond lines.
        spread: how uncertain the inputs are.
        samples: how many to take.
    """
    course = follow(moments, contact_w_m2k)
    curves = course.curves([want.place for want in wanted]) if wanted else []
    got_s = [np.zeros(samples) for _ in wanted]
    peaks_c = [np.full(samples, ROOM_C) for _ in wanted]
    counting = [
        _counting(moments, course, want, curve) for want, curve in zip(wanted, curves, strict=True)
    ]
    for number, moment in enumerate(moments):
        near = [n for n in range(len(wanted)) if number in counting[n]]
        if not near:
            continue
        begins_s = course.begins_s[number]
        here = Entered(moment, course.configurations[number], course.initial_c[number], begins_s)
        places = [wanted[n].place for n in near]
        found = sampled(here, places, moment.seconds, contact_w_m2k, spread, samples)
        for n, curve in zip(near, found, strict=True):
            got_s[n] += seconds_above(curve, wanted[n].bonds_c)
            peaks_c[n] = np.maximum(peaks_c[n], curve.hottest_c)
    return tuple(
        _band(want, seconds, peak)
        for want, seconds, peak in zip(wanted, got_s, peaks_c, strict=True)
    )


def _counting(
    moments: Sequence[Moment], course: Course, want: Wanted, curve: Curve
) -> frozenset[int]:
    """The presses that count for a bond line: where it nearly bonds, and its hottest."""
    hottest: dict[int, float] = {}
    near: list[int] = []
    for number, moment in enumerate(moments):
        layers = moment.layers
        if not moment.closed or all(layer.name != want.place.layer for layer in layers):
            continue
        begins_s = course.begins_s[number]
        part = curve.between(begins_s, begins_s + moment.seconds)
        hottest[number] = float(part.hottest_c)
        if hottest[number] >= want.bonds_c - _NEAR_K:
            near.append(number)
    peak = [max(hottest, key=lambda number: hottest[number])] if hottest else []
    return frozenset([*near, *peak])


def _band(want: Wanted, seconds: FloatArray, peak_c: FloatArray) -> Band:
    ends = [UNLUCKY_PCT, 100 - UNLUCKY_PCT]
    low_s, high_s = np.percentile(seconds, ends)
    low_c, high_c = np.percentile(peak_c, ends)
    return Band(
        peak_low_c=float(low_c),
        peak_high_c=float(high_c),
        low_seconds_bonding=float(low_s),
        high_seconds_bonding=float(high_s),
        share_bonded=float(np.mean(seconds >= want.bonds_s)),
    )


def sampled(
    entered: Entered,
    places: Sequence[Place],
    seconds: float,
    contact_w_m2k: float,
    spread: Spread,
    samples: int = SAMPLES,
) -> list[Curve]:
    """The curves of places over one press, for every sample at once.

    Args:
        entered: the column as the platen closes.
        places: where.
        seconds: how long the press lasts, s.
        contact_w_m2k: the press's contact, W/(m²·K).
        spread: how uncertain the inputs are.
        samples: how many to take.
    """
    moment = entered.moment
    varied = _varied_stack(moment.layers, moment.platen_c, contact_w_m2k, spread, samples)
    initial = np.broadcast_to(_recut(entered, _few_cells(moment.layers)), varied.heat_j_m2k.shape)
    return Course((varied,), (entered.begins_s,), (seconds,), (initial,)).curves(places)


# Few are kept, as each holds some megabytes: enough for the tacks of pieces that lie elsewhere,
# through which a stack stays as it is.
@lru_cache(maxsize=8)
def _varied_stack(
    layers: tuple[Layer, ...],
    platen_c: float | None,
    contact_w_m2k: float,
    spread: Spread,
    samples: int,
) -> Configuration:
    contact = contact_w_m2k * _factor("contact", spread.contact, samples)
    unlevel_c = spread.flat_c * (2 * _strata("platen", samples) - 1)
    return configure(
        [_varied(layer, spread, samples) for layer in layers],
        front=Boundary((platen_c or ROOM_C) + unlevel_c, contact),
        back=METAL,
        shares=_few_cells(layers),
    )


def _few_cells(layers: Sequence[Layer]) -> list[FloatArray]:
    return [cell_shares(layer, resolve_s=_RESOLVE_S) for layer in layers]


@lru_cache(maxsize=2048)
def unlucky_seconds(
    moments: tuple[Moment, ...],
    contact_w_m2k: float,
    want: Wanted,
    spread: Spread,
) -> float:
    """Seconds that a bond line gets over a schedule where much goes wrong; see :func:`unlucky`."""
    course, got_s = follow(moments, contact_w_m2k), 0.0
    for number, moment in enumerate(moments):
        if moment.closed and any(layer.name == want.place.layer for layer in moment.layers):
            here = Entered(moment, course.configurations[number], course.initial_c[number], 0.0)
            [curve] = unlucky(here, [want.place], moment.seconds, contact_w_m2k, spread)
            got_s += float(seconds_above(curve, want.bonds_c))
    return got_s


def unlucky(
    entered: Entered,
    places: Sequence[Place],
    seconds: float,
    contact_w_m2k: float,
    spread: Spread,
) -> list[Curve]:
    """The curves of places over one press where much goes wrong at once: quick, and rather cold.

    The contact lies two standard deviations low, the platen is as cold as it is anywhere, and
    every film, carrier and cover is one and a half standard deviations thick and slow. What bonds
    here need not be sampled.
    """
    thick, slow = math.exp(1.5 * spread.film_um), math.exp(-1.5 * spread.film_conductivity)
    layers = [
        replace(
            layer,
            thickness_um=layer.thickness_um * thick,
            conductivity_w_mk=layer.conductivity_w_mk * slow,
        )
        if _is_film(layer)
        else layer
        for layer in entered.moment.layers
    ]
    platen_c = (entered.moment.platen_c or ROOM_C) - spread.flat_c
    stack = configure(
        layers,
        front=Boundary(platen_c, contact_w_m2k * math.exp(-2 * spread.contact)),
        back=METAL,
        shares=_shares(entered.stack),
    )
    return Course((stack,), (entered.begins_s,), (seconds,), (entered.initial_c,)).curves(places)


def sure_seconds(
    entered: Entered,
    wanted: Sequence[Wanted],
    seconds: float,
    contact_w_m2k: float,
    spread: Spread,
    enough_s: float = 0.0,
) -> float:
    """Seconds of one press after which all bond lines are bonded on all but an unlucky press.

    Args:
        entered: the column as the platen closes.
        wanted: the bond lines, each with the seconds that it still wants.
        seconds: the longest press that comes into question, s.
        contact_w_m2k: the press's contact, W/(m²·K).
        spread: how uncertain the inputs are.
        enough_s: a press that lasts so long anyway; a rough answer within it will do.

    Returns:
        Seconds; ``inf`` where ``seconds`` would not do.
    """
    places = [want.place for want in wanted]
    quick = unlucky(entered, places, seconds, contact_w_m2k, spread)
    latest = [
        float(seconds_until(curve, want.bonds_c)) - entered.begins_s + want.bonds_s
        for want, curve in zip(wanted, quick, strict=True)
    ]
    if max(latest, default=0.0) <= enough_s:
        return max(latest, default=0.0)
    sure_s = 0.0
    for want, curve in zip(
        wanted, sampled(entered, places, seconds, contact_w_m2k, spread), strict=True
    ):
        there_s = seconds_until(curve, want.bonds_c) - entered.begins_s + want.bonds_s
        ordered = np.sort(there_s)
        reaches = ordered[math.ceil(ordered.size * (1 - UNLUCKY_PCT / 100)) - 1]
        sure_s = max(sure_s, float(reaches))
    return sure_s if sure_s <= seconds else math.inf


def _shares(stack: Configuration) -> list[FloatArray]:
    """How the computed stack is cut into cells, layer by layer."""
    cut: list[FloatArray] = []
    for first, last in pairwise(stack.starts):
        heat = stack.heat_j_m2k[first:last]
        cut.append(np.asarray(heat / heat.sum()))
    return cut


def _recut(entered: Entered, shares: Sequence[FloatArray]) -> FloatArray:
    """The field on other cells, with the same heat in every layer."""
    parts = []
    for own, wanted, (first, last) in zip(
        _shares(entered.stack), shares, pairwise(entered.stack.starts), strict=True
    ):
        edges = np.concatenate([[0.0], np.cumsum(own)])
        heat = np.concatenate([[0.0], np.cumsum(own * entered.initial_c[first:last])])
        ends = np.concatenate([[0.0], np.cumsum(wanted)])
        parts.append(np.diff(np.interp(ends, edges, heat)) / wanted)
    return np.concatenate(parts)


def _is_film(layer: Layer) -> bool:
    return layer.name == "cover" or layer.name[0].isdigit()


def _varied(layer: Layer, spread: Spread, samples: int) -> Layer:
    name, film = layer.name, _is_film(layer)
    um = spread.film_um if film else (spread.fabric_um if name == "fabric" else 0.0)
    conductivity = spread.film_conductivity if film else spread.fabric_conductivity
    return Layer(
        name,
        layer.thickness_um * _factor(f"{name} thickness", um, samples),
        layer.conductivity_w_mk * _factor(f"{name} conductivity", conductivity, samples),
        np.broadcast_to(np.asarray(layer.density_kg_m3), (samples,)),
        layer.heat_capacity_j_kgk,
    )


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


def _factor(what: str, deviation: float, samples: int) -> FloatArray:
    return np.asarray(np.exp(deviation * _deviates(what, samples)))
