"""What is offered instead of a risky stack is better, and is exactly what it says."""

from __future__ import annotations

import pytest

from advisor import check
from advisor.answers.instead import better_stacks

RANK = {"stop": 0, "sample": 1, "go": 2}


@pytest.mark.parametrize(
    ("stack", "fabric"),
    [
        (["sparkle-coarse", "matte-smooth"], "adult-tee"),
        (["matte-smooth:white"], "polyester-jersey:navy"),
        (["matte-smooth:white", "flock-plush", "sparkle-fine"], "adult-tee"),
    ],
)
def test_each_stack_offered_is_judged_better_than_the_one_that_was_asked_about(
    stack: list[str], fabric: str
) -> None:
    now = check(fabric=fabric, stack=stack).verdict
    offered = better_stacks(stack, fabric=fabric)
    assert offered
    for each in offered:
        judged = check(fabric=fabric, stack=each.films, meets=each.meets).verdict
        assert judged == each.verdict
        assert RANK[judged] > RANK[now]
    ranks = [RANK[each.verdict] for each in offered]
    assert ranks == sorted(ranks, reverse=True)


def test_what_bonds_to_nothing_is_laid_over_before_a_film_is_left_out() -> None:
    said = [
        f"{each.said}"
        for each in better_stacks(["sparkle-coarse", "matte-smooth"], fabric="adult-tee")
    ]
    assert said.index("lay sparkle-coarse over matte-smooth") < said.index(
        "leave sparkle-coarse out"
    )


def test_a_film_whose_colour_bleeds_is_changed_for_one_that_keeps_the_colour() -> None:
    [other, *_] = better_stacks(["matte-smooth:white"], fabric="polyester-jersey:navy")
    assert f"{other.said}".startswith("take ")
    assert other.films[0].endswith(":white")


def test_a_stack_that_goes_is_left_as_it_is() -> None:
    assert better_stacks(["matte-smooth", "sparkle-fine"], fabric="adult-tee") == ()
