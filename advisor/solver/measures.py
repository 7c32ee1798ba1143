"""Optimise measures: what a plan costs, as the assessment reckons it, and what is better."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import cpmpy as cp

from advisor.layering.assessment import (
    MS_PER_HOUR,
    halves_up,
    hour_cents,
    option_cents,
    sample_millicents,
)
from advisor.solver.model import PlanModel
from advisor.solver.samples import sample_count

__all__ = ["better_than", "measures_of"]

FOREVER = 10**12
"""A bound for the solver on money and seconds: more than any job."""


def measures_of(
    model: PlanModel, milliseconds: Any, unsuited: Sequence[Any], *, sample_free: bool
) -> dict[str, Any]:
    """Each measure of ``Measures`` as an expression, or a number where it is one.

    Args:
        milliseconds: of one garment; ``None`` leaves seconds and cents out.
        unsuited: literals, one for each stage that no pressure suits.
    """
    problem = model.problem
    samples: Any = 0
    if sample_free:
        for literal in unsuited:
            model.post(("pressure-window",), ~literal)
    else:
        samples = sample_count(model, unsuited)
    thickness = cp.intvar(0, 1_000_000)
    for place in problem.places:
        model.post(("thick",), model.thickness_there(place) <= 10 * thickness + 4)
    measures = {"samples": samples, "weak": model.weak(), "thickness_um": thickness}
    if milliseconds is not None:
        measures["seconds"] = _halves_up(model, milliseconds, 1000)
        rate = hour_cents(problem.rates)
        cents = [_halves_up(model, rate * milliseconds, MS_PER_HOUR)]
        cents += [model.number(piece, option_cents) for piece in model.pieces]
        if not sample_free:
            cents.append(_halves_up(model, sample_millicents(problem) * samples, 1000))
        measures["cents"] = cp.sum(cents)
    return measures


def better_than(
    model: PlanModel,
    measures: Mapping[str, Any],
    levels: Sequence[str],
    reached: Sequence[int],
) -> None:
    """Ask for a plan whose measures, in the order of ``levels``, come before ``reached``."""
    better: list[Any] = []
    for level, value in zip(levels, reached, strict=True):
        measure = measures[level]
        model.post(("better",), cp.any([*better, measure <= value]))
        less: Any = cp.boolvar()
        model.post(("better",), less.implies(measure <= value - 1))
        better.append(less)
    model.post(("better",), cp.any(better))


def _halves_up(model: PlanModel, amount: Any, unit: int) -> Any:
    """``advisor.layering.assessment.halves_up`` as constraints."""
    whole = cp.intvar(0, halves_up(FOREVER, unit))
    model.post(("halves",), 2 * amount + unit >= 2 * unit * whole)
    model.post(("halves",), 2 * amount + unit <= 2 * unit * whole + 2 * unit - 1)
    return whole
