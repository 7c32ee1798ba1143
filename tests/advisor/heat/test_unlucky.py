"""What an unlucky press does: the same every time, against samples of the whole schedule."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pytest
from numpy.typing import NDArray

from advisor.heat import unlucky
from advisor.heat.bond_lines import followed_lines, worst_lines
from advisor.heat.conduction import AIR_W_M2K, METAL
from advisor.heat.curve import Curve, above
from advisor.heat.layers import Boundary, Layer
from advisor.heat.moments import moments_at
from advisor.heat.press_layers import bond_line_at
from advisor.heat.unlucky import Spread, sampled_seconds, spread_of
from advisor.heat.walk import Leg
from rules.facts.schedule import Schedule
from rules.rulebook import rulebook
from tests.advisor.heat.heat_shop import (
    PRESS,
    SHELF,
    bond_lines,
    full,
    lift,
    peel,
    preheat,
    scheduled,
    tack,
)
from tests.advisor.heat.phases import Phase, chain

Floats = NDArray[np.float64]
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


def of_pair(spread: Spread, dwell_s: float = 15.0) -> tuple[Floats, ...]:
    _, lines = followed_lines(pair(dwell_s), [PAIR], SHELF.materials)
    return tuple(
        sampled_seconds([leg for leg in one.legs if leg.closed], one.number, one.line.film, spread)
        for one in lines
    )


def test_nothing_uncertain_gives_the_computed_answer() -> None:
    exact = Spread(0, contact=0, film_um=0, film_conductivity=0, fabric_um=0, fabric_conductivity=0)
    for seconds, course in zip(of_pair(exact), bond_lines(pair()), strict=True):
        assert seconds == pytest.approx(course.line.seconds_bonding, abs=0.05)


def test_a_band_lies_around_the_computed_answer_and_widens_with_what_is_unknown() -> None:
    usual = spread_of(PRESS)
    wide = Spread(usual.flat_c, contact=2 * usual.contact)
    for course, got_s, wider_s in zip(
        bond_lines(pair()), of_pair(usual), of_pair(wide), strict=True
    ):
        low_s, high_s = np.percentile(got_s, [5, 95])
        assert np.percentile(wider_s, 5) < low_s < course.line.seconds_bonding < high_s
        assert (wider_s >= course.film.bonds_s).mean() <= (got_s >= course.film.bonds_s).mean()


def test_the_same_question_has_the_same_answer() -> None:
    first = of_pair(spread_of(PRESS))
    unlucky._stretches.cache_clear()
    unlucky._sampled.cache_clear()
    assert np.array_equal(of_pair(spread_of(PRESS)), first)


def test_samples_of_the_presses_agree_with_samples_of_the_whole_schedule() -> None:
    # The naive twin: every phase sampled, by plain random numbers.
    schedule, spread, samples = pair(), spread_of(PRESS), 400
    random = np.random.default_rng(11)
    moments = moments_at(schedule, PAIR, SHELF.materials)
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
    course = chain(phases, resolve_s=2.0)
    curves = course.curves([bond_line_at(PAIR, piece) for piece in PAIR])
    for piece, curve, got_s in zip(PAIR, curves, of_pair(spread), strict=True):
        pressed = [leg.lasts_s for m, leg in zip(moments, course.legs, strict=True) if m.closed]
        seconds = above(curve.during(pressed), schedule.films[piece].bonds_c).seconds
        ends = np.percentile(seconds, [5, 95])
        assert np.percentile(got_s, [5, 95]) == pytest.approx(ends, abs=0.5)


def test_a_close_call_asks_for_a_sample_and_a_plain_one_does_not() -> None:
    def severities(dwell_s: float) -> set[str]:
        worst = worst_lines(bond_lines(pair(dwell_s), uncertain=True)).values()
        return {finding.severity for finding in rulebook().judge(*(one.line for one in worst))}

    assert severities(8) == {"stop"}
    assert severities(12) == {"sample"}
    assert severities(15) == set()


def test_what_is_not_asked_or_cannot_matter_is_not_sampled(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    sampled: list[Leg] = []
    plainly = unlucky._sampled.__wrapped__

    def noted(press: Leg, spread: Spread) -> Mapping[int, Curve]:
        sampled.append(press)
        return plainly(press, spread)

    unlucky._stretches.cache_clear()
    monkeypatch.setattr(unlucky, "_sampled", noted)
    bond_lines(pair())
    bond_lines(pair(4), uncertain=True)
    assert sampled == []
    lines = bond_lines(pair(12), uncertain=True)
    assert all(one.line.low_seconds_bonding < one.line.seconds_bonding for one in lines)
    # Tacks and full press, in which a line comes near to bonding; the preheat of 4 s is no press.
    assert len({press.begins_s for press in sampled}) == 2


def test_a_calibrated_press_is_less_uncertain() -> None:
    fitted = PRESS.model_copy(update={"basis": {"contact_w_m2k": "physics"}})
    assert spread_of(fitted).contact < spread_of(PRESS).contact
    assert spread_of(SHELF.press("draw-40x50")).flat_c == SHELF.press("draw-40x50").flat_c
