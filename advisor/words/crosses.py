"""Crosses in the steps: where tape keeps registration marks off the garment, and when it goes."""

from __future__ import annotations

from collections.abc import Sequence

from rules.facts.step import Step, Tape
from rules.facts.text import Text

__all__ = ["PULL_OFF", "TAPE_UNDER", "with_crosses"]

TAPE_UNDER = (
    "Where its carrier bears crosses, put heat-proof tape on the garment under them first: they "
    "stay on the tape, and every later film that bears crosses is laid with its own on them. One "
    "without is laid by ruler, as its label says."
)
PULL_OFF = "Pull the tape off now, all crosses with it."

_WORDS: dict[Tape, str] = {"under": TAPE_UNDER, "off": PULL_OFF}


def with_crosses(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps with a word on tape where it goes under crosses, and where it comes off.

    >>> peel = Step(n=3, action="peel", pieces=("b",), tape="off")
    >>> [str(step.why) for step in with_crosses([peel, peel.model_copy(update={"tape": None})])]
    [' Pull the tape off now, all crosses with it.', '']
    """
    return tuple(
        step.model_copy(update={"why": Text(f"{Text(step.why)} {_WORDS[step.tape]}")})
        if step.tape
        else step
        for step in steps
    )
