"""Answers in words: what is asked about a plan is answered with pieces called as in the plan."""

from __future__ import annotations

import pytest

from advisor.job.demo import DEMO_FOLDER
from advisor.words.answers import other_plans, solve, why_not_this


@pytest.mark.parametrize("question", ["#f2c14e=sparkle-coarse", "gold=sparkle-coarse"])
def test_why_not_names_pieces_by_their_colours_and_films(question: str) -> None:
    solved = solve(DEMO_FOLDER / "crew-tees.yaml")
    answer = why_not_this(solved, question)
    words = [answer.said, *answer.differs, *(clash.message for clash in answer.stands_against)]
    assert any("gold sparkle-fine" in sentence for sentence in words)
    assert not any(piece.id in sentence for piece in solved.plan.pieces for sentence in words)


def test_every_step_of_every_plan_has_its_reason() -> None:
    solved = solve(DEMO_FOLDER / "bags.yaml")
    for plan in (solved.plan, *(other.plan for other in other_plans(solved, most=1))):
        assert plan.steps
        assert all(step.why for step in plan.steps)
