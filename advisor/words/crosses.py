"""Crosses in the steps: where tape keeps registration marks off the garment, and when it goes."""

from __future__ import annotations

from collections.abc import Sequence

from rules.facts.step import Step
from rules.facts.text import Text

__all__ = ["PULL_OFF", "TAPE_UNDER", "taped", "with_crosses"]

TAPE_UNDER = (
    "Where its carrier bears crosses, put heat-proof tape on the garment under them first: they "
    "stay on the tape, and every later film that bears crosses is laid with its own on them. One "
    "without is laid by ruler, as its label says."
)
PULL_OFF = "Pull the tape off now, all crosses with it."


def with_crosses(steps: Sequence[Step]) -> tuple[Step, ...]:
    """The steps with a word on tape where a run lays its first film, and where it peels its last.

    >>> with_crosses([])
    ()
    """
    told = {step.n: step for step in steps}
    for laid, peeled in taped(steps):
        for n, words in ((laid, TAPE_UNDER), (peeled, PULL_OFF)):
            why = Text(f"{Text(told[n].why)} {words}")
            told[n] = told[n].model_copy(update={"why": why})
    return tuple(told[step.n] for step in steps)


def taped(steps: Sequence[Step]) -> tuple[tuple[int, int], ...]:
    """For each run that has films to register: the step that lays its first, and the last peel.

    A run that lays all in one press has nothing to register.

    >>> lay = Step(n=1, action="press", pieces=("a",))
    >>> over = Step(n=2, action="press", pieces=("b",))
    >>> peel = Step(n=3, action="peel", pieces=("b",))
    >>> taped([lay, over, peel]), taped([over, peel])
    (((1, 3),), ())
    """
    found = []
    alike = dict.fromkeys((step.run, _print_of(piece)) for step in steps for piece in step.pieces)
    for run, print_id in alike:
        own = [
            step
            for step in steps
            if step.run == run and print_id in {_print_of(piece) for piece in step.pieces}
        ]
        laid: dict[tuple[str, ...], int] = {}
        down: set[str] = set()
        for step in own:
            if step.action == "press" and not down.issuperset(step.pieces):
                laid[step.pieces] = step.n
                down |= set(step.pieces)
        peels = [step.n for step in own if step.action == "peel"]
        if len(laid) > 1 and peels:
            found.append((next(iter(laid.values())), peels[-1]))
    return tuple(found)


def _print_of(piece: str) -> str:
    """The print that a piece belongs to, where a garment has several."""
    return piece.rpartition("/")[0]
