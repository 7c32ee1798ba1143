"""What trials say of the share of garments that hold, against published intervals."""

from __future__ import annotations

import pytest

from rules.book.trials import TRUSTED, share_that_holds, trials_without_failure


@pytest.mark.parametrize(
    ("sound", "trials", "sure", "published"),
    [
        # SciPy's documentation, binomtest(7, 50), "exact", 95 % on two sides.
        (7, 50, 0.975, 0.05819),
        # Clopper and Pearson for 10 of 10, 95 % on two sides.
        (10, 10, 0.975, 0.6915),
    ],
)
def test_the_share_that_holds_is_the_published_lower_bound(
    sound: int, trials: int, sure: float, published: float
) -> None:
    assert share_that_holds(sound, trials, sure) == pytest.approx(published, abs=5e-5)


def test_trials_of_which_none_held_promise_nothing() -> None:
    assert share_that_holds(0, 10) == 0


@pytest.mark.parametrize(("holds", "sure"), TRUSTED)
def test_as_many_trials_as_are_asked_for_promise_the_share_and_one_less_does_not(
    holds: float, sure: float
) -> None:
    asked = trials_without_failure(holds, sure)
    assert share_that_holds(asked, asked, sure) >= holds
    assert share_that_holds(asked - 1, asked - 1, sure) < holds
