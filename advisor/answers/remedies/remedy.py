"""Remedy: one thing of a plan done otherwise, and how steps are changed.

A remedy does not know whether it helps: whoever asks has the changed plan judged.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from advisor.answers.records import PlanEdit
from advisor.job.records.plan import Plan
from rules.catalogue import Catalogue
from rules.facts.film import Film
from rules.facts.step import Step

__all__ = ["Changed", "Remedy", "edit", "films_of", "together", "with_set", "with_steps"]


@dataclass(frozen=True)
class Changed:
    """A plan with one thing done otherwise, and what that is."""

    plan: Plan
    edits: tuple[PlanEdit, ...]


@dataclass(frozen=True)
class Remedy:
    """One thing that could have been done otherwise, at one place of a plan.

    Attributes:
        ways: the one that films like best first, or the least change.
        worse: the plan if the same thing had been off by so much the other way; ``None`` where it
            is done or not done.
        unit: of that; ``spread``: by how much a press or a hand is off unnoticed.
        off: how far it lies from what the films like best towards where they fail, as a share of
            that side of their windows.
    """

    ways: tuple[Changed, ...]
    worse: Callable[[float], Plan] | None = None
    unit: str = ""
    spread: float = 0.0
    off: float = 0.0


def films_of(plan: Plan, known: Catalogue) -> dict[str, Film]:
    """The film of each piece."""
    return {piece.id: known.film(piece.film) for piece in plan.pieces}


def together(plan: Plan, of: Callable[[Step], Hashable | None]) -> dict[Any, list[int]]:
    """The positions of the steps that are alike in that, without those it says ``None`` of."""
    groups: dict[Any, list[int]] = {}
    for at, step in enumerate(plan.steps):
        if (key := of(step)) is not None:
            groups.setdefault(key, []).append(at)
    return groups


def with_steps(plan: Plan, steps: Iterable[Step]) -> Plan:
    """The plan with these steps, numbered anew."""
    numbered = tuple(step.model_copy(update={"n": n}) for n, step in enumerate(steps, 1))
    return plan.model_copy(update={"steps": numbered})


def with_set(plan: Plan, at: Sequence[int], **values: Any) -> Plan:
    """The plan with values of the steps at these positions set to others."""
    steps = [
        step.model_copy(update=values) if n in at else step for n, step in enumerate(plan.steps)
    ]
    return plan.model_copy(update={"steps": tuple(steps)})


def edit(plan: Plan, what: Any, at: Sequence[int], was: Any, to: Any) -> PlanEdit:
    """What is done otherwise in the steps at these positions."""
    pieces = dict.fromkeys(piece for n in at for piece in plan.steps[n].pieces)
    return PlanEdit(
        what=what, steps=tuple(plan.steps[n].n for n in at), pieces=tuple(pieces), was=was, to=to
    )
