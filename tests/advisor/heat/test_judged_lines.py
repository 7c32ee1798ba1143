"""Judged lines: chance weighed at the worst places alone says what weighing every place does."""

from __future__ import annotations

from itertools import combinations

import pytest

from advisor.heat.bond_lines import worst_lines
from advisor.heat.timed import judged_lines
from advisor.heat.unlucky import CLOSE_CALL_S
from rules.facts.schedule import Schedule
from tests.advisor.heat.heat_shop import (
    SHELF,
    bond_lines,
    full,
    lift,
    peel,
    preheat,
    scheduled,
    tack,
)

FILMS = ("matte-smooth", "matte-thin", "satin-smooth", "sparkle-fine")
EVERY_PLACE = [
    place
    for depth in range(1, 5)
    for place in combinations([f"p{n}" for n in range(len(FILMS))], depth)
]


def deep(dwell_s: float) -> Schedule:
    pieces = [f"p{n}" for n in range(len(FILMS))]
    tacked = [step for piece in pieces for step in (tack(piece), peel(piece))]
    return scheduled(FILMS, [preheat(), *tacked, full(*pieces, dwell_s=dwell_s), lift()])


@pytest.mark.slow
@pytest.mark.parametrize("dwell_s", [4.0, 8.0, 9.0, 15.0])
def test_a_piece_is_told_of_as_if_every_place_had_been_weighed(dwell_s: float) -> None:
    schedule = deep(dwell_s)
    told = judged_lines(schedule, EVERY_PLACE, SHELF.materials)
    # Every place by itself, so that chance is weighed at each.
    lines = [line for at in EVERY_PLACE for line in bond_lines(schedule, [at], uncertain=True)]
    plainly = worst_lines(lines)
    assert list(told) == [f"p{n}" for n in range(len(FILMS))]
    for piece, line in told.items():
        plain = plainly[piece].line
        assert (line.below, line.seconds_bonding) == (plain.below, plain.seconds_bonding)
        if line.seconds_bonding - line.film.bonds_s < CLOSE_CALL_S:
            assert line.low_seconds_bonding == plain.low_seconds_bonding


def test_a_line_with_seconds_to_spare_is_not_weighed() -> None:
    line = judged_lines(deep(30.0), [("p0",)], SHELF.materials)["p0"]
    assert line.seconds_bonding - line.film.bonds_s >= CLOSE_CALL_S
    assert line.low_seconds_bonding == line.seconds_bonding
