"""Speed of the optimiser, each beside a stated alternative in the same run."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

from advisor.job.records.job import Rates, Wish
from advisor.job.records.print import EVERY_WAY, Meeting, PieceSize, Place, PrintPiece
from advisor.layering.assessment import assess, objective
from advisor.layering.candidates import piece_with_options
from advisor.layering.records.problem import Choice, Problem
from advisor.layering.stages import heat_limits
from advisor.solver.impossible import explain_impossible
from advisor.solver.listing import list_choices
from advisor.solver.proof import optimise
from rules.catalogue import Catalogue, load_catalogue
from rules.facts.film import Film
from rules.knowledge import Knowledge
from rules.rulebook import rulebook
from tests.advisor.solver.solver_problems import printed_on
from tests.bench.ratios import hold_ratio, least_s

SHELF = load_catalogue()
FILLS = ["#1b2a49", "#d4a017", "#c8102e", "#fbfbf8", "#1a1a1c", "#1e5b38"]
LOOKS = ["matte", "matte", "sparkle", "satin", "metallic", "gloss"]


def large_shelf(films: int) -> Catalogue:
    """The catalogue with variants of its films: other heat, dwell, face and price."""
    rng, known = random.Random(1), dict(SHELF.films)
    every = list(known.values())
    while len(known) < films:
        film = rng.choice(every)
        warmer_c, longer_s = rng.choice([-5, 0, 0, 3, 5]), rng.choice([-1, 0, 0, 2])
        ends = ("low", "best", "high")
        setpoint = {end: getattr(film.setpoint_c, end) + warmer_c for end in ends}
        dwell = {end: max(1, getattr(film.dwell_s, end) + longer_s) for end in ends}
        given = {
            "id": f"{film.id}-v{len(known)}",
            "setpoint_c": setpoint,
            "bears_c": max(film.bears_c + warmer_c, setpoint["high"]),
            "softens_c": film.softens_c - 10,
            "bonds_c": film.bonds_c - 10,
            "dwell_s": dwell,
            "bears_s": max(dwell["high"], film.bears_s),
            "face_um": max(10, film.face_um + rng.choice([-10, 0, 10, 20])),
            "price_per_m": round(film.price_per_m * rng.uniform(0.7, 1.5), 2),
            "on_shelf_m": 5,
        }
        known[str(given["id"])] = Film.model_validate(film.model_dump() | given)
    return replace(SHELF, films=known)


def festival(count: int, shelf: Catalogue, *, fabric: str = "cotton-jersey-tee") -> Problem:
    """So many pieces in designs of three to five that lie over one another."""
    rng, cloth, knowledge = random.Random(1), shelf.fabric(fabric), Knowledge(rulebook(), shelf)
    ids = [f"p{i:02d}" for i in range(count)]
    pieces = []
    for piece in ids:
        sizes = (
            PieceSize(
                rng.choice([60, 120, 250]), rng.choice([40, 100]), rng.choice([4.0, 8.0, 20.0])
            ),
        )
        pieces.append(
            piece_with_options(
                PrintPiece(piece, rng.choice(FILLS), sizes),
                Wish.model_validate({"finish": rng.choice(LOOKS)}),
                fabrics=[cloth],
                knowledge=knowledge,
                rates=Rates(),
            )
        )
    places: dict[tuple[str, ...], None] = {}
    meetings, start = [], 0
    while start < count:
        design = ids[start : start + rng.choice([3, 4, 5])]
        start += len(design)
        stacks = [tuple(design[: n + 1]) for n in range(min(3, len(design)))]
        stacks += [(design[0], piece) for piece in design[3:]]
        places |= dict.fromkeys(stacks)
        for i, lower in enumerate(design):
            for upper in design[i + 1 :]:
                shared = [stack for stack in stacks if lower in stack and upper in stack]
                if shared:
                    hidden = not any(s.index(upper) - s.index(lower) == 1 for s in shared)
                    ways = ("lap",) if hidden else EVERY_WAY
                    meetings.append(Meeting(upper, lower, 100.0, False, hidden, ways))
    close = {frozenset(meeting.pair) for meeting in meetings}
    return Problem(
        print=printed_on(
            cloth, pieces, meetings, [Place(stack, 100.0) for stack in places], close, quantity=50
        ),
        pieces=tuple(pieces),
        fabrics=(cloth,),
        limits=heat_limits([cloth], shelf.press("clamshell-38x38")),
        knowledge=knowledge,
        garment_price=4.0,
    )


def forgotten(problem: Problem) -> Problem:
    """The same problem before the rulebook was asked anything."""
    return replace(problem, rule_answers=type(problem.rule_answers)())


def few_films(problem: Problem, most: int) -> Problem:
    pieces = tuple(replace(piece, options=piece.options[:most]) for piece in problem.pieces)
    return replace(problem, pieces=pieces)


def by_trying_everything(problem: Problem) -> tuple[int, ...]:
    """The least objective over every film and every way: nothing is left out by rules first."""
    reached = []
    for options in product(*(piece.options for piece in problem.pieces)):
        for ways in product(*(meeting.ways for meeting in problem.meetings)):
            choice = Choice(
                {p.id: o for p, o in zip(problem.pieces, options, strict=True)},
                {m.pair: way for m, way in zip(problem.meetings, ways, strict=True)},
            )
            found = assess(problem, choice)
            if found.measures is not None:
                reached.append(objective(found.measures, problem.prefer))
    return min(reached)


def test_three_pieces_beside_the_full_list_and_trying_everything(
    benchmark: BenchmarkFixture,
) -> None:
    problem = few_films(festival(3, SHELF), 4)
    optimise(problem)
    listed = list_choices(problem).best
    assert listed is not None
    assert listed.measures is not None
    least = by_trying_everything(forgotten(problem))
    assert least == objective(listed.measures, problem.prefer)
    best = benchmark.pedantic(lambda: optimise(forgotten(problem)), rounds=3)
    assert best.objective == least

    def ours() -> float:
        return least_s(lambda: optimise(forgotten(problem)))

    hold_ratio(
        benchmark,
        "the full list ÷ the proof",
        lambda: least_s(lambda: list_choices(forgotten(problem)), 1),
        ours,
    )
    hold_ratio(
        benchmark,
        "trying everything ÷ the proof",
        lambda: least_s(lambda: by_trying_everything(forgotten(problem)), 1),
        ours,
    )


def test_the_usual_job_of_six_pieces_beside_a_list_cut_short(benchmark: BenchmarkFixture) -> None:
    problem = festival(6, SHELF)
    optimise(problem)
    listing = list_choices(problem, most=2_000)
    best = benchmark.pedantic(lambda: optimise(forgotten(problem)), rounds=3)
    assert best.optimal
    if listing.best is not None and listing.best.measures is not None:
        assert best.objective <= objective(listing.best.measures, problem.prefer)
    hold_ratio(
        benchmark,
        "the first 2000 of the list ÷ the proof",
        lambda: least_s(lambda: list_choices(forgotten(problem), most=2_000), 1),
        lambda: least_s(lambda: optimise(forgotten(problem))),
    )


def test_thirty_pieces_over_three_hundred_films(benchmark: BenchmarkFixture) -> None:
    problem = festival(30, large_shelf(300))
    best = benchmark.pedantic(
        lambda: optimise(forgotten(problem), time_limit_s=60), rounds=1, warmup_rounds=0
    )
    assert best.optimal
    benchmark.extra_info["films open to a piece, most"] = max(
        len(piece.options) for piece in problem.pieces
    )


def test_why_thirty_pieces_are_impossible(benchmark: BenchmarkFixture) -> None:
    problem = festival(30, large_shelf(300))
    sparkle = next(piece for piece in problem.pieces if piece.wish == "sparkle")
    lapped = next(m for m in problem.meetings if m.lower == sparkle.id and not m.hidden)
    wished = replace(problem, print=problem.print.with_ways({lapped.pair: "lap"}))
    found = benchmark.pedantic(
        lambda: explain_impossible(forgotten(wished)), rounds=1, warmup_rounds=0
    )
    assert {one.rule for one in found.conflict} & {"top-surface", "texture-only-on-top"}
    assert found.repairs
    hold_ratio(
        benchmark,
        "proving the best plan without that wish ÷ the conflict and its repairs",
        lambda: least_s(lambda: optimise(forgotten(problem), time_limit_s=60), 1),
        lambda: least_s(lambda: explain_impossible(forgotten(wished))),
        above=1,
    )


@pytest.mark.parametrize("pieces", [5, 10, 20, 30, 60])
def test_growth_with_the_number_of_pieces(benchmark: BenchmarkFixture, pieces: int) -> None:
    problem = festival(pieces, SHELF)
    limit_s = 1 if benchmark.disabled else 30
    best = benchmark.pedantic(
        lambda: optimise(forgotten(problem), time_limit_s=limit_s), rounds=1, warmup_rounds=0
    )
    assert best.status == "planned"
    benchmark.extra_info["proved best"] = best.optimal
