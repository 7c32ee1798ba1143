"""What an unlucky press does: the same every time, against samples of the whole schedule."""

from __future__ import annotations

import numpy as np
import pytest

from advisor.heat.bond_lines import bond_lines, worst_lines
from advisor.heat.conduction import AIR_W_M2K, METAL
from advisor.heat.curve import Curve, seconds_above
from advisor.heat.layers import Boundary, Layer
from advisor.heat.moments import moments_at
from advisor.heat.press_layers import bond_line_at
from advisor.heat.records import Band
from advisor.heat.unlucky import Spread, Wanted, bands, spread_of, unlucky_seconds
from advisor.heat.walk import Phase, chain
from rules.facts.schedule import Schedule
from rules.rulebook import rulebook
from tests.advisor.heat.heat_shop import PRESS, SHELF, full, lift, peel, preheat, scheduled, tack

PAIR = ("p0", "p1")
CONTACT = PRESS.contact_w_m2k


def pair(dwell_s: float = 15.0) -> Schedule:
    return scheduled(
        ["matte-smooth", "sparkle-coarse"],
        [
            preheat(), tack("p0"), peel("p0"), tack("p1"), peel("p1"),
            full("p0", "p1", dwell_s=dwell_s), lift(),
        ],
    )  # fmt: skip


def wanted(schedule: Schedule) -> tuple[Wanted, ...]:
    return tuple(
        Wanted(bond_line_at(PAIR, piece), film.bonds_c, film.bonds_s)
        for piece, film in schedule.films.items()
    )


def of_pair(spread: Spread, dwell_s: float = 15.0) -> tuple[Band, ...]:
    schedule = pair(dwell_s)
    return bands(moments_at(schedule, PAIR), CONTACT, wanted(schedule), spread)


def test_nothing_uncertain_gives_the_computed_answer() -> None:
    exact = Spread(0, contact=0, film_um=0, film_conductivity=0, fabric_um=0, fabric_conductivity=0)
    for band, course in zip(of_pair(exact), bond_lines(pair()), strict=True):
        for seconds in (band.low_seconds_bonding, band.high_seconds_bonding):
            assert seconds == pytest.approx(course.line.seconds_bonding, abs=0.05)
        assert band.peak_low_c == pytest.approx(band.peak_high_c, abs=1e-9)


def test_a_band_lies_around_the_computed_answer_and_widens_with_what_is_unknown() -> None:
    usual = spread_of(PRESS)
    wide = Spread(usual.flat_c, contact=2 * usual.contact)
    for course, band, wider in zip(bond_lines(pair()), of_pair(usual), of_pair(wide), strict=True):
        assert wider.low_seconds_bonding < band.low_seconds_bonding
        assert band.low_seconds_bonding < course.line.seconds_bonding < band.high_seconds_bonding
        assert band.peak_low_c < course.line.peak_c < band.peak_high_c
        assert wider.share_bonded <= band.share_bonded


def test_the_same_question_has_the_same_answer() -> None:
    schedule, spread = pair(), spread_of(PRESS)
    moments = moments_at(schedule, PAIR)
    first = bands(moments, CONTACT, wanted(schedule), spread)
    bands.cache_clear()
    assert bands(moments, CONTACT, wanted(schedule), spread) == first


def test_samples_of_the_presses_agree_with_samples_of_the_whole_schedule() -> None:
    # The naive twin: every phase sampled, by plain random numbers.
    schedule, spread, samples = pair(), spread_of(PRESS), 400
    random = np.random.default_rng(11)
    moments = moments_at(schedule, PAIR)
    made: dict[str, Layer] = {}

    def varied(layer: Layer) -> Layer:
        if layer.name not in made:
            film = layer.name == "cover" or layer.name[0].isdigit()
            um = spread.film_um if film else spread.fabric_um if layer.name == "fabric" else 0.0
            k = spread.film_conductivity if film else spread.fabric_conductivity
            made[layer.name] = Layer(
                layer.name,
                layer.thickness_um * np.exp(random.normal(0, um, samples)),
                layer.conductivity_w_mk * np.exp(random.normal(0, k, samples)),
                np.full(samples, layer.density_kg_m3),
                layer.heat_capacity_j_kgk,
            )
        return made[layer.name]

    contact = CONTACT * np.exp(random.normal(0, spread.contact, samples))
    uneven_c = random.uniform(-spread.flat_c, spread.flat_c, samples)
    phases = [
        Phase(
            tuple(varied(layer) for layer in moment.layers),
            Boundary(20.0, AIR_W_M2K)
            if moment.platen_c is None
            else Boundary(moment.platen_c + uneven_c, contact),
            METAL,
            moment.seconds,
        )
        for moment in moments
    ]
    curves = chain(phases, resolve_s=2.0).curves([bond_line_at(PAIR, piece) for piece in PAIR])
    for piece, curve, band in zip(PAIR, curves, of_pair(spread), strict=True):
        place = bond_line_at(PAIR, piece)
        holding = [m for m in moments if any(layer.name == place.layer for layer in m.layers)]
        closed = Curve(tuple(s for m, s in zip(holding, curve.spans, strict=True) if m.closed))
        seconds = seconds_above(closed, schedule.films[piece].bonds_c)
        low_s, high_s = np.percentile(seconds, [5, 95])
        assert band.low_seconds_bonding == pytest.approx(low_s, abs=0.5)
        assert band.high_seconds_bonding == pytest.approx(high_s, abs=0.5)


@pytest.mark.parametrize("dwell_s", [8.0, 10.0, 12.0, 15.0, 20.0])
@pytest.mark.parametrize("flat_c", [0.0, 6.0, 12.0])
def test_the_quick_unlucky_answer_is_never_better_than_the_samples(
    dwell_s: float, flat_c: float
) -> None:
    schedule, spread = pair(dwell_s), Spread(flat_c)
    moments = moments_at(schedule, PAIR)
    for want, band in zip(wanted(schedule), of_pair(spread, dwell_s), strict=True):
        assert unlucky_seconds(moments, CONTACT, want, spread) <= band.low_seconds_bonding


def test_a_close_call_asks_for_a_sample_and_a_plain_one_does_not() -> None:
    def severities(dwell_s: float) -> set[str]:
        lines = tuple(worst_lines(bond_lines(pair(dwell_s), uncertain=True)).values())
        return {finding.severity for finding in rulebook().judge(*lines)}

    assert severities(8) == {"stop"}
    assert severities(12) == {"sample"}
    assert severities(15) == set()


def test_what_is_not_asked_or_cannot_matter_is_not_sampled() -> None:
    assert all(course.band is None for course in bond_lines(pair()))
    comfortable = bond_lines(pair(30), uncertain=True)
    assert all(course.band is None for course in comfortable)
    assert all(
        course.film.bonds_s < course.line.low_seconds_bonding < course.line.seconds_bonding
        for course in comfortable
    )
    short = bond_lines(pair(4), uncertain=True)
    assert all(course.band is None for course in short)


def test_a_calibrated_press_is_less_uncertain() -> None:
    fitted = PRESS.model_copy(update={"basis": {"contact_w_m2k": "physics"}})
    assert spread_of(fitted).contact < spread_of(PRESS).contact
    assert spread_of(SHELF.press("draw-40x50")).flat_c == SHELF.press("draw-40x50").flat_c
