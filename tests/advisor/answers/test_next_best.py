"""What the next film of a piece costs is what planning with any other film comes to at best."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.answers.questions import next_best, why_not_this
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import Wish, read_job
from advisor.words.answers import solve
from advisor.words.plan_changes import next_best_text
from rules.knowledge import load_knowledge

FEW = (
    "matte-low-temperature", "matte-nylon", "matte-nylon-low-temperature",
    "dye-blocking-low-temperature", "dye-blocking-thin",
)  # fmt: skip


def test_it_is_the_best_of_all_films_wished_for_one_by_one() -> None:
    known = load_knowledge()
    films = {name: known.catalogue.film(name) for name in FEW}
    few = replace(known, catalogue=replace(known.catalogue, films=films))
    solved = solve(DEMO_FOLDER / "bags.yaml", knowledge=few, time_limit_s=60)
    assert solved.plan.proof.optimal
    found = {one.piece: one.other for one in next_best(solved, time_limit_s=60)}
    assert found.keys() == {piece.id for piece in solved.plan.pieces}
    for piece in solved.plan.pieces:
        other = found[piece.id]
        assert other is not None
        assert other.optimal
        assert {each.id: each.film for each in other.plan.pieces}[piece.id] != piece.film
        options = solved.prepared.problem.piece(piece.id).options
        wished = [
            answer.plan.proof.objective
            for film in dict.fromkeys(option.film.id for option in options)
            if film != piece.film
            if (answer := why_not_this(solved, f"{piece.id}={film}", time_limit_s=60)).plan
        ]
        assert other.plan.proof.objective == min(each for each in wished if each is not None)


def test_a_piece_whose_film_is_wished_for_by_name_has_no_other() -> None:
    job = read_job(DEMO_FOLDER / "bags.yaml")
    wished = Wish(film="matte-low-temperature")
    solved = solve(
        job.model_copy(update={"looks": {**job.looks, "#ffffff": wished}}), folder=DEMO_FOLDER
    )
    others = {one.piece: one.other for one in next_best(solved, time_limit_s=60)}
    assert others["fill-ffffff"] is None
    assert others["fill-2a9d8f"] is not None


@pytest.mark.parametrize("seconds", [0.0, -1.0])
def test_without_time_nothing_is_claimed(seconds: float) -> None:
    assert next_best(solve(DEMO_FOLDER / "bags.yaml"), time_limit_s=seconds) == ()
    assert str(next_best_text("text", None)) == "no other film can take its place"
