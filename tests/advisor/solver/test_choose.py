"""Choose: the list holds every valid choice and no other, found again by trying everything."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest

from advisor.job.records.job import Rates, Wish
from advisor.job.records.print import EVERY_WAY, Meeting, PieceSize, Place, PrintPiece
from advisor.layering.assessment import assess, objective
from advisor.layering.candidates import piece_with_options
from advisor.layering.records.problem import Choice, Problem
from advisor.layering.stages import heat_limits
from advisor.solver.listing import list_choices
from tests.advisor.solver.solver_problems import BOOK, SHELF, printed_on


def two_on_a_base(fabric: str, *finishes: str, most_options: int = 3) -> Problem:
    """A base with one piece on it, and a third on that piece where three finishes are given."""
    cloth = SHELF.fabric(fabric)
    pieces = []
    for i, finish in enumerate(finishes):
        piece = piece_with_options(
            PrintPiece(f"p{i}", None, (PieceSize(100, 100),)),
            Wish.model_validate({"finish": finish}),
            fabrics=[cloth],
            knowledge=BOOK,
            rates=Rates(),
        )
        options = piece.options[:most_options]
        pieces.append(replace(piece, options=options, wish=""))
    ids = [piece.id for piece in pieces]
    meetings = tuple(
        Meeting(ids[j], ids[i], 100.0, False, j - i > 1, EVERY_WAY if j - i == 1 else ("lap",))
        for i in range(len(ids))
        for j in range(i + 1, len(ids))
    )
    places = [Place(tuple(ids[:n]), 100.0) for n in range(len(ids), 0, -1)]
    close = {frozenset(m.pair) for m in meetings}
    return Problem(
        print=printed_on(cloth, pieces, meetings, places, close),
        pieces=tuple(pieces),
        fabrics=(cloth,),
        limits=heat_limits([cloth], SHELF.press("clamshell-38x38")),
        knowledge=BOOK,
    )


def everything(problem: Problem) -> list[Choice]:
    ids = [piece.id for piece in problem.pieces]
    pairs = [meeting.pair for meeting in problem.meetings]
    return [
        Choice(dict(zip(ids, options, strict=True)), dict(zip(pairs, ways, strict=True)))
        for options in product(*(piece.options for piece in problem.pieces))
        for ways in product(*(meeting.ways for meeting in problem.meetings))
    ]


@pytest.mark.parametrize(
    ("fabric", "finishes"),
    [
        ("cotton-jersey-tee", ("matte", "sparkle")),
        ("cotton-jersey-tee", ("sparkle", "matte")),
        ("cotton-jersey-tee", ("matte", "sparkle", "matte")),
        ("nylon-coated", ("matte", "sparkle")),
        ("polypropylene-non-woven", ("matte", "metallic")),
        ("denim", ("metallic", "plush")),
    ],
)
def test_the_list_is_what_trying_everything_finds(fabric: str, finishes: tuple[str, ...]) -> None:
    problem = two_on_a_base(fabric, *finishes)
    tried = [found for choice in everything(problem) if (found := assess(problem, choice)).possible]
    listing = list_choices(problem)
    assert listing.complete

    def key(choice: Choice) -> tuple[object, ...]:
        return (tuple(o.film.id for o in choice.options.values()), tuple(choice.meets.values()))

    assert sorted(map(str, (key(f.choice) for f in listing.assessments))) == sorted(
        map(str, (key(f.choice) for f in tried))
    )
    if tried:
        assert listing.best is not None
        assert listing.best.measures is not None
        assert objective(listing.best.measures, "durable") == min(
            objective(found.measures, "durable") for found in tried if found.measures is not None
        )


def test_the_list_says_when_it_is_not_the_whole() -> None:
    listing = list_choices(two_on_a_base("cotton-jersey-tee", "matte", "sparkle"), most=2)
    assert not listing.complete
    assert listing.listed == 2


def test_a_sample_is_refused_where_none_is_allowed() -> None:
    problem = two_on_a_base("nylon-coated", "matte", "sparkle", most_options=8)
    allowed = list_choices(problem)
    strict = replace(problem, samples_allowed=False)
    without = list_choices(strict)
    assert {f.measures.samples for f in without.assessments if f.measures} <= {0}
    assert len(without.assessments) == sum(
        f.measures is not None and f.measures.samples == 0 for f in allowed.assessments
    )
