"""Crosses in the steps: where tape keeps registration marks off the garment, and when it goes."""

from __future__ import annotations

from collections.abc import Sequence

from rules.facts.step import Step
from rules.facts.text import Text

__all__ = ["PULL_OFF", "TAPE_UNDER", "with_crosses"]

TAPE_UNDER = (
    "Where its carrier bears crosses, put heat-proof tape on the garment under them first: they "
    "stay on the tape, and every later film that bears crosses is laid with its own on them. One "
    "without is laid by ruler, as its label says."
)
PULL_OFF = "Pull the tape off now, all crosses with it."


def with_crosses(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps with a word on tape where a run lays its first film, and where it peels its last.

    A run that lays all in one press has nothing to register.

    >>> with_crosses([])
    ()
    """
    told = {step.n: step for step in steps}
    for run in dict.fromkeys(step.run for step in steps):
        own = [step for step in steps if step.run == run and step.pieces]
        laid: dict[tuple[str, ...], Step] = {}
        down: set[str] = set()
        for step in own:
            if step.action == "press" and not down.issuperset(step.pieces):
                laid[step.pieces] = step
                down |= set(step.pieces)
        peels = [step for step in own if step.action == "peel"]
        if len(laid) < 2 or not peels:
            continue
        for step, words in ((next(iter(laid.values())), TAPE_UNDER), (peels[-1], PULL_OFF)):
            why = Text(f"{Text(told[step.n].why)} {words}")
            told[step.n] = told[step.n].model_copy(update={"why": why})
    return tuple(told[step.n] for step in steps)
