"""Carriers shared: what lies apart may wait for one another, if that saves a carrier."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from itertools import combinations

import pytest

from advisor.job.records.job import Rates, Wish
from advisor.job.records.print import Meeting, PieceSize, Place, PrintPiece
from advisor.layering.assessment import assess, objective
from advisor.layering.candidates import piece_with_options
from advisor.layering.records.pressing import Arrangement
from advisor.layering.records.problem import Choice, Problem
from advisor.layering.stages import MOST_STAGES, heat_limits
from advisor.solver.proof import optimise
from tests.advisor.solver.solver_problems import BOOK, SHELF, printed_on

CLOTH = SHELF.fabric("cotton-jersey-tee")
SMOOTH = ("matte-smooth", "gloss-smooth", "satin-smooth")
"""Films that take one another and share a setting; gloss is peeled cold, which keeps a press."""

Press = tuple[str, ...]


def crests(*chains: Sequence[str]) -> Problem:
    """Crests far apart: in each, films laid one on the other in this order, bottom first."""
    wished = {(c, n): film for c, chain in enumerate(chains) for n, film in enumerate(chain)}
    pieces = tuple(
        piece_with_options(
            PrintPiece(f"c{c}p{n}", None, (PieceSize(60, 60, 6.0),)),
            Wish(film=film, colour="white"),
            fabrics=[CLOTH],
            knowledge=BOOK,
            rates=Rates(),
            on_shelf_only=False,
        )
        for (c, n), film in wished.items()
    )
    ids = [[f"c{c}p{n}" for n in range(len(chain))] for c, chain in enumerate(chains)]
    meetings = [
        Meeting(upper, lower, 900.0, False, one.index(upper) - one.index(lower) > 1, ("lap",))
        for one in ids
        for lower, upper in combinations(one, 2)
    ]
    places = [Place(tuple(one[:n]), 900.0) for one in ids for n in range(len(one), 0, -1)]
    close = {frozenset(meeting.pair) for meeting in meetings}
    return Problem(
        print=printed_on(CLOTH, pieces, meetings, places, close),
        pieces=pieces,
        fabrics=(CLOTH,),
        limits=heat_limits([CLOTH], SHELF.press("clamshell-38x38")),
        knowledge=BOOK,
    )


def every_order(left: Sequence[Sequence[str]]) -> Iterator[tuple[Press, ...]]:
    """Every way of laying some chains, each press taking the next of some of them."""
    if not any(left):
        yield ()
        return
    heads = [n for n, chain in enumerate(left) if chain]
    for size in range(1, len(heads) + 1):
        for taken in combinations(heads, size):
            rest = [chain[1:] if n in taken else chain for n, chain in enumerate(left)]
            for later in every_order(rest):
                yield (tuple(left[n][0] for n in taken), *later)


def least_of_all(problem: Problem, chains: Sequence[Sequence[str]]) -> tuple[int, ...]:
    """The least objective of every order in every stages, one after another."""
    options = {piece.id: piece.options[0] for piece in problem.pieces}
    choice = Choice(options, {meeting.pair: "lap" for meeting in problem.meetings})
    ids = [[f"c{c}p{n}" for n in range(len(chain))] for c, chain in enumerate(chains)]
    reached = []
    for groups in every_order(ids):
        for count in range(min(len(groups), MOST_STAGES)):
            for cuts in combinations(range(1, len(groups)), count):
                edges = (0, *cuts, len(groups))
                found = assess(problem, choice, arrangement=Arrangement(groups, edges, False))
                if found.measures is not None:
                    reached.append(objective(found.measures, problem.prefer))
    return min(reached)


def presses(found: object) -> int:
    grouping = getattr(found, "grouping", None)
    assert grouping is not None
    return len(grouping.groups)


def test_one_press_more_is_worth_two_carriers_of_one_film() -> None:
    """Matte, satin, gloss beside matte, gloss, satin: in three presses only the first is shared."""
    chains = ("matte-smooth", "satin-smooth", "gloss-smooth"), (
        "matte-smooth", "gloss-smooth", "satin-smooth",
    )  # fmt: skip
    best = optimise(crests(*chains), time_limit_s=60)
    assert best.optimal
    assert presses(best.assessment) == 4
    assert best.objective == least_of_all(crests(*chains), chains)


@pytest.mark.parametrize("seed", range(12))
def test_no_order_of_crests_side_by_side_is_better_than_the_one_proved(seed: int) -> None:
    drawn = random.Random(seed)
    lengths = drawn.choice([(3, 3), (3, 4), (2, 2, 2), (2, 4)])
    chains = [[drawn.choice(SMOOTH) for _ in range(length)] for length in lengths]
    problem = crests(*chains)
    assert all(len(piece.options) == 1 for piece in problem.pieces)
    best = optimise(problem, time_limit_s=60)
    assert best.optimal
    assert best.objective == least_of_all(problem, chains)


def test_the_orders_listed_are_all_there_are() -> None:
    """Two chains of three are laid in 63 ways, the Delannoy number of 3 and 3 (OEIS A008288)."""
    listed = set(every_order(["abc", "xyz"]))
    assert len(listed) == 63
